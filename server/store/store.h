/*
 * One connection to the register. A connection belongs to one thread at a time.
 *
 * The register is one SQLite file in WAL mode. The single writing connection (store/writer.h)
 * commits and checkpoints; every other one is opened STORE_READ. Opening sets and reads back:
 * WAL, synchronous=FULL, foreign_keys, defensive, no trusted schema, no double-quoted strings.
 *
 * Functions of the store fill *why with PROBLEM_STORE (logged here with the cause, told without
 * it), PROBLEM_BUSY, PROBLEM_FULL, PROBLEM_DAMAGED (store/damage.h), or what a noun's own header
 * says. *why is "no problem" when they are called: its code is how failure is told from the end of
 * the rows.
 */
#ifndef STORE_STORE_H
#define STORE_STORE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"

struct store;

enum store_mode {
	STORE_READ,
	STORE_WRITE,    /* brings it to this program's schema */
	STORE_MAKE      /* writes a new one, where no file is or one without a byte */
};

/*
 * Opens the register. NULL: *why says in words that there is none, that the file is not a register,
 * is empty, cut short or damaged, is newer than this program, or what the system answered.
 * STORE_READ asks for a file of this program's schema. The program never opens register.db
 * otherwise: closing it would drop the locks that SQLite holds on it.
 */
struct store *store_open(const char *path, enum store_mode mode, struct problem *why);
void store_close(struct store *store);   /* one that is broken stays open: the program must end */

/* How much of the file the connection may keep in memory, instead of 8 MB (reading), 32
 * (writing). */
void store_cache(struct store *store, unsigned kilobytes);

/* Transactions of the writing connection. Savepoints nest inside one. */
bool store_begin(struct store *store, struct problem *why);
bool store_commit(struct store *store, struct problem *why);
void store_rollback(struct store *store);
bool store_save(struct store *store, struct problem *why);       /* SAVEPOINT */
bool store_save_keep(struct store *store, struct problem *why);  /* RELEASE */
bool store_save_undo(struct store *store, struct problem *why);  /* back to it, and release it */

/*
 * Asks now and then, in the middle of statements, whether to go on: true ends the statement under
 * way with PROBLEM_BUSY, and every other. NULL: not any more.
 */
void store_watch(struct store *store, bool (*over)(void *arg), void *arg);

/* Rows written by this connection so far: equal before and after says that nothing was. */
int64_t store_changes(struct store *store);

/* A read that must see one state over several statements. */
bool store_read_begin(struct store *store, struct problem *why);
void store_read_end(struct store *store);

/* Begins a read, or begins it anew, that sees the register of this moment; what store_read_begin
 * begins sees that of its first statement. Two connections that do so where nothing is committed in
 * between (on the writer's thread) see the same. */
bool store_read_now(struct store *store, struct problem *why);

/* Why this connection may write no more, NULL: it may. After a failed sync what was written may be
 * gone although a retry would succeed, so the program must end and recover by opening anew. */
const char *store_broken(const struct store *store);

/* After a commit and before anybody is told of it: whether the register's paths still name the
 * files that this writing connection has open. False: it is broken now (logged with the cause). */
bool store_in_place(struct store *store);

/* Folds the log back into the file and empties it, as far as readers allow within wait_ms. False:
 * not wholly. The writing connection folds now and then by itself. */
bool store_checkpoint(struct store *store, int wait_ms);

/* Readers that overlap keep the log from beginning anew, so that it grows: from so many bytes on it
 * is folded at the first gap, and who can do without a long read leaves one. */
enum { STORE_LOG_LONG = 64 << 20 };

/* Bytes of the log's file, on any connection. */
int64_t store_log_bytes(struct store *store);

/* Whole check of the file below our rules: integrity and foreign keys. False: *why names the tables
 * that are damaged (PROBLEM_DAMAGED), or says why it could not be done. */
bool store_check_file(struct store *store, struct problem *why);

#endif
