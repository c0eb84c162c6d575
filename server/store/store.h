/*
 * One connection to the register. A connection belongs to one thread at a time.
 *
 * The register is one SQLite file in WAL mode. The single writing connection (store/writer.h)
 * commits and checkpoints; every other one is opened STORE_READ. Opening sets and reads back:
 * WAL, synchronous=FULL, foreign_keys, defensive, no trusted schema, no double-quoted strings.
 *
 * Functions of the store fill *why with PROBLEM_STORE (logged here with the cause, told without
 * it), PROBLEM_BUSY, or what a noun's own header says. *why is "no problem" when they are called:
 * its code is how failure is told from the end of the rows.
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
	STORE_WRITE     /* creates the file when it is absent, and migrates it */
};

/*
 * Opens the register. NULL: *why says in words that the file is not a register, is newer than
 * this program, or what the system answered. STORE_READ asks for a file of this program's schema.
 */
struct store *store_open(const char *path, enum store_mode mode, struct problem *why);
void store_close(struct store *store);

/* How much of the file the connection may keep in memory, instead of 8 MB (reading), 32 (writing). */
void store_cache(struct store *store, unsigned kilobytes);

/* Transactions of the writing connection. Savepoints nest inside one. */
bool store_begin(struct store *store, struct problem *why);
bool store_commit(struct store *store, struct problem *why);
void store_rollback(struct store *store);
bool store_save(struct store *store, struct problem *why);       /* SAVEPOINT */
bool store_save_keep(struct store *store, struct problem *why);  /* RELEASE */
bool store_save_undo(struct store *store, struct problem *why);  /* back to it, and release it */

/* Rows written by this connection so far: equal before and after says that nothing was. */
int64_t store_changes(struct store *store);

/* A read that must see one state over several statements. */
bool store_read_begin(struct store *store, struct problem *why);
void store_read_end(struct store *store);

/* True after a failed sync: what was written may be gone although a retry would succeed, so the
 * program must end and recover by opening anew. */
bool store_is_broken(const struct store *store);

/* Folds the log back into the file; the writing connection does it now and then. */
void store_checkpoint(struct store *store);

/* Whole check of the file below our rules: integrity and foreign keys. True: nothing was found;
 * false: *why has the first finding. */
bool store_check_file(struct store *store, struct problem *why);

#endif
