#include "run/taker.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/clock.h"
#include "base/log.h"
#include "derived/derived.h"
#include "derived/import_follow.h"
#include "service/access/register.h"
#include "service/import/pieces.h"
#include "service/record/import_withdrawal.h"
#include "store/photo_file.h"

/* A piece holds up what crews send for so long; what failed below us is tried again after a
 * while. */
enum { PIECE_MS = 30, FOLLOW_MS = 15, AGAIN_AFTER_S = 10 };

struct taker {
	struct program *program;
	pthread_t thread;
	pthread_mutex_t lock;
	pthread_cond_t told;
	bool look, stopping;
};

/* One thing that the taker has the writer do. */
struct step {
	struct job job;
	struct import_begun *begun;     /* to be found, or ended with the reason in why */
	struct import_pieces *take;
	struct import_follow *at;
	struct import_withdrawal *back;
	struct problems *why;
	bool more;
};

static bool find(struct job *job, void *store)
{
	struct step *s = (struct step *)job;
	struct problem one = { 0 };

	return store_import_under_way(store, s->begun, &one) || act_refuse(s->why, &one, NULL);
}

static bool do_part(struct step *s, struct act *act, int64_t until_ms)
{
	if (s->take != NULL) {          /* (nothing is derived of what is only being taken) */
		return import_pieces_next(s->take, act, until_ms, &s->more, s->why);
	}
	return (s->back != NULL ? import_withdrawal_piece(act, s->back, until_ms, &s->more, s->why) :
		import_follow_piece(act, s->at, until_ms, &s->more, s->why)) && derived_end(act, s->why);
}

/* A piece in an act of its own: of the import that is taken, of what follows from one that is, or
 * of a withdrawal. */
static bool do_piece(struct job *job, void *store)
{
	struct step *s = (struct step *)job;
	const struct origin origin = { .now_ms = clock_now_ms() };
	int64_t until_ms = clock_monotonic_ms() + (s->take != NULL ? PIECE_MS : FOLLOW_MS);
	struct problem one = { 0 };
	struct view view = { .store = store };
	struct act act = { 0 };
	bool ok = register_clock(store, &one) || act_refuse(s->why, &one, NULL);

	view.today = clock_today();
	ok = ok && act_begin(&act, &view, &origin, s->why) && do_part(s, &act, until_ms);
	act_release(&act);
	view_release(&view);
	return ok;
}

static bool end_it(struct job *job, void *store)
{
	struct step *s = (struct step *)job;
	struct problem one = { 0 };
	enum import_standing standing;

	return store_import_standing(store, s->begun->id, &standing, &one) &&
		(standing != IMPORT_UNDER_WAY || store_import_end(store, s->begun->id,
		s->why->item[0].detail, clock_now_ms(), &one));
}

struct sweeping {
	struct job job;
	const char *register_path;
};

static bool sweep(struct job *job, void *store)
{
	const struct sweeping *s = (const struct sweeping *)job;
	struct problem why = { 0 };

	return import_pieces_sweep(s->register_path, store, &why);
}

/* On a connection of its own: there may be many, and nobody waits for it. */
static void sweep_photos(const struct program *program)
{
	struct problem why = { 0 };
	struct store *store = store_open(program->register_path, STORE_READ, &why);

	if (store != NULL) {
		photo_files_sweep(store, program->register_path, clock_now_ms(), &why);
		store_close(store);
	}
}

static bool is_stopping(struct taker *t)
{
	bool stopping;

	pthread_mutex_lock(&t->lock);
	stopping = t->stopping;
	pthread_mutex_unlock(&t->lock);
	return stopping;
}

static bool lost(struct problems *why)
{
	return problems_add(why, PROBLEM_STORE, NULL, "The register could not be written.");
}

/* One piece after the other. False: *why, or it is to be stopped. */
static bool do_pieces(struct taker *t, struct import_pieces *take, struct problems *why)
{
	struct import_follow at = { 0 };
	bool more = true;

	while (more && !is_stopping(t)) {
		struct step s = { .job = { .run = do_piece }, .take = take, .at = &at, .why = why };

		if (!writer_do(t->program->writer, &s.job)) {
			return why->count > 0 ? false : lost(why);
		}
		if (!s.job.ok) {
			return false;
		}
		more = s.more;
		if (take != NULL) {
			atomic_store(&t->program->importing.done, (int64_t)import_pieces_rows(take));
		}
	}
	return !more;
}

static void tell(const char *what, int64_t id, const char *why)
{
	char number[24];

	snprintf(number, sizeof number, "%lld", (long long)id);
	log_line(why != NULL ? LOG_ERROR : LOG_INFO, what, "import", number,
		why != NULL ? "why" : NULL, why, NULL);
}

/* Takes one to its end. False: it is still under way. */
static bool take_one(struct taker *t, struct import_begun *begun)
{
	struct import_begun of = { .id = begun->id };
	struct problems why = { 0 };
	struct import_pieces *take;
	bool ok;

	snprintf(of.kept_as, sizeof of.kept_as, "%s", begun->kept_as);
	atomic_store(&t->program->importing.done, 0);
	atomic_store(&t->program->importing.of, begun->rows_read);
	atomic_store(&t->program->importing.id, begun->id);
	take = import_pieces_open(t->program->register_path, begun, &why);
	ok = take != NULL && do_pieces(t, take, &why);
	import_pieces_free(take);
	atomic_store(&t->program->importing.id, 0);
	if (ok) {
		tell("an import is taken", of.id, NULL);
	} else if (why.count > 0) {
		struct step s = { .job = { .run = end_it }, .begun = &of, .why = &why };

		tell("an import could not be taken", of.id, why.item[0].detail);
		ok = import_pieces_is_refusal(&why) && writer_do(t->program->writer, &s.job) && s.job.ok;
	}
	if (ok) {
		import_pieces_forget(t->program->register_path, of.kept_as);
	}
	return ok;
}

/* What follows from one that was taken; at the start, perhaps, of one that was cut off there. */
static bool follow(struct taker *t)
{
	struct problems why = { 0 };
	bool ok = do_pieces(t, NULL, &why);

	if (why.count > 0) {
		log_line(LOG_ERROR, "the bonds of an import could not be made again", "why",
			why.item[0].detail, NULL);
	}
	return ok;
}

/* Withdrawals of imports that were begun, each to its end. */
static bool take_back(struct taker *t)
{
	struct import_withdrawal back = { 0 };
	struct problems why = { 0 };
	bool ok = true, more = true;

	while (ok && more && !is_stopping(t)) {
		struct step s = { .job = { .run = do_piece }, .back = &back, .why = &why };

		ok = writer_do(t->program->writer, &s.job) && s.job.ok;
		more = s.more;
	}
	if (why.count > 0) {
		log_line(LOG_ERROR, "an import could not be withdrawn", "why", why.item[0].detail, NULL);
	}
	return ok && !more;
}

/* True: nothing is under way any more. */
static bool take_those_under_way(struct taker *t)
{
	bool ok = follow(t) && take_back(t), some = true;

	while (ok && some && !is_stopping(t)) {
		struct import_begun begun = { 0 };
		struct problems why = { 0 };
		struct step s = { .job = { .run = find }, .begun = &begun, .why = &why };

		ok = writer_do(t->program->writer, &s.job) && s.job.ok;
		some = ok && begun.id != 0;
		ok = ok && (!some || (take_one(t, &begun) && follow(t) && take_back(t)));
		import_begun_release(&begun);
	}
	return ok;
}

static void *take_all(void *arg)
{
	struct taker *t = arg;

	sweep_photos(t->program);
	pthread_mutex_lock(&t->lock);
	while (!t->stopping) {
		int64_t until_ms;
		struct timespec until;
		bool done;

		t->look = false;
		pthread_mutex_unlock(&t->lock);
		done = take_those_under_way(t);
		until_ms = clock_monotonic_ms() + AGAIN_AFTER_S * INT64_C(1000);
		until = (struct timespec){ until_ms / 1000, until_ms % 1000 * 1000000 };
		pthread_mutex_lock(&t->lock);
		while (!t->look && !t->stopping && (done ? pthread_cond_wait(&t->told, &t->lock) :
			pthread_cond_timedwait(&t->told, &t->lock, &until)) == 0) {
		}
	}
	pthread_mutex_unlock(&t->lock);
	return NULL;
}

struct taker *taker_start(struct program *program, struct problem *why)
{
	struct taker *t = calloc(1, sizeof *t);
	struct sweeping s = { .job = { .run = sweep }, .register_path = program->register_path };
	pthread_condattr_t monotonic;

	if (t == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	t->program = program;
	writer_do(program->writer, &s.job);
	pthread_mutex_init(&t->lock, NULL);
	pthread_condattr_init(&monotonic);
	pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
	pthread_cond_init(&t->told, &monotonic);
	pthread_condattr_destroy(&monotonic);
	if (pthread_create(&t->thread, NULL, take_all, t) == 0) {
		return t;
	}
	problem_set(why, PROBLEM_NO_MEMORY, NULL, "The thread for imports could not be started.");
	pthread_cond_destroy(&t->told);
	pthread_mutex_destroy(&t->lock);
	free(t);
	return NULL;
}

void taker_look(struct taker *t)
{
	pthread_mutex_lock(&t->lock);
	t->look = true;
	pthread_cond_signal(&t->told);
	pthread_mutex_unlock(&t->lock);
}

void taker_stop(struct taker *t)
{
	if (t == NULL) {
		return;
	}
	pthread_mutex_lock(&t->lock);
	t->stopping = true;
	pthread_cond_signal(&t->told);
	pthread_mutex_unlock(&t->lock);
	pthread_join(t->thread, NULL);
	pthread_cond_destroy(&t->told);
	pthread_mutex_destroy(&t->lock);
	free(t);
}
