#include "store/record/photo.h"

#include <stddef.h>

#include "rules/plausible.h"
#include "store/record/doer.h"
#include "store/record/end_words.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])
#define OF(field) offsetof(struct photo_new, field)

static const char *const type_code[] = { "jpeg", "png", "webp" };
static const char *const type_title[] = { "JPEG", "PNG", "WebP" };
static const struct words picture_words = { "picture", type_code, type_title, PICTURE_TYPES };

enum { BOND, END, LINE, CHAINAGE, ENTRY, ENTRY_ID, ROUND, TAKEN_DAY, AT, NOTE, SHA256,
	SMALL_SHA256 };
static const struct member members[] = {
	[BOND] = { .name = "bond_id", .title = "Bond number", .type = MEMBER_INTEGER,
	  .offset = OF(bond_id), .least = 1, .most = 9e15,
	  .help = "Left out: that of the entry; without either a place is named." },
	[END] = { .name = "end", .column = "bond_end", .title = "End", .type = MEMBER_WORD,
	  .offset = OF(end), .words = &bond_end_words, .help = "Left out: the bond as a whole." },
	[LINE] = { .name = "line", .title = "Line", .type = MEMBER_TEXT, .offset = OF(line),
	  .longest = 60, .help = "Of a place, the line's code." },
	[CHAINAGE] = { .name = "chainage", .column = "place_written", .title = "Chainage",
	  .type = MEMBER_TEXT, .offset = OF(chainage), .longest = 60 },
	[ENTRY] = { .name = "entry", .column = "entry_noun", .title = "Kind of entry",
	  .type = MEMBER_WORD, .offset = OF(entry), .words = &sent_noun_words,
	  .help = "What it was taken with: an inspection, failure, repair, attachment, temporary "
	  "bridge or word on a round." },
	[ENTRY_ID] = { .name = "entry_id", .column = "entry_uuid", .title = "Entry",
	  .type = MEMBER_UUID, .offset = OF(entry_id), .help = "Its id; it was sent before." },
	[ROUND] = { .name = "round", .title = "Round", .type = MEMBER_UUID, .offset = OF(round),
	  .help = "The round that it was taken in." },
	[TAKEN_DAY] = { .name = "taken_day", .column = "taken_day", .title = "Taken",
	  .type = MEMBER_DAY, .required = true, .offset = OF(taken_day), .help = "The shift's day." },
	[AT] = { .name = "at", .column = "done_at_ms", .title = "When", .type = MEMBER_INSTANT,
	  .offset = OF(at_ms) },
	[NOTE] = { .name = "note", .column = "note", .title = "What it shows", .type = MEMBER_TEXT,
	  .offset = OF(note), .longest = 2000 },
	[SHA256] = { .name = "sha256", .column = "sha256", .title = "Picture", .type = MEMBER_TEXT,
	  .required = true, .offset = OF(sha256), .longest = SHA256_TEXT_SIZE - 1,
	  .help = "The SHA-256 of its file, which was sent to /api/photo-files/ before." },
	[SMALL_SHA256] = { .name = "small_sha256", .column = "small_sha256", .title = "Small picture",
	  .type = MEMBER_TEXT, .required = true, .offset = OF(small_sha256),
	  .longest = SHA256_TEXT_SIZE - 1, .help = "Likewise, of a small one of the same." },
	{ .name = "taken_by", .title = "Taken by", .type = MEMBER_TEXT, .offset = OF(taken_by),
	  .longest = 120, .help = "A name; who is signed in when it is left out." },
	{ .name = "sent_from", .title = "Sent from", .type = MEMBER_WORD, .offset = OF(sent_from),
	  .words = &sent_from_words, .help = "A tablet keeps what was done without coverage." },
	{ 0 }
};
const struct form photo_form = { "Photo", members, sizeof (struct photo_new) };

static const char *const worked_out[] = { "line_id", "distance_mm", "round_id", "type",
	"small_type", "width", "height", "bytes", "person_id", "person_name", NULL };
const struct record_kind photo_kind = { SENT_PHOTO, "photo", .has_bond = true,
	.form = &photo_form, .worked_out = worked_out };

static const struct list_column columns[] = {
	{ { "uuid", "Photo", NULL, CELL_TEXT, .width = 36 }, "p.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "p.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "chainage", "Chainage", NULL, CELL_TEXT }, "coalesce(p.place_written, s.chainage)" },
	COLUMN_OF_END("s", "p.bond_end"),
	COLUMN_OF_END_LETTER("p.bond_end"),
	{ .of = &members[ENTRY] },
	{ .of = &members[ENTRY_ID] },
	{ { "round", "Round", NULL, CELL_TEXT, .width = 36 },
	  "(SELECT r.uuid FROM round r WHERE r.id = p.round_id)" },
	{ .of = &members[TAKEN_DAY] },
	{ .of = &members[AT] },
	{ .of = &members[NOTE] },
	{ { "type", "Picture", NULL, CELL_WORD, &picture_words }, "p.type" },
	{ { "width", "Width", "pixels", CELL_INTEGER }, "p.width" },
	{ { "height", "Height", "pixels", CELL_INTEGER }, "p.height" },
	{ { "bytes", "Size", "bytes", CELL_INTEGER }, "p.bytes" },
	{ { "sha256", "SHA-256", NULL, CELL_TEXT, .width = 64 }, "p.sha256" },
	{ { "small_sha256", "SHA-256 of the small one", NULL, CELL_TEXT, .width = 64 },
	  "p.small_sha256" },
	COLUMN_OF_DOER("Taken by", "p"),
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_PHOTO, "p.id") },
	COLUMNS_OF_ENTRY("p"),
};
static const struct list_filter filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "p.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "p.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "coalesce(p.line_id, s.line_id) = {value}" },
	{ "entry_id", "Entry", FILTER_TEXT, "p.entry_uuid = {value}" },
	{ "round", "Round, by its number", FILTER_ID, "p.round_id = {value}" },
	{ "place", "Of a place, not of a bond", FILTER_FLAG, "p.bond_id IS NULL",
	  .sql_no = "p.bond_id IS NOT NULL" },
	{ "withdrawn", "Withdrawn from sight", FILTER_FLAG, SQL_WITHDRAWN(NOUN_PHOTO, "p.id"),
	  .sql_no = "NOT " SQL_WITHDRAWN(NOUN_PHOTO, "p.id") },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "p.taken_day" }, .descending = true },
	{ "oldest", "oldest first", { "p.taken_day" } },
};
const struct list photo_list = {
	.name = "photos", .title = "Photos",
	.summary = "Photos of bonds, ends, entries and places; their pictures stand at "
		"/api/photos/{uuid}/picture and /small.",
	.from = "photo p LEFT JOIN bond_state s ON s.bond_id = p.bond_id "
		"LEFT JOIN line l ON l.id = coalesce(p.line_id, s.line_id)", .record = "p", .id = "p.id",
	.columns = columns, .n_columns = COUNT(columns),
	.filters = filters, .n_filters = COUNT(filters),
	.sorts = sorts, .n_sorts = COUNT(sorts),
};

bool store_photo_shown(struct store *store, const char *uuid, bool small, struct photo_shown *to,
	struct problem *why)
{
	static const char sql[] = "SELECT p.sha256, p.type, p.small_sha256, p.small_type, "
		SQL_WITHDRAWN(NOUN_PHOTO, "p.id") ", (SELECT w.reason FROM withdrawal w WHERE w.noun = "
		NOUN_PHOTO " AND w.row_id = p.id ORDER BY w.id DESC LIMIT 1) FROM photo p "
		"WHERE p.uuid = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_text(uuid) }, 1, why);

	*to = (struct photo_shown){ 0 };
	if (!sql_row(store, row, why)) {
		return why->code == PROBLEM_NONE && problem_set(why, PROBLEM_NOT_FOUND, NULL,
			"No photo is kept under the id %.40s.", uuid);
	}
	column_text(row, small ? 2 : 0, to->sha256, sizeof to->sha256);
	to->type = (enum picture_type)sqlite3_column_int(row, small ? 3 : 1);
	to->is_withdrawn = sqlite3_column_int(row, 4) != 0;
	column_text(row, 5, to->reason, sizeof to->reason);
	sql_done(row);
	return true;
}
