/*
 * A fork: a writing connection whose writes nobody sees, and which nobody waits for. It begins with
 * the register as a reading connection sees it (or a little later), and what it writes lies in a
 * temporary file that goes with it. So a trial is what it is the trial of: the same functions, on
 * the same rows.
 *
 *     store_read_now(reader) -> fork = store_fork(reader, why) -> store_begin(fork) ...
 *     store_rollback(fork) -> store_close(fork) -> store_read_end(reader)
 *
 * The reader's transaction must go on until the fork is closed: it keeps the register's file and
 * the log's frames, as far as it sees, as they are. Nothing is ever written to a file of the
 * register: SQLite is given them to read alone, through a VFS of ours that has the locks and the
 * log's index for itself.
 *
 * The log may begin anew under a reader only when all of it was folded into the register's file,
 * and that file stays as it is as long as that reader reads. So a frame that was written over since
 * is read from the file.
 */
#ifndef STORE_FORK_H
#define STORE_FORK_H

#include "store/store.h"

/* The watch of the reader (store_watch) is the fork's too. NULL: *why. */
struct store *store_fork(struct store *reader, struct problem *why);

#endif
