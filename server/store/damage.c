#include "store/damage.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/log.h"
#include "base/text.h"
#include "base/utf8.h"
#include "store/connection.h"

enum { TABLES_MOST = 128, NAME_SIZE = 64 };

struct names {
	atomic_uint count;
	char name[TABLES_MOST][NAME_SIZE];
};

static struct names damaged;    /* only grows, under the lock; read without it up to its count */
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

static bool is_among(const struct names *names, const char *table)
{
	unsigned count = atomic_load_explicit(&names->count, memory_order_acquire);

	for (unsigned i = 0; i < count; i++) {
		if (strcmp(names->name[i], table) == 0) {
			return true;
		}
	}
	return false;
}

static void add(struct names *names, const char *table)
{
	unsigned count = atomic_load(&names->count);

	if (!is_among(names, table) && count < TABLES_MOST && strlen(table) < NAME_SIZE) {
		memcpy(names->name[count], table, strlen(table) + 1);
		atomic_store_explicit(&names->count, count + 1, memory_order_release);
	}
}

static void note(const char *table, const char *what)
{
	pthread_mutex_lock(&lock);
	if (!is_among(&damaged, table)) {
		log_line(LOG_ERROR, "a table of the register is damaged", "table", table, "what", what,
			NULL);
		add(&damaged, table);
	}
	pthread_mutex_unlock(&lock);
}

static bool touches(int action)
{
	return action == SQLITE_READ || action == SQLITE_INSERT || action == SQLITE_UPDATE ||
		action == SQLITE_DELETE;
}

/* Asked by SQLite of every table of every statement, when it is prepared. */
static int allow(void *arg, int action, const char *table, const char *column, const char *base,
	const char *within)
{
	(void)arg;
	(void)column;
	(void)base;
	(void)within;
	return touches(action) && table != NULL && is_among(&damaged, table) ? SQLITE_DENY : SQLITE_OK;
}

/* (setting it has statements that were prepared before prepared again) */
void sql_heed_damage(struct store *store)
{
	unsigned count = atomic_load_explicit(&damaged.count, memory_order_relaxed);

	if (count != store->damage_heeded) {
		store->damage_heeded = count;
		sqlite3_set_authorizer(store->db, allow, NULL);
	}
}

static int collect(void *arg, int action, const char *table, const char *column, const char *base,
	const char *within)
{
	(void)column;
	(void)base;
	(void)within;
	if (touches(action) && table != NULL) {
		add(arg, table);
	}
	return SQLITE_OK;
}

/* A page that could not be fetched now (the disk, the memory) may be as good as ever. */
static bool tells_of_damage(const char *found)
{
	return found != NULL && strcmp(found, "ok") != 0 &&
		strstr(found, "unable to get the page") == NULL &&
		strstr(found, "failed to get page") == NULL;
}

/* Whether the table is damaged, and then what SQLite says of it; *ended: it was left half-way. */
static bool look_at(struct store *store, const char *table, const char *pragma, struct text *said,
	bool *ended)
{
	struct text sql = { 0 };
	sqlite3_stmt *rows = NULL;
	bool sound = true;
	int code = SQLITE_NOMEM;

	text_addf(&sql, "PRAGMA %s('%s')", pragma, table);
	if (!sql.failed) {
		code = sqlite3_prepare_v2(store->db, sql.data, -1, &rows, NULL);
	}
	while (sound && code != SQLITE_NOMEM && (code = sqlite3_step(rows)) == SQLITE_ROW) {
		const char *found = (const char *)sqlite3_column_text(rows, 0);

		sound = !tells_of_damage(found);
		text_add_z(said, sound ? "" : found);
	}
	if ((code & 0xFF) == SQLITE_CORRUPT) {
		sound = false;
		text_add_z(said, sqlite3_errstr(code));
	}
	*ended = sound && (code & 0xFF) == SQLITE_INTERRUPT;
	sqlite3_finalize(rows);
	text_release(&sql);
	return !sound;
}

/* The log cannot be folded over a table that is looked at, which takes minutes where the others
 * come first. Grown long, it goes before: the look ends, waits until it is short, and begins with
 * that table again. */
static bool log_is_long(struct store *store)
{
	return store_log_bytes(store) > STORE_LOG_LONG;
}

static void wait_for_short_log(struct store *store)
{
	const struct timespec pause = { .tv_nsec = 100000000 };

	do {
		nanosleep(&pause, NULL);
	} while (log_is_long(store) && !atomic_load(&store->interrupted));
}

static bool look_again(struct store *store, const char *table, const char *pragma,
	struct text *said)
{
	bool bad, ended;

	do {
		bad = look_at(store, table, pragma, said, &ended);
		if (ended) {
			wait_for_short_log(store);
		}
	} while (ended && !atomic_load(&store->interrupted));
	return bad;
}

static void look_at_all(struct store *store, const struct names *tables, const char *pragma)
{
	for (unsigned i = 0; i < atomic_load(&tables->count) && !atomic_load(&store->interrupted); i++) {
		struct text said = { 0 };

		if (look_again(store, tables->name[i], pragma, &said)) {
			note(tables->name[i], said.failed ? "" : said.data);
		}
		text_release(&said);
	}
}

/* By another connection: this one may be within a statement that was half done, and has in its
 * memory what it read. Where nothing is found, a read or the memory failed at that moment: then
 * that statement alone fails. */
static void look_by_another(const char *path, const struct names *tables)
{
	static _Thread_local bool looking;
	struct problem why = { 0 };
	unsigned before = atomic_load(&damaged.count);
	struct store *store;

	if (looking) {
		return;   /* the other one met it too, before it was open */
	}
	looking = true;
	store = store_open(path, STORE_READ, &why);
	if (store != NULL) {
		look_at_all(store, tables, "quick_check");
		if (atomic_load(&damaged.count) == before) {
			look_at_all(store, tables, "integrity_check");
		}
	}
	store_close(store);
	looking = false;
}

void sql_met_damage(struct store *store, const char *sql)
{
	struct names *tables = calloc(1, sizeof *tables);
	sqlite3_stmt *again = NULL;

	if (tables == NULL) {
		return;
	}
	sqlite3_set_authorizer(store->db, collect, tables);
	sqlite3_prepare_v2(store->db, sql, -1, &again, NULL);
	sqlite3_finalize(again);
	sqlite3_set_authorizer(store->db, allow, NULL);
	look_by_another(sqlite3_db_filename(store->db, "main"), tables);
	free(tables);
}

static void all_tables(struct store *store, struct names *tables)
{
	static const char sql[] = "SELECT name FROM sqlite_schema WHERE type = 'table' "
		"AND name NOT LIKE 'sqlite%' ORDER BY rowid";
	struct problem ignored = { 0 };
	sqlite3_stmt *rows = sql_select(store, sql, NULL, 0, &ignored);

	while (sql_row(store, rows, &ignored)) {
		add(tables, (const char *)sqlite3_column_text(rows, 0));
	}
}

static void look(struct store *store, const char *pragma)
{
	struct names *tables = calloc(1, sizeof *tables);

	if (tables != NULL) {
		all_tables(store, tables);
		look_at_all(store, tables, pragma);
		free(tables);
	}
}

/* Half a millisecond of work, then ten times as long for the others. */
enum { STEPS_AT_ONCE = 20000 };

static int rest(void *arg)
{
	const struct timespec pause = { .tv_nsec = 5000000 };

	nanosleep(&pause, NULL);
	return log_is_long(arg);
}

void store_look(struct store *store, bool in_haste)
{
	if (!in_haste) {
		sqlite3_progress_handler(store->db, STEPS_AT_ONCE, rest, store);
	}
	look(store, "quick_check");
	sqlite3_progress_handler(store->db, 0, NULL, NULL);
}

void store_interrupt(struct store *store)
{
	atomic_store(&store->interrupted, true);
	sqlite3_interrupt(store->db);
}

bool store_damaged(struct text *names)
{
	unsigned count = atomic_load(&damaged.count);

	for (unsigned i = 0; i < count; i++) {
		text_addf(names, "%s%s", i > 0 ? ", " : "", damaged.name[i]);
	}
	return count > 0;
}

bool store_is_sound(struct problem *why)
{
	struct text names = { 0 };

	if (store_damaged(&names)) {
		problem_set(why, PROBLEM_DAMAGED, NULL, "The register is damaged, and nothing of these "
			"tables is told: %s. It has to be restored from a backup.", names.failed ? "" : names.data);
	}
	text_release(&names);
	return why->code != PROBLEM_DAMAGED;
}

void store_damage_forget(void)
{
	atomic_store(&damaged.count, 0);
}

/* What SQLite finds in the file as a whole, and in each table when there is something. */
static bool check_pages(struct store *store, struct problem *why)
{
	sqlite3_stmt *rows = sql_select(store, "PRAGMA integrity_check(1)", NULL, 0, why);
	bool sound = false;
	char said[200] = "";

	if (sql_row(store, rows, why)) {
		text_fit(said, sizeof said, "%s", (const char *)sqlite3_column_text(rows, 0));
		sound = strcmp(said, "ok") == 0;
		sql_done(rows);
	}
	if (sound) {
		return true;
	}
	look(store, "integrity_check");
	if (why->code == PROBLEM_NONE && store_is_sound(why)) {
		problem_set(why, PROBLEM_DAMAGED, NULL, "The register is damaged outside its tables: %s. It "
			"has to be restored from a backup.", said);
	}
	return false;
}

bool store_check_file(struct store *store, struct problem *why)
{
	sqlite3_stmt *rows;
	struct text names = { 0 };
	bool sound = check_pages(store, why);

	rows = sound ? sql_select(store, "SELECT DISTINCT \"table\", parent FROM "
		"pragma_foreign_key_check", NULL, 0, why) : NULL;
	while (sql_row(store, rows, why)) {
		text_addf(&names, "%s%s (to %s)", names.len > 0 ? ", " : "",
			(const char *)sqlite3_column_text(rows, 0), (const char *)sqlite3_column_text(rows, 1));
	}
	if (why->code == PROBLEM_NONE && names.len > 0) {
		problem_set(why, PROBLEM_DAMAGED, NULL, "References lead to rows that are gone, from %s. "
			"The register has to be restored from a backup.", names.data);
	}
	text_release(&names);
	return why->code == PROBLEM_NONE;
}
