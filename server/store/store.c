#include "store/store.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"
#include "store/connection.h"
#include "store/damage.h"

enum { CACHE_MOST = 384 };

/* Of SQLite's machine, between two looks at a watch: about a millisecond. */
enum { WATCH_STEPS = 20000 };

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

struct round_kept **sql_round_kept(struct store *store)
{
	return &store->round;
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
	if ((code & 0xFF) == SQLITE_AUTH && !store_is_sound(why)) {
		return false;
	}
	if ((code & 0xFF) == SQLITE_INTERRUPT) {
		return problem_set(why, PROBLEM_BUSY, NULL, "This was ended before it was done: ask again.");
	}
	log_line(LOG_ERROR, "the store failed", "doing", doing, "code", number, "cause",
		sqlite3_errmsg(store->db), NULL);
	if (code == SQLITE_IOERR_FSYNC || code == SQLITE_IOERR_DIR_FSYNC) {
		store->broken = "a sync failed";
	}
	if ((code & 0xFF) == SQLITE_CORRUPT && !store->is_fork) {
		sql_met_damage(store, doing);
		if (!store_is_sound(why)) {
			return false;
		}
	}
	if ((code & 0xFF) == SQLITE_FULL || ((code & 0xFF) == SQLITE_IOERR &&
		sqlite3_system_errno(store->db) == ENOSPC)) {
		return problem_set(why, PROBLEM_FULL, NULL, "The disk is full, so this was not kept: please "
			"send it again when there is room.");
	}
	if ((code & 0xFF) == SQLITE_BUSY) {
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
	case VALUE_BYTES:
		return sqlite3_bind_blob(stmt, at, v->text, (int)v->len, SQLITE_STATIC);
	case VALUE_NULL:
		break;
	}
	return sqlite3_bind_null(stmt, at);
}

sqlite3_stmt *sql_select(struct store *store, const char *sql, const struct value *values,
	size_t count, struct problem *why)
{
	sqlite3_stmt *stmt;

	sql_heed_damage(store);
	stmt = prepare(store, sql, why);
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
	bool ok = plain(store, "COMMIT", why);

	sql_people_on_disk();
	return ok;
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
	round_kept_free(store->round);
	store->round = NULL;
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

static int ask_whether_over(void *arg)
{
	const struct store *store = arg;

	return store->over(store->over_arg);
}

void store_watch(struct store *store, bool (*over)(void *arg), void *arg)
{
	store->over = over;
	store->over_arg = arg;
	sqlite3_progress_handler(store->db, over != NULL ? WATCH_STEPS : 0,
		over != NULL ? ask_whether_over : NULL, store);
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

bool store_read_now(struct store *store, struct problem *why)
{
	int64_t any;

	store_read_end(store);
	return store_read_begin(store, why) &&
		sql_integer(store, "SELECT count(*) FROM rulebook", NULL, 0, 0, &any, why);
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

const char *store_broken(const struct store *store)
{
	return store->broken;
}

bool store_checkpoint(struct store *store, int wait_ms)
{
	struct problem ignored = { 0 };
	int code;

	sqlite3_busy_timeout(store->db, wait_ms);
	code = sqlite3_wal_checkpoint_v2(store->db, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
	sqlite3_busy_timeout(store->db, STORE_BUSY_MS);

	/* (readers that look at older states are waited for in vain, and no harm is done) */
	return code == SQLITE_OK || ((code & 0xFF) != SQLITE_BUSY &&
		sql_failed(store, "checkpoint", &ignored));
}

int64_t store_log_bytes(struct store *store)
{
	sqlite3_file *log = NULL;
	sqlite3_int64 size = 0;

	sqlite3_file_control(store->db, "main", SQLITE_FCNTL_JOURNAL_POINTER, &log);
	return log != NULL && log->pMethods != NULL &&
		log->pMethods->xFileSize(log, &size) == SQLITE_OK ? size : 0;
}

/* The log has no name any more, but we have it open: what it holds is saved into the register. */
static void save_log(struct store *store)
{
	int in_log = 0, folded = 0;
	int code = sqlite3_wal_checkpoint_v2(store->db, NULL, SQLITE_CHECKPOINT_FULL, &in_log, &folded);

	if (code == SQLITE_OK && folded == in_log) {
		log_line(LOG_WARNING, "what the log held was saved into the register", NULL);
	} else {
		log_line(LOG_ERROR, "what the log held could not be saved into the register", "cause",
			sqlite3_errstr(code), NULL);
	}
}

bool store_in_place(struct store *store)
{
	static const char *const what[] = { [PLACE_EMPTY] = "is gone",
		[PLACE_OTHER] = "is another file" };
	const char *path = sqlite3_db_filename(store->db, "main");
	bool same = true, nobody_else = true;

	if (store->broken != NULL) {
		return false;
	}
	for (enum store_file file = 0; file < STORE_FILES; file++) {
		enum store_place place = store_file_place(&store->files, path, file);

		if (place != PLACE_SAME) {
			log_line(LOG_ERROR, "a file of the register was changed under the program", "register",
				path, "file", file == FILE_REGISTER ? "register.db" : store_file_ending(file),
				"what", what[place], NULL);
			same = false;
			nobody_else = nobody_else && file != FILE_REGISTER && place == PLACE_EMPTY;
		}
	}
	if (!same) {
		if (nobody_else) {
			save_log(store);
		}
		store->broken = "files of the register were changed";
	}
	return same;
}

void store_cache(struct store *store, unsigned kilobytes)
{
	char sql[48];

	snprintf(sql, sizeof sql, "PRAGMA cache_size = -%u", kilobytes);
	sqlite3_exec(store->db, sql, NULL, NULL, NULL);
}

void store_close(struct store *store)
{
	static struct store *left_open;

	if (store == NULL) {
		return;
	}
	/* closing would fold and remove a log that may be all that is left, or somebody else's */
	if (store->broken != NULL) {
		store->next_left_open = left_open;
		left_open = store;
		return;
	}
	cache_clear(store);
	forget(store);
	free(store->totals);
	sqlite3_close(store->db);
	free(store);
}
