#include "run/look.h"

#include <pthread.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>

#include "base/log.h"
#include "store/damage.h"

enum { WAIT_S = 2, LAST = 19, SMALL_BYTES = 64 << 20 };

/* It goes through each page once. */
enum { CACHE_KB = 2 << 10 };

struct look {
	const char *path;
	pthread_t thread;
	pthread_mutex_t lock;
	pthread_cond_t over;
	struct store *store;      /* while it is looked at */
	bool is_small, is_over, stopping;
};

/* False: it was stopped before. */
static bool begin(struct look *look, struct store *store)
{
	bool go_on;

	pthread_mutex_lock(&look->lock);
	go_on = !look->stopping;
	look->store = store;
	pthread_mutex_unlock(&look->lock);
	return go_on;
}

static void *look_at_register(void *arg)
{
	struct look *look = arg;
	struct problem why = { 0 };
	struct store *store;

	setpriority(PRIO_PROCESS, 0, LAST);   /* (on Linux, of this thread) */
	store = store_open(look->path, STORE_READ, &why);
	if (store == NULL) {
		log_line(LOG_ERROR, "a reader could not be opened", "why", why.detail, NULL);
	} else if (begin(look, store)) {
		store_cache(store, CACHE_KB);
		store_look(store, look->is_small);
	}
	pthread_mutex_lock(&look->lock);
	look->store = NULL;
	look->is_over = true;
	pthread_cond_signal(&look->over);
	pthread_mutex_unlock(&look->lock);
	store_close(store);
	return NULL;
}

static void wait_a_little(struct look *look)
{
	struct timespec until;

	clock_gettime(CLOCK_MONOTONIC, &until);
	until.tv_sec += WAIT_S;
	pthread_mutex_lock(&look->lock);
	while (!look->is_over && pthread_cond_timedwait(&look->over, &look->lock, &until) == 0) {
	}
	pthread_mutex_unlock(&look->lock);
}

struct look *look_start(const char *register_path, struct problem *why)
{
	struct look *look = calloc(1, sizeof *look);
	pthread_condattr_t by_monotonic;
	struct stat st;

	if (look == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	look->path = register_path;
	look->is_small = stat(register_path, &st) == 0 && st.st_size <= SMALL_BYTES;
	pthread_mutex_init(&look->lock, NULL);
	pthread_condattr_init(&by_monotonic);
	pthread_condattr_setclock(&by_monotonic, CLOCK_MONOTONIC);
	pthread_cond_init(&look->over, &by_monotonic);
	pthread_condattr_destroy(&by_monotonic);
	if (pthread_create(&look->thread, NULL, look_at_register, look) != 0) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "A thread could not be started.");
		free(look);
		return NULL;
	}
	if (look->is_small) {
		wait_a_little(look);
	}
	return look;
}

void look_stop(struct look *look)
{
	if (look == NULL) {
		return;
	}
	pthread_mutex_lock(&look->lock);
	look->stopping = true;
	/* (asked again, because what it is at may end just before the next begins) */
	while (!look->is_over) {
		struct timespec until;

		if (look->store != NULL) {
			store_interrupt(look->store);
		}
		clock_gettime(CLOCK_MONOTONIC, &until);
		until.tv_nsec += 10000000;
		until.tv_sec += until.tv_nsec / 1000000000;
		until.tv_nsec %= 1000000000;
		pthread_cond_timedwait(&look->over, &look->lock, &until);
	}
	pthread_mutex_unlock(&look->lock);
	pthread_join(look->thread, NULL);
	pthread_cond_destroy(&look->over);
	pthread_mutex_destroy(&look->lock);
	free(look);
}
