/*
 * The one thread that writes. It takes all jobs that are waiting into one transaction, each in a
 * savepoint of its own, commits once, and only then tells them: no request is answered before its
 * commit is on disk, and many requests share one sync.
 *
 * It owns the only writing connection, which is also the one that checkpoints: SQLite before
 * 3.51.3 has a rare race between a checkpoint on one connection and a commit on another.
 */
#ifndef STORE_WRITER_H
#define STORE_WRITER_H

#include "base/job.h"
#include "store/store.h"

struct writer;

struct writer_options {
	size_t batch_most;          /* jobs in one transaction; 0: 256; 1 switches batching off */
	bool make;                  /* a new register (STORE_MAKE) */
	/* Called from the writer when a sync failed or the register's files were changed, and nothing
	 * more is taken: the program must end. */
	void (*broken)(void *app);
	void *app;
};

/* Opens (and migrates) the register and starts the thread. The folder is locked meanwhile, and with
 * the process's end. NULL: *why. */
struct writer *writer_start(const char *path, const struct writer_options *options,
	struct problem *why);

/* Hands a job over; its context is the writing struct store. False: stopping or broken, not
 * taken. */
bool writer_give(struct writer *writer, struct job *job);

/* Runs one job and waits for its outcome; for the command line. Returns whether it was
 * committed. */
bool writer_do(struct writer *writer, struct job *job);

/* Finishes what it has taken, checkpoints, closes. */
void writer_stop(struct writer *writer);

/* How long the log is: over 64 MB the writer folds it as soon as the readers leave a gap. */
int64_t writer_log_bytes(const struct writer *writer);

/* No room on the disk: the last commit failed for that, and there is no more now. */
bool writer_is_full(struct writer *writer);

struct writer_counts {
	uint64_t jobs, commits, failed_commits;
	uint64_t waiting;           /* now */
};
void writer_counts(struct writer *writer, struct writer_counts *to);

#endif
