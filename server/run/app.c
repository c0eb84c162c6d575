#include "run/app.h"

#include <pthread.h>
#include <sodium.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "base/clock.h"
#include "base/log.h"
#include "run/hashes.h"
#include "run/jobs.h"
#include "run/keeper.h"
#include "run/look.h"
#include "run/taker.h"
#include "service/access/register.h"
#include "service/access/session.h"
#include "service/access/token.h"

/* What the workers' connections keep of the file, together: the pages that a walk over the due
 * lists of 500 lines comes back to, and the program stays under 100 MB. */
enum { READERS_CACHE_KB = 40 << 10 };

/* What was accepted is answered within so; who takes longer to fetch a file has to ask again. */
enum { STOP_WAIT_S = 4 };

struct app {
	struct program program;      /* first: handlers are given its address */
	char *register_path;
	unsigned cache_kb;           /* of each */
	struct keeper *keeper;
	struct taker *taker;
	struct look *look;
	struct jobs *jobs;
	struct hashes *hashes;
	struct http_server *_Atomic http;   /* it serves before we are told where it is */
	pthread_key_t reader;        /* each worker's own struct store */
	bool has_key;
};

static void close_reader(void *store)
{
	store_close(store);
}

/* The calling thread's reading connection, opened on first use and closed when it ends. */
static void *reader_of(void *arg)
{
	struct app *app = arg;
	struct store *store = pthread_getspecific(app->reader);
	struct problem why = { 0 };

	if (store == NULL) {
		store = store_open(app->register_path, STORE_READ, &why);
		if (store == NULL) {
			log_line(LOG_ERROR, "a reader could not be opened", "why", why.detail, NULL);
		} else {
			store_cache(store, app->cache_kb);
		}
		pthread_setspecific(app->reader, store);
	}
	return store;
}

static bool identify_machine(const struct request *req, struct identity *who, struct problem *why)
{
	struct machine_token token;

	if (!token_of(req->context, request_bearer(req), clock_day_of(req->now_ms), &token, why) ||
		token.id == 0) {
		return false;
	}
	who->person_id = -token.id;   /* nobody of the people */
	who->rights = rights_of_scope(token.scope);
	memcpy(who->name, token.name, sizeof token.name);
	return true;
}

struct note {
	struct job job;
	int64_t session_id, now_ms;
};

static bool note_write(struct job *job, void *store)
{
	const struct note *n = (struct note *)job;
	struct problem why = { 0 };

	return store_session_seen(store, n->session_id, n->now_ms, &why);
}

static void note_done(struct job *job, bool committed)
{
	(void)committed;
	free(job);
}

/* That it was used, now and then. (What is lost of that ends a session early, no more.) */
static void note_seen(struct app *app, const struct session *session, int64_t now_ms)
{
	struct note *n;

	if (now_ms - session->seen_at_ms < SESSION_NOTE_MS) {
		return;
	}
	n = calloc(1, sizeof *n);
	if (n != NULL) {
		*n = (struct note){ { .run = note_write, .done = note_done }, session->id, now_ms };
		if (!writer_give(app->program.writer, &n->job)) {
			free(n);
		}
	}
}

static bool identify_person(const struct request *req, struct identity *who, struct problem *why)
{
	char token[SESSION_TOKEN_SIZE];
	struct session session;
	struct person person;

	if (!request_cookie(req, &session_cookie, token, sizeof token) ||
		!session_of(req->context, token, req->now_ms, &session, &person, why) ||
		session.id == 0) {
		return false;
	}
	note_seen(req->app, &session, req->now_ms);
	who->person_id = person.id;
	who->rights = session.lacks_factor ? RIGHTS_LACKING : rights_of_role(person.role);
	who->lacking = session.lacks_factor ? "Your railway requires a second factor of your role: "
		"set it first, on the page of your account." : NULL;
	memcpy(who->name, person.name, sizeof person.name);
	memcpy(who->session, token, sizeof token);
	return true;
}

static bool identify(const struct request *req, struct identity *who, struct problem *why)
{
	who->seen = store_people_edition();   /* (before it is read) */
	return req->context != NULL && (request_bearer(req) != NULL ? identify_machine(req, who, why) :
		identify_person(req, who, why));
}

static bool still(const struct request *req, struct problem *why)
{
	struct identity now = { 0 };

	if (req->who.seen == store_people_edition()) {
		return true;
	}
	if (req->context == NULL) {
		return problem_set(why, PROBLEM_BUSY, NULL,
			"The register cannot be read just now: send it again.");
	}
	if (!identify(req, &now, why)) {
		return why->code == PROBLEM_NONE && problem_set(why, PROBLEM_SIGN_IN, NULL,
			"You have been signed out meanwhile: sign in again.");
	}
	return now.rights == req->who.rights || problem_set(why, PROBLEM_RIGHT, NULL,
		"Your role has been changed meanwhile: sign in again.");
}

static bool give_writer(void *arg, struct job *job, struct problem *why)
{
	struct app *app = arg;

	return writer_give(app->program.writer, job) || problem_set(why, PROBLEM_BUSY, NULL,
		"Nothing is taken just now, and this was not done: send it again in a minute.");
}

static bool give_jobs(void *arg, struct job *job, struct problem *why)
{
	struct app *app = arg;

	return jobs_give(app->jobs, job, why);
}

static bool give_hashes(void *arg, struct job *job, bool known_device, struct problem *why)
{
	struct app *app = arg;

	return hashes_give(app->hashes, job, known_device, why);
}

struct clock_job {
	struct job job;
	struct problem *why;
};

static bool set_clock(struct job *job, void *store)
{
	return register_clock(store, ((struct clock_job *)job)->why);
}

/* Before any other thread starts, of which one might look at the clock. */
static bool follow_zone(struct writer *writer, struct problem *why)
{
	struct clock_job c = { .job = { .run = set_clock }, .why = why };

	if (!writer_do(writer, &c.job)) {
		return problem_set(why, PROBLEM_STORE, NULL, "The register could not be read or written.");
	}
	return c.job.ok;
}

/* Over this long views end, until it could be folded. */
static const int64_t LOG_MOST = 256 << 20;

static bool log_is_long(void *arg)
{
	const struct app *app = arg;

	return writer_log_bytes(app->program.writer) > LOG_MOST;
}

static void follow_rulebook(struct program *program)
{
	keeper_look(((struct app *)program)->keeper);
}

static void take_imports(struct program *program)
{
	taker_look(((struct app *)program)->taker);
}

static void http_counts(const struct program *program, struct http_counts *to)
{
	const struct http_server *http = ((const struct app *)program)->http;

	*to = (struct http_counts){ 0 };
	if (http != NULL) {
		http_server_counts(http, to);
	}
}

static bool start_parts(struct app *app, const struct app_options *options, struct problem *why)
{
	const struct writer_options writer = { .batch_most = options->batch_most,
		.broken = options->broken, .app = options->arg };
	const struct http_hooks hooks = { .app = &app->program, .reader = reader_of,
		.identify = identify, .still = still, .write = give_writer, .run_long = give_jobs,
		.hash = give_hashes, .view = views_give };

	app->program.writer = writer_start(app->register_path, &writer, why);
	if (app->program.writer == NULL || !follow_zone(app->program.writer, why)) {
		return false;
	}
	app->look = look_start(app->register_path, why);
	app->keeper = app->look != NULL ? keeper_start(app->program.writer, why) : NULL;
	app->taker = app->keeper != NULL ? taker_start(&app->program, why) : NULL;
	if (app->taker == NULL) {
		return false;
	}
	app->jobs = jobs_start(app->register_path, options->job_threads, log_is_long, app, why);
	if (app->jobs == NULL) {
		return false;
	}
	app->hashes = hashes_start(why);
	if (app->hashes == NULL) {
		return false;
	}
	if (options->static_folder != NULL) {
		app->program.pages = static_files_load(options->static_folder, why);
		if (app->program.pages == NULL) {
			return false;
		}
	}
	app->cache_kb = READERS_CACHE_KB / http_threads(&options->http);
	app->http = http_server_start(&options->http, all_routes(), &hooks, why);
	return app->http != NULL;
}

struct app *app_start(const struct app_options *options, struct problem *why)
{
	struct app *app = calloc(1, sizeof *app);

	if (app == NULL || sodium_init() < 0) {
		free(app);
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	app->program.follow_rulebook = follow_rulebook;
	app->program.take_imports = take_imports;
	app->program.http_counts = http_counts;
	app->program.register_path = app->register_path = strdup(options->register_path);
	app->has_key = pthread_key_create(&app->reader, close_reader) == 0;
	app->program.under_way = under_way_new();
	app->program.spools = spools_new(options->spool_most);
	app->program.throttle = throttle_new();
	app->program.photo_room = photo_room_new();
	app->program.authority = options->authority != NULL ? strdup(options->authority) : NULL;
	if (app->register_path == NULL || app->program.under_way == NULL || app->program.spools == NULL ||
		app->program.throttle == NULL || app->program.photo_room == NULL || !app->has_key) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (start_parts(app, options, why)) {
		return app;
	}
	app_stop(app);
	return NULL;
}

unsigned app_port(const struct app *app)
{
	return http_server_port(app->http);
}

bool app_certificate(struct app *app, const char *chain_pem, const char *key_pem,
	struct problem *why)
{
	return http_server_certificate(app->http, chain_pem, key_pem, why);
}

void app_stop(struct app *app)
{
	if (app == NULL) {
		return;
	}
	atomic_store(&app->program.stopping, true);
	under_way_stop(app->program.under_way);
	jobs_end(app->jobs);
	if (app->http != NULL) {
		http_server_stop(app->http, STOP_WAIT_S);
	}
	hashes_stop(app->hashes);
	jobs_stop(app->jobs);
	look_stop(app->look);
	taker_stop(app->taker);
	keeper_stop(app->keeper);
	writer_stop(app->program.writer);
	static_files_free(app->program.pages);
	under_way_free(app->program.under_way);
	spools_free(app->program.spools);
	throttle_free(app->program.throttle);
	photo_room_free(app->program.photo_room);
	if (app->has_key) {
		pthread_key_delete(app->reader);
	}
	free(app->program.authority);
	free(app->register_path);
	free(app);
}
