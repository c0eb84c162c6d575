/*
 * The threads of long work: each with a reading connection of its own, so that a slow query holds
 * up neither a worker nor the writer.
 *
 * One person has at most two running, and there is a thread more than that. Whoever has fewest
 * running is next, and of those who waited longest since their last. What nobody waits for any more
 * (job->gone) is not begun, or ended in the middle of its query.
 *
 * While the register's log is too long nothing is begun, and every two seconds the oldest of what
 * runs is ended, since the log cannot begin anew under it. It is begun again, at most twice. What
 * renews its view (job->renews) leaves gaps itself, and is not ended.
 */
#ifndef RUN_JOBS_H
#define RUN_JOBS_H

#include "base/job.h"
#include "store/store.h"

enum { JOBS_OF_PERSON = 2, JOBS_WAITING_OF_PERSON = 16, JOBS_WAITING = 256 };

struct jobs;

/* log_is_long is asked often, by many threads; NULL: it never is. */
struct jobs *jobs_start(const char *register_path, unsigned threads,
	bool (*log_is_long)(void *arg), void *arg, struct problem *why);
/* False: *why is PROBLEM_TOO_MANY where the person, PROBLEM_BUSY where the threads have too much to
 * do or are stopping. */
bool jobs_give(struct jobs *jobs, struct job *job, struct problem *why);
/* Takes nothing more, and ends what runs and what waits. */
void jobs_end(struct jobs *jobs);
void jobs_stop(struct jobs *jobs);

#endif
