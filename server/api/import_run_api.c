/*
 * A file tried, taken, and its wrong rows to be mended. The trial runs on a job thread, in a fork of
 * the register (store/fork.h), and an import begins with one: what the writer is given has no wrong
 * row. A browser that goes away ends a trial, and no import that was begun.
 */
#include <stdio.h>
#include <stdlib.h>

#include "api/import_asked.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/derived.h"
#include "service/import_wrong.h"
#include "store/fork.h"

static struct origin origin_of(const struct request *req)
{
	return (struct origin){ .person_id = req->who.person_id, .now_ms = req->now_ms };
}

/* What a file tells was somebody's work then: such an act is not live. */
static bool run(struct view *view, const struct origin *origin,
	const struct import_request *request, struct import_result *result, struct problems *why)
{
	struct act act = { 0 };
	bool ok = act_begin(&act, view, origin, why) && import_run(&act, request, result, why) &&
		derived_end(&act, why);

	act_release(&act);
	return ok;
}

/* The file as it would come in now. Nothing is kept. */
static bool try_it(const struct request *req, const struct import_request *request,
	struct import_result *result, struct problems *why)
{
	struct view view = { .today = view_of(req)->today, .reader = view_of(req)->reader };
	const struct origin origin = origin_of(req);
	struct problem one = { 0 };
	bool ok;

	view.store = store_fork(view_of(req)->store, &one);
	if (view.store == NULL) {
		return act_refuse(why, &one, NULL);
	}
	ok = (store_begin(view.store, &one) || act_refuse(why, &one, NULL)) &&
		run(&view, &origin, request, result, why);
	store_rollback(view.store);
	view_release(&view);
	store_close(view.store);
	return ok;
}

static void show_progress(void *app, size_t done, size_t all)
{
	struct progress *progress = app;

	atomic_store(&progress->of, (int64_t)all);
	atomic_store(&progress->done, (int64_t)done);
}

/* The import on the writer, as one piece of its work. */
struct taking {
	struct job job;
	const struct request *req;
	const struct import_request *request;
	struct import_result *result;
	struct problems *why;
};

static bool take_all(struct job *job, void *store)
{
	struct taking *t = (struct taking *)job;
	struct view view = { .store = store, .today = view_of(t->req)->today,
		.reader = view_of(t->req)->reader };
	const struct origin origin = origin_of(t->req);
	bool ok;

	import_result_release(t->result);
	ok = run(&view, &origin, t->request, t->result, t->why);
	view_release(&view);
	return ok && import_keeps(t->request, t->result);
}

static bool take(const struct request *req, const struct import_request *request,
	struct import_result *result, struct problems *why)
{
	struct taking t = { .job = { .run = take_all }, .req = req, .request = request,
		.result = result, .why = why };

	if (!writer_do(program_of(req)->writer, &t.job)) {
		problems_add(why, t.job.no_room ? PROBLEM_FULL : PROBLEM_BUSY, NULL, "The register could "
			"not be written, and nothing was taken: please send it again.");
	}
	return why->count == 0;
}

static void import_post(const struct request *req, struct reply *out)
{
	struct under_way *all = program_of(req)->under_way;
	struct import_asked asked = { 0 };
	struct import_result result = { 0 };
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct text body = { 0 };
	struct progress *progress = under_way_begin(all, req, &one);
	bool ok = (progress != NULL || problems_take(&why, &one)) && import_asked(req, &asked, &why);

	if (ok) {
		asked.request.watch = (struct import_watch){ .progress = show_progress, .app = progress };
		ok = try_it(req, &asked.request, &result, &why);
	}
	if (ok && result.added > 0 && import_keeps(&asked.request, &result)) {
		ok = take(req, &asked.request, &result, &why);
	}
	if (ok) {
		import_result_write(&asked.request, &result, &body);
		reply_json(out, 200, &body);
	} else {
		reply_problems(out, &why);
	}
	under_way_end(all, progress);
	import_result_release(&result);
	import_asked_release(&asked);
}

static bool put_text(void *app, const char *bytes, size_t len)
{
	text_add(app, bytes, len);
	return !((struct text *)app)->failed;
}

/* The trial again, and what comes back is the file to be mended. */
static void wrong_post(const struct request *req, struct reply *out)
{
	struct import_asked asked = { 0 };
	struct import_result result = { 0 };
	struct problems why = { 0 };
	struct wrong_rows wrong = { 0 };
	struct text body = { 0 };
	bool ok = import_asked(req, &asked, &why);

	if (ok) {
		asked.request.dry_run = true;
		asked.request.watch = (struct import_watch){ .wrong = wrong_rows_take, .app = &wrong };
		wrong_rows_start(&wrong, &asked.settings);
		ok = try_it(req, &asked.request, &result, &why) && (wrong_rows_write(&wrong,
			&asked.request, put_text, &body) ||
			problems_add(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory."));
	}
	if (ok) {
		snprintf(out->disposition, sizeof out->disposition,
			"attachment; filename=\"wrong-rows.csv\"");
		reply_text(out, 200, "text/csv; charset=utf-8", &body);
	} else {
		reply_problems(out, &why);
	}
	text_release(&body);
	wrong_rows_release(&wrong);
	import_result_release(&result);
	import_asked_release(&asked);
}

const struct route import_run_routes[] = {
	{ METHOD_POST, "/api/imports", ROUTE_LONG, CAN_PLAN, import_post,
	  "Imports a file (kind, settings, file_name), or tries it (dry_run=1): all rows or none.",
	  .body_most = IMPORT_FILE_MOST, .body_type = "text/csv" },
	{ METHOD_POST, "/api/imports/wrong-rows", ROUTE_LONG, CAN_PLAN, wrong_post,
	  "The wrong rows of a file as CSV, each with what is wrong; nothing is changed.",
	  .body_most = IMPORT_FILE_MOST, .body_type = "text/csv" },
	{ 0 }
};
