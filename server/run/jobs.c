#include "run/jobs.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "base/clock.h"
#include "base/log.h"

enum { THREADS_USUAL = JOBS_OF_PERSON + 1, THREADS_MOST = 16 };

/* Behind the workers and the writer, when the machine has not enough cores for all. */
enum { NICE = 5 };

/* What a connection keeps of the file: long work goes from one end to the other and comes back to
 * little. */
enum { CACHE_KB = 4 << 10 };

/* How often one is ended for the log's sake, how often the same, and how often it is looked whether
 * the log is short again. */
enum { EASE_EVERY_MS = 2000, AGAIN_MOST = 2, LOOK_EVERY_MS = 100 };

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
	bool (*log_is_long)(void *arg);
	void *arg;
	/* by thread: which in the order of beginning; 0: none, or one that renews its view */
	uint64_t running[THREADS_MOST];
	int64_t eased_ms;                 /* when one was last ended for the log's sake */
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

static bool is_log_long(const struct jobs *j)
{
	return j->log_is_long != NULL && j->log_is_long(j->arg);
}

/* NULL: nothing may be begun now. */
static struct job *choose(struct jobs *j)
{
	struct job **chosen = NULL, *job;
	struct person_jobs *best = NULL;

	if (!atomic_load(&j->stopping) && is_log_long(j)) {
		return NULL;
	}
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
	struct jobs *jobs;
	const struct job *job;
	uint64_t number;            /* in the order of beginning */
	bool over, again;
};

/* The oldest of what runs, now and then. */
static bool must_ease(struct jobs *j, uint64_t number)
{
	int64_t now_ms = clock_monotonic_ms();
	bool ease;

	pthread_mutex_lock(&j->lock);
	ease = now_ms >= j->eased_ms + EASE_EVERY_MS;
	for (unsigned i = 0; i < THREADS_MOST; i++) {
		ease = ease && (j->running[i] == 0 || j->running[i] >= number);
	}
	j->eased_ms = ease ? now_ms : j->eased_ms;
	pthread_mutex_unlock(&j->lock);
	return ease;
}

static bool watch(void *arg)
{
	struct watched *w = arg;

	w->over = is_over(w->jobs, w->job);
	w->again = w->again || (!w->over && !w->job->renews && is_log_long(w->jobs) &&
		must_ease(w->jobs, w->number));
	return w->over || w->again;
}

/* To be begun again before all else; the lock is not held. */
static void put_back(struct jobs *j, struct job *job)
{
	pthread_mutex_lock(&j->lock);
	job->next = j->first;
	j->end = j->first == NULL ? &job->next : j->end;
	j->first = job;
	j->waiting++;
	person_of(j, job->person_id)->waiting++;
	pthread_mutex_unlock(&j->lock);
}

/* False: it was ended, and the connection is left as it was then. */
static bool run(struct jobs *j, struct job *job, uint64_t number, struct store *store)
{
	struct watched watched = { j, job, number, false, false };
	bool ended;

	if (!is_over(j, job)) {
		store_watch(store, watch, &watched);
		job->ok = job->run(job, store);
		store_watch(store, NULL, NULL);
	} else {
		watched.over = true;
	}
	ended = watched.over || watched.again;
	if (watched.again && !watched.over && job->tries++ < AGAIN_MOST) {
		put_back(j, job);
	} else {
		job->outrun = watched.again && !watched.over;
		job->done(job, !ended);
	}
	return !ended;
}

/* The lock is held. What waits for the log does not wait to be told. */
static void wait_for_job(struct jobs *j)
{
	int64_t until_ms = clock_monotonic_ms() + LOOK_EVERY_MS;
	struct timespec until = { until_ms / 1000, until_ms % 1000 * 1000000 };

	if (j->first != NULL) {
		pthread_cond_timedwait(&j->more, &j->lock, &until);
	} else {
		pthread_cond_wait(&j->more, &j->lock);
	}
}

/* Which of the threads the calling one is; the lock is held. */
static unsigned thread_number(const struct jobs *j)
{
	unsigned n = 0;

	while (n < j->n_threads && !pthread_equal(j->threads[n], pthread_self())) {
		n++;
	}
	return n;
}

static struct store *open_reader(const struct jobs *j, struct problem *why)
{
	struct store *store = store_open(j->path, STORE_READ, why);

	if (store != NULL) {
		store_cache(store, CACHE_KB);
	}
	return store;
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
		unsigned thread = thread_number(j);
		uint64_t number = j->begun;
		int64_t person_id;

		if (job == NULL) {
			wait_for_job(j);
			continue;
		}
		j->running[thread] = job->renews ? 0 : number;
		pthread_mutex_unlock(&j->lock);
		person_id = job->person_id;
		store = store != NULL ? store : open_reader(j, &why);
		if (store == NULL) {
			log_line(LOG_ERROR, "a reader could not be opened", "why", why.detail, NULL);
			job->done(job, false);
		} else if (!run(j, job, number, store)) {
			store_close(store);
			store = NULL;
		}
		pthread_mutex_lock(&j->lock);
		j->running[thread] = 0;
		person_of(j, person_id)->running--;
		pthread_cond_broadcast(&j->more);   /* who had two may have another */
	}
	pthread_mutex_unlock(&j->lock);
	store_close(store);
	return NULL;
}

struct jobs *jobs_start(const char *register_path, unsigned threads,
	bool (*log_is_long)(void *arg), void *arg, struct problem *why)
{
	struct jobs *j = calloc(1, sizeof *j);
	unsigned wanted = threads == 0 ? THREADS_USUAL : threads > THREADS_MOST ? THREADS_MOST : threads;
	pthread_condattr_t monotonic;

	if (j == NULL || (j->path = strdup(register_path)) == NULL) {
		free(j);
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	j->end = &j->first;
	j->log_is_long = log_is_long;
	j->arg = arg;
	pthread_mutex_init(&j->lock, NULL);
	pthread_condattr_init(&monotonic);
	pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
	pthread_cond_init(&j->more, &monotonic);
	pthread_condattr_destroy(&monotonic);
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
