#include "store/record/failure.h"

#include "store/record/doer.h"
#include "store/record/end_words.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_failure_insert(struct store *store, struct failure *f, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO failure (uuid, content_hash, bond_id, bond_end, "
		"found_day, mode, cause, line_id, track_id, rail, distance_mm, place_written, reference, "
		"note, inspection_id, replaces_id, recorded_at_ms, recorded_by, import_id, person_id, "
		"person_name, reason, done_at_ms, round_id) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, "
		"$9, $10, $11, $12, $13, $14, "
		"$15, $16, $17, $18, $19, coalesce($20, (SELECT i.person_id FROM inspection i "
		"WHERE i.id = $15)), coalesce($21, (SELECT i.person_name FROM inspection i "
		"WHERE i.id = $15)), $22, $23, coalesce($24, (SELECT i.round_id FROM inspection i "
		"WHERE i.id = $15), (SELECT e.round_id FROM failure e WHERE e.id = $16)))";
	const struct value values[] = { value_text(f->uuid), value_text(f->content_hash),
		value_integer(f->bond_id), value_word(f->bond_end), value_integer(f->found_day),
		value_integer(f->mode), value_text(f->cause), value_integer(f->line_id),
		value_id(f->track_id), value_word(f->rail), value_integer(f->distance_mm),
		value_text(f->place_written), value_text(f->reference), value_text(f->note),
		value_id(f->inspection_id), value_id(f->replaces_id), value_integer(origin->now_ms),
		value_id(origin->person_id), value_id(origin->import_id), value_id(f->person_id),
		value_text(f->person_name), value_text(f->reason),
		value_int_or_null(f->at_ms, FORM_NO_INTEGER), value_id(f->round_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	f->id = sql_last_id(store);
	return true;
}

bool store_failure_get(struct store *store, int64_t id, struct failure *f, struct problem *why)
{
	static const char sql[] = "SELECT id, bond_id, bond_end, found_day, mode, line_id, track_id, "
		"rail, distance_mm FROM failure WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	if (!sql_row(store, row, why)) {
		if (why->code == PROBLEM_NONE) {
			problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no failure %lld.",
				(long long)id);
		}
		return false;
	}
	*f = (struct failure){ .id = sqlite3_column_int64(row, 0),
		.bond_id = sqlite3_column_int64(row, 1), .bond_end = column_word(row, 2),
		.found_day = column_day(row, 3), .mode = (enum failure_mode)sqlite3_column_int(row, 4),
		.line_id = sqlite3_column_int64(row, 5), .track_id = sqlite3_column_int64(row, 6),
		.rail = column_word(row, 7), .distance_mm = sqlite3_column_int64(row, 8) };
	sql_done(row);
	return true;
}

bool store_repair_insert(struct store *store, struct repair *r, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO repair (uuid, content_hash, failure_id, day, how, "
		"replaces_id, recorded_at_ms, recorded_by, import_id, person_id, person_name, reason, "
		"done_at_ms, round_id) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, "
		"coalesce($14, (SELECT e.round_id FROM repair e WHERE e.id = $6)))";
	const struct value values[] = { value_text(r->uuid), value_text(r->content_hash),
		value_integer(r->failure_id), value_integer(r->day), value_text(r->how),
		value_id(r->replaces_id), value_integer(origin->now_ms), value_id(origin->person_id),
		value_id(origin->import_id), value_id(r->person_id), value_text(r->person_name),
		value_text(r->reason), value_int_or_null(r->at_ms, FORM_NO_INTEGER),
		value_id(r->round_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	r->id = sql_last_id(store);
	return true;
}

bool store_repair_last(struct store *store, int64_t failure_id, char **uuid, int32_t *day,
	char **how, char **by, struct problem *why)
{
	static const char sql[] = "SELECT r.uuid, r.day, r.how, " NAME_OF_DOER("r")
		" FROM repair r WHERE r.failure_id = $1 "
		"AND NOT " SQL_REPLACED("repair", NOUN_REPAIR, "r.id") " "
		"ORDER BY r.day DESC, r.id DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(failure_id) }, 1,
		why);

	*uuid = *how = *by = NULL;
	if (!sql_row(store, row, why)) {
		return why->code == PROBLEM_NONE;
	}
	*uuid = column_dup(row, 0);
	*day = sqlite3_column_int(row, 1);
	*how = column_dup(row, 2);
	*by = column_dup(row, 3);
	sql_done(row);
	return (*uuid != NULL && *how != NULL) ||
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

bool store_failure_newest(struct store *store, int64_t id, int64_t *newest, struct problem *why)
{
	static const char sql[] = "SELECT c.id FROM failure c WHERE c.replaces_id = $1 "
		"AND NOT c." SQL_WITHDRAWN(NOUN_FAILURE, "id");
	bool ok = true;

	for (int64_t next = id; ok && next != 0;) {
		*newest = next;
		ok = sql_integer(store, sql, (struct value[]){ value_integer(*newest) }, 1, 0, &next, why);
	}
	return ok;
}

#define REPLACED SQL_REPLACED("failure", NOUN_FAILURE, "f.id")
/* the same, found from the few corrections */
#define REPLACED_ONES "f.id IN (SELECT c.replaces_id FROM failure c WHERE c.replaces_id IS NOT NULL " \
	"AND NOT c." SQL_WAITS(NOUN_FAILURE, "id") " UNION SELECT o.row_id FROM correction_open o " \
	"WHERE o.noun = " NOUN_FAILURE " AND " SQL_STILL ")"
#define LAST_REPAIR(column) LAST_REPAIR_OF("r." column)
#define LAST_REPAIR_OF(value) "(SELECT " value " FROM repair r WHERE r.failure_id = f.id " \
	"AND NOT " SQL_REPLACED("repair", NOUN_REPAIR, "r.id") " " \
	"ORDER BY r.day DESC, r.id DESC LIMIT 1)"
#define MADE_GOOD_BY "coalesce(" LAST_REPAIR("person_name") ", " \
	NAME_OF(LAST_REPAIR("person_id")) ")"

static const struct list_column failure_columns[] = {
	{ { "id", "Failure number", NULL, CELL_INTEGER }, "f.id" },
	{ { "uuid", "Failure", NULL, CELL_TEXT, .width = 36 }, "f.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "f.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "b.label" },
	{ { "line_id", "Line number", NULL, CELL_INTEGER }, "f.line_id" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	{ { "rail", "Rail", NULL, CELL_WORD, &rail_words }, "f.rail" },
	{ { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	{ { "distance_mm", "Distance from the datum", "mm", CELL_INTEGER }, "f.distance_mm" },
	COLUMN_OF_END("b", "f.bond_end"),
	COLUMN_OF_END_LETTER("f.bond_end"),
	{ { "found_day", "Found", NULL, CELL_DAY }, "f.found_day" },
	{ { "mode", "Mode", NULL, CELL_WORD, &failure_mode_words }, "f.mode" },
	{ { "cause", "Cause", NULL, CELL_TEXT, .width = 30 }, "f.cause" },
	{ { "reference", "Reference", NULL, CELL_TEXT }, "f.reference" },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 40 }, "f.note" },
	{ { "made_good_day", "Made good", NULL, CELL_DAY }, LAST_REPAIR("day") },
	{ { "made_good_how", "How", NULL, CELL_TEXT, .width = 40 }, LAST_REPAIR("how") },
	{ { "made_good_by", "Made good by", NULL, CELL_TEXT, .width = 24 }, MADE_GOOD_BY },
	{ { "made_good_entered_by", "Entered by", NULL, CELL_TEXT, .width = 24 },
	  NAME_OF(LAST_REPAIR("recorded_by")) },
	{ { "made_good_entered_at", "Entered at", NULL, CELL_INSTANT },
	  LAST_REPAIR("recorded_at_ms") },
	{ { "made_good_id", "Repair", NULL, CELL_TEXT, .width = 36 }, LAST_REPAIR("uuid") },
	{ { "place_id", "Repeat place", NULL, CELL_INTEGER }, "s.place_id" },
	{ { "replaced", "Counts for nothing", NULL, CELL_FLAG }, REPLACED },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_FAILURE, "f.id") },
	COLUMN_OF_DOER("Found by", "f"), COLUMNS_OF_ENTRY("f"),
	{ { "days_ahead", "Dated ahead of the register", "d", CELL_INTEGER },
	  "days_ahead(f.found_day, f.recorded_at_ms)" },
	{ { "made_good_days_ahead", "Made good, dated ahead of the register", "d", CELL_INTEGER },
	  LAST_REPAIR_OF("days_ahead(r.day, r.recorded_at_ms)") },
};
static const struct list_filter failure_filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "f.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "f.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "f.line_id = {value}" },
	{ "place", "Repeat place", FILTER_ID, "s.place_id = {value}" },
	{ "mode", "Mode", FILTER_WORD, "f.mode = {value}", .words = &failure_mode_words },
	{ "from", "From this day", FILTER_DAY, "f.found_day >= {value}" },
	{ "to", "To this day", FILTER_DAY, "f.found_day <= {value}" },
	/* (a repair is of what stands now: a corrected entry has none, and is not open) */
	{ "open", "Not made good", FILTER_FLAG, "(" LAST_REPAIR("id") " IS NULL AND NOT " REPLACED ")",
	  .sql_no = LAST_REPAIR("id") " IS NOT NULL" },
	{ "replaced", "Counts for nothing", FILTER_FLAG, REPLACED_ONES,
	  .sql_no = "NOT " REPLACED },
};
static const struct list_sort failure_sorts[] = {
	{ "newest", "newest first", { "f.found_day" }, .descending = true },
	{ "oldest", "oldest first", { "f.found_day" } },
	{ "place", "along the line", { "f.line_id", "f.distance_mm" } },
};
#define LIST_OF(states) { \
	.name = "failures", .title = "Failures", \
	.summary = "Bonds and ends that stopped doing their job.", \
	.from = "failure f JOIN line l ON l.id = f.line_id " \
		"LEFT JOIN bond_state b ON b.bond_id = f.bond_id LEFT JOIN track t ON t.id = f.track_id " \
		"LEFT JOIN " states " s ON s.failure_id = f.id", \
	.where = "NOT " SQL_OF_BEGUN("f.import_id"), .id = "f.id", \
	.columns = failure_columns, .n_columns = COUNT(failure_columns), \
	.filters = failure_filters, .n_filters = COUNT(failure_filters), \
	.sorts = failure_sorts, .n_sorts = COUNT(failure_sorts), \
}
const struct list failure_list = LIST_OF("failure_state");
const struct list failure_trial_list = LIST_OF("tried_failure");

static const struct list_column repair_columns[] = {
	{ { "uuid", "Repair", NULL, CELL_TEXT, .width = 36 }, "r.uuid" },
	{ { "failure", "Failure", NULL, CELL_TEXT, .width = 36 }, "f.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "f.bond_id" },
	{ { "day", "Day", NULL, CELL_DAY }, "r.day" },
	{ { "how", "How", NULL, CELL_TEXT, .width = 40 }, "r.how" },
	COLUMN_OF_DOER("Made good by", "r"),
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_REPAIR, "r.id") },
	COLUMNS_OF_ENTRY("r"),
	{ { "days_ahead", "Dated ahead of the register", "d", CELL_INTEGER },
	  "days_ahead(r.day, r.recorded_at_ms)" },
};
static const struct list_filter repair_filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "r.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "f.bond_id = {value}" },
};
static const struct list_sort repair_sorts[] = {
	{ "newest", "newest first", { "r.day" }, .descending = true },
};
const struct list repair_list = {
	.name = "repairs", .title = "Repairs", .summary = "What made failures good.",
	.from = "repair r JOIN failure f ON f.id = r.failure_id",
	.where = "NOT " SQL_OF_BEGUN("r.import_id"), .id = "r.id",
	.columns = repair_columns, .n_columns = COUNT(repair_columns),
	.filters = repair_filters, .n_filters = COUNT(repair_filters),
	.sorts = repair_sorts, .n_sorts = COUNT(repair_sorts),
};
