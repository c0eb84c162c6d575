#include "store/record/withdrawal_begun.h"

#include "store/record/book.h"
#include "store/record/imported.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_withdrawal_begin(struct store *store, const struct withdrawal *w,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO withdrawal_begun (uuid, content_hash, import_id, "
		"reason, recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_text(w->uuid), value_text(w->content_hash),
		value_integer(w->row_id), value_text(w->reason), value_integer(origin->now_ms),
		value_id(origin->person_id) };

	return sql_run(store, sql, values, COUNT(values), why);
}

/* (a withdrawal has the id of its beginning) */
#define COUNTS "EXISTS (SELECT 1 FROM withdrawal c WHERE c.uuid = g.uuid)"
#define BEGUN "SELECT g.id, g.import_id, coalesce(g.recorded_by, 0), g.uuid, g.content_hash, " \
	"g.reason FROM withdrawal_begun g "

static bool read_begun(struct store *store, sqlite3_stmt *row, struct withdrawal_begun *to,
	struct problem *why)
{
	*to = (struct withdrawal_begun){ 0 };
	if (sql_row(store, row, why)) {
		to->id = sqlite3_column_int64(row, 0);
		to->import_id = sqlite3_column_int64(row, 1);
		to->person_id = sqlite3_column_int64(row, 2);
		column_text(row, 3, to->uuid, sizeof to->uuid);
		column_text(row, 4, to->content_hash, sizeof to->content_hash);
		column_text(row, 5, to->reason, sizeof to->reason);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_withdrawal_begun_next(struct store *store, struct withdrawal_begun *to,
	struct problem *why)
{
	static const char sql[] = BEGUN "WHERE NOT " COUNTS " ORDER BY g.id LIMIT 1";

	return read_begun(store, sql_select(store, sql, NULL, 0, why), to, why);
}

bool store_withdrawal_begun_of(struct store *store, int64_t import_id, struct withdrawal_begun *to,
	struct problem *why)
{
	static const char sql[] = BEGUN "WHERE g.import_id = $1";

	return read_begun(store, sql_select(store, sql, (struct value[]){ value_integer(import_id) }, 1,
		why), to, why);
}

bool store_withdrawal_begun_find(struct store *store, const char *uuid, struct sent *to,
	struct problem *why)
{
	static const char sql[] = "SELECT id, content_hash FROM withdrawal_begun WHERE uuid = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_text(uuid) }, 1, why);

	*to = (struct sent){ 0 };
	if (sql_row(store, row, why)) {
		to->id = sqlite3_column_int64(row, 0);
		column_text(row, 1, to->hash, sizeof to->hash);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_being_withdrawn(struct store *store, enum sent_noun noun, int64_t row_id, bool *it_is,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM withdrawal_begun g WHERE NOT " COUNTS
		" AND g.import_id = CASE $1 WHEN " NOUN_IMPORT " THEN $2 WHEN " NOUN_INSPECTION
		" THEN (SELECT import_id FROM inspection WHERE id = $2) WHEN " NOUN_FAILURE
		" THEN (SELECT import_id FROM failure WHERE id = $2) WHEN " NOUN_REPAIR
		" THEN (SELECT import_id FROM repair WHERE id = $2) WHEN " NOUN_ATTACHMENT
		" THEN (SELECT import_id FROM attachment WHERE id = $2) END";
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(noun),
		value_integer(row_id) }, 2, 0, &count, why);

	*it_is = count > 0;
	return ok;
}

enum { AT_ONCE = 100 };

/* The next entries of an import in the order in which its index has them: after bond $2 and row
 * $3. */
static const char *const entries[] = {
	"SELECT " NOUN_INSPECTION ", id, bond_id FROM inspection WHERE import_id = $1 "
		"AND (bond_id, id) > ($2, $3) ORDER BY bond_id, id LIMIT $4",
	"SELECT " NOUN_FAILURE ", id, bond_id FROM failure WHERE import_id = $1 "
		"AND (bond_id, id) > ($2, $3) ORDER BY bond_id, id LIMIT $4",
	"SELECT " NOUN_REPAIR ", r.id, coalesce(f.bond_id, 0) FROM repair r JOIN failure f "
		"ON f.id = r.failure_id WHERE r.import_id = $1 AND r.id > $3 + 0 * $2 ORDER BY r.id "
		"LIMIT $4",
	"SELECT " NOUN_ATTACHMENT ", id, bond_id FROM attachment WHERE import_id = $1 "
		"AND id > $3 + 0 * $2 ORDER BY id LIMIT $4",
};

struct entry {
	int64_t noun, row_id, bond_id;
};

static bool next_entries(struct store *store, int64_t import_id, const struct withdrawal_at *at,
	struct entry all[AT_ONCE], size_t *count, struct problem *why)
{
	const struct value values[] = { value_integer(import_id), value_integer(at->bond_id),
		value_integer(at->row_id), value_integer(AT_ONCE) };
	sqlite3_stmt *rows = sql_select(store, entries[at->table], values, COUNT(values), why);

	*count = 0;
	while (sql_row(store, rows, why)) {
		all[(*count)++] = (struct entry){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int64(rows, 1), sqlite3_column_int64(rows, 2) };
	}
	return why->code == PROBLEM_NONE;
}

/* What is left out already stays so: withdrawn by itself, or waiting (store_withdrawal_ready). */
static bool make_ready(struct store *store, const struct withdrawal_begun *g, const struct entry *e,
	struct problem *why)
{
	static const char left_out[] = "INSERT INTO correction_open (noun, row_id, bond_id, withdrawn, "
		"import_id) VALUES ($1, $2, $3, 1, $4) ON CONFLICT (noun, row_id) DO NOTHING";
	static const char watched[] = "INSERT INTO better_watch (bond_id, withdrawal_id, grade_before) "
		"SELECT s.bond_id, -$1, s.grade FROM bond_state s WHERE s.bond_id = $2 "
		"ON CONFLICT (bond_id, withdrawal_id) DO NOTHING";

	return sql_run(store, left_out, (struct value[]){ value_integer(e->noun),
		value_integer(e->row_id), value_integer(e->bond_id), value_integer(g->import_id) }, 4,
		why) && sql_run(store, watched, (struct value[]){ value_integer(g->id),
		value_integer(e->bond_id) }, 2, why);
}

bool store_withdrawal_prepare(struct store *store, const struct withdrawal_begun *g,
	struct withdrawal_at *at, struct problem *why)
{
	struct entry all[AT_ONCE];
	size_t count = 0;
	bool ok = next_entries(store, g->import_id, at, all, &count, why);

	for (size_t i = 0; ok && i < count; i++) {
		ok = make_ready(store, g, &all[i], why);
		at->bond_id = all[i].bond_id;
		at->row_id = all[i].row_id;
	}
	if (ok && count < AT_ONCE) {
		*at = (struct withdrawal_at){ .table = at->table + 1 };
		at->done = at->table == COUNT(entries);
	}
	return ok;
}

bool store_withdrawal_ready(struct store *store, int64_t import_id, struct problem *why)
{
	static const char waiting[] = "UPDATE correction_open SET withdrawn = 1 WHERE withdrawn = 0 "
		"AND $1 = CASE noun WHEN " NOUN_INSPECTION " THEN (SELECT import_id FROM inspection "
		"WHERE id = row_id) WHEN " NOUN_FAILURE " THEN (SELECT import_id FROM failure "
		"WHERE id = row_id) WHEN " NOUN_REPAIR " THEN (SELECT import_id FROM repair "
		"WHERE id = row_id) WHEN " NOUN_ATTACHMENT " THEN (SELECT import_id FROM attachment "
		"WHERE id = row_id) END";
	static const char of_no_bond[] = "INSERT INTO correction_open (noun, row_id, bond_id, "
		"withdrawn, import_id) SELECT " NOUN_FAILURE ", id, 0, 1, import_id FROM failure WHERE import_id = $1 "
		"AND bond_id IS NULL ON CONFLICT (noun, row_id) DO NOTHING";
	const struct value number = value_integer(import_id);

	return sql_run(store, waiting, &number, 1, why) && sql_run(store, of_no_bond, &number, 1, why);
}

bool store_withdrawal_next_bond(struct store *store, int64_t begun_id, int64_t after,
	int64_t *bond_id, struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM better_watch WHERE bond_id > $1 "
		"AND withdrawal_id = -$2 ORDER BY bond_id LIMIT 1";

	return sql_integer(store, sql, (struct value[]){ value_integer(after),
		value_integer(begun_id) }, 2, 0, bond_id, why);
}

bool store_withdrawal_bond_done(struct store *store, int64_t begun_id, int64_t bond_id,
	struct problem *why)
{
	static const char sql[] = "DELETE FROM better_watch WHERE bond_id = $1 AND withdrawal_id = -$2";

	return sql_run(store, sql, (struct value[]){ value_integer(bond_id), value_integer(begun_id) },
		2, why);
}

bool store_withdrawal_waits_for(struct store *store, int64_t bond_id, bool *it_does,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM better_watch b JOIN withdrawal_begun g "
		"ON g.id = -b.withdrawal_id WHERE b.bond_id = $1 AND b.withdrawal_id < 0 AND " COUNTS;
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(bond_id) }, 1, 0, &count,
		why);

	*it_does = count > 0;
	return ok;
}

bool store_withdrawal_open(struct store *store, int64_t *import_id, struct problem *why)
{
	return store_mark_get(store, "withdrawn", import_id, why);
}

bool store_withdrawal_open_put(struct store *store, int64_t import_id, struct problem *why)
{
	return store_mark_put(store, "withdrawn", import_id, why);
}

bool store_import_is_large(struct store *store, int64_t import_id, int64_t most, bool *it_is,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM (SELECT 1 FROM (" IMPORTED("$1") ") LIMIT $2)";
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(import_id),
		value_integer(most + 1) }, 2, 0, &count, why);

	*it_is = count > most;
	return ok;
}
