#include "run/hashes.h"

#include <pthread.h>
#include <stdlib.h>
#include <sys/resource.h>

/* Behind the workers, when the machine has not enough cores for all. */
enum { NICE = 10 };

struct queue {
	struct job *first, *last;
	unsigned waiting;
};

struct hashes {
	pthread_mutex_t lock;
	pthread_cond_t more;
	struct queue known, unknown;
	bool stopping;
	pthread_t thread;
};

static void put(struct queue *q, struct job *job)
{
	job->next = NULL;
	if (q->last != NULL) {
		q->last->next = job;
	} else {
		q->first = job;
	}
	q->last = job;
	q->waiting++;
}

static struct job *take(struct queue *q)
{
	struct job *job = q->first;

	if (job != NULL) {
		q->first = job->next;
		q->last = q->first != NULL ? q->last : NULL;
		q->waiting--;
	}
	return job;
}

static void *work(void *arg)
{
	struct hashes *h = arg;

	setpriority(PRIO_PROCESS, 0, NICE);   /* of this thread */
	pthread_mutex_lock(&h->lock);
	for (;;) {
		struct job *job = take(&h->known);
		bool stopping;

		job = job != NULL ? job : take(&h->unknown);
		stopping = h->stopping;
		if (job != NULL) {
			pthread_mutex_unlock(&h->lock);
			job->ok = !stopping && job->run(job, NULL);
			job->done(job, !stopping);
			pthread_mutex_lock(&h->lock);
		} else if (stopping) {
			break;
		} else {
			pthread_cond_wait(&h->more, &h->lock);
		}
	}
	pthread_mutex_unlock(&h->lock);
	return NULL;
}

struct hashes *hashes_start(struct problem *why)
{
	struct hashes *h = calloc(1, sizeof *h);

	if (h == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	pthread_mutex_init(&h->lock, NULL);
	pthread_cond_init(&h->more, NULL);
	if (pthread_create(&h->thread, NULL, work, h) == 0) {
		return h;
	}
	problem_set(why, PROBLEM_NO_MEMORY, NULL, "The thread for passwords could not be started.");
	pthread_cond_destroy(&h->more);
	pthread_mutex_destroy(&h->lock);
	free(h);
	return NULL;
}

bool hashes_give(struct hashes *h, struct job *job, bool known, struct problem *why)
{
	bool taken = false;

	pthread_mutex_lock(&h->lock);
	if (h->stopping) {
		problem_set(why, PROBLEM_BUSY, NULL, "The server is stopping: try again in a minute.");
	} else if (h->known.waiting + h->unknown.waiting >= HASHES_WAITING ||
		(!known && h->unknown.waiting >= HASHES_WAITING_UNKNOWN)) {
		problem_set(why, PROBLEM_TOO_MANY, NULL,
			"Too many are signing in just now: try again in a few seconds.");
	} else {
		put(known ? &h->known : &h->unknown, job);
		pthread_cond_signal(&h->more);
		taken = true;
	}
	pthread_mutex_unlock(&h->lock);
	return taken;
}

void hashes_stop(struct hashes *h)
{
	if (h == NULL) {
		return;
	}
	pthread_mutex_lock(&h->lock);
	h->stopping = true;
	pthread_cond_signal(&h->more);
	pthread_mutex_unlock(&h->lock);
	pthread_join(h->thread, NULL);
	pthread_cond_destroy(&h->more);
	pthread_mutex_destroy(&h->lock);
	free(h);
}
