/* Opening a register: what kind of file it is, the settings, the schema. */
#include <errno.h>
#include <pthread.h>
#include <stdlib.h>

#include "store/connection.h"
#include "store/migrate.h"

static bool settings(struct store *store, struct problem *why)
{
	/* the writer has room for an index of a million bonds: a new rulebook changes all of it; and
	 * each checkpoint waits for the disk, so it copies 32 MB and not the 4 of the default. What is
	 * deleted is derived, or of a session by its hash: no zeros need be written over it */
	static const char write[] = "PRAGMA journal_mode = WAL; PRAGMA journal_size_limit = 67108864; "
		"PRAGMA cache_size = -32768; PRAGMA wal_autocheckpoint = 8000; "
		"PRAGMA secure_delete = OFF;";
	static const char read[] = "PRAGMA cache_size = -8192;";
	static const char both[] = "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;"
		"PRAGMA cell_size_check = ON; PRAGMA mmap_size = 0; "
		"PRAGMA temp_store = MEMORY;";
	int64_t on = 0, sync = 0;
	int flag = 0;

	sqlite3_busy_timeout(store->db, STORE_BUSY_MS);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_DEFENSIVE, 1, &flag);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, &flag);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_DQS_DML, 0, &flag);
	sqlite3_db_config(store->db, SQLITE_DBCONFIG_DQS_DDL, 0, &flag);
	sqlite3_limit(store->db, SQLITE_LIMIT_LENGTH, 64 << 20);
	sqlite3_limit(store->db, SQLITE_LIMIT_SQL_LENGTH, 1 << 20);
	sqlite3_limit(store->db, SQLITE_LIMIT_ATTACHED, 0);
	if (!sql_walk_open(store, store->db) || !sql_day_open(store->db) ||
		!sql_round_open(store->db) || !sql_due_open(store, store->db) ||
		!sql_figures_open(store->db) || !sql_visits_open(store->db) ||
		!sql_outcome_open(store->db) ||
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
	int code = store->db != NULL ? sqlite3_errcode(store->db) & 0xFF : SQLITE_NOMEM;

	if (code == SQLITE_NOTADB) {
		return problem_set(why, PROBLEM_RULE, NULL, "%s is not a bond register.", path);
	}
	if (code == SQLITE_CANTOPEN && sqlite3_system_errno(store->db) == ENOENT) {
		return problem_set(why, PROBLEM_RULE, NULL,
			"There is no register here: %s. bondbook init makes one.", path);
	}
	if (code == SQLITE_CORRUPT) {
		return problem_set(why, PROBLEM_RULE, NULL, "%s is damaged or cut short: restore it from a "
			"backup.", path);
	}
	return problem_set(why, PROBLEM_STORE, NULL, "%s cannot be opened: %s.", path,
		sqlite3_errstr(code));
}

/* SQLite need not count its memory: the count takes a lock at each allocation. */
static void configure(void)
{
	sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
	sqlite3_initialize();
	store_files_configure();
}

/* Before anything is read: of a register of no bytes SQLite would remove the log. */
static bool has_content(struct store *store, const char *path, enum store_mode mode,
	struct problem *why)
{
	sqlite3_file *file = NULL;
	sqlite3_int64 size = 0;

	sqlite3_file_control(store->db, "main", SQLITE_FCNTL_FILE_POINTER, &file);
	if (file == NULL || file->pMethods == NULL ||
		file->pMethods->xFileSize(file, &size) != SQLITE_OK) {
		size = mode == STORE_MAKE ? 0 : 1;
	}
	if (mode == STORE_MAKE) {
		return size == 0 || problem_set(why, PROBLEM_RULE, NULL,
			"There is a register already: %s.", path);
	}
	return size > 0 || problem_set(why, PROBLEM_RULE, NULL, "%s is an empty file, not a bond "
		"register: restore it from a backup, or remove it and let bondbook init make one.", path);
}

static bool open_file(struct store *store, const char *path, enum store_mode mode,
	struct problem *why)
{
	int flags = mode == STORE_MAKE ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE :
		mode == STORE_WRITE ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY;

	if (sqlite3_open_v2(path, &store->db, flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE,
		NULL) != SQLITE_OK) {
		return open_failed(store, path, why);
	}
	if (!has_content(store, path, mode, why)) {
		return false;
	}
	return sqlite3_exec(store->db, "SELECT count(*) FROM sqlite_schema", NULL, NULL, NULL) ==
		SQLITE_OK || open_failed(store, path, why);
}

/* What is a register is looked at before the settings, which would turn a stranger's file into a
 * WAL one. */
static bool open_register(struct store *store, const char *path, enum store_mode mode,
	struct problem *why)
{
	bool writes = mode != STORE_READ;

	return open_file(store, path, mode, why) &&
		store_is_register(store, mode == STORE_MAKE, why) && settings(store, why) &&
		store_file_is_whole(store, why) && store_migrate(store, mode, why) &&
		(!writes || store_first(store, why));
}

struct store *store_open(const char *path, enum store_mode mode, struct problem *why)
{
	static pthread_once_t once = PTHREAD_ONCE_INIT;
	struct store *store = calloc(1, sizeof *store);
	bool ok;

	if (store == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	pthread_once(&once, configure);
	store->mode = mode == STORE_READ ? STORE_READ : STORE_WRITE;
	store_files_note(mode == STORE_READ ? NULL : &store->files);
	ok = open_register(store, path, mode, why);
	store_files_note(NULL);
	if (!ok) {
		store_close(store);
		return NULL;
	}
	if (mode != STORE_READ) {
		store_files_complete(&store->files, sqlite3_db_filename(store->db, "main"));
	}
	return store;
}

struct store *store_open_fork(const char *path, const char *vfs, struct problem *why)
{
	/* (what it writes goes with it, and the register's file is none that it could fold its log
	 * into) */
	static const char own[] = "PRAGMA wal_autocheckpoint = 0; PRAGMA cache_size = -16384;";
	struct store *store = calloc(1, sizeof *store);
	int flag = 0;

	if (store == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	store->mode = STORE_WRITE;
	store->is_fork = true;
	if (sqlite3_open_v2(path, &store->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX |
		SQLITE_OPEN_EXRESCODE, vfs) != SQLITE_OK || sqlite3_db_config(store->db,
		SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, &flag) != SQLITE_OK) {
		open_failed(store, path, why);
	} else if (settings(store, why) &&
		sqlite3_exec(store->db, own, NULL, NULL, NULL) != SQLITE_OK) {
		sql_failed(store, "settings", why);
	}
	if (why->code != PROBLEM_NONE) {
		store_close(store);
		return NULL;
	}
	return store;
}
