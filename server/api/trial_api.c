/*
 * The trial of a rulebook: on the job's thread and one beside it, each with a reading connection
 * of its own, which see one state of the register.
 */
#include <pthread.h>
#include <stddef.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/json/trial_json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/under_way.h"
#include "api/views.h"
#include "base/clock.h"
#include "service/record/rulebook.h"

struct trial_form {
	struct rulebook rulebook;
};

/* The second pair of hands, with a connection of its own that sees the state of the first. */
struct helper {
	struct rulebook_trial *trial;
	struct store *store;
	struct trial_count count;
	struct problem why;
	bool ok;
};

struct same_state {
	struct job job;
	struct store *one, *other;
	struct problem why;
};

/* On the writer, where nothing is committed meanwhile. */
static bool begin_both(struct job *job, void *writer)
{
	struct same_state *s = (struct same_state *)job;

	(void)writer;
	return store_read_now(s->one, &s->why) && store_read_now(s->other, &s->why);
}

/* *other NULL: there is no help to be had, and the answer's own view goes on. */
static bool open_other(const struct request *req, struct store **other, struct problem *why)
{
	struct same_state s = { .job = { .run = begin_both }, .one = view_of(req)->store };
	struct problem none = { 0 };

	*other = s.other = store_open(program_of(req)->register_path, STORE_READ, &none);
	if (*other == NULL || (writer_do(program_of(req)->writer, &s.job) && s.job.ok)) {
		return true;
	}
	store_close(*other);
	*other = NULL;
	return store_read_now(s.one, why);
}

static void *help(void *arg)
{
	struct helper *h = arg;

	h->ok = rulebook_trial_work(h->trial, h->store, &h->count, &h->why);
	return NULL;
}

static bool work(struct rulebook_trial *trial, struct store *one, struct store *other,
	struct trial_count *count, struct problem *why)
{
	struct helper helper = { .trial = trial, .store = other };
	pthread_t thread;
	bool helped = other != NULL && pthread_create(&thread, NULL, help, &helper) == 0;
	bool ok = rulebook_trial_work(trial, one, count, why);

	if (helped) {
		if (!ok) {
			atomic_store(&trial->progress->stop, true);
		}
		pthread_join(thread, NULL);
	}
	if (ok && helped && !helper.ok) {
		*why = helper.why;
		ok = false;
	}
	ok = ok && (trial_count_join(count, &helper.count) ||
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory."));
	trial_count_release(&helper.count);
	return ok;
}

static bool may_be(const struct request *req, const struct rulebook *then, struct problems *why)
{
	struct act act = { 0 };
	const struct rulebook_new form = { .rulebook = *then };
	bool ok = deed_act(req, &act, why) && rulebook_may_be(&act, &form, why);

	act_release(&act);
	return ok;
}

static bool run(const struct request *req, const struct rulebook *then, struct progress *progress,
	struct reply *out, struct problem *why)
{
	struct rulebook_trial trial;
	struct trial_count count = { 0 };
	struct trial_outcome outcome = { .trial = &trial, .count = &count };
	int64_t began_ms = clock_monotonic_ms();
	struct text body = { 0 };
	struct view *view = view_of(req);
	struct store *other = NULL;
	bool ok = open_other(req, &other, why) &&
		rulebook_trial_begin(view->store, view->today, then, progress, &trial, why) &&
		work(&trial, view->store, other, &count, why) &&
		rulebook_trial_places(&trial, view->store, &outcome.places_before,
		&outcome.places_after, why);

	store_close(other);
	outcome.ms = clock_monotonic_ms() - began_ms;
	ok = ok && trial_json(view->store, &outcome, &body, why);
	trial_count_release(&count);
	if (ok) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
	}
	return ok;
}

static void trial_post(const struct request *req, struct reply *out)
{
	const struct trial_form *form = deed_form(req);
	struct under_way *all = program_of(req)->under_way;
	struct problems refused = { 0 };
	struct problem why = { 0 };
	struct progress *progress;

	if (!may_be(req, &form->rulebook, &refused)) {
		reply_problems(out, &refused);
		return;
	}
	progress = under_way_begin(all, req, &why);
	if (progress == NULL || !run(req, &form->rulebook, progress, out, &why)) {
		reply_problem(out, &why);
	}
	under_way_end(all, progress);
}

static const struct member trial_members[] = {
	{ .name = "rulebook", .title = "Rulebook", .type = MEMBER_OBJECT, .required = true,
	  .offset = offsetof(struct trial_form, rulebook), .form = &rulebook_form },
	{ 0 }
};
static const struct form trial_form = { "RulebookTrial", trial_members,
	sizeof (struct trial_form) };

const struct route trial_routes[] = {
	{ METHOD_POST, "/api/rulebook/trial", ROUTE_LONG, CAN_MANAGE, trial_post,
	  "What would change today if this rulebook were in force; nothing is changed. With "
	  "?progress=UUID it can be asked how far it is.", DEED_BODY(&trial_form) },
	{ 0 }
};
