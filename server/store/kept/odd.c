#include "store/kept/odd.h"

#include <stdlib.h>

#include "store/sql.h"

_Static_assert(ODD_BITS == 10 && ODD_MOST == 1023 && ODD_PLACE_MM == 100,
	"the statements of store/kept/odd.h say so");
_Static_assert(ODD_NO_RAIL == 0 && ODD_SAME_PLACE == 1 && ODD_NO_INSTALLATION_DAY == 4 &&
	ODD_ENDS_ALIKE == 5, "the statements below say so");

bool store_odd_ends_alike(struct store *store, const struct bond *b, bool *alike,
	struct problem *why)
{
	static const char sql[] = "SELECT ends_alike($1, $2, $3)";
	const struct value values[] = { value_integer(b->id), value_integer(b->version),
		value_integer(b->kind) };
	int64_t is = 0;
	bool ok = sql_integer(store, sql, values, 3, 0, &is, why);

	*alike = is != 0;
	return ok;
}

bool store_odd_at_place(struct store *store, const struct bond *b, int64_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM bond_state o WHERE o.line_id = $1 "
		"AND o.distance_mm BETWEEN $2 AND $3 AND o.status = 0 AND o.kind = $4 AND o.track_id = $5 "
		"AND o.rail = $6 AND (o.distance_mm > $2 OR o.bond_id > $7)";
	const struct bond_end_fact *a = &b->end[END_A];
	const struct value values[] = { value_integer(b->line_id), value_integer(a->distance_mm),
		value_integer(a->distance_mm + ODD_PLACE_MM), value_integer(b->kind),
		value_id(a->track_id), value_word(a->rail), value_integer(b->id) };

	*count = 0;
	return a->track_id == 0 || a->rail < 0 || sql_integer(store, sql, values, 7, 0, count, why);
}

bool store_odd_place_of(struct store *store, int64_t bond_id, struct odd_place *to,
	struct problem *why)
{
	static const char sql[] = "SELECT line_id, distance_mm FROM bond_state WHERE bond_id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(bond_id) }, 1, why);

	*to = (struct odd_place){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct odd_place){ sqlite3_column_int64(row, 0), sqlite3_column_int64(row, 1) };
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

struct neighbour {
	int64_t bond_id, odd;
};

/* Those that are kept otherwise; *all is the caller's: free(). */
static bool read_neighbours(struct store *store, const struct odd_place *place,
	struct neighbour **all, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT s.bond_id, s.odd, " SQL_ODD_AT_PLACE " AS beside "
		"FROM bond_state s WHERE s.line_id = $1 AND s.distance_mm BETWEEN $2 AND $3 "
		"AND s.status = 0 AND s.odd >= 0";
	const struct value values[] = { value_integer(place->line_id),
		value_integer(place->distance_mm - ODD_PLACE_MM), value_integer(place->distance_mm) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 3, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		int64_t counts[ODDS], odd = sqlite3_column_int64(rows, 1);

		odd_unpack(odd, counts);
		counts[ODD_SAME_PLACE] = sqlite3_column_int64(rows, 2);
		if (odd_pack(counts) == odd) {
			continue;
		}
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct neighbour){ sqlite3_column_int64(rows, 0), odd_pack(counts) };
	}
	return why->code == PROBLEM_NONE;
}

bool store_odd_recount(struct store *store, const struct odd_place *place, struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET odd = $1 WHERE bond_id = $2";
	struct neighbour *all = NULL;
	size_t count = 0;
	bool ok = place->line_id == 0 || read_neighbours(store, place, &all, &count, why);

	for (size_t i = 0; ok && i < count; i++) {
		ok = sql_run(store, sql, (struct value[]){ value_integer(all[i].odd),
			value_integer(all[i].bond_id) }, 2, why);
	}
	free(all);
	return ok;
}

bool store_odd_count(struct store *store, int64_t line_id, int64_t rows[ODDS], bool *whole,
	struct problem *why)
{
	static const char sql[] = "SELECT odd FROM bond_state WHERE line_id = $1 AND odd <> 0";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(line_id) }, 1, why);
	int64_t of_bond[ODDS];

	*whole = true;
	for (int what = 0; what < ODDS; what++) {
		rows[what] = 0;
	}
	while (sql_row(store, row, why)) {
		*whole = *whole && sqlite3_column_int64(row, 0) >= 0;
		odd_unpack(sqlite3_column_int64(row, 0), of_bond);
		for (int what = 0; what < ODDS; what++) {
			rows[what] += of_bond[what];
		}
	}
	return why->code == PROBLEM_NONE;
}

bool store_odd_wrong(struct store *store, int64_t *wrong, struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM bond_state s "
		"JOIN bond_fact f ON f.bond_id = s.bond_id AND f.version = s.version WHERE s.odd >= 0 AND "
		"CASE WHEN s.status <> 0 THEN s.odd <> 0 ELSE "
		"" SQL_ODD_ROWS("1") " <> " SQL_ODD_AT_PLACE " OR " SQL_ODD_ROWS("0")
		" <> (s.surveyed AND EXISTS (SELECT 1 FROM end_fact e WHERE e.bond_id = s.bond_id "
		"AND e.version = s.version AND e.on_what = 0 AND (e.track_id IS NULL OR e.rail IS NULL))) "
		"OR " SQL_ODD_ROWS("4") " <> (s.surveyed AND f.installed_day IS NULL) OR "
		SQL_ODD_ROWS("5") " <> (s.surveyed AND ends_alike(s.bond_id, s.version, s.kind)) END";

	return sql_integer(store, sql, NULL, 0, 0, wrong, why);
}
