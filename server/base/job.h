/*
 * A piece of work that another thread does: the writer (one transaction for all that are waiting)
 * or a job thread. Whoever makes the job owns it until it is handed over, and again once done was
 * called.
 *
 * run   does it, with the context (the store) of the thread it runs on. False: what it wrote is
 *       rolled back to before it began; the other jobs of the same transaction are not touched.
 * done  is called once the outcome is certain. committed: true when run returned true and its
 *       effects are on disk, or when run returned false (nothing was written, and that is sure).
 *       false: the commit failed or the job was never run; the sender must send again.
 *       It is called from the other thread and must not block.
 */
#ifndef BASE_JOB_H
#define BASE_JOB_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

struct job {
	bool (*run)(struct job *job, void *context);
	void (*done)(struct job *job, bool committed);
	int64_t person_id;          /* whom it is for; 0: nobody who is signed in */
	const atomic_bool *gone;    /* nobody waits for it any more; NULL: that is never so */
	bool renews;                /* it renews its view now and then, and is not ended for the log */
	struct job *next;           /* the queue's */
	bool ok;                    /* the queue's: what run returned */
	bool no_room;               /* the queue's: it was not committed because the disk is full */
	bool outrun;                /* the queue's: what it reads is written to too much for it */
	unsigned tries;             /* the queue's: how often it was ended to be begun again */
};

#endif
