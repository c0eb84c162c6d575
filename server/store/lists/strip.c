#include "store/lists/strip.h"

#include <stdlib.h>

#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

/* Far enough for no distance to be below zero, and every step divides it: division then rounds
 * down everywhere. */
#define SHIFT_MM INT64_C(1000000000000)
#define STRETCH_SQL "(s.distance_mm + 1000000000000) / {value}"

#define OF_END(column, end) "(SELECT e." column " FROM end_fact e " \
	"WHERE e.bond_id = s.bond_id AND e.version = s.version AND e.bond_end = " end ")"

enum strip_column {
	STRIP_ID, STRIP_LABEL, STRIP_KIND, STRIP_CRITICALITY, STRIP_TRACK, STRIP_RAIL,
	STRIP_DISTANCE, STRIP_CHAINAGE, STRIP_ON, STRIP_STRUCTURE, STRIP_B_ON, STRIP_B_TRACK,
	STRIP_B_RAIL, STRIP_B_DISTANCE, STRIP_B_STRUCTURE, STRIP_FAILURES, STRIP_WHAT, STRIP_STATE, STRIP_DUE,
	STRIP_DAYS_OVER, STRIP_DEFERRED_TO, STRIP_GRADE, STRIP_REASON, STRIP_VERDICT, STRIP_SHARE,
	STRIP_CROSSES, STRIP_EARLY, STRIP_SOON_FROM, STRIP_OVERDUE_FROM, STRIP_REASONS, STRIP_EVIDENCE
};

static const struct list_column columns[] = {
	[STRIP_ID] = { { "id", "Bond number", NULL, CELL_INTEGER }, "s.bond_id" },
	[STRIP_LABEL] = { { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	[STRIP_KIND] = { { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words }, "s.kind" },
	[STRIP_CRITICALITY] = { { "criticality", "Criticality", NULL, CELL_WORD,
		&criticality_words }, "s.criticality" },
	[STRIP_TRACK] = { { "track_id", "Track number", NULL, CELL_INTEGER }, "s.track_id" },
	[STRIP_RAIL] = { { "rail", "Rail", NULL, CELL_WORD, &rail_words }, "s.rail" },
	[STRIP_DISTANCE] = { { "distance_mm", "Distance from the datum", "mm", CELL_INTEGER },
		"s.distance_mm" },
	[STRIP_CHAINAGE] = { { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	[STRIP_ON] = { { "on", "End A is on", NULL, CELL_WORD, &end_on_words }, OF_END("on_what", "0") },
	[STRIP_STRUCTURE] = { { "structure", "Structure of end A", NULL, CELL_TEXT },
		OF_END("structure", "0") },
	[STRIP_B_ON] = { { "b_on", "End B is on", NULL, CELL_WORD, &end_on_words },
		OF_END("on_what", "1") },
	[STRIP_B_TRACK] = { { "b_track_id", "Track of end B", NULL, CELL_INTEGER },
		OF_END("track_id", "1") },
	[STRIP_B_RAIL] = { { "b_rail", "Rail of end B", NULL, CELL_WORD, &rail_words },
		OF_END("rail", "1") },
	[STRIP_B_DISTANCE] = { { "b_distance_mm", "Distance of end B", "mm", CELL_INTEGER },
		OF_END("distance_mm", "1") },
	[STRIP_B_STRUCTURE] = { { "b_structure", "Structure of end B", NULL, CELL_TEXT },
		OF_END("structure", "1") },
	[STRIP_FAILURES] = { { "failures_open", "Failures not made good", NULL, CELL_INTEGER },
		"s.failures_open" },
	[STRIP_WHAT] = { { "what", "What is due", NULL, CELL_WORD, &due_what_words }, DUE_WHAT_SQL },
	[STRIP_STATE] = { { "state", "State", NULL, CELL_WORD, &due_state_words }, NULL },
	[STRIP_DUE] = { { "due_day", "Due", NULL, CELL_DAY }, "s.due_day" },
	[STRIP_DAYS_OVER] = { { "days_over", "Days over", "days", CELL_INTEGER }, NULL },
	[STRIP_DEFERRED_TO] = { { "deferred_to_day", "Deferred to", NULL, CELL_DAY },
		"s.deferred_to_day" },
	[STRIP_GRADE] = COLUMN_OF_GRADE,
	[STRIP_REASON] = COLUMN_OF_REASON,
	[STRIP_VERDICT] = COLUMN_OF_VERDICT,
	[STRIP_SHARE] = COLUMN_OF_SHARE,
	[STRIP_CROSSES] = COLUMN_OF_CROSSES,
	[STRIP_EARLY] = COLUMN_OF_EARLY,
	[STRIP_SOON_FROM] = { { "soon_from_day", NULL, NULL, CELL_DAY }, "s.soon_from_day", true },
	[STRIP_OVERDUE_FROM] = { { "overdue_from_day", NULL, NULL, CELL_DAY }, "s.overdue_from_day",
		true },
	[STRIP_REASONS] = COLUMN_OF_REASONS,
	[STRIP_EVIDENCE] = COLUMN_OF_EVIDENCE,
};

static int32_t cell_day(const struct cell *cell)
{
	return cell->is_null ? DAY_NONE : (int32_t)cell->integer;
}

static void finish(int32_t today, struct cell *row)
{
	const struct due due = { .due_day = cell_day(&row[STRIP_DUE]),
		.soon_from_day = cell_day(&row[STRIP_SOON_FROM]),
		.overdue_from_day = cell_day(&row[STRIP_OVERDUE_FROM]),
		.deferred_until_day = cell_day(&row[STRIP_DEFERRED_TO]) };

	finish_grade(today, &row[STRIP_REASONS], &row[STRIP_EVIDENCE], &row[STRIP_GRADE],
		&row[STRIP_REASON]);
	row[STRIP_STATE] = (struct cell){ .integer = due_state_on(&due, today) };
	row[STRIP_DAYS_OVER] = (struct cell){ .integer = due_days_over(&due, today) };
}

static const struct list_sort sorts[] = {
	{ "place", "along the line", { "s.line_id", "s.distance_mm" } },
};

const struct list strip_list = {
	.name = "strip", .title = "Strip", .summary = "The bonds in service of a stretch of line.",
	.from = "{rows} s", .rows = &due_rows, .where = DUE_WHERE, .id = "s.bond_id",
	.columns = columns, .n_columns = COUNT(columns),
	.filters = due_filters, .n_filters = DUE_FILTERS,
	.sorts = sorts, .n_sorts = 1,
	.finish = finish,
	.totals = due_totals, .n_totals = DUE_STRIP_TOTALS,
};

/* Counts under way: rows come by stretch, track and kind; the kinds of a track are put together. */
struct folding {
	struct strip_count *all;
	size_t count;
	int64_t first;       /* number of the stretch at the datum, as the rows count */
};

static bool fold(void *arg, const int64_t *keys, int64_t rows, const int64_t *totals)
{
	struct folding *f = arg;
	struct strip_count *last = f->count > 0 ? &f->all[f->count - 1] : NULL;
	struct problem why = { 0 };

	if (last == NULL || last->stretch != keys[0] - f->first || last->track_id != keys[1]) {
		if (!array_grow((void **)&f->all, f->count, sizeof *f->all, &why)) {
			return false;
		}
		last = &f->all[f->count++];
		*last = (struct strip_count){ .stretch = keys[0] - f->first, .track_id = keys[1] };
	}
	last->bonds += rows;
	last->by_kind[keys[2]] += rows;
	for (size_t i = 0; i < DUE_STATES; i++) {
		last->by_state[i] += totals[i];
	}
	for (size_t i = 0; i < DUE_GRADES; i++) {
		last->by_grade[i] += totals[DUE_STATES + i];
	}
	return true;
}

bool store_strip_counts(struct store *store, const struct list_query *query, int64_t step_mm,
	struct strip_count **all, size_t *count, struct problem *why)
{
	const struct list_key keys[] = { { STRETCH_SQL, step_mm }, { "s.track_id", 0 },
		{ "s.kind", 0 } };
	struct folding folding = { .first = SHIFT_MM / step_mm };
	bool ok = list_count_by(store, query, keys, COUNT(keys), fold, &folding, why);

	if (!ok) {
		free(folding.all);
		folding = (struct folding){ 0 };
	}
	*all = folding.all;
	*count = folding.count;
	return ok;
}

bool store_line_extent(struct store *store, int64_t line_id, int64_t *from_mm, int64_t *to_mm,
	struct problem *why)
{
	/* one aggregate a statement, so that each is one step into the index */
	static const char first[] = "SELECT min(distance_mm) FROM bond_state WHERE line_id = $1";
	static const char last[] = "SELECT max(distance_mm) FROM bond_state WHERE line_id = $1";
	static const char maps[] = "SELECT min(s.distance_mm), "
		"max(s.distance_mm + (s.end_mm - s.start_mm)) FROM map_stretch s WHERE s.map_id IN "
		"(SELECT max(m.id) FROM line_map m WHERE m.line_id = $1 "
		"AND " SQL_STANDS(NOUN_MAP, "m.id") " GROUP BY m.track_id)";
	const struct value id = value_integer(line_id);
	sqlite3_stmt *row;

	if (!sql_integer(store, first, &id, 1, INT64_MAX, from_mm, why) ||
		!sql_integer(store, last, &id, 1, INT64_MIN, to_mm, why)) {
		return false;
	}
	row = sql_select(store, maps, &id, 1, why);
	if (sql_row(store, row, why)) {
		if (sqlite3_column_type(row, 0) != SQLITE_NULL) {
			*from_mm = sqlite3_column_int64(row, 0) < *from_mm ? sqlite3_column_int64(row, 0) :
				*from_mm;
			*to_mm = sqlite3_column_int64(row, 1) > *to_mm ? sqlite3_column_int64(row, 1) : *to_mm;
		}
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_line_tracks(struct store *store, int64_t line_id, struct line_track **all,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT t.id, t.name, " TRACK_SAID("left_label") ", "
		TRACK_SAID("right_label") ", "
		"EXISTS (SELECT 1 FROM line_map m WHERE m.line_id = t.line_id AND m.track_id = t.id "
		"AND " SQL_STANDS(NOUN_MAP, "m.id") ") FROM track t WHERE t.line_id = $1 "
		"AND " SQL_STANDS(NOUN_TRACK, "t.id") " ORDER BY t.id";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(line_id) }, 1, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		struct line_track *t;

		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		t = &(*all)[(*count)++];
		*t = (struct line_track){ .track = { .id = sqlite3_column_int64(rows, 0),
			.line_id = line_id }, .own_map = sqlite3_column_int(rows, 4) != 0 };
		column_text(rows, 1, t->track.name, sizeof t->track.name);
		column_text(rows, 2, t->track.left_label, sizeof t->track.left_label);
		column_text(rows, 3, t->track.right_label, sizeof t->track.right_label);
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
		*count = 0;
	}
	return why->code == PROBLEM_NONE;
}
