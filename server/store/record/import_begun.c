#include "store/record/import_begun.h"

#include <stdlib.h>

#include "store/sql.h"

void import_begun_release(struct import_begun *b)
{
	free(b->kind);
	free(b->file_name);
	free(b->file_hash);
	free(b->settings);
	*b = (struct import_begun){ 0 };
}

bool store_import_begin(struct store *store, struct import_begun *b, struct problem *why)
{
	static const char sql[] = "INSERT INTO import_begun (import_id, kind, file_name, file_hash, "
		"kept_as, settings, rows_read, stated_by, recorded_at_ms, recorded_by, bonds_made) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
	bool ok = store_import_next(store, &b->id, why);
	const struct value values[] = { value_integer(b->id), value_text(b->kind),
		value_text(b->file_name), value_text(b->file_hash), value_text(b->kept_as),
		value_text(b->settings), value_integer(b->rows_read), value_id(b->stated_by),
		value_integer(b->origin.now_ms), value_id(b->origin.person_id),
		value_integer(b->bonds_made) };

	return ok && sql_run(store, sql, values, 11, why);
}

#define NO_ROW "NOT EXISTS (SELECT 1 FROM import i WHERE i.id = b.import_id)"
#define ENDED "EXISTS (SELECT 1 FROM import_ended e WHERE e.import_id = b.import_id)"
#define WITHDRAWN "EXISTS (SELECT 1 FROM withdrawal w WHERE w.noun = " NOUN_IMPORT \
	" AND w.row_id = b.import_id)"

bool store_import_under_way(struct store *store, struct import_begun *to, struct problem *why)
{
	static const char sql[] = "SELECT b.import_id, b.kind, b.file_name, b.file_hash, b.settings, "
		"b.kept_as, b.rows_read, b.stated_by, b.recorded_at_ms, b.recorded_by, "
		"coalesce(b.bonds_made, -1) FROM import_begun b "
		"WHERE " NO_ROW " AND NOT " ENDED " AND NOT " WITHDRAWN " ORDER BY b.import_id LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, NULL, 0, why);

	*to = (struct import_begun){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct import_begun){ sqlite3_column_int64(row, 0), column_dup(row, 1),
			column_dup(row, 2), column_dup(row, 3), column_dup(row, 4), "",
			sqlite3_column_int64(row, 6), sqlite3_column_int64(row, 10),
			sqlite3_column_int64(row, 7),
			{ .now_ms = sqlite3_column_int64(row, 8), .person_id = sqlite3_column_int64(row, 9) } };
		column_text(row, 5, to->kept_as, sizeof to->kept_as);
		sql_done(row);
	}
	if (to->id != 0 && (to->kind == NULL || to->file_name == NULL || to->file_hash == NULL ||
		to->settings == NULL)) {
		import_begun_release(to);
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	return why->code == PROBLEM_NONE;
}

bool store_import_standing(struct store *store, int64_t id, enum import_standing *standing,
	struct problem *why)
{
	static const char sql[] = "SELECT CASE WHEN " WITHDRAWN " THEN 3 WHEN " ENDED " THEN 2 "
		"WHEN " NO_ROW " THEN 1 ELSE 0 END FROM import_begun b WHERE b.import_id = $1";
	int64_t is = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, IMPORT_COUNTS, &is,
		why);

	_Static_assert(IMPORT_COUNTS == 0 && IMPORT_UNDER_WAY == 1 && IMPORT_ENDED == 2 &&
		IMPORT_WITHDRAWN == 3, "the statement above says so");
	*standing = (enum import_standing)is;
	return ok;
}

bool store_import_keeps(struct store *store, const char *kept_as, bool *it_does,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM import_begun b WHERE b.kept_as = $1 AND "
		NO_ROW " AND NOT " ENDED " AND NOT " WITHDRAWN;
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_text(kept_as) }, 1, 0, &count, why);

	*it_does = count > 0;
	return ok;
}

bool store_import_reason(struct store *store, int64_t id, char to[PROBLEM_DETAIL_SIZE],
	struct problem *why)
{
	sqlite3_stmt *row = sql_select(store, "SELECT reason FROM import_ended WHERE import_id = $1",
		(struct value[]){ value_integer(id) }, 1, why);

	to[0] = '\0';
	if (sql_row(store, row, why)) {
		column_text(row, 0, to, PROBLEM_DETAIL_SIZE);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_import_end(struct store *store, int64_t id, const char *reason, int64_t now_ms,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO import_ended (import_id, reason, recorded_at_ms) "
		"VALUES ($1, $2, $3)";

	return sql_run(store, sql, (struct value[]){ value_integer(id), value_text(reason),
		value_integer(now_ms) }, 3, why);
}

bool store_import_bounds(struct store *store, struct import_bounds *to, struct problem *why)
{
	return sql_integer(store, "SELECT max(id) FROM inspection", NULL, 0, 0, &to->inspection, why) &&
		sql_integer(store, "SELECT max(id) FROM failure", NULL, 0, 0, &to->failure, why) &&
		sql_integer(store, "SELECT max(id) FROM repair", NULL, 0, 0, &to->repair, why);
}

#define LEAVE_OUT "INSERT INTO correction_open (noun, row_id, bond_id, withdrawn, import_id) " \
	"SELECT "
/* (they are the last) */
#define SINCE(row) "WHERE +" row ".import_id = $1 AND " row ".id > $2"

bool store_import_leave_out(struct store *store, int64_t id, const struct import_bounds *since,
	struct problem *why)
{
	static const char inspections[] = LEAVE_OUT NOUN_INSPECTION ", e.id, e.bond_id, 1, e.import_id "
		"FROM inspection e " SINCE("e");
	static const char failures[] = LEAVE_OUT NOUN_FAILURE ", e.id, "
		"coalesce(e.bond_id, 0), 1, e.import_id "
		"FROM failure e " SINCE("e");
	static const char repairs[] = LEAVE_OUT NOUN_REPAIR ", e.id, "
		"coalesce(f.bond_id, 0), 1, e.import_id "
		"FROM repair e JOIN failure f ON f.id = e.failure_id " SINCE("e");

	return sql_run(store, inspections, (struct value[]){ value_integer(id),
		value_integer(since->inspection) }, 2, why) &&
		sql_run(store, failures, (struct value[]){ value_integer(id),
		value_integer(since->failure) }, 2, why) &&
		sql_run(store, repairs, (struct value[]){ value_integer(id),
		value_integer(since->repair) }, 2, why);
}

bool store_import_next_bond(struct store *store, int64_t id, int64_t after, int64_t *bond_id,
	struct problem *why)
{
	static const char sql[] = "SELECT min(b) FROM (SELECT min(bond_id) AS b FROM inspection "
		"WHERE import_id = $1 AND bond_id > $2 UNION ALL SELECT min(bond_id) FROM failure "
		"WHERE import_id = $1 AND bond_id > $2 UNION ALL SELECT min(id) FROM bond "
		"WHERE import_id = $1 AND id > $2)";

	return sql_integer(store, sql, (struct value[]){ value_integer(id), value_integer(after) }, 2,
		0, bond_id, why);
}

bool store_import_next_line(struct store *store, int64_t id, int64_t after, int64_t *line_id,
	struct problem *why)
{
	static const char sql[] = "SELECT min(line_id) FROM failure WHERE import_id = $1 "
		"AND line_id > $2";

	return sql_integer(store, sql, (struct value[]){ value_integer(id), value_integer(after) }, 2,
		0, line_id, why);
}

bool store_import_tidy(struct store *store, int64_t id, int64_t bond_id, struct problem *why)
{
	static const char sql[] = "DELETE FROM correction_open WHERE noun IN (" NOUN_INSPECTION ", "
		NOUN_FAILURE ", " NOUN_REPAIR ", " NOUN_BOND ") AND bond_id = $1 AND import_id = $2";

	return sql_run(store, sql, (struct value[]){ value_integer(bond_id), value_integer(id) }, 2,
		why);
}

bool store_import_is_of_bond(struct store *store, int64_t id, int64_t bond_id, bool *it_is,
	struct problem *why)
{
	int64_t next = 0;
	bool ok = store_import_next_bond(store, id, bond_id - 1, &next, why);

	*it_is = next == bond_id;
	return ok;
}

bool store_import_brought(struct store *store, int64_t id, enum sent_noun noun, int64_t row_id,
	bool *it_did, struct problem *why)
{
	static const char *const sql[] = {
		[SENT_INSPECTION] = "SELECT import_id FROM inspection WHERE id = $1",
		[SENT_FAILURE] = "SELECT import_id FROM failure WHERE id = $1",
		[SENT_BOND] = "SELECT import_id FROM bond WHERE id = $1" };
	int64_t by = 0;
	bool ok = sql_integer(store, sql[noun], (struct value[]){ value_integer(row_id) }, 1, 0, &by,
		why);

	*it_did = by == id;
	return ok;
}

bool store_import_bonds(struct store *store, int64_t id, int64_t *count, struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM bond WHERE import_id = $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, count, why);
}

bool store_import_person(struct store *store, int64_t id, int64_t *person_id, struct problem *why)
{
	static const char sql[] = "SELECT coalesce(recorded_by, 0) FROM import WHERE id = $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, person_id, why);
}

bool store_import_rows(struct store *store, int64_t id, struct import_row *to, struct problem *why)
{
	static const char sql[] = "SELECT rows_read, rows_added, rows_already, rows_left_out "
		"FROM import WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	*to = (struct import_row){ .id = id };
	if (sql_row(store, row, why)) {
		to->rows_read = sqlite3_column_int64(row, 0);
		to->rows_added = sqlite3_column_int64(row, 1);
		to->rows_already = sqlite3_column_int64(row, 2);
		to->rows_left_out = sqlite3_column_int64(row, 3);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}
