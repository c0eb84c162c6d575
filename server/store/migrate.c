#include "store/migrate.h"

#include "base/clock.h"
#include "base/log.h"

static bool pragma_integer(struct store *store, const char *sql, int64_t *to, struct problem *why)
{
	return sql_integer(store, sql, NULL, 0, 0, to, why);
}

static int newest_known(void)
{
	int newest = 0;

	for (const struct migration *m = store_migrations; m->number > 0; m++) {
		newest = m->number;
	}
	return newest;
}

bool store_is_register(struct store *store, bool make, struct problem *why)
{
	int64_t id, tables;

	if (!pragma_integer(store, "PRAGMA application_id", &id, why) ||
		!pragma_integer(store, "SELECT count(*) FROM sqlite_schema", &tables, why)) {
		return false;
	}
	if (id == REGISTER_APPLICATION_ID) {
		return true;
	}
	if (id != 0 || tables > 0) {
		return problem_set(why, PROBLEM_RULE, NULL,
			"This file is a database of another program, not a bond register.");
	}
	if (!make) {
		return problem_set(why, PROBLEM_RULE, NULL, "This file is empty, not a bond register.");
	}
	return true;
}

static bool apply(struct store *store, const struct migration *m, struct problem *why)
{
	static const char note[] =
		"INSERT INTO schema_version (number, name, applied_at_ms) VALUES ($1, $2, $3)";
	const struct value values[] = { value_integer(m->number), value_text(m->name),
		value_integer(clock_now_ms()) };

	if (sqlite3_exec(sql_connection(store), m->sql, NULL, NULL, NULL) != SQLITE_OK) {
		return sql_failed(store, m->name, why);
	}
	return sql_run(store, note, values, 3, why);
}

static bool prepare_file(struct store *store, struct problem *why)
{
	static const char make[] =
		"PRAGMA application_id = 1114530882;"
		"CREATE TABLE IF NOT EXISTS schema_version ("
		" number INTEGER PRIMARY KEY, name TEXT NOT NULL, applied_at_ms INTEGER NOT NULL) STRICT;";

	_Static_assert(REGISTER_APPLICATION_ID == 1114530882, "the mark is written twice");
	if (sqlite3_exec(sql_connection(store), make, NULL, NULL, NULL) != SQLITE_OK) {
		return sql_failed(store, "make the register", why);
	}
	return true;
}

/* A table that others refer to is made anew with the same rows and numbers: while that goes on
 * references lead nowhere. (Within a transaction SQLite does not take this setting.) */
static bool look_at_references(struct store *store, bool on, struct problem *why)
{
	return sqlite3_exec(sql_connection(store), on ? "PRAGMA foreign_keys = ON" :
		"PRAGMA foreign_keys = OFF", NULL, NULL, NULL) == SQLITE_OK ||
		sql_failed(store, "foreign keys", why);
}

static bool apply_later(struct store *store, enum store_mode mode, int64_t have,
	struct problem *why)
{
	for (const struct migration *m = store_migrations; m->number > 0; m++) {
		if (m->number <= have) {
			continue;
		}
		if (!store_begin(store, why) || !apply(store, m, why) || !store_commit(store, why)) {
			store_rollback(store);
			return false;
		}
		log_line(mode == STORE_MAKE ? LOG_DEBUG : LOG_INFO, "schema applied", "file", m->name, NULL);
	}
	return true;
}

/* Those that come after one that is there are made on top of it: none is put in below. */
static bool check_none_lacks(struct store *store, int64_t have, struct problem *why)
{
	static const char is_there[] = "SELECT count(*) FROM schema_version WHERE number = $1";

	for (const struct migration *m = store_migrations; m->number > 0 && m->number <= have; m++) {
		int64_t there = 0;

		if (!sql_integer(store, is_there, (struct value[]){ value_integer(m->number) }, 1, 0,
			&there, why)) {
			return false;
		}
		if (there == 0) {
			return problem_set(why, PROBLEM_RULE, NULL, "This register has the schema's step %d "
				"and lacks an earlier one, %s: no released program wrote it.", (int)have, m->name);
		}
	}
	return true;
}

bool store_migrate(struct store *store, enum store_mode mode, struct problem *why)
{
	static const char at[] = "SELECT max(number) FROM schema_version";
	int64_t have = 0;

	if ((mode == STORE_MAKE && !(store_begin(store, why) && prepare_file(store, why) &&
		store_commit(store, why))) ||
		!sql_integer(store, at, NULL, 0, 0, &have, why)) {
		return false;
	}
	if (have > newest_known()) {
		return problem_set(why, PROBLEM_RULE, NULL, "This register was written by a newer version "
			"of the program (schema %d, this one knows %d): use that one.", (int)have,
			newest_known());
	}
	if (!check_none_lacks(store, have, why)) {
		return false;
	}
	if (have < newest_known() && mode == STORE_READ) {
		return problem_set(why, PROBLEM_RULE, NULL, "This register has an older schema (%d of %d): "
			"start the server once to bring it up to date.", (int)have, newest_known());
	}
	return have == newest_known() || (look_at_references(store, false, why) &&
		apply_later(store, mode, have, why) && look_at_references(store, true, why));
}
