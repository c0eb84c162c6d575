/* What is derived of bonds and rests on something that was registered anew: marked, for the keeper
 * to make again. */
#include "store/record/bond.h"
#include "store/sql.h"

/* The mark counts up, so that a keeper under way sees that it must begin again. */
static bool tell_keeper(struct store *store, struct problem *why)
{
	static const char stale[] = "INSERT INTO derived_mark (name, value) VALUES ('stale', 1) "
		"ON CONFLICT (name) DO UPDATE SET value = derived_mark.value + 1";
	static const char rulebook[] = "INSERT INTO derived_mark (name, value) VALUES ('rulebook', -1) "
		"ON CONFLICT (name) DO UPDATE SET value = -1";

	return sql_run(store, stale, NULL, 0, why) && sql_run(store, rulebook, NULL, 0, why);
}

/* The two statements of a mark: bonds are to be made again, and those of them that could become
 * better by it are watched, for the withdrawal that was recorded last. */
#define STALE(where) { "UPDATE bond_state SET rulebook_version = 0 WHERE " where, \
	"INSERT INTO better_watch (bond_id, withdrawal_id, grade_before) SELECT bond_state.bond_id, " \
	"(SELECT max(w.id) FROM withdrawal w), bond_state.grade FROM bond_state " \
	"WHERE bond_state.grade <> 2 AND " where }
_Static_assert(GRADE_SOUND == 2, "the statement above says so");

static bool mark(struct store *store, const char *const sql[2], const struct value *values,
	size_t count, enum stale_by by, struct problem *why)
{
	return (by != STALE_BY_WITHDRAWAL || sql_run(store, sql[1], values, count, why)) &&
		sql_run(store, sql[0], values, count, why) && (sql_changes(store) == 0 ||
		tell_keeper(store, why));
}

bool store_stale_all(struct store *store, struct problem *why)
{
	static const char *const sql[] = STALE("true");

	return mark(store, sql, NULL, 0, STALE_BY_ENTRY, why);
}

bool store_stale_conductor(struct store *store, int material, int64_t conductor_class,
	double area_mm2, enum stale_by by, struct problem *why)
{
	static const char *const sql[] = STALE("EXISTS "
		"(SELECT 1 FROM bond_fact f WHERE f.bond_id = bond_state.bond_id "
		"AND f.version = bond_state.version AND f.material = $1 AND f.conductor_class = $2 "
		"AND abs(f.area_mm2 - $3) < 0.02)");
	const struct value values[] = { value_integer(material), value_integer(conductor_class),
		value_real(area_mm2) };

	return mark(store, sql, values, 3, by, why);
}

/* (of either end: which one counts is not decided here) */
bool store_stale_track(struct store *store, int64_t track_id, struct problem *why)
{
	static const char *const sql[] = STALE(
		"line_id = (SELECT t.line_id FROM track t WHERE t.id = $1) AND EXISTS "
		"(SELECT 1 FROM end_fact e WHERE e.bond_id = bond_state.bond_id "
		"AND e.version = bond_state.version AND e.track_id = $1)");

	return mark(store, sql, (struct value[]){ value_integer(track_id) }, 1, STALE_BY_ENTRY, why);
}

bool store_stale_instrument(struct store *store, int64_t instrument_id, int32_t from_day,
	enum stale_by by, struct problem *why)
{
	static const char *const sql[] = STALE("bond_id IN "
		"(SELECT i.bond_id FROM inspection i JOIN reading r ON r.inspection_id = i.id "
		"WHERE i.day >= $1 AND r.instrument_id = $2)");

	return mark(store, sql, (struct value[]){ value_integer(from_day),
		value_integer(instrument_id) }, 2, by, why);
}

bool store_stale_import(struct store *store, int64_t import_id, enum stale_by by,
	struct problem *why)
{
	static const char *const sql[] = STALE("bond_id IN (SELECT bond_id FROM inspection WHERE import_id = $1 "
		"UNION SELECT bond_id FROM failure WHERE import_id = $1 "
		"UNION SELECT f.bond_id FROM repair r JOIN failure f ON f.id = r.failure_id "
		"WHERE r.import_id = $1 UNION SELECT bond_id FROM attachment WHERE import_id = $1)");

	/* (failures of no bond have their repeat places) */
	return mark(store, sql, (struct value[]){ value_integer(import_id) }, 1, by, why) &&
		tell_keeper(store, why);
}
