#include "store/inspection.h"

#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_inspection_insert(struct store *store, struct inspection *i,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO inspection (uuid, content_hash, bond_id, day, purpose, "
		"outcome, seen_a, seen_b, person_id, person_name, note, replaces_id, recorded_at_ms, "
		"recorded_by, import_id) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)";
	const struct value values[] = { value_text(i->uuid), value_text(i->content_hash),
		value_integer(i->bond_id), value_integer(i->day), value_integer(i->purpose),
		value_integer(i->outcome), value_word(i->seen_a), value_word(i->seen_b),
		value_id(i->person_id), value_text(i->person_name), value_text(i->note),
		value_id(i->replaces_id), value_integer(origin->now_ms), value_id(origin->person_id),
		value_id(origin->import_id) };

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
		"instrument_id) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_integer(r->quantity), value_integer(r->method), value_real(r->forward_uv),
		value_real(r->reverse_uv), value_real(r->current_a), value_real(r->shown_uohm),
		value_real(r->lead_uohm), value_real(r->rail_uv), value_real(r->rail_m),
		value_real(r->joint_m), value_real(r->temp_c), value_id(r->instrument_id) };

	return sql_run(store, sql, values, COUNT(values), why);
}

bool store_reading_state_put(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_result *r, struct problem *why)
{
	static const char sql[] = "INSERT INTO reading_state (inspection_id, n, r_uohm, r20_uohm, "
		"thermal_uv, equivalent_m, remark) VALUES ($1, $2, $3, $4, $5, $6, $7) "
		"ON CONFLICT (inspection_id, n) DO UPDATE SET r_uohm = excluded.r_uohm, "
		"r20_uohm = excluded.r20_uohm, thermal_uv = excluded.thermal_uv, "
		"equivalent_m = excluded.equivalent_m, remark = excluded.remark";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_real(r->r_uohm), value_real(r->r20_uohm), value_real(r->thermal_uv),
		value_real(r->equivalent_m), value_integer(r->remark) };

	return sql_run(store, sql, values, COUNT(values), why);
}

bool store_inspection_bond(struct store *store, int64_t id, int64_t *bond_id, struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM inspection WHERE id = $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, bond_id, why) &&
		(*bond_id != 0 || problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no inspection %lld.",
		(long long)id));
}

static void read_kept(sqlite3_stmt *row, struct reading_kept *k)
{
	*k = (struct reading_kept){ .inspection_id = sqlite3_column_int64(row, 0),
		.n = sqlite3_column_int64(row, 1), .bond_id = sqlite3_column_int64(row, 2),
		.row = { .quantity = (enum quantity)sqlite3_column_int(row, 3),
		.method = (enum reading_method)sqlite3_column_int(row, 4),
		.forward_uv = column_real(row, 5), .reverse_uv = column_real(row, 6),
		.current_a = column_real(row, 7), .shown_uohm = column_real(row, 8),
		.lead_uohm = column_real(row, 9), .rail_uv = column_real(row, 10),
		.rail_m = column_real(row, 11), .joint_m = column_real(row, 12),
		.temp_c = column_real(row, 13), .instrument_id = sqlite3_column_int64(row, 14) },
		.has_result = sqlite3_column_type(row, 19) != SQLITE_NULL,
		.result = { .r_uohm = column_real(row, 15), .r20_uohm = column_real(row, 16),
		.thermal_uv = column_real(row, 17), .equivalent_m = column_real(row, 18),
		.remark = sqlite3_column_int(row, 19) } };
}

bool store_readings_after(struct store *store, int64_t inspection_id, int64_t n,
	struct reading_kept *to, size_t most, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT r.inspection_id, r.n, i.bond_id, r.quantity, r.method, "
		"r.forward_uv, r.reverse_uv, r.current_a, r.shown_uohm, r.lead_uohm, r.rail_uv, r.rail_m, "
		"r.joint_m, r.temp_c, r.instrument_id, s.r_uohm, s.r20_uohm, s.thermal_uv, s.equivalent_m, "
		"s.remark FROM reading r JOIN inspection i ON i.id = r.inspection_id "
		"LEFT JOIN reading_state s ON s.inspection_id = r.inspection_id AND s.n = r.n "
		"WHERE (r.inspection_id, r.n) > ($1, $2) ORDER BY r.inspection_id, r.n LIMIT $3";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_integer((int64_t)most) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 3, why);

	*count = 0;
	while (sql_row(store, rows, why)) {
		read_kept(rows, &to[(*count)++]);
	}
	return why->code == PROBLEM_NONE;
}

#define REPLACED "EXISTS (SELECT 1 FROM inspection c WHERE c.replaces_id = i.id)"
/* the same, found from the few corrections */
#define REPLACED_ONES "i.id IN (SELECT c.replaces_id FROM inspection c " \
	"WHERE c.replaces_id IS NOT NULL)"
#define INSPECTOR "coalesce(i.person_name, (SELECT f.name FROM person_fact f " \
	"WHERE f.person_id = i.person_id ORDER BY f.version DESC LIMIT 1))"

static const struct list_column inspection_columns[] = {
	{ { "uuid", "Inspection", NULL, CELL_TEXT, .width = 36 }, "i.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "i.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	{ { "day", "Day", NULL, CELL_DAY }, "i.day" },
	{ { "purpose", "Purpose", NULL, CELL_WORD, &purpose_words }, "i.purpose" },
	{ { "outcome", "Outcome", NULL, CELL_WORD, &outcome_words }, "i.outcome" },
	{ { "seen_a", "Seen at end A", NULL, CELL_WORD, &seen_words }, "i.seen_a" },
	{ { "seen_b", "Seen at end B", NULL, CELL_WORD, &seen_words }, "i.seen_b" },
	{ { "inspector", "Inspected by", NULL, CELL_TEXT, .width = 24 }, INSPECTOR },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 40 }, "i.note" },
	{ { "readings", "Readings", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM reading r WHERE r.inspection_id = i.id)" },
	{ { "replaced", "Corrected by a later entry", NULL, CELL_FLAG }, REPLACED },
	{ { "recorded_at", "Recorded at", NULL, CELL_INSTANT }, "i.recorded_at_ms" },
};
static const struct list_filter inspection_filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "i.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "i.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "s.line_id = {value}" },
	{ "from", "From this day", FILTER_DAY, "i.day >= {value}" },
	{ "to", "To this day", FILTER_DAY, "i.day <= {value}" },
	{ "outcome", "Outcome", FILTER_WORD, "i.outcome = {value}", .words = &outcome_words },
	{ "purpose", "Purpose", FILTER_WORD, "i.purpose = {value}", .words = &purpose_words },
	{ "replaced", "Corrected by a later entry", FILTER_FLAG, REPLACED_ONES,
	  .sql_no = "NOT " REPLACED },
};
static const struct list_sort inspection_sorts[] = {
	{ "newest", "newest first", { "i.day" }, .descending = true },
	{ "oldest", "oldest first", { "i.day" } },
};
const struct list inspection_list = {
	.name = "inspections", .title = "Inspections", .summary = "Visits to bonds, as recorded.",
	.from = "inspection i JOIN bond_state s ON s.bond_id = i.bond_id "
		"JOIN line l ON l.id = s.line_id",
	.id = "i.id",
	.columns = inspection_columns, .n_columns = COUNT(inspection_columns),
	.filters = inspection_filters, .n_filters = COUNT(inspection_filters),
	.sorts = inspection_sorts, .n_sorts = COUNT(inspection_sorts),
};

static const struct list_column reading_columns[] = {
	{ { "inspection", "Inspection", NULL, CELL_TEXT, .width = 36 }, "i.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "i.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "b.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "day", "Day", NULL, CELL_DAY }, "i.day" },
	{ { "n", "Number in the inspection", NULL, CELL_INTEGER }, "r.n" },
	{ { "quantity", "Quantity", NULL, CELL_WORD, &quantity_words }, "r.quantity" },
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
	{ { "r_uohm", "Resistance", "µΩ", CELL_REAL }, "s.r_uohm" },
	{ { "r20_uohm", "At 20 °C", "µΩ", CELL_REAL }, "s.r20_uohm" },
	{ { "thermal_uv", "Thermal e.m.f.", "µV", CELL_REAL }, "s.thermal_uv" },
	{ { "equivalent_m", "Equivalent rail", "m", CELL_REAL }, "s.equivalent_m" },
	{ { "remark", "Remark", NULL, CELL_WORD, &reading_remark_words }, "s.remark" },
};
static const struct list_filter reading_filters[] = {
	{ "inspection", "Inspection", FILTER_TEXT, "i.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "i.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "b.line_id = {value}" },
	{ "from", "From this day", FILTER_DAY, "i.day >= {value}" },
	{ "to", "To this day", FILTER_DAY, "i.day <= {value}" },
	{ "quantity", "Quantity", FILTER_WORD, "r.quantity = {value}", .words = &quantity_words },
};
static const struct list_sort reading_sorts[] = {
	{ "newest", "newest first", { "i.day", "i.id" }, .descending = true },
	{ "oldest", "oldest first", { "i.day", "i.id" } },
};
const struct list reading_list = {
	.name = "readings", .title = "Readings",
	.summary = "What was measured, and the resistance that follows. Corrected inspections are "
		"left out.",
	.from = "inspection i JOIN reading r ON r.inspection_id = i.id "
		"JOIN bond_state b ON b.bond_id = i.bond_id JOIN line l ON l.id = b.line_id "
		"LEFT JOIN reading_state s ON s.inspection_id = r.inspection_id AND s.n = r.n "
		"LEFT JOIN instrument n ON n.id = r.instrument_id",
	.where = "NOT " REPLACED, .id = "r.n",
	.columns = reading_columns, .n_columns = COUNT(reading_columns),
	.filters = reading_filters, .n_filters = COUNT(reading_filters),
	.sorts = reading_sorts, .n_sorts = COUNT(reading_sorts),
};
