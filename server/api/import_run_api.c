/*
 * A file tried, taken, and its wrong rows to be mended. The trial runs on a job thread, in a fork
 * of the register (store/fork.h), and an import begins with one: what the writer is given has no
 * wrong row. What can be is taken in pieces (service/import/pieces.h), and this waits for the last.
 * A browser that goes away ends a trial, and no import that was begun.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "api/import_asked.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "derived/derived.h"
#include "derived/import_follow.h"
#include "service/import/pieces.h"
#include "service/import/trial.h"
#include "service/import/wrong.h"
#include "store/fork.h"

enum { GAP_LOOKS = 200 };

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

/* The view of a part of a trial: a fork of the register as it is then. */
struct forked {
	struct trial_views views;
	const struct request *req;
	struct store *fork;
	struct view view;
	struct act act;
};

/* A view leaves a gap behind it in which the writer can fold the log; not for ever, since others
 * may leave none. */
static void leave_gap(struct store *store)
{
	const struct timespec moment = { 0, 10 * 1000 * 1000 };

	store_read_end(store);
	for (int n = 0; n < GAP_LOOKS && store_log_bytes(store) > STORE_LOG_LONG; n++) {
		nanosleep(&moment, NULL);
	}
}

static struct act *fork_begin(struct trial_views *views, struct problems *why)
{
	struct forked *f = (struct forked *)views;
	struct store *reader = view_of(f->req)->store;
	const struct origin origin = origin_of(f->req);
	struct problem one = { 0 };

	f->view = (struct view){ .today = view_of(f->req)->today, .reader = view_of(f->req)->reader };
	f->act = (struct act){ 0 };
	leave_gap(reader);
	f->fork = store_read_now(reader, &one) ? store_fork(reader, &one) : NULL;
	if (f->fork == NULL || !store_begin(f->fork, &one)) {
		act_refuse(why, &one, NULL);
		return NULL;
	}
	f->view.store = f->fork;
	return act_begin(&f->act, &f->view, &origin, why) ? &f->act : NULL;
}

static void fork_end(struct trial_views *views)
{
	struct forked *f = (struct forked *)views;

	act_release(&f->act);
	if (f->fork != NULL) {
		store_rollback(f->fork);
	}
	view_release(&f->view);
	store_close(f->fork);
	f->fork = NULL;
}

/* The file as it would come in now. Nothing is kept. */
static bool try_it(const struct request *req, const struct import_request *request,
	struct import_result *result, struct problems *why)
{
	struct forked forked = { .views = { fork_begin, fork_end }, .req = req };

	return import_try(request, &forked.views, 0, result, why);
}

/* How far it is, in rows. */
struct shown {
	struct progress *progress;
	size_t rows;                    /* about so many has the file */
};

static void show_rows(const struct shown *shown, int64_t done, int64_t of)
{
	atomic_store(&shown->progress->of, of);
	atomic_store(&shown->progress->done, done);
}

static void show_bytes(void *app, size_t done, size_t all)
{
	const struct shown *shown = app;

	show_rows(shown, all > 0 ? (int64_t)((double)done / (double)all * (double)shown->rows) : 0,
		(int64_t)shown->rows);
}

static size_t rows_of(const struct import_request *request)
{
	const char *end = request->bytes + request->len;
	size_t rows = 0;

	for (const char *at = request->bytes; at < end &&
		(at = memchr(at, '\n', (size_t)(end - at))) != NULL; at++) {
		rows++;
	}
	return rows;
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

static bool take_at_once(const struct request *req, const struct import_request *request,
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

struct beginning {
	struct job job;
	struct import_begun *begun;
	int64_t number;
	bool is_free;
	struct problem why;
};

/* What was tried is so only as long as no other came, or was begun, meanwhile. */
static bool begin_job(struct job *job, void *store)
{
	struct beginning *b = (struct beginning *)job;
	int64_t next = 0;

	if (!store_import_next(store, &next, &b->why)) {
		return false;
	}
	b->is_free = next == b->number;
	return !b->is_free || store_import_begin(store, b->begun, &b->why);
}

/* number: that it would have when it was tried */
static bool begin(const struct request *req, struct import_begun *begun, int64_t number,
	bool *is_free, struct problems *why)
{
	struct program *program = program_of(req);
	struct beginning b = { .job = { .run = begin_job }, .begun = begun, .number = number };
	bool committed = writer_do(program->writer, &b.job);

	*is_free = b.is_free;
	if (!committed) {
		problem_set(&b.why, PROBLEM_BUSY, NULL, "The register could not be written: please send "
			"the file again.");
	}
	if (!committed || !b.job.ok || !b.is_free) {
		import_pieces_forget(program->register_path, begun->kept_as);
	}
	return b.why.code == PROBLEM_NONE || act_refuse(why, &b.why, NULL);
}

/* Looks again in a moment. False: nobody may wait any longer. */
static bool wait_a_little(const struct request *req, struct problems *why)
{
	const struct timespec moment = { 0, 50 * 1000 * 1000 };
	struct problem one = { 0 };

	nanosleep(&moment, NULL);
	if (atomic_load(&program_of(req)->stopping)) {
		return problems_add(why, PROBLEM_BUSY, NULL, "The server is stopping. An import that was "
			"begun goes on when it starts again; the same file sent again adds nothing to it.");
	}
	return store_read_now(view_of(req)->store, &one) || act_refuse(why, &one, NULL);
}

/* In line, until no import is under way, and the bonds of the last are made again. */
static bool wait_for_turn(const struct request *req, struct problems *why)
{
	bool ok = true, is_free = false;

	while (ok && !is_free) {
		struct import_begun other = { 0 };
		struct problem one = { 0 };
		int64_t followed = 0;

		ok = (store_import_under_way(view_of(req)->store, &other, &one) &&
			import_follow_open(view_of(req)->store, &followed, &one)) ||
			act_refuse(why, &one, NULL);
		is_free = other.id == 0 && followed == 0;
		import_begun_release(&other);
		ok = ok && (is_free || wait_a_little(req, why));
	}
	return ok;
}

static bool wait_for_end(const struct request *req, int64_t id, const struct shown *shown,
	enum import_standing *standing, struct problems *why)
{
	struct program *program = program_of(req);
	struct problem one = { 0 };
	bool ok = true;

	*standing = IMPORT_UNDER_WAY;
	while (ok && *standing == IMPORT_UNDER_WAY) {
		if (atomic_load(&program->importing.id) == id) {
			show_rows(shown, atomic_load(&program->importing.done),
				atomic_load(&program->importing.of));
		}
		ok = wait_a_little(req, why) &&
			(store_import_standing(view_of(req)->store, id, standing, &one) ||
			act_refuse(why, &one, NULL));
	}
	return ok;
}

/* Bonds are in the lists when they are derived, and who is told that they came looks there. */
static bool wait_for_bonds(const struct request *req, int64_t id, struct problems *why)
{
	struct problem one = { 0 };
	int64_t following = id;
	bool ok = true;

	while (ok && following == id) {
		ok = wait_a_little(req, why) &&
			(import_follow_open(view_of(req)->store, &following, &one) ||
			act_refuse(why, &one, NULL));
	}
	return ok;
}

/* What came of it, as its own row says. */
static bool tell_end(const struct request *req, int64_t id, enum import_standing standing,
	struct import_result *result, struct problems *why)
{
	struct store *store = view_of(req)->store;
	struct import_row row;
	char reason[PROBLEM_DETAIL_SIZE];
	struct problem one = { 0 };

	if (!store_import_rows(store, id, &row, &one) ||
		!store_import_reason(store, id, reason, &one)) {
		return act_refuse(why, &one, NULL);
	}
	if (standing != IMPORT_COUNTS) {
		return problems_add(why, PROBLEM_CONFLICT, NULL, "Nothing was taken: %s",
			standing == IMPORT_ENDED ? reason : "the import was withdrawn before it was done.");
	}
	result->added = (size_t)row.rows_added;
	result->already = (size_t)row.rows_already;
	result->import_id = id;
	return true;
}

/* *is_free false: another was begun meanwhile, and nothing of this. */
static bool take_in_pieces(const struct request *req, const struct import_request *request,
	struct import_result *result, const struct shown *shown, bool *is_free, struct problems *why)
{
	struct program *program = program_of(req);
	const struct origin origin = origin_of(req);
	struct import_begun begun;
	enum import_standing standing;
	struct problem one = { 0 };
	bool ok;

	*is_free = true;
	ok = (import_pieces_keep(program->register_path, request, result, &origin, &begun, &one) ||
		act_refuse(why, &one, NULL)) && begin(req, &begun, result->number, is_free, why);
	if (ok && *is_free) {
		program->take_imports(program);
		ok = wait_for_end(req, begun.id, shown, &standing, why);
		if (ok && standing != IMPORT_COUNTS) {
			import_pieces_forget(program->register_path, begun.kept_as);
		}
		ok = ok && tell_end(req, begun.id, standing, result, why) &&
			((request->kind->what != IMPORT_BONDS && result->bonds_made == 0) ||
			wait_for_bonds(req, begun.id, why));
	}
	import_begun_release(&begun);
	return ok;
}

/* Another may have been begun between any two steps: then it is tried again after that one. */
static bool try_in_turn(const struct request *req, const struct import_request *request,
	struct import_result *result, struct problems *why)
{
	bool ok = false, again = true;

	while (again) {
		*why = (struct problems){ 0 };
		import_result_release(result);
		*result = (struct import_result){ 0 };
		ok = wait_for_turn(req, why) && try_it(req, request, result, why);
		again = !ok && result->waits_for != 0;
	}
	return ok;
}

/* Whether what is taken at once holds the writer no longer than a piece does. */
static bool is_short(const struct import_request *request, const struct import_result *result,
	struct problems *why)
{
	bool of_lines = request->kind->what == IMPORT_LINES;
	bool changes = result->changed > 0 && !of_lines;
	size_t most = of_lines ? IMPORT_LINES_MOST : IMPORT_AT_ONCE_MOST;

	if (import_pieces_may(request, result)) {
		return true;
	}
	if (result->rows > most) {
		return problems_add(why, PROBLEM_RULE, NULL, "No crew can save while %s, so that such a "
			"file may have %zu rows at most, and this one has %zu: give it in parts%s.", changes ?
			"known entries are changed" : "lines, tracks and maps are made", most, result->rows,
			request->kind->what == IMPORT_MAPS ? ", the pieces of a line in one" : "");
	}
	return !changes || result->added + result->changed <= IMPORT_CHANGED_MOST || problems_add(why,
		PROBLEM_RULE, "take_rows", "No crew can save while known entries are changed, so that a "
		"file may bring %d new and changed rows at most, and this one would bring %zu: choose "
		"fewer rows, or give it in parts.", IMPORT_CHANGED_MOST, result->added + result->changed);
}

static bool try_and_take(const struct request *req, const struct import_request *request,
	struct import_result *result, const struct shown *shown, struct problems *why)
{
	bool ok = false, again = true;

	while (again) {
		bool is_free = true;

		ok = try_in_turn(req, request, result, why) && is_short(request, result, why);
		if (!ok || result->added + result->changed == 0 || !import_keeps(request, result)) {
			return ok;
		}
		ok = import_pieces_may(request, result) ?
			take_in_pieces(req, request, result, shown, &is_free, why) :
			take_at_once(req, request, result, why);
		again = !is_free || (!ok && result->waits_for != 0);
	}
	return ok;
}

static void import_post(const struct request *req, struct reply *out)
{
	struct under_way *all = program_of(req)->under_way;
	struct import_asked asked = { 0 };
	struct import_result result = { 0 };
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct text body = { 0 };
	struct shown shown = { .progress = under_way_begin(all, req, &one) };
	bool ok = (shown.progress != NULL || problems_take(&why, &one)) &&
		import_asked(req, &asked, &why);

	if (ok) {
		shown.rows = rows_of(&asked.request);
		asked.request.watch = (struct import_watch){ .progress = show_bytes, .app = &shown };
		ok = try_and_take(req, &asked.request, &result, &shown, &why);
	}
	if (ok) {
		import_result_write(&asked.request, &result, &body);
		reply_json(out, 200, &body);
	} else {
		reply_problems(out, &why);
	}
	under_way_end(all, shown.progress);
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
		ok = try_in_turn(req, &asked.request, &result, &why) && (wrong_rows_write(&wrong,
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
	  "Imports CSV or a workbook (kind, settings, file_name), or tries it (dry_run=1), as a whole.",
	  .body_most = IMPORT_FILE_MOST, .body_type = "text/csv", .renews = true },
	{ METHOD_POST, "/api/imports/wrong-rows", ROUTE_LONG, CAN_PLAN, wrong_post,
	  "The wrong rows of a file as CSV, each with what is wrong; nothing is changed.",
	  .body_most = IMPORT_FILE_MOST, .body_type = "text/csv", .renews = true },
	{ 0 }
};
