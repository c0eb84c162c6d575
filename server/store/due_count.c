/* How many bonds have the same days: the totals of the due list, kept up with every state. */
#include <stdlib.h>

#include "base/day.h"
#include "store/bond.h"
#include "store/sql.h"

#define CELL "line_id, kind, criticality, surveyed, counts_as, asked, due_day, soon_from_day, " \
	"overdue_from_day, deferred_to_day, grade, evidence_until_day"
#define ADD "INSERT INTO due_count (" CELL ", bonds) "
#define TO_OTHERS " ON CONFLICT (" CELL ") DO UPDATE SET bonds = due_count.bonds + excluded.bonds"

/* The cells of all states: by what is due first, then by the other of what is to be mended. */
#define NONE "-2147483648"
#define ALIKE "s.kind, s.criticality, s.surveyed, "
#define JUDGED "s.grade, CASE WHEN s.grade IN (2, 3) THEN coalesce(s.evidence_until_day, " NONE \
	") ELSE " NONE " END, count(*) FROM bond_state s WHERE s.due_day IS NOT NULL"
#define BY_CELL " GROUP BY 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12"
#define OTHER "CASE WHEN s.mend_day = s.due_day THEN s.inspect_day ELSE s.mend_day END"
#define CELLS(line) "SELECT " line ", " ALIKE "CASE WHEN s.mend_day IS NULL THEN 3 " \
	"WHEN s.mend_day = s.due_day THEN 5 ELSE 3 END, s.asked > 0, s.due_day, s.soon_from_day, " \
	"s.overdue_from_day, coalesce(s.deferred_to_day, " NONE "), " JUDGED BY_CELL \
	" UNION ALL SELECT " line ", " ALIKE "CASE WHEN s.mend_day = s.due_day THEN 2 ELSE 4 END, " \
	"s.asked > 0, " OTHER ", CASE WHEN " OTHER " = s.due_day THEN s.soon_from_day ELSE " OTHER \
	" - s.notice_days END, " OTHER " + (s.overdue_from_day - s.due_day), " \
	"CASE WHEN s.deferred_to_day > " OTHER " THEN s.deferred_to_day ELSE " NONE " END, " JUDGED \
	" AND s.mend_day IS NOT NULL" BY_CELL

static struct due_cell cell_of(const struct bond_state *s, const struct due *due, int counts_as,
	int by)
{
	bool proved = s->grade.grade == GRADE_SOUND || s->grade.grade == GRADE_WATCH;

	_Static_assert(GRADE_SOUND == 2 && GRADE_WATCH == 3, "the statements above say so");
	return (struct due_cell){ s->line_id, (int)s->kind, (int)s->criticality, s->surveyed,
		counts_as, s->asked > 0, due->due_day, due->soon_from_day, due->overdue_from_day,
		due->deferred_until_day, (int)s->grade.grade,
		proved ? s->grade.evidence_until_day : DAY_NONE, by };
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

static int compare_cells(const void *a, const void *b)
{
	const struct due_cell *x = a, *y = b;
	const int64_t differences[] = { x->line_id - y->line_id, x->kind - y->kind,
		x->criticality - y->criticality, x->surveyed - y->surveyed, x->counts_as - y->counts_as,
		x->asked - y->asked, (int64_t)x->due_day - y->due_day,
		(int64_t)x->soon_from_day - y->soon_from_day,
		(int64_t)x->overdue_from_day - y->overdue_from_day,
		(int64_t)x->deferred_to_day - y->deferred_to_day, x->grade - y->grade,
		(int64_t)x->evidence_until_day - y->evidence_until_day };

	for (size_t i = 0; i < sizeof differences / sizeof differences[0]; i++) {
		if (differences[i] != 0) {
			return differences[i] < 0 ? -1 : 1;
		}
	}
	return 0;
}

bool due_cell_same(const struct due_cell *a, const struct due_cell *b)
{
	return compare_cells(a, b) == 0;
}

static bool add_cell(struct store *store, const struct due_cell *c, int64_t by,
	struct problem *why)
{
	static const char sql[] = ADD "VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)"
		TO_OTHERS;
	const struct value values[] = { value_integer(c->line_id), value_integer(c->kind),
		value_integer(c->criticality), value_integer(c->surveyed), value_integer(c->counts_as),
		value_integer(c->asked), value_integer(c->due_day), value_integer(c->soon_from_day),
		value_integer(c->overdue_from_day), value_integer(c->deferred_to_day),
		value_integer(c->grade), value_integer(c->evidence_until_day), value_integer(by) };

	return by == 0 || sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

/* What is alike is added up first. */
static bool add_cells(struct store *store, struct due_cell *cells, size_t count,
	struct problem *why)
{
	size_t next;

	qsort(cells, count, sizeof *cells, compare_cells);
	for (size_t i = 0; i < count; i = next) {
		int64_t by = 0;

		for (next = i; next < count && compare_cells(&cells[i], &cells[next]) == 0; next++) {
			by += cells[next].by;
		}
		if (!add_cell(store, &cells[i], by, why)) {
			return false;
		}
	}
	return true;
}

bool store_due_cells_add(struct store *store, struct due_cell *cells, size_t count,
	struct problem *why)
{
	if (!add_cells(store, cells, count, why)) {
		return false;
	}
	for (size_t i = 0; i < count; i++) {
		cells[i].line_id = 0;
	}
	return add_cells(store, cells, count, why) &&
		sql_run(store, "DELETE FROM due_count WHERE bonds = 0", NULL, 0, why);
}

bool store_due_count_make(struct store *store, struct problem *why)
{
	static const char line[] = ADD CELLS("s.line_id");
	static const char all[] = ADD CELLS("0");

	return sql_run(store, "DELETE FROM due_count", NULL, 0, why) &&
		sql_run(store, line, NULL, 0, why) && sql_run(store, all, NULL, 0, why);
}

bool store_due_count_wrong(struct store *store, int64_t *wrong, struct problem *why)
{
	static const char sql[] = "WITH counted AS (" CELLS("s.line_id") " UNION ALL " CELLS("0")
		"), kept AS (SELECT " CELL ", bonds FROM due_count) "
		"SELECT (SELECT count(*) FROM (SELECT * FROM counted EXCEPT SELECT * FROM "
		"kept) AS a) + (SELECT count(*) FROM (SELECT * FROM kept EXCEPT SELECT * FROM counted) "
		"AS b)";

	return sql_integer(store, sql, NULL, 0, 0, wrong, why);
}
