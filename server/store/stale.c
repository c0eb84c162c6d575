/* What is derived of bonds and rests on something that was registered anew: marked, for the keeper
 * to make again. */
#include "store/bond.h"
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

static bool mark(struct store *store, const char *sql, const struct value *values, size_t count,
	struct problem *why)
{
	return sql_run(store, sql, values, count, why) && (sql_changes(store) == 0 ||
		tell_keeper(store, why));
}

bool store_stale_all(struct store *store, struct problem *why)
{
	return mark(store, "UPDATE bond_state SET rulebook_version = 0", NULL, 0, why);
}

bool store_stale_conductor(struct store *store, int material, int64_t conductor_class,
	double area_mm2, struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET rulebook_version = 0 WHERE EXISTS "
		"(SELECT 1 FROM bond_fact f WHERE f.bond_id = bond_state.bond_id "
		"AND f.version = bond_state.version AND f.material = $1 AND f.conductor_class = $2 "
		"AND abs(f.area_mm2 - $3) < 0.02)";
	const struct value values[] = { value_integer(material), value_integer(conductor_class),
		value_real(area_mm2) };

	return mark(store, sql, values, 3, why);
}

/* (of either end: which one counts is not decided here) */
bool store_stale_track(struct store *store, int64_t track_id, struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET rulebook_version = 0 "
		"WHERE line_id = (SELECT t.line_id FROM track t WHERE t.id = $1) AND EXISTS "
		"(SELECT 1 FROM end_fact e WHERE e.bond_id = bond_state.bond_id "
		"AND e.version = bond_state.version AND e.track_id = $1)";

	return mark(store, sql, (struct value[]){ value_integer(track_id) }, 1, why);
}

bool store_stale_profile(struct store *store, const char *code, struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET rulebook_version = 0 WHERE EXISTS "
		"(SELECT 1 FROM end_fact e JOIN track_fact t ON t.track_id = e.track_id "
		"WHERE e.bond_id = bond_state.bond_id AND e.version = bond_state.version "
		"AND t.rail_profile = $1)";

	return mark(store, sql, (struct value[]){ value_text(code) }, 1, why);
}

bool store_stale_instrument(struct store *store, int64_t instrument_id, int32_t from_day,
	struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET rulebook_version = 0 WHERE bond_id IN "
		"(SELECT i.bond_id FROM inspection i JOIN reading r ON r.inspection_id = i.id "
		"WHERE i.day >= $1 AND r.instrument_id = $2)";

	return mark(store, sql, (struct value[]){ value_integer(from_day),
		value_integer(instrument_id) }, 2, why);
}

bool store_stale_import(struct store *store, int64_t import_id, struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET rulebook_version = 0 WHERE bond_id IN "
		"(SELECT bond_id FROM inspection WHERE import_id = $1 "
		"UNION SELECT bond_id FROM failure WHERE import_id = $1 "
		"UNION SELECT f.bond_id FROM repair r JOIN failure f ON f.id = r.failure_id "
		"WHERE r.import_id = $1 UNION SELECT bond_id FROM attachment WHERE import_id = $1)";

	/* (failures of no bond have their repeat places) */
	return sql_run(store, sql, (struct value[]){ value_integer(import_id) }, 1, why) &&
		tell_keeper(store, why);
}
