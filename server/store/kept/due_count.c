/* How many bonds have the same days: the totals of the due list, kept up with every state. */
#include <stdlib.h>

#include "base/day.h"
#include "store/record/bond.h"
#include "store/sql.h"

#define CELL "line_id, due_day, alike, deferred_to_day, evidence_until_day"
#define ADD "INSERT INTO due_cell (" CELL ", bonds) "
#define OF_CELL "line_id = $2 AND due_day = $3 AND alike = $4 AND deferred_to_day = $5 AND " \
	"evidence_until_day = $6"

/* The bits of `alike`; the view due_count takes them apart. Notice and grace are at most 365
 * days. */
enum { CRITICALITY_AT = 5, SURVEYED_AT = 8, COUNTS_AS_AT = 9, ASKED_AT = 12, GRADE_AT = 13,
	NOTICE_AT = 16, GRACE_AT = 32 };
_Static_assert(RULEBOOK_KINDS <= 1 << CRITICALITY_AT && RULEBOOK_CRITICALITIES <= 8, "so many bits");
#define BITS(counts_as, notice) "s.kind | (s.criticality << 5) | (s.surveyed << 8) | (" counts_as \
	" << 9) | ((s.asked > 0) << 12) | (s.grade << 13) | ((" notice ") << 16) | " \
	"((s.overdue_from_day - s.due_day) << 32)"

/* The cells of all states: by what is due first, then by the other of what is to be mended. */
#define NONE "-2147483648"
#define JUDGED "CASE WHEN s.grade IN (2, 3) THEN coalesce(s.evidence_until_day, " NONE \
	") ELSE " NONE " END, count(*) FROM bond_state s WHERE s.due_day IS NOT NULL"
#define BY_CELL " GROUP BY 1, 2, 3, 4, 5"
#define OTHER "CASE WHEN s.mend_day = s.due_day THEN s.inspect_day ELSE s.mend_day END"
#define CELLS(line) "SELECT " line ", s.due_day, " BITS("CASE WHEN s.mend_day IS NULL THEN 3 " \
	"WHEN s.mend_day = s.due_day THEN 5 ELSE 3 END", "s.due_day - s.soon_from_day") \
	", coalesce(s.deferred_to_day, " NONE "), " JUDGED BY_CELL \
	" UNION ALL SELECT " line ", " OTHER ", " BITS("CASE WHEN s.mend_day = s.due_day THEN 2 ELSE 4 END", \
	"CASE WHEN " OTHER " = s.due_day THEN s.due_day - s.soon_from_day ELSE s.notice_days END") \
	", CASE WHEN s.deferred_to_day > " OTHER " THEN s.deferred_to_day ELSE " NONE " END, " JUDGED \
	" AND s.mend_day IS NOT NULL" BY_CELL

static struct due_cell cell_of(const struct bond_state *s, const struct due *due, int counts_as,
	int by)
{
	bool proved = s->grade.grade == GRADE_SOUND || s->grade.grade == GRADE_WATCH;
	int64_t notice = due->due_day - due->soon_from_day;
	int64_t grace = due->overdue_from_day - due->due_day;

	_Static_assert(GRADE_SOUND == 2 && GRADE_WATCH == 3, "the statements above say so");
	return (struct due_cell){ .line_id = s->line_id, .due_day = due->due_day,
		.alike = (int64_t)s->kind | (int64_t)s->criticality << CRITICALITY_AT |
		(int64_t)s->surveyed << SURVEYED_AT | (int64_t)counts_as << COUNTS_AS_AT |
		(int64_t)(s->asked > 0) << ASKED_AT | (int64_t)s->grade.grade << GRADE_AT |
		notice << NOTICE_AT | grace << GRACE_AT,
		.deferred_to_day = due->deferred_until_day,
		.evidence_until_day = proved ? s->grade.evidence_until_day : DAY_NONE, .by = by };
}

size_t due_cells_of(const struct bond_state *s, int by, struct due_cell to[DUE_CELLS])
{
	bool mending_first = s->due.mend_day != DAY_NONE && s->due.mend_day == s->due.due_day;
	struct due other;

	if (s->due.due_day == DAY_NONE) {
		return 0;
	}
	to[0] = cell_of(s, &s->due, DUE_COUNTS_FIRST |
		(mending_first ? DUE_COUNTS_MENDING : DUE_COUNTS_INSPECTION), by);
	if (s->due.mend_day == DAY_NONE) {
		return 1;
	}
	due_alone(&s->due, mending_first ? DUE_INSPECTION : DUE_MENDING, &other);
	to[1] = cell_of(s, &other, mending_first ? DUE_COUNTS_INSPECTION : DUE_COUNTS_MENDING, by);
	return 2;
}

static int compare(int64_t a, int64_t b)
{
	return a < b ? -1 : a > b;
}

/* All but the line. */
static int compare_days(const struct due_cell *x, const struct due_cell *y)
{
	int by = compare(x->due_day, y->due_day);

	by = by != 0 ? by : compare(x->alike, y->alike);
	by = by != 0 ? by : compare(x->deferred_to_day, y->deferred_to_day);
	return by != 0 ? by : compare(x->evidence_until_day, y->evidence_until_day);
}

/* The line last: the cells of all lines together lie side by side too. */
static int compare_cells(const void *a, const void *b)
{
	const struct due_cell *x = a, *y = b;
	int by = compare_days(x, y);

	return by != 0 ? by : compare(x->line_id, y->line_id);
}

bool due_cell_same(const struct due_cell *a, const struct due_cell *b)
{
	return compare_cells(a, b) == 0;
}

/* Three statements for one row each: one statement for all cases is undone on its own where it
 * fails, and to be ready for that copies every page that it writes. */
static bool add_cell(struct store *store, const struct due_cell *c, struct problem *why)
{
	static const char drop[] = "DELETE FROM due_cell WHERE bonds = -$1 AND " OF_CELL;
	static const char change[] = "UPDATE due_cell SET bonds = bonds + $1 WHERE " OF_CELL;
	static const char begin[] = "INSERT INTO due_cell (bonds, " CELL ") "
		"VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_integer(c->by), value_integer(c->line_id),
		value_integer(c->due_day), value_integer(c->alike), value_integer(c->deferred_to_day),
		value_integer(c->evidence_until_day) };
	const size_t n = sizeof values / sizeof values[0];

	if (c->by == 0) {
		return true;
	}
	if (c->by < 0 && !sql_run(store, drop, values, n, why)) {
		return false;
	}
	if (c->by < 0 && sql_changes(store) > 0) {
		return true;
	}
	return sql_run(store, change, values, n, why) &&
		(sql_changes(store) > 0 || sql_run(store, begin, values, n, why));
}

/* What is alike is added up first: cells of a line, or of all of them. */
static bool add_cells(struct store *store, const struct due_cell *cells, size_t count,
	bool by_line, struct problem *why)
{
	size_t next;

	for (size_t i = 0; i < count; i = next) {
		struct due_cell sum = cells[i];

		sum.line_id = by_line ? sum.line_id : 0;
		sum.by = 0;
		for (next = i; next < count && compare_days(&sum, &cells[next]) == 0 &&
			(!by_line || cells[next].line_id == sum.line_id); next++) {
			sum.by += cells[next].by;
		}
		if (!add_cell(store, &sum, why)) {
			return false;
		}
	}
	return true;
}

bool store_due_cells_add(struct store *store, struct due_cell *cells, size_t count,
	struct problem *why)
{
	qsort(cells, count, sizeof *cells, compare_cells);
	return add_cells(store, cells, count, true, why) &&
		add_cells(store, cells, count, false, why);
}

bool store_due_count_make(struct store *store, struct problem *why)
{
	static const char line[] = ADD CELLS("s.line_id");
	static const char all[] = ADD CELLS("0");

	return sql_run(store, "DELETE FROM due_cell", NULL, 0, why) &&
		sql_run(store, line, NULL, 0, why) && sql_run(store, all, NULL, 0, why);
}

bool store_due_count_wrong(struct store *store, int64_t *wrong, struct problem *why)
{
	static const char sql[] = "WITH counted AS (" CELLS("s.line_id") " UNION ALL " CELLS("0")
		"), kept AS (SELECT " CELL ", bonds FROM due_cell) "
		"SELECT (SELECT count(*) FROM (SELECT * FROM counted EXCEPT SELECT * FROM "
		"kept) AS a) + (SELECT count(*) FROM (SELECT * FROM kept EXCEPT SELECT * FROM counted) "
		"AS b)";

	return sql_integer(store, sql, NULL, 0, 0, wrong, why);
}
