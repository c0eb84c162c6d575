#include "store/record/bond.h"

#include <string.h>

#include "store/sql.h"

static bool insert_fact(struct store *store, const struct bond *b, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO bond_fact (bond_id, version, line_id, label, kind, "
		"criticality, status, surveyed, installed_day, removed_day, material, conductor_class, "
		"area_mm2, length_m, cables, latitude, longitude, place_written, note, reason, "
		"recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, "
		"$13, $14, $15, $16, $17, $18, $19, $20, $21, $22)";
	const struct value values[] = { value_integer(b->id), value_integer(b->version),
		value_integer(b->line_id), value_text(b->label), value_integer(b->kind),
		value_integer(b->criticality), value_integer(b->status), value_integer(b->surveyed),
		value_day(b->installed_day), value_day(b->removed_day), value_word(b->material),
		value_id(b->conductor_class), value_real(b->area_mm2), value_real(b->length_m),
		value_id(b->cables), value_real(b->latitude), value_real(b->longitude),
		value_text(b->place_written), value_text(b->note), value_text(b->reason),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

static bool insert_end(struct store *store, const struct bond *b, enum bond_end which,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO end_fact (bond_id, version, bond_end, on_what, track_id, "
		"rail, face, distance_mm, structure) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
	const struct bond_end_fact *e = &b->end[which];
	const struct value values[] = { value_integer(b->id), value_integer(b->version),
		value_integer(which), value_integer(e->on), value_id(e->track_id), value_word(e->rail),
		value_word(e->face), value_integer(e->distance_mm), value_text(e->structure) };

	return sql_run(store, sql, values, 9, why);
}

static bool insert_version(struct store *store, const struct bond *b, const struct origin *origin,
	struct problem *why)
{
	return insert_fact(store, b, origin, why) && insert_end(store, b, END_A, why) &&
		insert_end(store, b, END_B, why);
}

bool store_bond_insert(struct store *store, struct bond *bond, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] =
		"INSERT INTO bond (recorded_at_ms, recorded_by, import_id) VALUES ($1, $2, $3)";
	const struct value values[] = { value_integer(origin->now_ms), value_id(origin->person_id),
		value_id(origin->import_id) };

	if (!sql_run(store, sql, values, 3, why)) {
		return false;
	}
	bond->id = sql_last_id(store);
	bond->version = 1;
	return insert_version(store, bond, origin, why);
}

bool store_bond_change(struct store *store, struct bond *bond, const struct origin *origin,
	struct problem *why)
{
	bond->version++;
	return insert_version(store, bond, origin, why);
}

static bool get_ends(struct store *store, struct bond *b, struct problem *why)
{
	static const char sql[] = "SELECT bond_end, on_what, track_id, rail, face, distance_mm, "
		"structure FROM end_fact WHERE bond_id = $1 AND version = $2";
	const struct value values[] = { value_integer(b->id), value_integer(b->version) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 2, why);

	while (sql_row(store, rows, why)) {
		struct bond_end_fact *e = &b->end[sqlite3_column_int(rows, 0) & 1];

		e->on = (enum end_on)sqlite3_column_int(rows, 1);
		e->track_id = sqlite3_column_int64(rows, 2);
		e->rail = column_word(rows, 3);
		e->face = column_word(rows, 4);
		e->distance_mm = sqlite3_column_int64(rows, 5);
		column_text(rows, 6, e->structure, sizeof e->structure);
	}
	return why->code == PROBLEM_NONE;
}

static void read_fact(sqlite3_stmt *row, struct bond *b)
{
	*b = (struct bond){ .id = sqlite3_column_int64(row, 0),
		.version = sqlite3_column_int64(row, 1), .line_id = sqlite3_column_int64(row, 2) };
	column_text(row, 3, b->label, sizeof b->label);
	b->kind = (enum bond_kind)sqlite3_column_int(row, 4);
	b->criticality = (enum criticality)sqlite3_column_int(row, 5);
	b->status = (enum bond_status)sqlite3_column_int(row, 6);
	b->surveyed = sqlite3_column_int(row, 7) != 0;
	b->installed_day = column_day(row, 8);
	b->removed_day = column_day(row, 9);
	b->material = column_word(row, 10);
	b->conductor_class = sqlite3_column_int64(row, 11);
	b->area_mm2 = column_real(row, 12);
	b->length_m = column_real(row, 13);
	b->cables = sqlite3_column_int64(row, 14);
	b->latitude = column_real(row, 15);
	b->longitude = column_real(row, 16);
	column_text(row, 17, b->place_written, sizeof b->place_written);
	column_text(row, 18, b->note, sizeof b->note);
	column_text(row, 19, b->reason, sizeof b->reason);
}

bool store_bond_fact(struct store *store, int64_t id, struct bond *bond, struct problem *why)
{
	static const char sql[] = "SELECT bond_id, version, line_id, label, kind, criticality, status, "
		"surveyed, installed_day, removed_day, material, conductor_class, area_mm2, length_m, "
		"cables, latitude, longitude, place_written, note, reason FROM bond_fact "
		"WHERE bond_id = $1 ORDER BY version DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	if (!sql_row(store, row, why)) {
		if (why->code == PROBLEM_NONE) {
			problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no bond %lld.", (long long)id);
		}
		return false;
	}
	read_fact(row, bond);
	sql_done(row);
	return true;
}

bool store_bond_get(struct store *store, int64_t id, struct bond *bond, struct problem *why)
{
	return store_bond_fact(store, id, bond, why) && get_ends(store, bond, why);
}

/* Of bond_coming c: its import counts, and it is not derived yet. */
#define HAS_COME SQL_STANDS(NOUN_BOND, "c.bond_id") " AND NOT EXISTS (SELECT 1 FROM bond_state d " \
	"WHERE d.bond_id = c.bond_id) "

bool store_bond_find(struct store *store, int64_t line_id, const char *label, int64_t *id,
	struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM bond_state WHERE line_id = $1 AND label = $2 "
		"UNION ALL SELECT c.bond_id FROM bond_coming c WHERE c.line_id = $1 AND c.label = $2 "
		"AND " HAS_COME " LIMIT 1";

	return sql_integer(store, sql, (struct value[]){ value_integer(line_id), value_text(label) }, 2,
		0, id, why);
}

#define GONE "coalesce(f.removed_day < $1, 0) OR coalesce(f.installed_day > $1, 0)"
#define NEAR(t) "AND (" t ".track_id IS NULL OR " t ".track_id = coalesce($6, " t ".track_id)) " \
	"AND (" t ".rail IS NULL OR " t ".rail = coalesce($7, " t ".rail)) "

bool store_bond_nearest(struct store *store, int64_t line_id, int64_t track_id, int rail,
	int64_t distance_mm, int64_t within_mm, int32_t day, int64_t coming_of, int64_t *id,
	struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM (SELECT s.bond_id, "
		GONE " AS gone, "
		"abs(s.distance_mm - $2) AS away FROM bond_state s "
		"JOIN bond_fact f ON f.bond_id = s.bond_id AND f.version = s.version "
		"WHERE s.line_id = $3 AND s.distance_mm BETWEEN $4 AND $5 " NEAR("s")
		"UNION ALL SELECT c.bond_id, " GONE ", abs(c.distance_mm - $2) FROM bond_coming c "
		"JOIN bond_fact f ON f.bond_id = c.bond_id AND NOT EXISTS (SELECT 1 FROM bond_fact n "
		"WHERE n.bond_id = f.bond_id AND n.version > f.version) "
		"WHERE (c.import_id = $8 OR (" HAS_COME ")) "
		"AND c.line_id = $3 AND c.distance_mm BETWEEN $4 AND $5 " NEAR("c")
		") ORDER BY gone, away, bond_id LIMIT 1";
	const struct value values[] = { value_integer(day), value_integer(distance_mm),
		value_integer(line_id), value_integer(distance_mm - within_mm),
		value_integer(distance_mm + within_mm), value_id(track_id), value_word(rail),
		value_integer(coming_of) };

	return sql_integer(store, sql, values, 8, 0, id, why);
}

bool store_bond_first_work(struct store *store, int64_t bond_id, int32_t *day,
	enum bond_work *work, struct problem *why)
{
	static const char sql[] = "SELECT i.day, $1 FROM inspection i WHERE i.bond_id = $2 "
		"AND " SQL_COUNTS("inspection", NOUN_INSPECTION, "i.id") " "
		"UNION ALL SELECT a.made_day, $3 FROM attachment a WHERE a.bond_id = $2 "
		"AND " SQL_COUNTS("attachment", NOUN_ATTACHMENT, "a.id") " "
		"UNION ALL SELECT f.found_day, $4 FROM failure f WHERE f.bond_id = $2 "
		"AND " SQL_COUNTS("failure", NOUN_FAILURE, "f.id") " "
		"ORDER BY 1, 2 LIMIT 1";
	const struct value values[] = { value_integer(BOND_INSPECTED), value_integer(bond_id),
		value_integer(BOND_ATTACHED), value_integer(BOND_FAILED) };
	sqlite3_stmt *row = sql_select(store, sql, values, 4, why);

	*day = DAY_NONE;
	*work = BOND_INSPECTED;
	if (sql_row(store, row, why)) {
		*day = sqlite3_column_int(row, 0);
		*work = (enum bond_work)sqlite3_column_int(row, 1);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_bond_ids(struct store *store, int64_t after, int64_t *ids, size_t most, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT id FROM bond WHERE id > $1 ORDER BY id LIMIT $2";
	const struct value values[] = { value_integer(after), value_integer((int64_t)most) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 2, why);

	*count = 0;
	while (sql_row(store, rows, why)) {
		ids[(*count)++] = sqlite3_column_int64(rows, 0);
	}
	return why->code == PROBLEM_NONE;
}

bool store_line_bonds(struct store *store, int64_t line_id, int64_t **ids, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM bond_state WHERE line_id = $1 ORDER BY bond_id";

	return sql_integers(store, sql, line_id, ids, count, why);
}

bool store_bond_state_forget(struct store *store, int64_t bond_id, struct problem *why)
{
	static const char sql[] = "DELETE FROM bond_state WHERE bond_id = $1";

	return sql_run(store, sql, (struct value[]){ value_integer(bond_id) }, 1, why);
}

bool store_withdrawn_listed(struct store *store, int64_t *count, struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM correction_open o JOIN bond_state s "
		"ON s.bond_id = o.row_id WHERE o.noun = " NOUN_BOND " AND o.withdrawn = 1 AND " SQL_STILL;

	return sql_integer(store, sql, NULL, 0, 0, count, why);
}

bool store_bond_last(struct store *store, int64_t *id, struct problem *why)
{
	return sql_integer(store, "SELECT max(id) FROM bond", NULL, 0, 0, id, why);
}

bool store_bond_count(struct store *store, int64_t *count, struct problem *why)
{
	return sql_integer(store, "SELECT count(*) FROM bond", NULL, 0, 0, count, why);
}
