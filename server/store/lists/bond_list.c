/* The lists of bonds and of what is due: described here, made by store/list. */
#include "store/lists/due_filters.h"
#include "store/record/crew_round.h"
#include "store/record/doer.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

#define BOND_FROM "bond_state s JOIN line l ON l.id = s.line_id " \
	"LEFT JOIN track t ON t.id = s.track_id"

/* The states of rules/judge/due.h as conditions: a test holds them against due_state_on. */
#define DEFERRED "s.deferred_to_day >= {today}"
#define OPEN "(s.deferred_to_day IS NULL OR s.deferred_to_day < {today})"
/* (a bond is never soon after it is due: said again so that the index by due day can be used) */
#define SQL_LATER "(s.soon_from_day > {today} AND s.due_day > {today} AND " OPEN ")"
#define SQL_SOON "(s.due_day > {today} AND s.soon_from_day <= {today} AND " OPEN ")"
#define SQL_DUE "(s.due_day <= {today} AND s.overdue_from_day > {today} AND " OPEN ")"
#define SQL_OVERDUE "(s.overdue_from_day <= {today} AND " OPEN ")"
#define SQL_DEFERRED "(s.due_day IS NOT NULL AND s.deferred_to_day IS NOT NULL AND " DEFERRED ")"
#define SQL_NOT "(s.due_day IS NULL)"

static const char *const state_sql[] = {
	[DUE_LATER] = SQL_LATER, [DUE_SOON] = SQL_SOON, [DUE_DUE] = SQL_DUE,
	[DUE_OVERDUE] = SQL_OVERDUE, [DUE_DEFERRED] = SQL_DEFERRED, [DUE_NOT] = SQL_NOT,
};

/* The grades of rules/judge/grade.h on a day, likewise; without such a day the proof is too old.
 * (In the totals the day counts for what is sound or watched, and is far back for all others.) */
#define PROVED_UNTIL "coalesce(s.evidence_until_day, -2147483648)"
#define SQL_UNKNOWN "(s.grade = 1 OR (s.grade IN (2, 3) AND " PROVED_UNTIL " < {today}))"
#define SQL_SOUND "(s.grade = 2 AND s.evidence_until_day >= {today})"
#define SQL_WATCH "(s.grade = 3 AND s.evidence_until_day >= {today})"

static const char *const grade_sql[] = {
	[GRADE_NONE] = "s.grade = 0", [GRADE_UNKNOWN] = SQL_UNKNOWN, [GRADE_SOUND] = SQL_SOUND,
	[GRADE_WATCH] = SQL_WATCH, [GRADE_ACT] = "s.grade = 4",
};

/* The same columns with another due day, and what goes with that. */
#define ROWS_BY(day, basis, act_since) "(SELECT bond_id, version, line_id, label, kind, criticality, " \
	"status, surveyed, track_id, rail, distance_mm, chainage, last_inspection_day, " day " AS due_day, " \
	"CASE WHEN " day " = due_day THEN soon_from_day ELSE " day " - notice_days END AS soon_from_day, " \
	day " + (overdue_from_day - due_day) AS overdue_from_day, " basis " AS due_basis, " \
	"CASE WHEN deferred_to_day > " day " THEN deferred_to_day END AS deferred_to_day, deferral_id, " \
	"failures_open, grade, reasons, evidence_until_day, worst_verdict, limit_ppm, crosses_day, " \
	"early_day, asked, inspect_day, mend_day, own_months, " act_since " AS act_since_day " \
	"FROM bond_state WHERE " day " IS NOT NULL)"
_Static_assert(DUE_ACT == 4, "the statements here say so");
static const char *const rows_table[] = { "bond_state",
	[1 + DUE_INSPECTION] = ROWS_BY("inspect_day", "nullif(due_basis, 4)", "NULL"),
	[1 + DUE_MENDING] = ROWS_BY("mend_day", "4", "act_since_day") };
const struct list_rows due_rows = { "what", rows_table };

enum { OF_INSPECTIONS = 1 + DUE_INSPECTION, OF_MENDINGS = 1 + DUE_MENDING };

const struct list_total due_totals[DUE_TOTALS] = {
	{ "later", SQL_LATER, "state" }, { "soon", SQL_SOON, "state" }, { "due", SQL_DUE, "state" },
	{ "overdue", SQL_OVERDUE, "state" }, { "deferred", SQL_DEFERRED, "state" },
	{ "unknown", SQL_UNKNOWN, "grade" }, { "sound", SQL_SOUND, "grade" },
	{ "watch", SQL_WATCH, "grade" }, { "act", "(s.grade = 4)", "grade" },
	{ "inspections_soon", SQL_SOON, "state", OF_INSPECTIONS },
	{ "inspections_due", SQL_DUE, "state", OF_INSPECTIONS },
	{ "inspections_overdue", SQL_OVERDUE, "state", OF_INSPECTIONS },
	{ "inspections_deferred", SQL_DEFERRED, "state", OF_INSPECTIONS },
	{ "mendings_soon", SQL_SOON, "state", OF_MENDINGS },
	{ "mendings_due", SQL_DUE, "state", OF_MENDINGS },
	{ "mendings_overdue", SQL_OVERDUE, "state", OF_MENDINGS },
	{ "mendings_deferred", SQL_DEFERRED, "state", OF_MENDINGS },
	{ "asked", "(s.asked > 0)", "asked" },
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
		worst = grade_worst_reason((unsigned)reasons->integer);
	}
	*reason = (struct cell){ .is_null = worst == REASONS, .integer = worst };
}

enum due_column {
	DUE_BOND_ID, DUE_LABEL, DUE_LINE_ID, DUE_LINE, DUE_TRACK, DUE_RAIL, DUE_CHAINAGE,
	DUE_DISTANCE, DUE_KIND, DUE_CRITICALITY, DUE_SURVEYED, DUE_WHAT, DUE_STATE, DUE_DUE_DAY,
	DUE_DAYS_OVER, DUE_INSPECT_DAY, DUE_MEND_DAY, DUE_LAST_DAY, DUE_BASIS, DUE_DEFERRED_TO,
	DUE_DEFERRAL_REASON, DUE_FAILURES_OPEN,
	DUE_ROUND_DAY, DUE_ROUND_CREW, DUE_NOT_REACHED,
	DUE_GRADE, DUE_REASON, DUE_VERDICT, DUE_SHARE, DUE_CROSSES, DUE_EARLY, DUE_ASKED, DUE_SOON_FROM,
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
	[DUE_WHAT] = { { "what", "What is due", NULL, CELL_WORD, &due_what_words },
		DUE_WHAT_SQL },
	[DUE_STATE] = { { "state", "State", NULL, CELL_WORD, &due_state_words }, NULL },
	[DUE_DUE_DAY] = { { "due_day", "Due", NULL, CELL_DAY }, "s.due_day" },
	[DUE_DAYS_OVER] = { { "days_over", "Days over", "days", CELL_INTEGER }, NULL },
	[DUE_INSPECT_DAY] = { { "inspect_day", "Inspection due", NULL, CELL_DAY }, "s.inspect_day" },
	[DUE_MEND_DAY] = { { "mend_day", "Mending due", NULL, CELL_DAY }, "s.mend_day" },
	[DUE_LAST_DAY] = { { "last_inspection_day", "Last inspected", NULL, CELL_DAY },
		"s.last_inspection_day" },
	[DUE_BASIS] = { { "basis", "Counted", NULL, CELL_WORD, &due_basis_words }, "s.due_basis" },
	[DUE_DEFERRED_TO] = { { "deferred_to_day", "Deferred to", NULL, CELL_DAY },
		"s.deferred_to_day" },
	[DUE_DEFERRAL_REASON] = { { "deferral_reason", "Why deferred", NULL, CELL_TEXT, .width = 40 },
		"(SELECT d.reason FROM deferral d WHERE d.id = s.deferral_id)" },
	[DUE_FAILURES_OPEN] = { { "failures_open", "Failures not made good", NULL, CELL_INTEGER },
		"s.failures_open" },
	[DUE_ROUND_DAY] = { { "round_day", "In a round on", NULL, CELL_DAY },
		ROUND_OF_BOND("shift_day") },
	[DUE_ROUND_CREW] = { { "round_crew", "Of the crew", NULL, CELL_TEXT }, ROUND_OF_BOND("crew") },
	[DUE_NOT_REACHED] = { { "not_reached", "Not reached, why", NULL, CELL_TEXT, .width = 30 },
		NOT_REACHED_WHY },
	[DUE_GRADE] = COLUMN_OF_GRADE,
	[DUE_REASON] = COLUMN_OF_REASON,
	[DUE_VERDICT] = COLUMN_OF_VERDICT,
	[DUE_SHARE] = COLUMN_OF_SHARE,
	[DUE_CROSSES] = COLUMN_OF_CROSSES,
	[DUE_EARLY] = COLUMN_OF_EARLY,
	[DUE_ASKED] = { { "asked", "Readings that wait for an answer", NULL, CELL_INTEGER }, "s.asked" },
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
	{ "from_mm", "From this distance along the line", FILTER_INTEGER, "s.distance_mm >= {value}" }, \
	{ "to_mm", "To this distance along the line", FILTER_INTEGER, "s.distance_mm <= {value}" }
static const char *const of_line[] = { "line", "track", NULL };
static const struct list_need place_needs[] = {
	{ "from_mm", of_line, "A distance counts from the beginning of a line: send line as well." },
	{ "to_mm", of_line, "A distance counts from the beginning of a line: send line as well." },
	{ 0 }
};
#define FILTER_OF_LABEL { "q", "Label begins with", FILTER_PREFIX, \
	"s.label >= {value} AND s.label < {value_end}", .sort = "label" }

/* (all but what is within its limits has an index of its own) */
#define ALL_BUT_WITHIN "s.worst_verdict IS NOT 1"
static const char *const verdict_sql[] = {
	[VERDICT_NONE] = "(" ALL_BUT_WITHIN " AND s.worst_verdict = 0)",
	[VERDICT_WITHIN] = "s.worst_verdict = 1",
	[VERDICT_UNPROVEN] = "(" ALL_BUT_WITHIN " AND s.worst_verdict = 2)",
	[VERDICT_OVER] = "(" ALL_BUT_WITHIN " AND s.worst_verdict = 3)",
};
static const char *const other_verdicts_sql[VERDICT_OVER + 1] = {
	[VERDICT_WITHIN] = ALL_BUT_WITHIN };
_Static_assert(VERDICT_WITHIN == 1, "the statements here say so");

#define FILTERS_OF_JUDGEMENT \
	{ "grade", "Grade", FILTER_WORD, .word_sql = grade_sql, .words = &grade_words }, \
	{ "verdict", "Verdict of the worst reading", FILTER_WORD, .word_sql = verdict_sql, \
	  .words = &verdict_words, .others_sql = other_verdicts_sql }, \
	{ "crosses_before", "May cross its limit before", FILTER_DAY, CROSSES_BEFORE, .sort = "early" }
/* (as the index over it has it) */
#define EARLY "CASE WHEN s.reasons & 6 THEN 2147483647 ELSE coalesce(s.early_day, 2147483647) END"
_Static_assert((1 << REASON_OVER | 1 << REASON_OPEN_CIRCUIT) == 6, "and due_filters.h");
#define CROSSES_BEFORE "(" EARLY ") < {value} AND s.early_day IS NOT NULL"
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
	{ "what", "What is due: the day, the state and the days over are that one's", FILTER_WORD,
	  .words = &due_what_words },
	{ "asked", "With a reading that waits for an answer", FILTER_FLAG, "s.asked > 0",
	  .sql_no = "s.asked = 0" },
};

/* What is to be mended, or is due by now, before all else; in either the criticality, then the
 * grade of today. */
#define RISK "((s.grade = 4 OR s.due_day <= {today}) * 100 + s.criticality * 10 + " \
	"CASE WHEN s.grade = 4 THEN 4 WHEN s.grade <= 1 OR " \
	PROVED_UNTIL " < {today} THEN 3 WHEN s.grade = 3 THEN 2 ELSE 1 END)"
/* How far over its limit, in millionths. A failure not made good, an open circuit and an end that
 * is not attached are beyond all measure. */
#define OVER "CASE WHEN s.reasons & 32773 THEN 2147483647 " \
	"ELSE max(coalesce(s.limit_ppm, 0) - 1000000, 0) END"
_Static_assert((1 << REASON_FAILURE_OPEN | 1 << REASON_OPEN_CIRCUIT | 1 << REASON_NOT_ATTACHED) ==
	32773, "the statement above says so");
/* Days late in millionths of the time that it had: the bond's own interval (a month is 365.25 / 12
 * days), for mending the days since it is act. */
#define LATE "(({today} - s.due_day) * 1000000 / coalesce(CASE WHEN s.mend_day = s.due_day THEN " \
	"max(s.mend_day - s.act_since_day, 1) END, max(s.own_months * 487 / 16, 1)))"

static const struct list_sort due_sorts[] = {
	{ "due", "by due day", { "s.due_day" } },
	{ "place", "along the line", { "s.line_id", "s.distance_mm" } },
	{ "label", "by label", { "s.label" }, { true } },
	SORTS_OF_JUDGEMENT,
	{ "worst", "by risk: what is due or to be mended first, then by criticality, by grade, by how far "
	  "over its limit, by the days late in terms of its own interval", { RISK, OVER, LATE },
	  .descending = true, .picked = true },
};

/* of due_count (due_count.c) */
static const char *const counted_filters[] = { "line", "kind", "criticality", "surveyed", "until",
	"state", "grade", "what", "asked", NULL };
static const char *const counted_as[] = { "s.counts_as & 1",
	[OF_INSPECTIONS] = "s.counts_as >> 1 & 1", [OF_MENDINGS] = "s.counts_as >> 2 & 1" };
static const struct list_counts due_counts = { "due_count s", "s.bonds", counted_as,
	counted_filters, "s.line_id = 0" };

const struct list due_list = {
	.name = "due", .title = "Due",
	.summary = "Bonds in service by when an inspection or their mending is due.",
	.from = "{rows} s JOIN line l ON l.id = s.line_id LEFT JOIN track t ON t.id = s.track_id",
	.rows = &due_rows, .where = DUE_WHERE, .id = "s.bond_id",
	.columns = due_columns, .n_columns = COUNT(due_columns),
	.filters = due_filters, .n_filters = DUE_FILTERS,
	.sorts = due_sorts, .n_sorts = COUNT(due_sorts),
	.finish = finish_due,
	.totals = due_totals, .n_totals = DUE_TOTALS,
	.totals_from = "{rows} s", .counts = &due_counts, .needs = place_needs,
};

/* What was said of bonds, version by version. */
static const struct list_column change_columns[] = {
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "v.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "v.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "version", "Version", NULL, CELL_INTEGER }, "v.version" },
	{ { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words }, "v.kind" },
	{ { "status", "Status", NULL, CELL_WORD, &bond_status_words }, "v.status" },
	{ { "reason", "Why it was changed", NULL, CELL_TEXT, .width = 40 }, "v.reason" },
	COLUMNS_OF_ENTRY("v"),
};
static const struct list_filter change_filters[] = {
	{ "bond", "Bond", FILTER_ID, "v.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "v.line_id = {value}" },
};
static const struct list_sort change_sorts[] = {
	{ "bond", "by bond and order of entry", { "v.bond_id" } },
};
const struct list bond_change_list = {
	.name = "bond-changes", .title = "Changes of bonds",
	.summary = "What was said of bonds, each version with who entered it; the first is the "
		"registration.",
	.from = "bond_fact v JOIN line l ON l.id = v.line_id",
	.where = "NOT " SQL_OF_BEGUN("(SELECT b.import_id FROM bond b WHERE b.id = v.bond_id)"),
	.id = "v.version",
	.columns = change_columns, .n_columns = COUNT(change_columns),
	.filters = change_filters, .n_filters = COUNT(change_filters),
	.sorts = change_sorts, .n_sorts = 1,
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
	.finish = finish_bond, .needs = place_needs,
};
