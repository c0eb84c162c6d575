#include "store/store.h"

#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/log.h"
#include "store/migrate.h"
#include "store/sql.h"

enum { CACHE_SLOTS = 512, RECENT_SLOTS = 256, CACHE_MOST = 384, BUSY_MS = 5000 };

struct store {
	sqlite3 *db;
	enum store_mode mode;
	bool broken;
	uint64_t state;                     /* counts transactions, and changes of marks */
	struct map_cache *maps;
	struct known *known;
	struct kept_books *books;
	struct totals_cache *totals;
	size_t cached;
	sqlite3_stmt *cache[CACHE_SLOTS];   /* open addressing by the text of the statement */
	sqlite3_stmt *recent[RECENT_SLOTS]; /* of cache, by the address of the text */
};

sqlite3 *sql_connection(struct store *store)
{
	return store->db;
}

struct map_cache **sql_map_cache(struct store *store)
{
	return &store->maps;
}

struct known **sql_known(struct store *store)
{
	return &store->known;
}

struct kept_books **sql_kept_books(struct store *store)
{
	return &store->books;
}

uint64_t sql_state(struct store *store)
{
	return sqlite3_get_autocommit(store->db) == 0 ? store->state : 0;
}

void sql_state_changed(struct store *store)
{
	store->state++;
}

struct totals_cache **sql_totals_cache(struct store *store)
{
	return store->mode == STORE_READ ? &store->totals : NULL;
}

bool sql_failed(struct store *store, const char *doing, struct problem *why)
{
	int code = sqlite3_extended_errcode(store->db);
	char number[16];

	snprintf(number, sizeof number, "%d", code);
	if ((code & 0xFF) == SQLITE_CONSTRAINT) {
		log_line(LOG_WARNING, "the store refused", "doing", doing, "cause",
			sqlite3_errmsg(store->db), NULL);
		return problem_set(why, code == SQLITE_CONSTRAINT_UNIQUE ||
			code == SQLITE_CONSTRAINT_PRIMARYKEY ? PROBLEM_CONFLICT : PROBLEM_STORE, NULL,
			"This contradicts what is registered already.");
	}
	log_line(LOG_ERROR, "the store failed", "doing", doing, "code", number, "cause",
		sqlite3_errmsg(store->db), NULL);
	if (code == SQLITE_IOERR_FSYNC || code == SQLITE_IOERR_DIR_FSYNC) {
		store->broken = true;
	}
	if ((code & 0xFF) == SQLITE_BUSY || (code & 0xFF) == SQLITE_INTERRUPT) {
		return problem_set(why, PROBLEM_BUSY, NULL, "The register is busy: please send it again.");
	}
	return problem_set(why, PROBLEM_STORE, NULL,
		"The register could not be read or written: please send it again.");
}

static uint32_t hash_text(const char *text)
{
	uint32_t h = 2166136261u;

	for (; *text != '\0'; text++) {
		h = (h ^ (unsigned char)*text) * 16777619u;
	}
	return h;
}

static void cache_clear(struct store *store)
{
	for (size_t i = 0; i < CACHE_SLOTS; i++) {
		sqlite3_finalize(store->cache[i]);
		store->cache[i] = NULL;
	}
	memset(store->recent, 0, sizeof store->recent);
	store->cached = 0;
}

static sqlite3_stmt *prepare_any(struct store *store, const char *sql, struct problem *why)
{
	size_t slot = hash_text(sql) % CACHE_SLOTS;

	while (store->cache[slot] != NULL) {
		if (strcmp(sqlite3_sql(store->cache[slot]), sql) == 0) {
			return store->cache[slot];
		}
		slot = (slot + 1) % CACHE_SLOTS;
	}
	if (store->cached == CACHE_MOST && sqlite3_next_stmt(store->db, NULL) != NULL) {
		bool busy = false;

		for (sqlite3_stmt *s = NULL; (s = sqlite3_next_stmt(store->db, s)) != NULL;) {
			busy = busy || sqlite3_stmt_busy(s) != 0;
		}
		if (busy) {
			problem_set(why, PROBLEM_BUSY, NULL, "Too many different questions at once.");
			return NULL;
		}
		cache_clear(store);
		slot = hash_text(sql) % CACHE_SLOTS;
	}
	if (sqlite3_prepare_v3(store->db, sql, -1, SQLITE_PREPARE_PERSISTENT, &store->cache[slot],
		NULL) != SQLITE_OK) {
		sql_failed(store, sql, why);
		store->cache[slot] = NULL;
		return NULL;
	}
	store->cached++;
	return store->cache[slot];
}

/* Most texts are constants at one address: comparing is cheaper than hashing. */
static sqlite3_stmt *prepare(struct store *store, const char *sql, struct problem *why)
{
	size_t slot = ((uintptr_t)sql >> 4) % RECENT_SLOTS;

	if (store->recent[slot] == NULL || strcmp(sqlite3_sql(store->recent[slot]), sql) != 0) {
		store->recent[slot] = prepare_any(store, sql, why);
	}
	return store->recent[slot];
}

static int bind(sqlite3_stmt *stmt, int at, const struct value *v)
{
	switch (v->type) {
	case VALUE_INTEGER:
		return sqlite3_bind_int64(stmt, at, v->integer);
	case VALUE_REAL:
		return sqlite3_bind_double(stmt, at, v->real);
	case VALUE_TEXT:
		return sqlite3_bind_text(stmt, at, v->text, (int)v->len, SQLITE_STATIC);
	case VALUE_NULL:
		break;
	}
	return sqlite3_bind_null(stmt, at);
}

sqlite3_stmt *sql_select(struct store *store, const char *sql, const struct value *values,
	size_t count, struct problem *why)
{
	sqlite3_stmt *stmt = prepare(store, sql, why);

	if (stmt == NULL) {
		return NULL;
	}
	for (size_t i = 0; i < count; i++) {
		if (bind(stmt, (int)i + 1, &values[i]) != SQLITE_OK) {
			sql_failed(store, sql, why);
			return NULL;
		}
	}
	return stmt;
}

bool sql_row(struct store *store, sqlite3_stmt *stmt, struct problem *why)
{
	int code = stmt != NULL ? sqlite3_step(stmt) : SQLITE_DONE;

	if (code == SQLITE_ROW) {
		return true;
	}
	if (code != SQLITE_DONE) {
		sql_failed(store, sqlite3_sql(stmt), why);
	}
	sqlite3_reset(stmt);
	return false;
}

void sql_done(sqlite3_stmt *stmt)
{
	sqlite3_reset(stmt);
}

bool sql_run(struct store *store, const char *sql, const struct value *values, size_t count,
	struct problem *why)
{
	sqlite3_stmt *stmt = sql_select(store, sql, values, count, why);

	if (sql_row(store, stmt, why)) {
		sql_done(stmt);
	}
	return why->code == PROBLEM_NONE;
}

int64_t sql_last_id(struct store *store)
{
	return sqlite3_last_insert_rowid(store->db);
}

int sql_changes(struct store *store)
{
	return sqlite3_changes(store->db);
}

bool sql_integer(struct store *store, const char *sql, const struct value *values, size_t count,
	int64_t absent, int64_t *to, struct problem *why)
{
	sqlite3_stmt *stmt = sql_select(store, sql, values, count, why);

	*to = absent;
	if (sql_row(store, stmt, why)) {
		if (sqlite3_column_type(stmt, 0) != SQLITE_NULL) {
			*to = sqlite3_column_int64(stmt, 0);
		}
		sql_done(stmt);
	}
	return why->code == PROBLEM_NONE;
}

static bool plain(struct store *store, const char *sql, struct problem *why)
{
	return sql_run(store, sql, NULL, 0, why);
}

bool store_begin(struct store *store, struct problem *why)
{
	sql_state_changed(store);
	return plain(store, "BEGIN IMMEDIATE", why);
}

bool store_commit(struct store *store, struct problem *why)
{
	return plain(store, "COMMIT", why);
}

/* What is rolled back leaves its mark free for another: nothing kept may survive that. */
static void forget(struct store *store)
{
	map_cache_free(store->maps);
	store->maps = NULL;
	known_free(store->known);
	store->known = NULL;
	kept_books_free(store->books);
	store->books = NULL;
}

/* Some failures have rolled back already. */
static void roll_back(struct store *store)
{
	struct problem ignored = { 0 };

	if (sqlite3_get_autocommit(store->db) == 0) {
		plain(store, "ROLLBACK", &ignored);
	}
}

void store_rollback(struct store *store)
{
	forget(store);
	roll_back(store);
}

bool store_save(struct store *store, struct problem *why)
{
	return plain(store, "SAVEPOINT step", why);
}

bool store_save_keep(struct store *store, struct problem *why)
{
	return plain(store, "RELEASE step", why);
}

bool store_save_undo(struct store *store, struct problem *why)
{
	forget(store);
	return plain(store, "ROLLBACK TO step", why) && plain(store, "RELEASE step", why);
}

int64_t store_changes(struct store *store)
{
	return sqlite3_total_changes64(store->db);
}

bool store_read_begin(struct store *store, struct problem *why)
{
	sql_state_changed(store);
	return plain(store, "BEGIN", why);
}

/* (a connection that only reads has nothing to forget) */
void store_read_end(struct store *store)
{
	if (store->mode == STORE_READ) {
		roll_back(store);
	} else {
		store_rollback(store);
	}
}

bool store_is_broken(const struct store *store)
{
	return store->broken;
}

void store_checkpoint(struct store *store)
{
	sqlite3_wal_checkpoint_v2(store->db, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
}

static bool settings(struct store *store, struct problem *why)
{
	/* the writer has room for an index of a million bonds: a new rulebook changes all of it; and
	 * each checkpoint waits for the disk, so it copies 32 MB and not the 4 of the default */
	static const char write[] = "PRAGMA journal_mode = WAL; PRAGMA journal_size_limit = 67108864; "
		"PRAGMA cache_size = -32768; PRAGMA wal_autocheckpoint = 8000;";
	static const char read[] = "PRAGMA cache_size = -8192;";
	static const char both[] = "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;"
		"PRAGMA cell_size_check = ON; PRAGMA mmap_size = 0; "
		"PRAGMA temp_store = MEMORY;";
	int64_t on = 0, sync = 0;
	int flag = 0;

	sqlite3_busy_timeout(store->db, BUSY_MS);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_DEFENSIVE, 1, &flag);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, &flag);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_DQS_DML, 0, &flag);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_DQS_DDL, 0, &flag);
	sqlite3_limit(store->db, SQLITE_LIMIT_LENGTH, 64 << 20);
	sqlite3_limit(store->db, SQLITE_LIMIT_SQL_LENGTH, 1 << 20);
	sqlite3_limit(store->db, SQLITE_LIMIT_ATTACHED, 0);
	if (!sql_walk_open(store->db) || !sql_day_open(store->db) ||
		!sql_end_words_open(store, store->db, store->mode == STORE_WRITE) ||
		sqlite3_exec(store->db, store->mode == STORE_WRITE ? write : read, NULL, NULL, NULL) !=
		SQLITE_OK ||
		sqlite3_exec(store->db, both, NULL, NULL, NULL) != SQLITE_OK) {
		return sql_failed(store, "settings", why);
	}
	if (!sql_integer(store, "PRAGMA foreign_keys", NULL, 0, 0, &on, why) ||
		!sql_integer(store, "PRAGMA synchronous", NULL, 0, 0, &sync, why)) {
		return false;
	}
	if (on != 1 || sync != 2) {
		return problem_set(why, PROBLEM_STORE, NULL, "SQLite did not take its settings.");
	}
	return true;
}

/* Says in words what opening a file that is not SQLite gives. */
static bool open_failed(struct store *store, const char *path, struct problem *why)
{
	int code = store->db != NULL ? sqlite3_errcode(store->db) : SQLITE_NOMEM;

	if (code == SQLITE_NOTADB) {
		return problem_set(why, PROBLEM_RULE, NULL, "%s is not a bond register.", path);
	}
	return problem_set(why, PROBLEM_STORE, NULL, "%s cannot be opened: %s.", path,
		sqlite3_errstr(code));
}

/* SQLite need not count its memory: the count takes a lock at each allocation. */
static void configure(void)
{
	sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

struct store *store_open(const char *path, enum store_mode mode, struct problem *why)
{
	static pthread_once_t once = PTHREAD_ONCE_INIT;
	struct store *store = calloc(1, sizeof *store);
	int flags = mode == STORE_WRITE ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE :
		SQLITE_OPEN_READONLY;
	bool ok = false;

	if (store == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	pthread_once(&once, configure);
	store->mode = mode;
	if (sqlite3_open_v2(path, &store->db, flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE,
		NULL) != SQLITE_OK ||
		sqlite3_exec(store->db, "SELECT count(*) FROM sqlite_schema", NULL, NULL, NULL) !=
		SQLITE_OK) {
		open_failed(store, path, why);
	} else {
		/* before the settings, which would turn a stranger's file into a WAL one */
		ok = store_is_register(store, mode == STORE_WRITE, why) && settings(store, why) &&
			store_migrate(store, mode == STORE_WRITE, why) &&
			(mode != STORE_WRITE || store_first(store, why));
	}
	if (!ok) {
		store_close(store);
		store = NULL;
	}
	return store;
}

void store_cache(struct store *store, unsigned kilobytes)
{
	char sql[48];

	snprintf(sql, sizeof sql, "PRAGMA cache_size = -%u", kilobytes);
	sqlite3_exec(store->db, sql, NULL, NULL, NULL);
}

void store_close(struct store *store)
{
	if (store == NULL) {
		return;
	}
	cache_clear(store);
	forget(store);
	free(store->totals);
	sqlite3_close(store->db);
	free(store);
}

bool store_check_file(struct store *store, struct problem *why)
{
	static const char *const checks[] = { "PRAGMA integrity_check(5)", "PRAGMA foreign_key_check" };

	for (size_t i = 0; i < 2 && why->code == PROBLEM_NONE; i++) {
		sqlite3_stmt *rows = sql_select(store, checks[i], NULL, 0, why);

		while (sql_row(store, rows, why)) {
			const char *said = (const char *)sqlite3_column_text(rows, 0);

			if (said != NULL && strcmp(said, "ok") != 0) {
				problem_set(why, PROBLEM_STORE, NULL, "%s: %s.",
					i == 0 ? "The file is damaged" : "A reference leads nowhere, table", said);
				sql_done(rows);
				break;
			}
		}
	}
	return why->code == PROBLEM_NONE;
}
