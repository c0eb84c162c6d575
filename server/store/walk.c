/*
 * SQLite gives a function of ours the values of a row at once; asked for column by column from
 * outside, each costs a call that looks for locks and errors. Over two tables of 14 columns that is
 * a fifth of the time in which all is judged again. The function is a condition that no row meets
 * until there is enough, so that SQLite goes from row to row by itself. Only enough() is ours:
 * without it the texts are plain SELECTs.
 */
#include "store/sql.h"

static const char POINTER[] = "bondbook walk";

struct walk {
	sql_take *take;
	void *arg;
	struct problem *why;
};

static void enough(sqlite3_context *context, int count, sqlite3_value **values)
{
	struct walk *walk = count > 0 ? sqlite3_value_pointer(values[0], POINTER) : NULL;

	if (walk == NULL) {
		sqlite3_result_error(context, "enough() is for walks", -1);
	} else {
		sqlite3_result_int(context, !walk->take(walk->arg, values + 1, walk->why));
	}
}

bool sql_walk_open(sqlite3 *db)
{
	return sqlite3_create_function_v2(db, "enough", -1, SQLITE_UTF8 | SQLITE_DIRECTONLY, NULL, enough,
		NULL, NULL, NULL) == SQLITE_OK;
}

bool sql_walk(struct store *store, const char *sql, int64_t from, sql_take *take, void *arg,
	struct problem *why)
{
	struct walk walk = { .take = take, .arg = arg, .why = why };
	const struct value values[] = { value_integer(from), value_null() };
	sqlite3_stmt *rows = sql_select(store, sql, values, 2, why);

	if (rows == NULL) {
		return false;
	}
	if (sqlite3_bind_pointer(rows, 2, &walk, POINTER, NULL) != SQLITE_OK) {
		return sql_failed(store, sql, why);
	}
	sql_row(store, rows, why);
	sql_done(rows);
	sqlite3_bind_null(rows, 2);
	if (why->code == PROBLEM_NONE && sqlite3_stmt_status(rows, SQLITE_STMTSTATUS_SORT, 1) > 0) {
		return problem_set(why, PROBLEM_STORE, NULL, "A walk must go in the order of an index.");
	}
	return why->code == PROBLEM_NONE;
}
