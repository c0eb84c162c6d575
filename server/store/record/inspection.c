#include "store/record/inspection.h"

#include "base/form.h"
#include "rules/judge/judge.h"
#include "store/kept/judgement.h"
#include "store/record/bond_row.h"
#include "store/record/doer.h"
#include "store/record/end_words.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_inspection_insert(struct store *store, struct inspection *i,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO inspection (uuid, content_hash, bond_id, day, purpose, "
		"outcome, seen_a, seen_b, person_id, person_name, note, replaces_id, recorded_at_ms, "
		"recorded_by, import_id, why_not_seen, cables_whole, strength_a, strength_b, opened, "
		"alone, surroundings, failed, reason, done_at_ms, round_id) VALUES ($1, $2, $3, $4, "
		"$5, $6, $7, $8, $9, $10, $11, "
		"$12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, "
		"coalesce($26, (SELECT e.round_id FROM inspection e WHERE e.id = $12)))";
	const struct value values[] = { value_text(i->uuid), value_text(i->content_hash),
		value_integer(i->bond_id), value_integer(i->day), value_integer(i->purpose),
		value_integer(i->outcome), value_word(i->seen_a), value_word(i->seen_b),
		value_id(i->person_id), value_text(i->person_name), value_text(i->note),
		value_id(i->replaces_id), value_integer(origin->now_ms), value_id(origin->person_id),
		value_id(origin->import_id), value_text(i->why_not_seen),
		value_int_or_null(i->cables_whole, FORM_NO_INTEGER), value_word(i->strength_a),
		value_word(i->strength_b), value_text(i->opened), value_word(i->opened != NULL ? 1 : -1),
		value_word(i->surroundings), value_word(i->failed), value_text(i->reason),
		value_int_or_null(i->at_ms, FORM_NO_INTEGER), value_id(i->round_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	i->id = sql_last_id(store);
	return true;
}

bool store_reading_insert(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_row *r, struct problem *why)
{
	static const char sql[] = "INSERT INTO reading (inspection_id, n, quantity, method, forward_uv, "
		"reverse_uv, current_a, shown_uohm, lead_uohm, rail_uv, rail_m, joint_m, temp_c, "
		"instrument_id, probed, temp_carried, round_temp_c) VALUES ($1, $2, $3, $4, $5, $6, $7, "
		"$8, "
		"$9, $10, $11, $12, $13, $14, $15, $16, $17)";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_integer(r->quantity), value_integer(r->method), value_real(r->forward_uv),
		value_real(r->reverse_uv), value_real(r->current_a), value_real(r->shown_uohm),
		value_real(r->lead_uohm), value_real(r->rail_uv), value_real(r->rail_m),
		value_real(r->joint_m), value_real(r->temp_c), value_id(r->instrument_id),
		value_word(r->probed), value_word(r->temp_carried), value_real(r->round_temp_c) };

	return sql_run(store, sql, values, COUNT(values), why);
}

bool store_inspection_bond(struct store *store, int64_t id, int64_t *bond_id, struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM inspection WHERE id = $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, bond_id, why) &&
		(*bond_id != 0 || problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no inspection %lld.",
		(long long)id));
}

static int word_of(sqlite3_value *value)
{
	return sqlite3_value_type(value) == SQLITE_NULL ? -1 : sqlite3_value_int(value);
}

static void as_meant(sqlite3_context *context, int count, sqlite3_value **values)
{
	(void)count;
	sqlite3_result_int(context, (int)outcome_as_meant(
		(enum outcome)sqlite3_value_int(values[0]), word_of(values[1]), word_of(values[2]),
		word_of(values[3])));
}

bool sql_outcome_open(sqlite3 *db)
{
	return sqlite3_create_function_v2(db, "outcome_as_meant", 4, SQLITE_UTF8 | SQLITE_DIRECTONLY |
		SQLITE_DETERMINISTIC, NULL, as_meant, NULL, NULL, NULL) == SQLITE_OK;
}

#define REPLACED SQL_REPLACED("inspection", NOUN_INSPECTION, "i.id")
/* the same, found from the few corrections */
#define REPLACED_ONES "i.id IN (SELECT c.replaces_id FROM inspection c " \
	"WHERE c.replaces_id IS NOT NULL AND NOT c." SQL_WAITS(NOUN_INSPECTION, "id") \
	" UNION SELECT o.row_id FROM correction_open o WHERE o.noun = " NOUN_INSPECTION \
	" AND " SQL_STILL ")"

/* (the few that are not complete have an index of their own) */
static const char *const outcome_sql[] = {
	[OUTCOME_COMPLETE] = SQL_OUTCOME("i") " = 0", [OUTCOME_PARTLY] = "i.id IN (SELECT p.id FROM "
		"inspection p WHERE p.outcome <> 0 AND " SQL_OUTCOME("p") " = 1 UNION SELECT p.id FROM "
		"inspection p WHERE p.import_id IN (SELECT g.import_id FROM ruling g "
		"WHERE g.row_meant > 0) AND " SQL_OUTCOME("p") " = 1)",
	[OUTCOME_NOT_REACHED] = "i.outcome <> 0 AND i.outcome = 2",
};

/* (so have those that are not routine) */
static const char *const purpose_sql[] = {
	[PURPOSE_COMMISSIONING] = "i.purpose <> 1 AND i.purpose = 0",
	[PURPOSE_ROUTINE] = "i.purpose = 1",
	[PURPOSE_AFTER_WORKS] = "i.purpose <> 1 AND i.purpose = 2",
	[PURPOSE_AFTER_FAILURE] = "i.purpose <> 1 AND i.purpose = 3",
};
_Static_assert(PURPOSE_ROUTINE == 1 && PURPOSE_AFTER_FAILURE == 3, "the statements here say so");

static const struct list_column inspection_columns[] = {
	{ { "uuid", "Inspection", NULL, CELL_TEXT, .width = 36 }, "i.uuid" },
	{ { "number", "Inspection number", NULL, CELL_INTEGER }, "i.id" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "i.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	{ { "day", "Day", NULL, CELL_DAY }, "i.day" },
	{ { "purpose", "Purpose", NULL, CELL_WORD, &purpose_words }, "i.purpose" },
	{ { "outcome", "Outcome", NULL, CELL_WORD, &outcome_words }, SQL_OUTCOME("i") },
	{ { "end_a_words", "One end", NULL, CELL_TEXT, .width = 30 }, END_BRIEF("s", "0") },
	{ { "seen_a", "Seen there (A)", NULL, CELL_WORD, &seen_words }, "i.seen_a" },
	{ { "end_b_words", "Other end", NULL, CELL_TEXT, .width = 30 }, END_BRIEF("s", "1") },
	{ { "seen_b", "Seen there (B)", NULL, CELL_WORD, &seen_words }, "i.seen_b" },
	COLUMN_OF_DOER("Inspected by", "i"),
	{ { "note", "Note", NULL, CELL_TEXT, .width = 40 }, "i.note" },
	{ { "why_not_seen", "Why an end could not be seen", NULL, CELL_TEXT }, "i.why_not_seen" },
	{ { "cables_whole", "Cables seen whole", NULL, CELL_INTEGER }, "i.cables_whole" },
	{ { "opened", "Opened while it was read", NULL, CELL_TEXT }, "i.opened" },
	{ { "reason", "Reason of the correction", NULL, CELL_TEXT }, "i.reason" },
	{ { "readings", "Readings", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM reading r WHERE r.inspection_id = i.id)" },
	{ { "replaced", "Counts for nothing", NULL, CELL_FLAG }, REPLACED },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_INSPECTION, "i.id") },
	COLUMNS_OF_ENTRY("i"),
	{ { "days_ahead", "Dated ahead of the register", "d", CELL_INTEGER },
	  "days_ahead(i.day, i.recorded_at_ms)" },
	{ { "came_as", "Outcome as it was recorded", NULL, CELL_WORD, &outcome_words }, "i.outcome" },
};
static const struct list_filter inspection_filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "i.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "i.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "s.line_id = {value}" },
	{ "from", "From this day", FILTER_DAY, "i.day >= {value}" },
	{ "to", "To this day", FILTER_DAY, "i.day <= {value}" },
	{ "outcome", "Outcome", FILTER_WORD, .word_sql = outcome_sql, .words = &outcome_words },
	{ "purpose", "Purpose", FILTER_WORD, .word_sql = purpose_sql, .words = &purpose_words },
	{ "replaced", "Counts for nothing", FILTER_FLAG, REPLACED_ONES,
	  .sql_no = "NOT " REPLACED },
};
static const struct list_sort inspection_sorts[] = {
	{ "newest", "newest first", { "i.day" }, .descending = true },
	{ "oldest", "oldest first", { "i.day" } },
};
#define INSPECTIONS(bonds) .name = "inspections", .title = "Inspections", \
	.summary = "Visits to bonds, as recorded.", \
	.from = "inspection i JOIN " bonds " s ON s.bond_id = i.bond_id " \
		"JOIN line l ON l.id = s.line_id", \
	.where = "NOT " SQL_OF_BEGUN("i.import_id"), .id = "i.id", \
	.columns = inspection_columns, .n_columns = COUNT(inspection_columns), \
	.filters = inspection_filters, .n_filters = COUNT(inspection_filters), \
	.sorts = inspection_sorts, .n_sorts = COUNT(inspection_sorts)

const struct list inspection_list = { INSPECTIONS("bond_state") };
const struct list entered_inspection_list = { INSPECTIONS(EVERY_BOND) };

/* In µΩ at 20 °C; of a rail drop the metres of rail that the joint adds. */
#define JUDGED "CASE r.quantity WHEN 3 THEN " FIGURE("equivalent_m") " - r.joint_m " \
	"ELSE " FIGURE("r20_uohm") " END"

/* What most readings are is met soon when they are walked by day, and SQLite is told so: it would
 * read all of them and sort. The few have an index each, which is theirs alone. */
#define MOST(condition) "likelihood(" condition ", 0.99)"

static const char *const quantity_sql[] = {
	[QUANTITY_END_TO_END] = MOST("r.quantity = 0"), [QUANTITY_CONTACT_A] = MOST("r.quantity = 1"),
	[QUANTITY_CONTACT_B] = MOST("r.quantity = 2"), [QUANTITY_RAIL_DROP] = "r.quantity = 3",
};

static const char *const verdict_sql[] = {
	[VERDICT_NONE] = MOST("s.verdict = 0"), [VERDICT_WITHIN] = MOST("s.verdict = 1"),
	[VERDICT_UNPROVEN] = "s.verdict = 2", [VERDICT_OVER] = "s.verdict = 3",
};

#define ASIDE "s.status <> 1 AND s.status"
static const char *const status_sql[] = {
	[STATUS_NONE] = ASIDE " = 0", [STATUS_EVIDENCE] = MOST("s.status = 1"),
	[STATUS_OPEN] = "s.status = 2", [STATUS_DROPPED] = ASIDE " = 3",
	[STATUS_DROPPED_OVER] = ASIDE " = 4",
};

static const struct list_column reading_columns[] = {
	{ { "inspection", "Inspection", NULL, CELL_TEXT, .width = 36 }, "i.uuid" },
	{ { "number", "Inspection number", NULL, CELL_INTEGER }, "i.id" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "i.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "b.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "day", "Day", NULL, CELL_DAY }, "i.day" },
	{ { "n", "Number in the inspection", NULL, CELL_INTEGER }, "r.n" },
	{ { "quantity_words", "Quantity", NULL, CELL_TEXT, .width = 36 },
	  "quantity_brief(b.bond_id, b.version, b.kind, r.quantity)" },
	{ { "quantity", "Quantity, by its code", NULL, CELL_WORD, &quantity_words }, "r.quantity" },
	{ { "method", "Method", NULL, CELL_WORD, &reading_method_words }, "r.method" },
	{ { "forward_uv", "Forward", "µV", CELL_REAL }, "r.forward_uv" },
	{ { "reverse_uv", "Reverse", "µV", CELL_REAL }, "r.reverse_uv" },
	{ { "current_a", "Test current", "A", CELL_REAL }, "r.current_a" },
	{ { "shown_uohm", "Shown", "µΩ", CELL_REAL }, "r.shown_uohm" },
	{ { "lead_uohm", "Leads", "µΩ", CELL_REAL }, "r.lead_uohm" },
	{ { "rail_uv", "Rail", "µV", CELL_REAL }, "r.rail_uv" },
	{ { "rail_m", "Rail length", "m", CELL_REAL }, "r.rail_m" },
	{ { "joint_m", "Rail between the clips", "m", CELL_REAL }, "r.joint_m" },
	{ { "temp_c", "Temperature", "°C", CELL_REAL }, "r.temp_c" },
	{ { "instrument", "Instrument", NULL, CELL_TEXT }, "n.serial" },
	{ { "r_uohm", "Resistance", "µΩ", CELL_REAL }, FIGURE("r_uohm") },
	{ { "r20_uohm", "At 20 °C", "µΩ", CELL_REAL }, FIGURE("r20_uohm") },
	{ { "thermal_uv", "Thermal e.m.f.", "µV", CELL_REAL }, FIGURE("thermal_uv") },
	{ { "equivalent_m", "Equivalent rail", "m", CELL_REAL }, FIGURE("equivalent_m") },
	{ { "remark", "Remark", NULL, CELL_WORD, &reading_remark_words }, "s.remark" },
	{ { "meter", "Instrument on that day", NULL, CELL_WORD, &meter_standing_words }, "s.meter" },
	{ { "value", "Judged value", NULL, CELL_REAL }, JUDGED },
	{ { "u95", "Uncertainty (k = 2)", NULL, CELL_REAL }, FIGURE("u95") },
	{ { "limit", "Limit", NULL, CELL_REAL }, FIGURE("limit_value") },
	{ { "limit_kind", "By", NULL, CELL_WORD, &limit_kind_words }, "s.limit_kind" },
	{ { "verdict", "Verdict", NULL, CELL_WORD, &verdict_words }, "s.verdict" },
	{ { "status", "What it is evidence of", NULL, CELL_WORD, &judge_status_words }, "s.status" },
	{ { "told", "Verdict under the rulebook of its day", NULL, CELL_WORD, &verdict_words },
	  "s.told" },
	{ { "p_within", "Probability of being within", NULL, CELL_REAL }, "round(" FIGURE("p_within") ", 6)" },
	{ { "rulebook_version", "First judged so under rulebook", NULL, CELL_INTEGER },
	  "nullif(" FIGURE("rulebook_version") ", 0)" },
	COLUMN_OF_DOER("Measured by", "i"), COLUMNS_OF_ENTRY("i"),
};
static const struct list_filter reading_filters[] = {
	{ "inspection", "Inspection", FILTER_TEXT, "i.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "i.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "b.line_id = {value}" },
	{ "from", "From this day", FILTER_DAY, "i.day >= {value}" },
	{ "to", "To this day", FILTER_DAY, "i.day <= {value}" },
	{ "quantity", "Quantity", FILTER_WORD, .word_sql = quantity_sql, .words = &quantity_words },
	{ "verdict", "Verdict", FILTER_WORD, .word_sql = verdict_sql, .words = &verdict_words },
	{ "instrument", "Instrument, by serial number", FILTER_TEXT, "n.serial = {value}" },
	{ "status", "What it is evidence of", FILTER_WORD, .word_sql = status_sql,
	  .words = &judge_status_words },
};
static const struct list_sort reading_sorts[] = {
	{ "newest", "newest first", { "i.day", "i.id" }, .descending = true },
	{ "oldest", "oldest first", { "i.day", "i.id" } },
};
#define READINGS(bonds) .name = "readings", .title = "Readings", \
	.from = "inspection i JOIN reading r ON r.inspection_id = i.id " \
		"JOIN " bonds " b ON b.bond_id = i.bond_id JOIN line l ON l.id = b.line_id " \
		"LEFT JOIN reading_state s ON s.inspection_id = r.inspection_id AND s.n = r.n " \
		"LEFT JOIN instrument n ON n.id = r.instrument_id", \
	.id = "r.n", .columns = reading_columns, .n_columns = COUNT(reading_columns), \
	.filters = reading_filters, .n_filters = COUNT(reading_filters), \
	.sorts = reading_sorts, .n_sorts = COUNT(reading_sorts)

const struct list reading_list = {
	READINGS("bond_state"), .where = "NOT " REPLACED,
	.summary = "What was measured, and the resistance that follows. Corrected inspections are "
		"left out.",
};
const struct list entered_reading_list = {
	READINGS(EVERY_BOND), .where = "NOT " SQL_OF_BEGUN("i.import_id"),
	.summary = "What was measured, whether it counts or not.",
};
