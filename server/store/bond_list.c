/* The lists of bonds and of what is due: described here, made by store/list. */
#include "store/due_filters.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

#define BOND_FROM "bond_state s JOIN line l ON l.id = s.line_id " \
	"LEFT JOIN track t ON t.id = s.track_id"

/* The states of rules/due.h as conditions: a test holds them against due_state_on. */
#define DEFERRED "s.deferred_to_day >= {today}"
#define OPEN "(s.deferred_to_day IS NULL OR s.deferred_to_day < {today})"
/* (a bond is never soon after it is due: said again so that the index by due day can be used) */
#define SQL_LATER "(" OPEN " AND s.soon_from_day > {today} AND s.due_day > {today})"
#define SQL_SOON "(" OPEN " AND s.soon_from_day <= {today} AND s.due_day > {today})"
#define SQL_DUE "(" OPEN " AND s.due_day <= {today} AND s.overdue_from_day > {today})"
#define SQL_OVERDUE "(" OPEN " AND s.overdue_from_day <= {today})"
#define SQL_DEFERRED "(s.due_day IS NOT NULL AND s.deferred_to_day IS NOT NULL AND " DEFERRED ")"
#define SQL_NOT "(s.due_day IS NULL)"

static const char *const state_sql[] = {
	[DUE_LATER] = SQL_LATER, [DUE_SOON] = SQL_SOON, [DUE_DUE] = SQL_DUE,
	[DUE_OVERDUE] = SQL_OVERDUE, [DUE_DEFERRED] = SQL_DEFERRED, [DUE_NOT] = SQL_NOT,
};

/* The grades of rules/grade.h on a day, likewise. (The last two alone, so that their indices are
 * used; in the totals the day counts for what is sound alone, and is far back for all others.) */
#define SQL_UNKNOWN "(s.grade = 1 OR (s.grade = 2 AND s.evidence_until_day < {today}))"
#define SQL_SOUND "(s.grade = 2 AND s.evidence_until_day >= {today})"

static const char *const grade_sql[] = {
	[GRADE_NONE] = "s.grade = 0", [GRADE_UNKNOWN] = SQL_UNKNOWN, [GRADE_SOUND] = SQL_SOUND,
	[GRADE_WATCH] = "s.grade = 3", [GRADE_ACT] = "s.grade = 4",
};

const struct list_total due_totals[DUE_TOTALS] = {
	{ "later", SQL_LATER, "state" }, { "soon", SQL_SOON, "state" }, { "due", SQL_DUE, "state" },
	{ "overdue", SQL_OVERDUE, "state" }, { "deferred", SQL_DEFERRED, "state" },
	{ "unknown", SQL_UNKNOWN, "grade" }, { "sound", SQL_SOUND, "grade" },
	{ "watch", "(s.grade = 3)", "grade" }, { "act", "(s.grade = 4)", "grade" },
};

void finish_grade(int32_t today, const struct cell *reasons, const struct cell *evidence,
	struct cell *grade, struct cell *reason)
{
	enum grade kept = (enum grade)grade->integer;
	enum grade now = grade_on(kept, evidence->is_null ? DAY_NONE : (int32_t)evidence->integer,
		today);
	int worst = REASON_EVIDENCE_OLD;

	grade->integer = now;
	if (now == kept) {
		for (worst = 0; worst < REASONS && (reasons->integer >> worst & 1) == 0; worst++) {
		}
	}
	*reason = (struct cell){ .is_null = worst == REASONS, .integer = worst };
}

enum due_column {
	DUE_BOND_ID, DUE_LABEL, DUE_LINE_ID, DUE_LINE, DUE_TRACK, DUE_RAIL, DUE_CHAINAGE,
	DUE_DISTANCE, DUE_KIND, DUE_CRITICALITY, DUE_SURVEYED, DUE_STATE, DUE_DUE_DAY, DUE_DAYS_OVER,
	DUE_LAST_DAY, DUE_BASIS, DUE_DEFERRED_TO, DUE_DEFERRAL_REASON, DUE_FAILURES_OPEN,
	DUE_GRADE, DUE_REASON, DUE_VERDICT, DUE_SHARE, DUE_CROSSES, DUE_EARLY, DUE_SOON_FROM,
	DUE_OVERDUE_FROM, DUE_REASONS, DUE_EVIDENCE
};

static const struct list_column due_columns[] = {
	[DUE_BOND_ID] = { { "bond_id", "Bond number", NULL, CELL_INTEGER }, "s.bond_id" },
	[DUE_LABEL] = { { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	[DUE_LINE_ID] = { { "line_id", "Line number", NULL, CELL_INTEGER }, "s.line_id" },
	[DUE_LINE] = { { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	[DUE_TRACK] = { { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	[DUE_RAIL] = { { "rail", "Rail", NULL, CELL_WORD, &rail_words }, "s.rail" },
	[DUE_CHAINAGE] = { { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	[DUE_DISTANCE] = { { "distance_mm", "Distance from the datum", "mm", CELL_INTEGER },
		"s.distance_mm" },
	[DUE_KIND] = { { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words }, "s.kind" },
	[DUE_CRITICALITY] = { { "criticality", "Criticality", NULL, CELL_WORD, &criticality_words },
		"s.criticality" },
	[DUE_SURVEYED] = { { "surveyed", "Surveyed", NULL, CELL_FLAG }, "s.surveyed" },
	[DUE_STATE] = { { "state", "State", NULL, CELL_WORD, &due_state_words }, NULL },
	[DUE_DUE_DAY] = { { "due_day", "Due", NULL, CELL_DAY }, "s.due_day" },
	[DUE_DAYS_OVER] = { { "days_over", "Days over", "days", CELL_INTEGER }, NULL },
	[DUE_LAST_DAY] = { { "last_inspection_day", "Last inspected", NULL, CELL_DAY },
		"s.last_inspection_day" },
	[DUE_BASIS] = { { "basis", "Counted", NULL, CELL_WORD, &due_basis_words }, "s.due_basis" },
	[DUE_DEFERRED_TO] = { { "deferred_to_day", "Deferred to", NULL, CELL_DAY },
		"s.deferred_to_day" },
	[DUE_DEFERRAL_REASON] = { { "deferral_reason", "Why deferred", NULL, CELL_TEXT, .width = 40 },
		"(SELECT d.reason FROM deferral d WHERE d.id = s.deferral_id)" },
	[DUE_FAILURES_OPEN] = { { "failures_open", "Failures not made good", NULL, CELL_INTEGER },
		"s.failures_open" },
	[DUE_GRADE] = COLUMN_OF_GRADE,
	[DUE_REASON] = COLUMN_OF_REASON,
	[DUE_VERDICT] = COLUMN_OF_VERDICT,
	[DUE_SHARE] = COLUMN_OF_SHARE,
	[DUE_CROSSES] = COLUMN_OF_CROSSES,
	[DUE_EARLY] = COLUMN_OF_EARLY,
	[DUE_SOON_FROM] = { { "soon_from_day", NULL, NULL, CELL_DAY }, "s.soon_from_day", true },
	[DUE_OVERDUE_FROM] = { { "overdue_from_day", NULL, NULL, CELL_DAY }, "s.overdue_from_day",
		true },
	[DUE_REASONS] = COLUMN_OF_REASONS,
	[DUE_EVIDENCE] = COLUMN_OF_EVIDENCE,
};

static int32_t cell_day(const struct cell *cell)
{
	return cell->is_null ? DAY_NONE : (int32_t)cell->integer;
}

static void finish_due(int32_t today, struct cell *row)
{
	const struct due due = { .due_day = cell_day(&row[DUE_DUE_DAY]),
		.soon_from_day = cell_day(&row[DUE_SOON_FROM]),
		.overdue_from_day = cell_day(&row[DUE_OVERDUE_FROM]),
		.deferred_until_day = cell_day(&row[DUE_DEFERRED_TO]) };

	finish_grade(today, &row[DUE_REASONS], &row[DUE_EVIDENCE], &row[DUE_GRADE], &row[DUE_REASON]);
	row[DUE_STATE] = (struct cell){ .integer = due_state_on(&due, today) };
	row[DUE_DAYS_OVER] = (struct cell){ .is_null = due.due_day == DAY_NONE,
		.integer = due_days_over(&due, today) };
}

#define FILTER_OF_LINE { "line", "Line", FILTER_ID, "s.line_id = {value}" }
/* (named with its line, so that the indices of a line can be used) */
#define FILTER_OF_TRACK { "track", "Track", FILTER_ID, "s.track_id = {value} AND " \
	"s.line_id = (SELECT k.line_id FROM track k WHERE k.id = {value})" }
#define FILTER_OF_KIND { "kind", "Kind", FILTER_WORD, "s.kind = {value}", \
	.words = &bond_kind_words }
#define FILTER_OF_CRITICALITY { "criticality", "Criticality", FILTER_WORD, \
	"s.criticality = {value}", .words = &criticality_words }
#define FILTER_OF_SURVEYED { "surveyed", "Surveyed", FILTER_FLAG, "s.surveyed = 1", \
	.sql_no = "s.surveyed = 0" }
#define FILTERS_OF_PLACE \
	{ "from_mm", "From this distance", FILTER_INTEGER, "s.distance_mm >= {value}" }, \
	{ "to_mm", "To this distance", FILTER_INTEGER, "s.distance_mm <= {value}" }
#define FILTER_OF_LABEL { "q", "Label begins with", FILTER_PREFIX, \
	"s.label >= {value} AND s.label < {value_end}", .sort = "label" }

#define FILTERS_OF_JUDGEMENT \
	{ "grade", "Grade", FILTER_WORD, .word_sql = grade_sql, .words = &grade_words }, \
	{ "verdict", "Verdict of the worst reading", FILTER_WORD, "s.worst_verdict = {value}", \
	  .words = &verdict_words }, \
	{ "crosses_before", "May cross its limit before", FILTER_DAY, CROSSES_BEFORE, .sort = "early" }
/* (said twice so that the index is used) */
#define EARLY "coalesce(s.early_day, 2147483647)"
#define CROSSES_BEFORE "s.early_day < {value} AND " EARLY " < {value}"
#define SORTS_OF_JUDGEMENT \
	{ "limit", "nearest to the limit, or furthest over it, first", \
	  { "coalesce(s.limit_ppm, -1)" }, .descending = true }, \
	{ "early", "by the day on which the limit may be crossed", { EARLY } }

const struct list_filter due_filters[DUE_FILTERS] = {
	FILTER_OF_LINE, FILTER_OF_TRACK, FILTER_OF_KIND, FILTER_OF_CRITICALITY, FILTER_OF_SURVEYED,
	FILTER_OF_LABEL,
	{ "state", "State", FILTER_WORD, .word_sql = state_sql, .words = &due_state_words },
	{ "until", "Due until", FILTER_DAY, "s.due_day <= {value}" },
	FILTERS_OF_PLACE, FILTERS_OF_JUDGEMENT,
};

static const struct list_sort due_sorts[] = {
	{ "due", "by due day", { "s.due_day" } },
	{ "place", "along the line", { "s.line_id", "s.distance_mm" } },
	{ "label", "by label", { "s.label" }, { true } },
	SORTS_OF_JUDGEMENT,
};

/* of due_count (due_count.c) */
static const char *const counted_filters[] = { "line", "kind", "criticality", "surveyed", "until",
	"state", "grade", NULL };
static const struct list_counts due_counts = { "due_count s", "s.bonds", counted_filters,
	"s.line_id = 0" };

const struct list due_list = {
	.name = "due", .title = "Due inspections",
	.summary = "Bonds in service by when their next inspection is due.",
	.from = BOND_FROM, .where = DUE_WHERE, .id = "s.bond_id",
	.columns = due_columns, .n_columns = COUNT(due_columns),
	.filters = due_filters, .n_filters = DUE_FILTERS,
	.sorts = due_sorts, .n_sorts = COUNT(due_sorts),
	.finish = finish_due,
	.totals = due_totals, .n_totals = DUE_TOTALS,
	.totals_from = "bond_state s", .counts = &due_counts,
};

enum { BOND_GRADE = 17, BOND_REASON, BOND_REASONS = BOND_REASON + 5, BOND_EVIDENCE };

static const struct list_column bond_columns[] = {
	{ { "id", "Bond number", NULL, CELL_INTEGER }, "s.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line_id", "Line number", NULL, CELL_INTEGER }, "s.line_id" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	{ { "rail", "Rail", NULL, CELL_WORD, &rail_words }, "s.rail" },
	{ { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	{ { "distance_mm", "Distance from the datum", "mm", CELL_INTEGER }, "s.distance_mm" },
	{ { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words }, "s.kind" },
	{ { "criticality", "Criticality", NULL, CELL_WORD, &criticality_words }, "s.criticality" },
	{ { "status", "Status", NULL, CELL_WORD, &bond_status_words }, "s.status" },
	{ { "surveyed", "Surveyed", NULL, CELL_FLAG }, "s.surveyed" },
	{ { "last_inspection_day", "Last inspected", NULL, CELL_DAY }, "s.last_inspection_day" },
	{ { "due_day", "Due", NULL, CELL_DAY }, "s.due_day" },
	{ { "failures_open", "Failures not made good", NULL, CELL_INTEGER }, "s.failures_open" },
	{ { "longitude", "Longitude", "°", CELL_REAL }, "f.longitude" },
	{ { "latitude", "Latitude", "°", CELL_REAL }, "f.latitude" },
	[BOND_GRADE] = COLUMN_OF_GRADE, [BOND_REASON] = COLUMN_OF_REASON, COLUMN_OF_VERDICT,
	COLUMN_OF_SHARE, COLUMN_OF_CROSSES, COLUMN_OF_EARLY,
	[BOND_REASONS] = COLUMN_OF_REASONS, [BOND_EVIDENCE] = COLUMN_OF_EVIDENCE,
};

static void finish_bond(int32_t today, struct cell *row)
{
	finish_grade(today, &row[BOND_REASONS], &row[BOND_EVIDENCE], &row[BOND_GRADE],
		&row[BOND_REASON]);
}

static const struct list_filter bond_filters[] = {
	FILTER_OF_LINE, FILTER_OF_TRACK, FILTER_OF_KIND, FILTER_OF_CRITICALITY, FILTER_OF_SURVEYED,
	FILTER_OF_LABEL,
	{ "lines", "Lines, by code", FILTER_TEXTS, "l.code = {value}" },
	{ "status", "Status", FILTER_WORD, "s.status = {value}", .words = &bond_status_words },
	FILTERS_OF_PLACE, FILTERS_OF_JUDGEMENT,
};

static const struct list_sort bond_sorts[] = {
	{ "place", "along the line", { "s.line_id", "s.distance_mm" } },
	{ "label", "by label", { "s.label" }, { true } },
	SORTS_OF_JUDGEMENT,
};

const struct list bond_list = {
	.name = "bonds", .title = "Bonds", .summary = "All bonds, in service and removed.",
	.from = BOND_FROM " LEFT JOIN bond_fact f ON f.bond_id = s.bond_id AND f.version = s.version",
	.id = "s.bond_id",
	.columns = bond_columns, .n_columns = COUNT(bond_columns),
	.filters = bond_filters, .n_filters = COUNT(bond_filters),
	.sorts = bond_sorts, .n_sorts = COUNT(bond_sorts),
	.finish = finish_bond,
};
