#include "store/record/found.h"

#include <stddef.h>

#include "rules/plausible.h"
#include "store/record/doer.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])
#define OF(field) offsetof(struct found_new, field)

enum { PLACE = 3, RAIL = 5, KIND, JOINS, SEEN, MEASURED, HOW, FOUND_DAY, NOTE = 14 };
static const struct member members[] = {
	{ .name = "round", .title = "Round", .type = MEMBER_UUID, .offset = OF(round),
	  .help = "The round that it was found in." },
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .required = true, .offset = OF(line),
	  .longest = 60, .help = "The line's code." },
	{ .name = "near_bond_id", .title = "Near bond, by number", .type = MEMBER_INTEGER,
	  .offset = OF(near_bond_id), .least = 1, .most = 9e15,
	  .help = "A bond of the book near which it is." },
	[PLACE] = { .name = "place", .column = "place", .title = "Where", .type = MEMBER_TEXT,
	  .required = true, .offset = OF(place), .longest = 200,
	  .help = "As it was read from a post, or paced from what is known." },
	{ .name = "track", .title = "Track", .type = MEMBER_TEXT, .offset = OF(track), .longest = 60 },
	[RAIL] = { .name = "rail", .column = "rail", .title = "Rail", .type = MEMBER_WORD,
	  .offset = OF(rail), .words = &rail_words,
	  .help = "Seen in the direction of rising chainage." },
	[KIND] = { .name = "kind", .column = "kind", .title = "Kind", .type = MEMBER_WORD,
	  .required = true, .offset = OF(kind), .words = &bond_kind_words },
	[JOINS] = { .name = "joins", .column = "joins", .title = "What it joins", .type = MEMBER_TEXT,
	  .required = true, .offset = OF(joins), .longest = 200 },
	[SEEN] = { .name = "seen", .column = "seen", .title = "What was seen", .type = MEMBER_TEXT,
	  .required = true, .offset = OF(seen), .longest = 2000 },
	[MEASURED] = { .name = "measured_uohm", .column = "measured_uohm", .title = "Measured",
	  .unit = "µΩ", .type = MEMBER_REAL, .offset = OF(measured_uohm), .least = -1e9, .most = 1e9,
	  .help = "As the meter showed it." },
	[HOW] = { .name = "measured_how", .column = "measured_how", .title = "How it was measured",
	  .type = MEMBER_TEXT, .offset = OF(measured_how), .longest = 200,
	  .help = "From where to where, with which meter." },
	[FOUND_DAY] = { .name = "found_day", .column = "found_day", .title = "Found",
	  .type = MEMBER_DAY, .required = true, .offset = OF(found_day), .help = "The shift's day." },
	{ .name = "at", .column = "done_at_ms", .title = "When", .type = MEMBER_INSTANT,
	  .offset = OF(at_ms) },
	{ .name = "found_by", .title = "Found by", .type = MEMBER_TEXT, .offset = OF(found_by),
	  .longest = 120, .help = "A name; who is signed in when it is left out." },
	[NOTE] = { .name = "note", .column = "note", .title = "Note", .type = MEMBER_TEXT,
	  .offset = OF(note), .longest = 2000 },
	{ .name = "sent_from", .title = "Sent from", .type = MEMBER_WORD, .offset = OF(sent_from),
	  .words = &sent_from_words, .help = "A tablet keeps what was done without coverage." },
	{ 0 }
};
const struct form found_form = { "FoundBond", members, sizeof (struct found_new) };
static const char *const worked_out[] = { "round_id", "line_id", "near_bond_id", "track_id",
	"person_id", "person_name", NULL };
const struct record_kind found_kind = { SENT_FOUND, "found_bond", .form = &found_form,
	.worked_out = worked_out };

#undef OF
#define OF(field) offsetof(struct found_answer_new, field)
static const struct member answer_members[] = {
	{ .name = "found", .title = "Found bond", .type = MEMBER_UUID, .required = true,
	  .offset = OF(found), .help = "Its id." },
	{ .name = "bond_id", .title = "Bond number", .type = MEMBER_INTEGER, .offset = OF(bond_id),
	  .least = 1, .most = 9e15, .help = "Which bond of the register it is; left out: none." },
	{ .name = "said", .column = "said", .title = "Why", .type = MEMBER_TEXT, .offset = OF(said),
	  .longest = 500, .help = "Needed where it is no bond." },
	{ 0 }
};
const struct form found_answer_form = { "FoundAnswer", answer_members,
	sizeof (struct found_answer_new) };
static const char *const answer_worked_out[] = { "found_id", "bond_id", NULL };
const struct record_kind found_answer_kind = { SENT_FOUND_ANSWER, "found_answer",
	.form = &found_answer_form, .worked_out = answer_worked_out };

/* In SQL, of a found bond g. */
/* (of a bond that was withdrawn since it is none) */
#define ANSWERS "found_answer x WHERE x.found_id = g.id " \
	"AND " SQL_STANDS(NOUN_FOUND_ANSWER, "x.id") " AND " SQL_STANDS(NOUN_BOND, "x.bond_id")
#define STANDS SQL_STANDS(NOUN_FOUND, "g.id")
#define OPEN "(" STANDS " AND NOT EXISTS (SELECT 1 FROM " ANSWERS "))"
#define ANSWER(column) "(SELECT " column " FROM " ANSWERS " ORDER BY x.id DESC LIMIT 1)"

bool store_found(struct store *store, int64_t id, bool *there, bool *answered,
	struct problem *why)
{
	static const char sql[] = "SELECT " STANDS ", NOT " OPEN " FROM found_bond g WHERE g.id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	*there = *answered = false;
	if (sql_row(store, row, why)) {
		*there = sqlite3_column_int(row, 0) != 0;
		*answered = sqlite3_column_int(row, 1) != 0;
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

static const struct list_column columns[] = {
	{ { "uuid", "Found bond", NULL, CELL_TEXT, .width = 36 }, "g.uuid" },
	{ { "round", "Round", NULL, CELL_TEXT, .width = 36 },
	  "(SELECT r.uuid FROM round r WHERE r.id = g.round_id)" },
	{ { "crew", "Crew", NULL, CELL_TEXT }, "(SELECT r.crew FROM round r WHERE r.id = g.round_id)" },
	{ { "line_id", "Line number", NULL, CELL_INTEGER }, "g.line_id" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	{ .of = &members[RAIL] },
	{ .of = &members[PLACE] },
	{ { "near_bond_id", "Near bond, by number", NULL, CELL_INTEGER }, "g.near_bond_id" },
	{ { "near", "Near bond", NULL, CELL_TEXT }, "s.label" },
	{ { "near_chainage", "Chainage of the near bond", NULL, CELL_TEXT }, "s.chainage" },
	{ { "near_mm", "The near bond from the datum", "mm", CELL_INTEGER }, "s.distance_mm" },
	{ .of = &members[KIND] },
	{ .of = &members[JOINS] },
	{ .of = &members[SEEN] },
	{ .of = &members[MEASURED] },
	{ .of = &members[HOW] },
	{ .of = &members[FOUND_DAY] },
	COLUMN_OF_DOER("Found by", "g"),
	{ .of = &members[NOTE] },
	{ { "open", "Waits for an answer", NULL, CELL_FLAG }, OPEN },
	{ { "bond_id", "It is bond, by number", NULL, CELL_INTEGER }, ANSWER("x.bond_id") },
	{ { "bond", "It is bond", NULL, CELL_TEXT }, "(SELECT b.label FROM bond_state b "
	  "WHERE b.bond_id = " ANSWER("x.bond_id") ")" },
	{ { "said", "Said of it", NULL, CELL_TEXT, .width = 30 }, ANSWER("x.said") },
	{ { "answered_by", "Answered by", NULL, CELL_TEXT, .width = 24 },
	  ANSWER(NAME_OF("x.recorded_by")) },
	{ { "answer_id", "Answer, entry", NULL, CELL_TEXT, .width = 36 }, ANSWER("x.uuid") },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_FOUND, "g.id") },
	COLUMNS_OF_ENTRY("g"),
};
static const struct list_filter filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "g.uuid = {value}" },
	{ "line", "Line", FILTER_ID, "g.line_id = {value}" },
	{ "round", "Round, by its id", FILTER_TEXT,
	  "g.round_id = (SELECT r.id FROM round r WHERE r.uuid = {value})" },
	{ "bond", "It is this bond", FILTER_ID, ANSWER("x.bond_id") " = {value}" },
	{ "open", "Waits for an answer", FILTER_FLAG, OPEN, .sql_no = "NOT " OPEN },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "g.id" }, .descending = true },
	{ "oldest", "oldest first", { "g.id" } },
};
const struct list found_list = {
	.name = "found-bonds", .title = "Bonds not in the book",
	.summary = "Bonds that crews found and that are not in the book, and which bond each is.",
	.from = "found_bond g JOIN line l ON l.id = g.line_id "
		"LEFT JOIN track t ON t.id = g.track_id "
		"LEFT JOIN bond_state s ON s.bond_id = g.near_bond_id", .record = "g", .id = "g.id",
	.columns = columns, .n_columns = COUNT(columns),
	.filters = filters, .n_filters = COUNT(filters),
	.sorts = sorts, .n_sorts = COUNT(sorts),
};
