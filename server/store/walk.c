/*
 * SQLite gives a function of ours the values of a row at once; asked for column by column from
 * outside, each costs a call that looks for locks and errors. Over two tables of 14 columns that is
 * a fifth of the time in which all is judged again. The function is a condition that no row meets
 * until there is enough, so that SQLite goes from row to row by itself. Only enough() is ours:
 * without it the texts are plain SELECTs.
 */
#include "store/connection.h"

struct walk {
	sql_take *take;
	void *arg;
	struct problem *why;
};

static void enough(sqlite3_context *context, int count, sqlite3_value **values)
{
	const struct store *store = sqlite3_user_data(context);
	const struct walk *walk = store->walk;

	(void)count;
	if (walk == NULL) {
		sqlite3_result_error(context, "enough() is for walks", -1);
	} else {
		sqlite3_result_int(context, !walk->take(walk->arg, values, walk->why));
	}
}

bool sql_walk_open(struct store *store, sqlite3 *db)
{
	return sqlite3_create_function_v2(db, "enough", -1, SQLITE_UTF8 | SQLITE_DIRECTONLY, store,
		enough, NULL, NULL, NULL) == SQLITE_OK;
}

bool sql_walk(struct store *store, const char *sql, int64_t from, sql_take *take, void *arg,
	struct problem *why)
{
	return sql_walk_by(store, sql, (struct value[]){ value_integer(from) }, 1, take, arg, why);
}

bool sql_walk_by(struct store *store, const char *sql, const struct value *values, size_t count,
	sql_take *take, void *arg, struct problem *why)
{
	const struct walk walk = { .take = take, .arg = arg, .why = why }, *outer = store->walk;
	sqlite3_stmt *rows = sql_select(store, sql, values, count, why);

	if (rows == NULL) {
		return false;
	}
	store->walk = &walk;
	sql_row(store, rows, why);
	store->walk = outer;
	sql_done(rows);
	if (why->code == PROBLEM_NONE && sqlite3_stmt_status(rows, SQLITE_STMTSTATUS_SORT, 1) > 0) {
		return problem_set(why, PROBLEM_STORE, NULL, "A walk must go in the order of an index.");
	}
	return why->code == PROBLEM_NONE;
}
