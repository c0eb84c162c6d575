/* How many bonds have the same days: the totals of the due list, kept up with every state. */
#include <stdlib.h>

#include "base/day.h"
#include "store/bond.h"
#include "store/sql.h"

#define CELLS(line) "SELECT " line ", s.kind, s.criticality, s.surveyed, s.due_day, " \
	"s.soon_from_day, s.overdue_from_day, coalesce(s.deferred_to_day, -2147483648), s.grade, " \
	"CASE WHEN s.grade = 2 THEN coalesce(s.evidence_until_day, -2147483648) ELSE -2147483648 END, "
#define OF_STATES " FROM bond_state s WHERE s.due_day IS NOT NULL"
#define BY_CELL " GROUP BY 1, 2, 3, 4, 5, 6, 7, 8, 9, 10"
#define CELL "line_id, kind, criticality, surveyed, due_day, soon_from_day, overdue_from_day, " \
	"deferred_to_day, grade, evidence_until_day"
#define ADD "INSERT INTO due_count (" CELL ", bonds) "
#define TO_OTHERS " ON CONFLICT (" CELL ") DO UPDATE SET bonds = due_count.bonds + excluded.bonds"

struct due_cell due_cell_of(const struct bond_state *s, int by)
{
	_Static_assert(GRADE_SOUND == 2, "the statements above say so");
	return (struct due_cell){ s->line_id, (int)s->kind, (int)s->criticality, s->surveyed,
		s->due.due_day, s->due.soon_from_day, s->due.overdue_from_day, s->due.deferred_until_day,
		(int)s->grade.grade,
		s->grade.grade == GRADE_SOUND ? s->grade.evidence_until_day : DAY_NONE, by };
}

static int compare_cells(const void *a, const void *b)
{
	const struct due_cell *x = a, *y = b;
	const int64_t differences[] = { x->line_id - y->line_id, x->kind - y->kind,
		x->criticality - y->criticality, x->surveyed - y->surveyed,
		(int64_t)x->due_day - y->due_day, (int64_t)x->soon_from_day - y->soon_from_day,
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

static bool add_cell(struct store *store, const struct due_cell *c, int64_t by,
	struct problem *why)
{
	static const char sql[] = ADD "VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)"
		TO_OTHERS;
	const struct value values[] = { value_integer(c->line_id), value_integer(c->kind),
		value_integer(c->criticality), value_integer(c->surveyed), value_integer(c->due_day),
		value_integer(c->soon_from_day), value_integer(c->overdue_from_day),
		value_integer(c->deferred_to_day), value_integer(c->grade),
		value_integer(c->evidence_until_day), value_integer(by) };

	return by == 0 || c->due_day == DAY_NONE || sql_run(store, sql, values, 11, why);
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
	static const char line[] = ADD CELLS("s.line_id") "count(*)" OF_STATES BY_CELL;
	static const char all[] = ADD CELLS("0") "count(*)" OF_STATES BY_CELL;

	return sql_run(store, "DELETE FROM due_count", NULL, 0, why) &&
		sql_run(store, line, NULL, 0, why) && sql_run(store, all, NULL, 0, why);
}

bool store_due_count_wrong(struct store *store, int64_t *wrong, struct problem *why)
{
	static const char sql[] = "WITH counted AS (" CELLS("s.line_id") "count(*)" OF_STATES BY_CELL
		" UNION ALL " CELLS("0") "count(*)" OF_STATES BY_CELL "), kept AS (SELECT " CELL ", bonds FROM "
		"due_count) SELECT (SELECT count(*) FROM (SELECT * FROM counted EXCEPT SELECT * FROM "
		"kept) AS a) + (SELECT count(*) FROM (SELECT * FROM kept EXCEPT SELECT * FROM counted) AS b)";

	return sql_integer(store, sql, NULL, 0, 0, wrong, why);
}
