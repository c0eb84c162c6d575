#include "store/record/bridge.h"

#include <stddef.h>

#include "rules/plausible.h"
#include "store/record/doer.h"
#include "store/record/end_words.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])
#define ROUND_MEMBER(of) { .name = "round", .title = "Round", .type = MEMBER_UUID, \
	.offset = offsetof(struct of, round), .help = "The round that it was done in." }
#define AT_MEMBER(of) { .name = "at", .column = "done_at_ms", .title = "When", \
	.type = MEMBER_INSTANT, .offset = offsetof(struct of, at_ms) }
#define NOTE_MEMBER(of) { .name = "note", .column = "note", .title = "Note", .type = MEMBER_TEXT, \
	.offset = offsetof(struct of, note), .longest = 2000 }
#define FROM_MEMBER(of) { .name = "sent_from", .title = "Sent from", .type = MEMBER_WORD, \
	.offset = offsetof(struct of, sent_from), .words = &sent_from_words, \
	.help = "A tablet keeps what was done without coverage." }
#define BY_MEMBER(of, name_, title_, field) { .name = name_, .title = title_, .type = MEMBER_TEXT, \
	.offset = offsetof(struct of, field), .longest = 120, \
	.help = "A name; who is signed in when it is left out." }

enum { BOND, ROUND, ON_DAY, AT, PLACE, NOTE };
static const struct member on_members[] = {
	[BOND] = { .name = "bond_id", .title = "Bond number", .type = MEMBER_INTEGER, .required = true,
	  .offset = offsetof(struct bridge_new, bond_id), .least = 1, .most = 9e15,
	  .help = "The bond that it stands in for." },
	[ROUND] = ROUND_MEMBER(bridge_new),
	[ON_DAY] = { .name = "on_day", .column = "on_day", .title = "Put on", .type = MEMBER_DAY,
	  .required = true, .offset = offsetof(struct bridge_new, on_day), .help = "The shift's day." },
	[AT] = AT_MEMBER(bridge_new),
	[PLACE] = { .name = "place", .column = "place", .title = "From where to where",
	  .type = MEMBER_TEXT, .required = true, .offset = offsetof(struct bridge_new, place),
	  .longest = 200, .help = "As a person on the ballast finds it." },
	[NOTE] = NOTE_MEMBER(bridge_new),
	BY_MEMBER(bridge_new, "put_on_by", "Put on by", put_on_by),
	FROM_MEMBER(bridge_new),
	{ 0 }
};
const struct form bridge_form = { "Bridge", on_members, sizeof (struct bridge_new) };
static const char *const on_worked_out[] = { "round_id", "person_id", "person_name", NULL };
const struct record_kind bridge_kind = { SENT_BRIDGE, "bridge", .has_bond = true,
	.form = &bridge_form, .worked_out = on_worked_out };

static const struct member off_members[] = {
	{ .name = "bridge", .title = "Temporary bridge", .type = MEMBER_UUID, .required = true,
	  .offset = offsetof(struct bridge_off_new, bridge), .help = "Its id." },
	ROUND_MEMBER(bridge_off_new),
	{ .name = "off_day", .column = "off_day", .title = "Taken off", .type = MEMBER_DAY,
	  .required = true, .offset = offsetof(struct bridge_off_new, off_day),
	  .help = "The shift's day." },
	AT_MEMBER(bridge_off_new),
	NOTE_MEMBER(bridge_off_new),
	BY_MEMBER(bridge_off_new, "taken_off_by", "Taken off by", taken_off_by),
	FROM_MEMBER(bridge_off_new),
	{ 0 }
};
const struct form bridge_off_form = { "BridgeOff", off_members, sizeof (struct bridge_off_new) };
static const char *const off_worked_out[] = { "bridge_id", "round_id", "person_id", "person_name",
	NULL };
const struct record_kind bridge_off_kind = { SENT_BRIDGE_OFF, "bridge_off",
	.form = &bridge_off_form, .worked_out = off_worked_out };

bool store_bridge(struct store *store, int64_t id, int32_t *on_day, bool *on, struct problem *why)
{
	static const char sql[] = "SELECT g.on_day, " BRIDGE_ON " FROM bridge g WHERE g.id = $1 "
		"AND " SQL_STANDS(NOUN_BRIDGE, "g.id");
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	*on_day = DAY_NONE;
	*on = false;
	if (sql_row(store, row, why)) {
		*on_day = column_day(row, 0);
		*on = sqlite3_column_int(row, 1) != 0;
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

/* Of the taking off that counts. */
#define OFF(column) "(SELECT " column " FROM bridge_off x WHERE x.bridge_id = g.id " \
	"AND " SQL_STANDS(NOUN_BRIDGE_OFF, "x.id") " ORDER BY x.id DESC LIMIT 1)"

enum { COLUMN_ON_DAY = 7, COLUMN_ON, COLUMN_AGE };
static const struct list_column columns[] = {
	{ { "uuid", "Temporary bridge", NULL, CELL_TEXT, .width = 36 }, "g.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "g.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	{ { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	{ .of = &on_members[PLACE] },
	[COLUMN_ON_DAY] = { .of = &on_members[ON_DAY] },
	[COLUMN_ON] = { { "on", "Still on", NULL, CELL_FLAG }, BRIDGE_ON },
	[COLUMN_AGE] = { { "age_days", "Days on", "days", CELL_INTEGER }, NULL },
	{ { "round", "Round", NULL, CELL_TEXT, .width = 36 },
	  "(SELECT r.uuid FROM round r WHERE r.id = g.round_id)" },
	{ { "crew", "Crew", NULL, CELL_TEXT }, "(SELECT r.crew FROM round r WHERE r.id = g.round_id)" },
	COLUMN_OF_DOER("Put on by", "g"),
	{ .of = &on_members[NOTE] },
	{ { "off_day", "Taken off", NULL, CELL_DAY }, OFF("x.off_day") },
	{ { "off_by", "Taken off by", NULL, CELL_TEXT }, OFF(NAME_OF_DOER("x")) },
	{ { "off_id", "Taken off, entry", NULL, CELL_TEXT, .width = 36 }, OFF("x.uuid") },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_BRIDGE, "g.id") },
	COLUMNS_OF_ENTRY("g"),
};

/* One that is off has no age. A day ahead of the register's is none yet. */
static void finish(int32_t today, struct cell *row)
{
	int64_t days = today - row[COLUMN_ON_DAY].integer;

	row[COLUMN_AGE] = (struct cell){ .is_null = row[COLUMN_ON].integer == 0,
		.integer = days > 0 ? days : 0 };
}

static const struct list_filter filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "g.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "g.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "s.line_id = {value}" },
	{ "near_round", "On a line of this round, by its number", FILTER_ID, "s.line_id IN "
	  "(SELECT b.line_id FROM round_bond m JOIN bond_state b ON b.bond_id = m.bond_id "
	  "WHERE m.round_id = {value})" },
	{ "on", "Still on", FILTER_FLAG, BRIDGE_ON, .sql_no = "NOT (" BRIDGE_ON ")" },
};
static const struct list_sort sorts[] = {
	{ "oldest", "longest on first", { "g.on_day" } },
	{ "newest", "newest first", { "g.on_day" }, .descending = true },
};
const struct list bridge_list = {
	.name = "bridges", .title = "Temporary bridges",
	.summary = "Temporary bridges, those still on with their age.",
	.from = "bridge g JOIN bond_state s ON s.bond_id = g.bond_id JOIN line l ON l.id = s.line_id "
		"LEFT JOIN track t ON t.id = s.track_id", .record = "g", .id = "g.id",
	.columns = columns, .n_columns = COUNT(columns),
	.filters = filters, .n_filters = COUNT(filters),
	.sorts = sorts, .n_sorts = COUNT(sorts), .finish = finish,
};
