#include "store/record/kit_check.h"

#include <stddef.h>

#include "rules/plausible.h"
#include "store/record/doer.h"
#include "store/sql.h"

static const char *const found_code[] = { "good", "not_good", "missing" };
static const char *const found_title[] = { "good", "not good", "missing" };
const struct words kit_found_words = { "kit_found", found_code, found_title, 3 };

#define OF(field) offsetof(struct kit_check, field)
#define PART(n, called, words_of, why) { .name = (called), .column = (called), .title = (words_of), \
	.type = MEMBER_WORD, .required = true, .offset = OF(part) + (n) * sizeof (int), \
	.words = &kit_found_words, .help = (why) }

enum { KIT, CHECKED_DAY, BATTERY, LEADS, GUN, CLAMP, PINS, EYE_SHIELDS, CHECKED_BY, NOTE };

static const struct member members[] = {
	[KIT] = { .name = "kit", .title = "Kit", .type = MEMBER_TEXT, .required = true, .offset = OF(kit),
	  .longest = 60, .help = "The code of a registered kit." },
	[CHECKED_DAY] = { .name = "checked_day", .column = "checked_day", .title = "Checked",
	  .type = MEMBER_DAY, .required = true, .offset = OF(checked_day), .help = "The shift's day." },
	[BATTERY] = PART(0, "battery", "Battery", "Charged, its terminals clean and tight."),
	[LEADS] = PART(1, "leads", "Leads", "Insulation whole, connections tight."),
	[GUN] = PART(2, "gun", "Gun", "Its holder clean, its travel free."),
	[CLAMP] = PART(3, "clamp", "Earthing clamp", "Its faces bright."),
	[PINS] = PART(4, "pins", "Pins and ferrules", "Dry, whole, and enough for the shift."),
	[EYE_SHIELDS] = PART(5, "eye_shields", "Eye shields", "One for everybody near."),
	[CHECKED_BY] = { .name = "checked_by", .title = "Checked by", .type = MEMBER_TEXT,
	  .offset = OF(checked_by), .longest = 120,
	  .help = "A name; who is signed in when it is left out." },
	[NOTE] = { .name = "note", .column = "note", .title = "Note", .type = MEMBER_TEXT,
	  .offset = OF(note), .longest = 2000 },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the check that this one replaces." },
	{ .name = "sent_from", .title = "Sent from", .type = MEMBER_WORD, .offset = OF(sent_from),
	  .words = &sent_from_words, .help = "A tablet keeps what was done without coverage." },
	{ 0 }
};
const struct form kit_check_form = { "KitCheck", members, sizeof (struct kit_check) };

static const char *const worked_out[] = { "kit_id", "passed", "person_id", "person_name", NULL };
const struct record_kind kit_check_kind = { SENT_KIT_CHECK, "kit_check", .has_replaces = true,
	.form = &kit_check_form, .worked_out = worked_out };

static const struct list_column columns[] = {
	{ { "uuid", "Check", NULL, CELL_TEXT, .width = 36 }, "q.uuid" },
	{ { "kit", "Kit", NULL, CELL_TEXT }, "k.code" },
	{ .of = &members[CHECKED_DAY] },
	{ { "passed", "Passed", NULL, CELL_FLAG }, "q.passed" },
	{ .of = &members[BATTERY] },
	{ .of = &members[LEADS] },
	{ .of = &members[GUN] },
	{ .of = &members[CLAMP] },
	{ .of = &members[PINS] },
	{ .of = &members[EYE_SHIELDS] },
	COLUMN_OF_DOER("Checked by", "q"),
	{ .of = &members[NOTE] },
	{ { "replaced", "Counts for nothing", NULL, CELL_FLAG },
	  SQL_REPLACED("kit_check", NOUN_KIT_CHECK, "q.id") },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_KIT_CHECK, "q.id") },
	COLUMNS_OF_ENTRY("q"),
};
static const struct list_filter filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "q.uuid = {value}" },
	{ "kit", "Kit, by its number", FILTER_ID, "q.kit_id = {value}" },
	{ "from", "From this day", FILTER_DAY, "q.checked_day >= {value}" },
	{ "passed", "Passed", FILTER_FLAG, "q.passed = 1", .sql_no = "q.passed = 0" },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "q.checked_day" }, .descending = true },
};
const struct list kit_check_list = {
	.name = "kit-checks", .title = "Checks of kits",
	.summary = "What of a kit was found good before a shift, by whom.",
	.from = "kit_check q JOIN kit k ON k.id = q.kit_id", .record = "q", .id = "q.id",
	.columns = columns, .n_columns = sizeof columns / sizeof columns[0],
	.filters = filters, .n_filters = sizeof filters / sizeof filters[0],
	.sorts = sorts, .n_sorts = 1,
};

bool store_kit_check_kit(struct store *store, int64_t id, int64_t *kit_id, struct problem *why)
{
	static const char sql[] = "SELECT kit_id FROM kit_check WHERE id = $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, kit_id, why);
}
