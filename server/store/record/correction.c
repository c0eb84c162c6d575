#include "store/record/correction.h"

#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

static const char *const kind_code[] = {
	"clears_over", "accepts_attachment", "confirms_correction", "states_meter", "states_rows"
};
static const char *const kind_title[] = {
	"what was over is cleared by a later reading within", "an attachment is accepted",
	"a correction is confirmed", "what an import was measured with",
	"what a row of an import meant"
};
const struct words ruling_kind_words = { "ruling_kind", kind_code, kind_title, 5 };

static const char *const noun_code[] = {
	"inspection", "failure", "repair", "deferral", "attachment", "ruling", "renewal", "withdrawal",
	"import", "kit_check", "calibration", "conductor", "rail_profile", "bond", "line", "track", "map",
	"rail_mark", "round", "round_step", "bridge", "bridge_off", "photo", "found_bond",
	"found_answer"
};
static const char *const noun_title[] = {
	"inspection", "failure", "repair", "deferral", "attachment", "engineer's word", "rail renewal",
	"withdrawal", "import", "check of a kit", "calibration", "conductor", "rail profile", "bond",
	"line", "track", "chainage map", "mark on the rail", "round", "word on a round",
	"temporary bridge", "temporary bridge taken off", "photo", "bond not in the book",
	"which bond a found one is"
};
const struct words sent_noun_words = { "entry", noun_code, noun_title, 25 };

bool store_correction_better(struct store *store, const struct correction_better *b,
	const struct origin *origin, struct problem *why)
{
	static const char kept[] = "INSERT INTO correction_better (noun, row_id, bond_id, grade_before, "
		"grade_after, waits, reason, recorded_at_ms, recorded_by) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
	static const char open[] = "INSERT INTO correction_open (noun, row_id, bond_id) "
		"VALUES ($1, $2, $3)";
	const struct value values[] = { value_integer(b->noun), value_integer(b->row_id),
		value_integer(b->bond_id), value_integer(b->grade_before),
		value_integer(b->grade_after), value_integer(b->waits), value_text(b->reason),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, kept, values, COUNT(values), why) &&
		(!b->waits || sql_run(store, open, values, 3, why));
}

static bool watched(struct store *store, int64_t bond_id, bool *is, struct problem *why)
{
	static const char sql[] = "SELECT EXISTS (SELECT 1 FROM better_watch WHERE bond_id = $1)";
	int64_t found = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(bond_id) }, 1, 0, &found,
		why);

	*is = found != 0;
	return ok;
}

/* For which withdrawal a bond is watched: by its number, or less than 0 by that of its beginning;
 * NULL: it does not count yet. */
#define WITHDRAWAL_OF(b) "CASE WHEN " b ".withdrawal_id > 0 THEN " b ".withdrawal_id ELSE " \
	"(SELECT c.id FROM withdrawal_begun g JOIN withdrawal c ON c.uuid = g.uuid " \
	"WHERE g.id = -" b ".withdrawal_id) END"

bool store_better_told(struct store *store, int64_t bond_id, enum grade now, int64_t now_ms,
	struct problem *why)
{
	static const char tell[] = "INSERT INTO correction_better (noun, row_id, bond_id, grade_before, "
		"grade_after, waits, reason, recorded_at_ms, recorded_by) SELECT " NOUN_WITHDRAWAL ", w.id, "
		"b.bond_id, b.grade_before, $1, 0, w.reason, $2, w.recorded_by FROM better_watch b "
		"JOIN withdrawal w ON w.id = " WITHDRAWAL_OF("b") " WHERE b.bond_id = $3 "
		"AND b.grade_before = $4";
	static const char forget[] = "DELETE FROM better_watch WHERE bond_id = $1 "
		"AND " WITHDRAWAL_OF("better_watch") " IS NOT NULL";
	static const char go_along[] = "UPDATE better_watch SET grade_before = $2 WHERE bond_id = $1";
	const struct value of_bond[] = { value_integer(bond_id), value_integer(now) };
	bool is = false, ok = watched(store, bond_id, &is, why);

	for (int before = 0; ok && is && before <= GRADE_ACT; before++) {
		const struct value values[] = { value_integer(now), value_integer(now_ms),
			value_integer(bond_id), value_integer(before) };

		ok = !grade_worse((enum grade)before, now) || sql_run(store, tell, values, 4, why);
	}
	return ok && (!is || (sql_run(store, forget, of_bond, 1, why) &&
		sql_run(store, go_along, of_bond, 2, why)));
}

bool store_correction_waiting(struct store *store, enum sent_noun noun, int64_t row_id,
	int64_t *bond_id, struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM correction_open WHERE noun = $1 "
		"AND row_id = $2 AND withdrawn = 0";

	return sql_integer(store, sql, (struct value[]){ value_integer(noun), value_integer(row_id) },
		2, 0, bond_id, why);
}

bool store_correction_confirmed(struct store *store, enum sent_noun noun, int64_t row_id,
	struct problem *why)
{
	static const char sql[] = "DELETE FROM correction_open WHERE noun = $1 AND row_id = $2";

	return sql_run(store, sql, (struct value[]){ value_integer(noun), value_integer(row_id) }, 2,
		why);
}

bool store_ruling_insert(struct store *store, struct ruling *g, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO ruling (uuid, content_hash, kind, bond_id, quantity, "
		"noun, row_id, import_id, percent, uohm, decided_day, person_id, reason, recorded_at_ms, "
		"recorded_by, row_meant) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, "
		"$14, $15, $16)";
	const struct value values[] = { value_text(g->uuid), value_text(g->content_hash),
		value_integer(g->kind), value_id(g->bond_id), value_word(g->quantity),
		value_word(g->noun), value_id(g->row_id), value_id(g->import_id), value_real(g->percent),
		value_real(g->uohm), value_integer(g->decided_day), value_integer(g->person_id),
		value_text(g->reason), value_integer(origin->now_ms), value_id(origin->person_id),
		value_word(g->row_meant) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	g->id = sql_last_id(store);
	return true;
}

bool store_ruling_get(struct store *store, int64_t id, struct ruling *to, struct problem *why)
{
	static const char sql[] = "SELECT kind, coalesce(bond_id, 0), coalesce(import_id, 0) FROM ruling "
		"WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	*to = (struct ruling){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct ruling){ .id = id, .kind = (enum ruling_kind)sqlite3_column_int(row, 0),
			.bond_id = sqlite3_column_int64(row, 1), .import_id = sqlite3_column_int64(row, 2) };
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_import_exists(struct store *store, int64_t import_id, bool *there,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM import WHERE id = $1";
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(import_id) }, 1, 0, &count,
		why);

	*there = count > 0;
	return ok;
}

bool store_import_outcomes(struct store *store, int64_t import_id, bool *of_inspections,
	bool *has_outcomes, struct problem *why)
{
	static const char sql[] = "SELECT (i.kind = 'inspections') + 2 * EXISTS (SELECT 1 FROM "
		"json_each(i.settings, '$.columns') c WHERE json_extract(c.value, '$.field') = 'outcome' "
		"AND json_extract(c.value, '$.constant') IS NOT 'complete') FROM import i WHERE i.id = $1";
	int64_t is = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(import_id) }, 1, 0, &is, why);

	*of_inspections = (is & 1) != 0;
	*has_outcomes = (is & 2) != 0;
	return ok;
}

#define PERSON(column) "(SELECT f.name FROM person_fact f WHERE f.person_id = " column \
	" ORDER BY f.version DESC LIMIT 1)"

static const struct list_column ruling_columns[] = {
	{ { "uuid", "Its id", NULL, CELL_TEXT, .width = 36 }, "g.uuid" },
	{ { "kind", "What it says", NULL, CELL_WORD, &ruling_kind_words }, "g.kind" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "g.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "quantity", "Quantity", NULL, CELL_WORD, &quantity_words }, "g.quantity" },
	{ { "entry", "Entry", NULL, CELL_WORD, &sent_noun_words }, "g.noun" },
	{ { "import_id", "Import", NULL, CELL_INTEGER }, "g.import_id" },
	{ { "percent", "Of the reading, k = 2", "%", CELL_REAL }, "g.percent" },
	{ { "uohm", "Added to it, k = 2", "µΩ", CELL_REAL }, "g.uohm" },
	{ { "row_meant", "A row meant", NULL, CELL_WORD, &row_meant_words }, "g.row_meant" },
	{ { "decided_day", "Day", NULL, CELL_DAY }, "g.decided_day" },
	{ { "person", "Decided by", NULL, CELL_TEXT, .width = 24 }, PERSON("g.person_id") },
	{ { "reason", "Reason", NULL, CELL_TEXT, .width = 40 }, "g.reason" },
	{ { "recorded_at", "Recorded at", NULL, CELL_INSTANT }, "g.recorded_at_ms" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_RULING, "g.id") },
};
static const struct list_filter ruling_filters[] = {
	{ "bond", "Bond", FILTER_ID, "g.bond_id = {value}" },
	{ "kind", "What it says", FILTER_WORD, "g.kind = {value}", .words = &ruling_kind_words },
	{ "from", "From this day", FILTER_DAY, "g.decided_day >= {value}" },
	{ "to", "To this day", FILTER_DAY, "g.decided_day <= {value}" },
};
static const struct list_sort ruling_sorts[] = {
	{ "newest", "newest first", { "g.decided_day" }, .descending = true },
	{ "oldest", "oldest first", { "g.decided_day" } },
};
const struct list ruling_list = {
	.name = "rulings", .title = "Engineers' words",
	.summary = "What an engineer has put on record with a reason: over that is cleared, attachments "
		"accepted, corrections confirmed, meters of an import and what its rows meant.",
	.from = "ruling g LEFT JOIN bond_state s ON s.bond_id = g.bond_id "
		"LEFT JOIN line l ON l.id = s.line_id",
	.id = "g.id",
	.columns = ruling_columns, .n_columns = COUNT(ruling_columns),
	.filters = ruling_filters, .n_filters = COUNT(ruling_filters),
	.sorts = ruling_sorts, .n_sorts = COUNT(ruling_sorts),
};

#define WAITS "EXISTS (SELECT 1 FROM correction_open o WHERE o.noun = b.noun " \
	"AND o.row_id = b.row_id AND o.withdrawn = 0)"
#define UUID "(CASE b.noun WHEN 0 THEN (SELECT uuid FROM inspection WHERE id = b.row_id) " \
	"WHEN 1 THEN (SELECT uuid FROM failure WHERE id = b.row_id) " \
	"WHEN 2 THEN (SELECT uuid FROM repair WHERE id = b.row_id) " \
	"WHEN 7 THEN (SELECT uuid FROM withdrawal WHERE id = b.row_id) " \
	"ELSE (SELECT uuid FROM attachment WHERE id = b.row_id) END)"

/* (a bond that was withdrawn is in no other list) */
#define LAST_SAID(column) "(SELECT v." column " FROM bond_fact v WHERE v.bond_id = b.bond_id " \
	"ORDER BY v.version DESC LIMIT 1)"

static const struct list_column better_columns[] = {
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "b.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "coalesce(s.label, " LAST_SAID("label") ")" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "entry", "Correction of", NULL, CELL_WORD, &sent_noun_words }, "b.noun" },
	{ { "uuid", "Its id", NULL, CELL_TEXT, .width = 36 }, UUID },
	{ { "grade_before", "Grade before", NULL, CELL_WORD, &grade_words }, "b.grade_before" },
	{ { "grade_after", "And by it", NULL, CELL_WORD, &grade_words }, "b.grade_after" },
	{ { "waits", "Waits for an engineer", NULL, CELL_FLAG }, WAITS },
	{ { "reason", "Reason", NULL, CELL_TEXT, .width = 40 }, "b.reason" },
	{ { "person", "Corrected by", NULL, CELL_TEXT, .width = 24 }, PERSON("b.recorded_by") },
	{ { "recorded_at", "Recorded at", NULL, CELL_INSTANT }, "b.recorded_at_ms" },
};
static const struct list_filter better_filters[] = {
	{ "bond", "Bond", FILTER_ID, "b.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "l.id = {value}" },
	{ "lines", "Lines, by code", FILTER_TEXTS, "l.code = {value}" },
	{ "waits", "Waits for an engineer", FILTER_FLAG, WAITS, .sql_no = "NOT " WAITS },
};
static const struct list_sort better_sorts[] = {
	{ "waiting", "those that wait for an engineer first, then newest first",
	  { WAITS, "b.recorded_at_ms" }, .descending = true },
	{ "newest", "newest first", { "b.recorded_at_ms" }, .descending = true },
	{ "oldest", "oldest first", { "b.recorded_at_ms" } },
};
static const struct list_total better_totals[] = {
	{ "waiting", WAITS, "waits" }, { "counting", "(NOT " WAITS ")", "waits" },
};
const struct list better_list = {
	.name = "better-by-correction", .title = "Better by correction",
	.summary = "Corrections that made the grade of a bond better, each with its reason.",
	.from = "correction_better b LEFT JOIN bond_state s ON s.bond_id = b.bond_id "
		"JOIN line l ON l.id = coalesce(s.line_id, " LAST_SAID("line_id") ")",
	.id = "b.id",
	.columns = better_columns, .n_columns = COUNT(better_columns),
	.filters = better_filters, .n_filters = COUNT(better_filters),
	.sorts = better_sorts, .n_sorts = COUNT(better_sorts),
	.totals = better_totals, .n_totals = COUNT(better_totals),
};
