#include "run/keeper.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/clock.h"
#include "base/log.h"
#include "derived/derived.h"
#include "derived/recompute.h"
#include "service/access/register.h"

enum { LOOK_EVERY_S = 60 };

struct keeper {
	struct writer *writer;
	pthread_t thread;
	pthread_mutex_t lock;
	pthread_cond_t told;
	bool look, stopping;
};

struct piece {
	struct job job;
	struct recompute *at;
	struct recompute next;
	bool more;
};

static bool run_piece(struct job *job, void *store)
{
	struct piece *p = (struct piece *)job;
	const struct origin origin = { .now_ms = clock_now_ms() };
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct view view = { .store = store };
	struct act act = { 0 };
	bool ok = register_clock(store, &one);

	p->next = *p->at;
	view.today = clock_today();
	ok = ok && act_begin(&act, &view, &origin, &why) &&
		recompute_piece(&act, &p->next, &p->more, &one) && derived_end(&act, &why);
	act_release(&act);
	view_release(&view);
	if (!ok) {
		p->more = false;
		log_line(LOG_ERROR, "the rulebook could not be followed", "why",
			one.code != PROBLEM_NONE ? one.detail : why.item[0].detail, NULL);
	}
	return ok;
}

/* One piece after the other until all is made, or the program ends. */
static void follow(struct keeper *k)
{
	struct recompute at = { 0 };
	int64_t began_ms = clock_monotonic_ms();
	bool more = true, complete = false;

	while (more) {
		struct piece p = { .job = { .run = run_piece }, .at = &at };

		/* what was not committed is made again at the next look */
		more = writer_do(k->writer, &p.job);
		complete = more && !p.more;
		more = more && p.more;
		at = p.next;
		pthread_mutex_lock(&k->lock);
		more = more && !k->stopping;
		pthread_mutex_unlock(&k->lock);
	}
	if (complete && at.bonds_done) {
		char ms[24];

		snprintf(ms, sizeof ms, "%lld", (long long)(clock_monotonic_ms() - began_ms));
		log_line(LOG_INFO, "made again under the rulebook in force", "ms", ms, NULL);
	}
}

static void *keep(void *arg)
{
	struct keeper *k = arg;

	pthread_mutex_lock(&k->lock);
	while (!k->stopping) {
		int64_t until_ms;
		struct timespec until;

		k->look = false;
		pthread_mutex_unlock(&k->lock);
		follow(k);
		until_ms = clock_monotonic_ms() + LOOK_EVERY_S * INT64_C(1000);
		until = (struct timespec){ until_ms / 1000, until_ms % 1000 * 1000000 };
		pthread_mutex_lock(&k->lock);
		while (!k->look && !k->stopping &&
			pthread_cond_timedwait(&k->told, &k->lock, &until) == 0) {
		}
	}
	pthread_mutex_unlock(&k->lock);
	return NULL;
}

struct keeper *keeper_start(struct writer *writer, struct problem *why)
{
	struct keeper *k = calloc(1, sizeof *k);
	pthread_condattr_t monotonic;   /* a clock that is set back must not keep it from looking */

	if (k == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	k->writer = writer;
	pthread_mutex_init(&k->lock, NULL);
	pthread_condattr_init(&monotonic);
	pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
	pthread_cond_init(&k->told, &monotonic);
	pthread_condattr_destroy(&monotonic);
	if (pthread_create(&k->thread, NULL, keep, k) == 0) {
		return k;
	}
	problem_set(why, PROBLEM_NO_MEMORY, NULL, "The keeper's thread could not be started.");
	pthread_cond_destroy(&k->told);
	pthread_mutex_destroy(&k->lock);
	free(k);
	return NULL;
}

void keeper_look(struct keeper *k)
{
	pthread_mutex_lock(&k->lock);
	k->look = true;
	pthread_cond_signal(&k->told);
	pthread_mutex_unlock(&k->lock);
}

void keeper_stop(struct keeper *k)
{
	if (k == NULL) {
		return;
	}
	pthread_mutex_lock(&k->lock);
	k->stopping = true;
	pthread_cond_signal(&k->told);
	pthread_mutex_unlock(&k->lock);
	pthread_join(k->thread, NULL);
	pthread_cond_destroy(&k->told);
	pthread_mutex_destroy(&k->lock);
	free(k);
}
