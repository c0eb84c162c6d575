/* What a connection is made of: for the files that open, use and close it (open.c, files.c,
 * store.c). Everybody else in store/ uses sql.h. */
#ifndef STORE_CONNECTION_H
#define STORE_CONNECTION_H

#include <stdatomic.h>

#include "store/files.h"
#include "store/sql.h"

enum { STORE_BUSY_MS = 5000 };
enum { CACHE_SLOTS = 512, RECENT_SLOTS = 256 };

struct store {
	sqlite3 *db;
	enum store_mode mode;
	bool is_fork;                       /* what it meets says nothing of the register's files */
	unsigned damage_heeded;             /* how much of damage.h it heeds */
	atomic_bool interrupted;
	const char *broken;                 /* why nothing more may be written; NULL: it may */
	struct store *next_left_open;
	struct store_files files;           /* of the writing connection */
	bool (*over)(void *arg);            /* see store_watch */
	void *over_arg;
	uint64_t state;                     /* counts transactions, and changes of marks */
	const struct walk *walk;            /* under way (walk.c); NULL */
	struct moving *moving;              /* due days that are being written (due_kept.c); NULL */
	struct map_cache *maps;
	struct known *known;
	struct kept_books *books;
	struct round_kept *round;
	struct totals_cache *totals;
	size_t cached;
	/* open addressing by the text of the statement, which SQLite keeps: nothing to allocate */
	sqlite3_stmt *cache[CACHE_SLOTS];
	sqlite3_stmt *recent[RECENT_SLOTS]; /* of cache, by the address of the text */
};

/* open.c, for fork.c: a connection for writing through another VFS. */
struct store *store_open_fork(const char *path, const char *vfs, struct problem *why);

/* damage.c: before a statement; when one failed because of damage. */
void sql_heed_damage(struct store *store);
void sql_met_damage(struct store *store, const char *sql);

#endif
