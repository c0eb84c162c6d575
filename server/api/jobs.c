#include "api/jobs.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"

enum { THREADS_USUAL = 2, THREADS_MOST = 16, WAITING_MOST = 64 };

struct jobs {
	char *path;
	pthread_mutex_t lock;
	pthread_cond_t more;
	struct job *first, *last;
	size_t waiting;
	bool stopping;
	unsigned n_threads;
	pthread_t threads[THREADS_MOST];
};

static struct job *take(struct jobs *j)
{
	struct job *job;

	pthread_mutex_lock(&j->lock);
	while (j->first == NULL && !j->stopping) {
		pthread_cond_wait(&j->more, &j->lock);
	}
	job = j->first;
	if (job != NULL) {
		j->first = job->next;
		if (j->first == NULL) {
			j->last = NULL;
		}
		j->waiting--;
	}
	pthread_mutex_unlock(&j->lock);
	return job;
}

static void *work(void *arg)
{
	struct jobs *j = arg;
	struct store *store = NULL;
	struct job *job;

	while ((job = take(j)) != NULL) {
		struct problem why = { 0 };

		if (store == NULL) {
			store = store_open(j->path, STORE_READ, &why);
		}
		if (store == NULL) {
			log_line(LOG_ERROR, "a reader could not be opened", "why", why.detail, NULL);
			job->done(job, false);
		} else {
			job->ok = job->run(job, store);
			job->done(job, true);
		}
	}
	store_close(store);
	return NULL;
}

struct jobs *jobs_start(const char *register_path, unsigned threads, struct problem *why)
{
	struct jobs *j = calloc(1, sizeof *j);
	unsigned wanted = threads == 0 ? THREADS_USUAL : threads > THREADS_MOST ? THREADS_MOST : threads;

	if (j == NULL || (j->path = strdup(register_path)) == NULL) {
		free(j);
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	pthread_mutex_init(&j->lock, NULL);
	pthread_cond_init(&j->more, NULL);
	while (j->n_threads < wanted) {
		if (pthread_create(&j->threads[j->n_threads], NULL, work, j) != 0) {
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "The job threads could not be started.");
			jobs_stop(j);
			return NULL;
		}
		j->n_threads++;
	}
	return j;
}

bool jobs_give(struct jobs *j, struct job *job)
{
	bool taken;

	job->next = NULL;
	pthread_mutex_lock(&j->lock);
	taken = !j->stopping && j->waiting < WAITING_MOST;
	if (taken) {
		if (j->last != NULL) {
			j->last->next = job;
		} else {
			j->first = job;
		}
		j->last = job;
		j->waiting++;
		pthread_cond_signal(&j->more);
	}
	pthread_mutex_unlock(&j->lock);
	return taken;
}

void jobs_stop(struct jobs *j)
{
	if (j == NULL) {
		return;
	}
	pthread_mutex_lock(&j->lock);
	j->stopping = true;
	pthread_cond_broadcast(&j->more);
	pthread_mutex_unlock(&j->lock);
	for (unsigned i = 0; i < j->n_threads; i++) {
		pthread_join(j->threads[i], NULL);
	}
	pthread_cond_destroy(&j->more);
	pthread_mutex_destroy(&j->lock);
	free(j->path);
	free(j);
}
