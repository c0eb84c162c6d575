#include "api/jobs.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

#include "base/log.h"

enum { THREADS_USUAL = JOBS_OF_PERSON + 1, THREADS_MOST = 16 };

/* Behind the workers and the writer, when the machine has not enough cores for all. */
enum { NICE = 5 };

/* Everybody who has something running or waiting, and a free place. */
enum { PEOPLE_MOST = JOBS_WAITING + THREADS_MOST };

struct person_jobs {
	int64_t id;
	unsigned waiting, running;
	uint64_t last;              /* when one of theirs was begun: counted */
	bool taken;
};

struct jobs {
	char *path;
	pthread_mutex_t lock;
	pthread_cond_t more;
	struct job *first, **end;
	unsigned waiting;
	uint64_t begun;
	struct person_jobs people[PEOPLE_MOST];
	atomic_bool stopping;
	unsigned n_threads;
	pthread_t threads[THREADS_MOST];
};

/* The lock is held, as in all to work. Who has nothing any more is forgotten. */
static struct person_jobs *person_of(struct jobs *j, int64_t id)
{
	struct person_jobs *free_place = NULL;

	for (size_t i = 0; i < PEOPLE_MOST; i++) {
		struct person_jobs *p = &j->people[i];

		if (p->taken && p->id == id) {
			return p;
		}
		if (p->waiting == 0 && p->running == 0 && (free_place == NULL ||
			(free_place->taken && (!p->taken || p->last < free_place->last)))) {
			free_place = p;
		}
	}
	*free_place = (struct person_jobs){ .id = id, .taken = true };
	return free_place;
}

static bool is_before(const struct person_jobs *a, const struct person_jobs *b)
{
	return a->running != b->running ? a->running < b->running : a->last < b->last;
}

/* NULL: nothing may be begun now. */
static struct job *choose(struct jobs *j)
{
	struct job **chosen = NULL, *job;
	struct person_jobs *best = NULL;

	for (struct job **at = &j->first; *at != NULL; at = &(*at)->next) {
		struct person_jobs *p = person_of(j, (*at)->person_id);

		if (p->running < JOBS_OF_PERSON && (best == NULL || is_before(p, best))) {
			best = p;
			chosen = at;
		}
	}
	if (chosen == NULL) {
		return NULL;
	}
	job = *chosen;
	*chosen = job->next;
	if (*chosen == NULL) {
		j->end = chosen;
	}
	best->waiting--;
	best->running++;
	best->last = ++j->begun;
	j->waiting--;
	return job;
}

static bool is_over(const struct jobs *j, const struct job *job)
{
	return atomic_load(&j->stopping) || (job->gone != NULL && atomic_load(job->gone));
}

struct watched {
	const struct jobs *jobs;
	const struct job *job;
	bool over;
};

static bool watch(void *arg)
{
	struct watched *w = arg;

	w->over = is_over(w->jobs, w->job);
	return w->over;
}

/* False: it was ended, and the connection is left as it was then. */
static bool run(struct jobs *j, struct job *job, struct store *store)
{
	struct watched watched = { j, job, false };

	if (!watch(&watched)) {
		store_watch(store, watch, &watched);
		job->ok = job->run(job, store);
		store_watch(store, NULL, NULL);
	}
	job->done(job, !watched.over);
	return !watched.over;
}

static void *work(void *arg)
{
	struct jobs *j = arg;
	struct store *store = NULL;
	struct job *job;

	setpriority(PRIO_PROCESS, 0, NICE);   /* of this thread */
	pthread_mutex_lock(&j->lock);
	while ((job = choose(j)) != NULL || !atomic_load(&j->stopping)) {
		struct problem why = { 0 };
		int64_t person_id;

		if (job == NULL) {
			pthread_cond_wait(&j->more, &j->lock);
			continue;
		}
		pthread_mutex_unlock(&j->lock);
		person_id = job->person_id;
		store = store != NULL ? store : store_open(j->path, STORE_READ, &why);
		if (store == NULL) {
			log_line(LOG_ERROR, "a reader could not be opened", "why", why.detail, NULL);
			job->done(job, false);
		} else if (!run(j, job, store)) {
			store_close(store);
			store = NULL;
		}
		pthread_mutex_lock(&j->lock);
		person_of(j, person_id)->running--;
		pthread_cond_broadcast(&j->more);   /* who had two may have another */
	}
	pthread_mutex_unlock(&j->lock);
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
	j->end = &j->first;
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

/* The lock is held. */
static bool may_wait(struct jobs *j, const struct job *job, struct problem *why)
{
	if (atomic_load(&j->stopping)) {
		return problem_set(why, PROBLEM_BUSY, NULL, "The server is stopping: ask again in a minute.");
	}
	if (j->waiting >= JOBS_WAITING) {
		return problem_set(why, PROBLEM_BUSY, NULL, "%u reports and files are waiting to be made: "
			"ask again in a few minutes.", j->waiting);
	}
	if (person_of(j, job->person_id)->waiting >= JOBS_WAITING_OF_PERSON) {
		return problem_set(why, PROBLEM_TOO_MANY, NULL, "%d reports and files of yours are waiting to "
			"be made: ask again when some of them are there.", JOBS_WAITING_OF_PERSON);
	}
	return true;
}

bool jobs_give(struct jobs *j, struct job *job, struct problem *why)
{
	bool taken;

	job->next = NULL;
	pthread_mutex_lock(&j->lock);
	taken = may_wait(j, job, why);
	if (taken) {
		*j->end = job;
		j->end = &job->next;
		j->waiting++;
		person_of(j, job->person_id)->waiting++;
		pthread_cond_signal(&j->more);
	}
	pthread_mutex_unlock(&j->lock);
	return taken;
}

void jobs_end(struct jobs *j)
{
	if (j != NULL) {
		pthread_mutex_lock(&j->lock);
		atomic_store(&j->stopping, true);
		pthread_cond_broadcast(&j->more);
		pthread_mutex_unlock(&j->lock);
	}
}

void jobs_stop(struct jobs *j)
{
	if (j == NULL) {
		return;
	}
	jobs_end(j);
	for (unsigned i = 0; i < j->n_threads; i++) {
		pthread_join(j->threads[i], NULL);
	}
	pthread_cond_destroy(&j->more);
	pthread_mutex_destroy(&j->lock);
	free(j->path);
	free(j);
}
