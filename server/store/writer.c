#include "store/writer.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/statvfs.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/log.h"

enum { BATCH_MOST = 256, LOOK_EVERY_S = 1, STOP_WAITS_MS = 5000, ROOM_WAITS_MS = 50 };

/* With less room than this on the disk the log is kept short, so that it never takes the room that
 * folding it into the register needs. */
static const int64_t ROOM_SMALL = 128 << 20, LOG_SHORT = 256 << 10;

/* A long log is folded as soon as the readers leave a gap, which is looked for once a second. */
enum { LOG_TRY_EVERY_MS = 1000 };

struct writer {
	struct store *store;
	struct writer_options options;
	int folder;                 /* locked while we write: no second process may */
	pthread_t thread;
	pthread_mutex_t lock;
	pthread_cond_t more;
	struct job *first, *last;   /* waiting */
	bool stopping;
	bool broken;
	bool full;
	int64_t room_when_full;     /* bytes */
	_Atomic int64_t log_bytes;  /* after the last commit */
	int64_t tried_ms;           /* when it was last tried to fold a long log */
	struct writer_counts counts;
};

static int64_t room(struct writer *w)
{
	struct statvfs disk;

	return fstatvfs(w->folder, &disk) == 0 ? (int64_t)(disk.f_bavail * disk.f_frsize) : INT64_MAX;
}

static bool is_long(struct writer *w, int64_t log)
{
	int64_t left = room(w), now_ms = clock_monotonic_ms();

	if (left < ROOM_SMALL && log > LOG_SHORT && log > left / 8) {
		return true;
	}
	if (log <= STORE_LOG_LONG || now_ms < w->tried_ms + LOG_TRY_EVERY_MS) {
		return false;
	}
	w->tried_ms = now_ms;
	return true;
}

static void keep_log_short(struct writer *w)
{
	int64_t log = store_log_bytes(w->store);

	if (is_long(w, log)) {
		store_checkpoint(w->store, ROOM_WAITS_MS);
		log = store_log_bytes(w->store);
	}
	atomic_store(&w->log_bytes, log);
}

/* Until there is a job or an end, with the lock held. Who waits looks after the files. */
static void wait_for_job(struct writer *w)
{
	while (w->first == NULL && !w->stopping && store_in_place(w->store)) {
		struct timespec until;

		clock_gettime(CLOCK_MONOTONIC, &until);
		until.tv_sec += LOOK_EVERY_S;
		pthread_cond_timedwait(&w->more, &w->lock, &until);
		if (w->first == NULL) {
			pthread_mutex_unlock(&w->lock);
			keep_log_short(w);
			pthread_mutex_lock(&w->lock);
		}
	}
}

/* Takes up to batch_most waiting jobs; NULL when stopping and none is left, or when it cannot go
 * on. */
static struct job *take(struct writer *w)
{
	struct job *batch, *end;
	size_t taken = 1;

	pthread_mutex_lock(&w->lock);
	wait_for_job(w);
	batch = w->first;
	if (batch != NULL) {
		for (end = batch; end->next != NULL && taken < w->options.batch_most; taken++) {
			end = end->next;
		}
		w->first = end->next;
		if (w->first == NULL) {
			w->last = NULL;
		}
		end->next = NULL;
		w->counts.waiting -= taken;
		w->counts.jobs += taken;
	}
	pthread_mutex_unlock(&w->lock);
	return batch;
}

/* One job in its savepoint. False: the transaction itself is lost. */
static bool run_one(struct store *store, struct job *job, struct problem *why)
{
	if (!store_save(store, why)) {
		return false;
	}
	job->ok = job->run(job, store);
	return job->ok ? store_save_keep(store, why) : store_save_undo(store, why);
}

/* What was refused goes in again as soon as there is room; folding the log may make some. */
static void note_room(struct writer *w, bool full)
{
	if (full) {
		store_checkpoint(w->store, ROOM_WAITS_MS);
	}
	pthread_mutex_lock(&w->lock);
	w->full = full;
	w->room_when_full = room(w);
	pthread_mutex_unlock(&w->lock);
}

static bool run_batch(struct writer *w, struct job *batch)
{
	struct problem why = { 0 };
	bool ok;

	keep_log_short(w);
	ok = store_begin(w->store, &why);
	for (struct job *job = batch; ok && job != NULL; job = job->next) {
		ok = run_one(w->store, job, &why);
	}
	ok = ok && store_commit(w->store, &why);
	if (!ok) {
		store_rollback(w->store);
	}
	for (struct job *job = batch; job != NULL; job = job->next) {
		job->no_room = !ok && why.code == PROBLEM_FULL;
	}
	if (ok ? w->full : why.code == PROBLEM_FULL) {
		note_room(w, !ok);
	}
	return ok;
}

static void tell(struct job *batch, bool committed)
{
	while (batch != NULL) {
		struct job *next = batch->next;

		batch->next = NULL;
		batch->done(batch, committed);
		batch = next;
	}
}

static void give_up(struct writer *w)
{
	struct job *left;

	log_line(LOG_ERROR, "the writer stops, restart to recover", "because", store_broken(w->store),
		NULL);
	pthread_mutex_lock(&w->lock);
	w->broken = true;
	left = w->first;
	w->first = w->last = NULL;
	w->counts.waiting = 0;
	pthread_mutex_unlock(&w->lock);
	tell(left, false);
	if (w->options.broken != NULL) {
		w->options.broken(w->options.app);
	}
}

static void *write_all(void *arg)
{
	struct writer *w = arg;
	struct job *batch;

	while ((batch = take(w)) != NULL) {
		bool committed = run_batch(w, batch);

		committed = store_in_place(w->store) && committed;
		pthread_mutex_lock(&w->lock);
		w->counts.commits += committed;
		w->counts.failed_commits += !committed;
		pthread_mutex_unlock(&w->lock);
		tell(batch, committed);
		if (store_broken(w->store) != NULL) {
			break;
		}
	}
	if (store_broken(w->store) != NULL) {
		give_up(w);
	}
	return NULL;
}

/* The folder itself is locked, not a file in it that could be removed. The lock goes with the
 * process, however it ends. */
static bool lock_folder(struct writer *w, const char *path, struct problem *why)
{
	const char *slash = strrchr(path, '/');
	char *folder = slash == NULL ? strdup(".") :
		strndup(path, slash > path ? (size_t)(slash - path) : 1);

	if (folder == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	w->folder = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
	if (w->folder < 0) {
		problem_set(why, PROBLEM_STORE, NULL, "The folder %s cannot be opened: %s.", folder,
			strerror(errno));
	} else if (flock(w->folder, LOCK_EX | LOCK_NB) != 0) {
		problem_set(why, PROBLEM_BUSY, NULL, "Another bondbook is writing to this register "
			"(a server, or an import): stop it first, or do it there.");
	}
	free(folder);
	return why->code == PROBLEM_NONE;
}

static void release(struct writer *w)
{
	store_close(w->store);
	if (w->folder >= 0) {
		close(w->folder);
	}
	pthread_cond_destroy(&w->more);
	pthread_mutex_destroy(&w->lock);
	free(w);
}

struct writer *writer_start(const char *path, const struct writer_options *options,
	struct problem *why)
{
	struct writer *w = calloc(1, sizeof *w);
	pthread_condattr_t by_monotonic;

	if (w == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	if (options != NULL) {
		w->options = *options;
	}
	if (w->options.batch_most == 0) {
		w->options.batch_most = BATCH_MOST;
	}
	pthread_mutex_init(&w->lock, NULL);
	pthread_condattr_init(&by_monotonic);
	pthread_condattr_setclock(&by_monotonic, CLOCK_MONOTONIC);
	pthread_cond_init(&w->more, &by_monotonic);
	pthread_condattr_destroy(&by_monotonic);
	w->folder = -1;
	w->store = lock_folder(w, path, why) ?
		store_open(path, w->options.make ? STORE_MAKE : STORE_WRITE, why) : NULL;
	if (w->store != NULL) {
		if (pthread_create(&w->thread, NULL, write_all, w) == 0) {
			return w;
		}
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "The writing thread could not be started.");
	}
	release(w);
	return NULL;
}

bool writer_give(struct writer *w, struct job *job)
{
	bool taken;

	job->next = NULL;
	pthread_mutex_lock(&w->lock);
	taken = !w->stopping && !w->broken;
	if (taken) {
		if (w->last != NULL) {
			w->last->next = job;
		} else {
			w->first = job;
		}
		w->last = job;
		w->counts.waiting++;
		pthread_cond_signal(&w->more);
	}
	pthread_mutex_unlock(&w->lock);
	return taken;
}

/* A job that wraps another and lets one thread wait for it. */
struct waiting {
	struct job job;
	struct job *inner;
	pthread_mutex_t lock;
	pthread_cond_t told;
	bool over, committed;
};

static bool wait_run(struct job *job, void *context)
{
	struct job *inner = ((struct waiting *)job)->inner;

	inner->ok = inner->run(inner, context);
	return inner->ok;
}

static void wait_done(struct job *job, bool committed)
{
	struct waiting *w = (struct waiting *)job;

	pthread_mutex_lock(&w->lock);
	w->over = true;
	w->committed = committed;
	pthread_cond_signal(&w->told);
	pthread_mutex_unlock(&w->lock);
}

int64_t writer_log_bytes(const struct writer *writer)
{
	return atomic_load(&writer->log_bytes);
}

bool writer_do(struct writer *writer, struct job *job)
{
	struct waiting w = { .job = { .run = wait_run, .done = wait_done }, .inner = job };

	pthread_mutex_init(&w.lock, NULL);
	pthread_cond_init(&w.told, NULL);
	if (writer_give(writer, &w.job)) {
		pthread_mutex_lock(&w.lock);
		while (!w.over) {
			pthread_cond_wait(&w.told, &w.lock);
		}
		pthread_mutex_unlock(&w.lock);
	}
	if (job->done != NULL) {
		job->done(job, w.committed);
	}
	pthread_cond_destroy(&w.told);
	pthread_mutex_destroy(&w.lock);
	return w.committed;
}

void writer_stop(struct writer *w)
{
	if (w == NULL) {
		return;
	}
	pthread_mutex_lock(&w->lock);
	w->stopping = true;
	pthread_cond_signal(&w->more);
	pthread_mutex_unlock(&w->lock);
	pthread_join(w->thread, NULL);
	if (store_in_place(w->store)) {
		store_checkpoint(w->store, STOP_WAITS_MS);
	}
	release(w);
}

void writer_counts(struct writer *w, struct writer_counts *to)
{
	pthread_mutex_lock(&w->lock);
	*to = w->counts;
	pthread_mutex_unlock(&w->lock);
}

bool writer_is_full(struct writer *w)
{
	bool full;

	pthread_mutex_lock(&w->lock);
	full = w->full && room(w) <= w->room_when_full;
	pthread_mutex_unlock(&w->lock);
	return full;
}
