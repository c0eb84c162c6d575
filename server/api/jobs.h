/* The threads of long work: each with a reading connection of its own, so that a slow query holds
 * up neither a worker nor the writer. */
#ifndef API_JOBS_H
#define API_JOBS_H

#include "base/job.h"
#include "store/store.h"

struct jobs;

struct jobs *jobs_start(const char *register_path, unsigned threads, struct problem *why);
/* False: too many are waiting (64), or stopping. */
bool jobs_give(struct jobs *jobs, struct job *job);
/* Finishes what it has taken. */
void jobs_stop(struct jobs *jobs);

#endif
