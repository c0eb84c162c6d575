/* How many bonds have the same days: the totals of the due list, kept up with every state. */
#include "store/bond.h"
#include "store/sql.h"

#define CELLS(line) "SELECT " line ", s.kind, s.criticality, s.surveyed, s.due_day, " \
	"s.soon_from_day, s.overdue_from_day, coalesce(s.deferred_to_day, -2147483648), "
#define OF_STATES " FROM bond_state s WHERE s.due_day IS NOT NULL"
#define BY_CELL " GROUP BY 1, 2, 3, 4, 5, 6, 7, 8"
#define CELL "line_id, kind, criticality, surveyed, due_day, soon_from_day, overdue_from_day, " \
	"deferred_to_day"
#define ADD "INSERT INTO due_count (" CELL ", bonds) "
#define TO_OTHERS " ON CONFLICT (" CELL ") DO UPDATE SET bonds = due_count.bonds + excluded.bonds"

/* One bond needs no grouping, and one is what is counted most often. */
static bool add_one(struct store *store, int64_t id, int by, struct problem *why)
{
	static const char line[] = ADD CELLS("s.line_id") "$1" OF_STATES " AND s.bond_id = $2" TO_OTHERS;
	static const char all[] = ADD CELLS("0") "$1" OF_STATES " AND s.bond_id = $2" TO_OTHERS;
	const struct value values[] = { value_integer(by), value_integer(id) };

	return sql_run(store, line, values, 2, why) && sql_run(store, all, values, 2, why);
}

static bool add_range(struct store *store, int64_t first_id, int64_t last_id, int by,
	struct problem *why)
{
	static const char line[] = ADD CELLS("s.line_id") "$1 * count(*)" OF_STATES
		" AND s.bond_id BETWEEN $2 AND $3" BY_CELL TO_OTHERS;
	static const char all[] = ADD CELLS("0") "$1 * count(*)" OF_STATES
		" AND s.bond_id BETWEEN $2 AND $3" BY_CELL TO_OTHERS;
	const struct value values[] = { value_integer(by), value_integer(first_id),
		value_integer(last_id) };

	return sql_run(store, line, values, 3, why) && sql_run(store, all, values, 3, why);
}

bool store_due_count_add(struct store *store, int64_t first_id, int64_t last_id, int by,
	struct problem *why)
{
	static const char tidy[] = "DELETE FROM due_count WHERE bonds = 0";

	if (!(first_id == last_id ? add_one(store, first_id, by, why) :
		add_range(store, first_id, last_id, by, why))) {
		return false;
	}
	/* what was taken out often comes back at once: tidied after that */
	return by < 0 || sql_run(store, tidy, NULL, 0, why);
}

bool store_due_count_forget(struct store *store, struct problem *why)
{
	return sql_run(store, "DELETE FROM due_count", NULL, 0, why);
}

bool store_due_count_wrong(struct store *store, int64_t *wrong, struct problem *why)
{
	static const char sql[] = "WITH counted AS (" CELLS("s.line_id") "count(*)" OF_STATES BY_CELL
		" UNION ALL " CELLS("0") "count(*)" OF_STATES BY_CELL "), kept AS (SELECT " CELL ", bonds FROM "
		"due_count) SELECT (SELECT count(*) FROM (SELECT * FROM counted EXCEPT SELECT * FROM "
		"kept) AS a) + (SELECT count(*) FROM (SELECT * FROM kept EXCEPT SELECT * FROM counted) AS b)";

	return sql_integer(store, sql, NULL, 0, 0, wrong, why);
}
