/*
 * The thread that computes the hashes of passwords, slow on purpose, one after the other: neither
 * a worker nor more memory is held by those who guess. Its queue is short, and half of it is kept
 * for devices from which somebody signed in before: a crowd of guessers keeps no crew out.
 */
#ifndef RUN_HASHES_H
#define RUN_HASHES_H

#include "base/job.h"
#include "base/problem.h"

enum { HASHES_WAITING = 16, HASHES_WAITING_UNKNOWN = HASHES_WAITING / 2 };

struct hashes;

struct hashes *hashes_start(struct problem *why);

/* known: a device of before, whose job comes before the others'. The job's context is NULL. False:
 * *why is PROBLEM_TOO_MANY, or PROBLEM_BUSY when it is stopping. */
bool hashes_give(struct hashes *hashes, struct job *job, bool known, struct problem *why);

/* What still waits is told that it was not done. */
void hashes_stop(struct hashes *hashes);

#endif
