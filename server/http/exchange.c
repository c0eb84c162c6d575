#include "http/exchange.h"

#include <gnutls/gnutls.h>
#include <linux/tcp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

#include "base/clock.h"
#include "base/log.h"
#include "http/guard.h"
#include "http/send.h"

/* All bodies being received together: what a crowd may make the server hold. */
enum { BODIES_MOST = 256 << 20 };

/* Linux: neither side has ended it. */
enum { STATE_ESTABLISHED = 1 };

enum outcome { OUTCOME_PENDING, OUTCOME_DONE, OUTCOME_ABANDONED };

static void exchange_free(struct exchange *e)
{
	if (e->req.prepared != NULL && e->req.route->forget != NULL) {
		e->req.route->forget(e->req.prepared);
	}
	reply_release(&e->reply);
	if (e->file_end != NULL) {
		e->file_end(e->file_arg);
	}
	text_release(&e->body);
	free(e->target);
	free(e->strings);
	free(e);
}

static void exchange_drop(struct exchange *e)
{
	if (atomic_fetch_sub(&e->holders, 1) == 1) {
		exchange_free(e);
	}
}

static void set_due(struct exchange *e, int64_t after_ms)
{
	atomic_store(&e->connection->due_ms, after_ms > 0 ? clock_monotonic_ms() + after_ms : 0);
}

static void make_id(struct http_server *server, char id[REQUEST_ID_SIZE])
{
	snprintf(id, REQUEST_ID_SIZE, "%08x-%08x", server->id_start,
		atomic_fetch_add(&server->id_next, 1));
}

struct exchange *exchange_begin(struct http_server *server, struct MHD_Connection *link,
	const char *target)
{
	const union MHD_ConnectionInfo *info =
		MHD_get_connection_info(link, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
	struct connection *c = info != NULL ? info->socket_context : NULL;
	struct exchange *e;

	if (c == NULL || c->exchange != NULL) {
		return NULL;
	}
	e = calloc(1, sizeof *e);
	if (e == NULL || (e->target = strdup(target)) == NULL) {
		free(e);
		return NULL;
	}
	e->server = server;
	e->hooks = server->hooks;
	e->link = link;
	e->connection = c;
	c->exchange = e;
	atomic_init(&e->holders, 1);
	make_id(server, e->id);
	atomic_fetch_add(&server->under_way, 1);
	set_due(e, server->options.deadline_s * INT64_C(1000));
	/* (who is asking is looked up now, and until then it is no stranger's) */
	atomic_store(&c->since_ms, clock_monotonic_ms());
	return e;
}

void exchange_end(struct exchange *e)
{
	struct connection *c = e->connection;
	struct http_server *server = e->server;

	/* the next request line, or the end by the library's idle time */
	set_due(e, (server->options.idle_s + server->options.deadline_s) * INT64_C(1000));
	pthread_mutex_lock(&c->all->lock);
	c->suspended = NULL;
	pthread_mutex_unlock(&c->all->lock);
	atomic_store(&c->pace_ms, 0);
	atomic_store(&c->since_ms, clock_monotonic_ms());
	c->exchange = NULL;
	if (e->stage == STAGE_BODY && e->body.len > 0 && e->req.route->cut != NULL) {
		e->req.route->cut(&e->req, e->body.data, e->body.len);
	}
	atomic_fetch_sub(&server->bodies_bytes, (int64_t)e->body.len);
	exchange_drop(e);
	atomic_fetch_sub(&server->under_way, 1);
}

/* ---- the reply ---- */

static void log_failure(const struct exchange *e, const struct reply *out)
{
	char status[8];
	char cause[400];
	size_t len = out->body.len < sizeof cause - 1 ? out->body.len : sizeof cause - 1;

	memcpy(cause, out->body.data != NULL ? out->body.data : "", len);
	cause[len] = '\0';
	snprintf(status, sizeof status, "%d", out->status);
	log_line(out->status == 503 ? LOG_WARNING : LOG_ERROR, "request failed", "id", e->id,
		"status", status, "route", e->req.route != NULL ? e->req.route->pattern : "",
		"path", e->req.path, "peer", e->req.peer, "cause", cause, NULL);
}

static enum MHD_Result send_reply(struct exchange *e, struct reply *out)
{
	struct http_server *server = e->server;
	struct send_how how = { .id = e->id, .allowed = e->allowed, .gzip = e->gzip,
		.close = e->close || e->connection->refused || server->options.behind_proxy ||
			atomic_load(&server->draining),
		.hsts = server->secure && server->options.hsts };
	uint64_t bytes = 0;
	int class;

	e->file_end = out->file_end;
	e->file_arg = out->file_arg;
	out->file_end = NULL;

	if (out->status >= 500 && out->status != 501) {
		log_failure(e, out);
	}
	class = (out->status == 0 ? 204 : out->status) / 100;
	atomic_fetch_add(&server->requests, 1);
	atomic_fetch_add(&server->by_class[class > 0 && class < 6 ? class : 0], 1);
	if (!reply_send(e->link, out, &how, &bytes)) {
		return MHD_NO;
	}
	set_due(e, server->options.deadline_s * INT64_C(1000) +
		(int64_t)(bytes / SLOWEST_BYTES_PER_S) * 1000);
	if (bytes > server->options.pace_s * (uint64_t)SLOWEST_BYTES_PER_S) {
		atomic_store(&e->connection->pace_ms,
			clock_monotonic_ms() + server->options.pace_s * INT64_C(1000));
	}
	return MHD_YES;
}

static enum MHD_Result begin(struct exchange *e, const char *method, const char *version)
{
	struct problem why = { 0 };

	if (exchange_read_head(e, method, version, &why)) {
		e->stage = STAGE_BODY;
		return MHD_YES;
	}
	if (why.code != PROBLEM_NONE) {
		reply_problem(&e->reply, &why);
	}
	if (e->body_len == 0) { /* the library calls again, and the connection stays */
		e->stage = STAGE_REPLY;
		return MHD_YES;
	}
	e->close = true;
	e->connection->linger = true;
	return send_reply(e, &e->reply);
}

/* ---- the body ---- */

/* Past the library, which takes no reply before a body is whole. Not much more than a kilobyte: it
 * fits into what the system holds for a socket that has nothing to send. */
static void send_raw(struct connection *c, const char *id, struct reply *out)
{
	struct http_server *server = c->all->server;
	const char *reason = MHD_get_reason_phrase_for((unsigned)out->status);
	struct text raw = { 0 };
	ssize_t ignored;

	text_addf(&raw, "HTTP/1.1 %d %s\r\nContent-Type: %s\r\nContent-Length: %zu\r\n"
		"Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nX-Request-Id: %s\r\n"
		"Connection: close\r\n\r\n", out->status, reason, out->type, out->body.len, id);
	text_add(&raw, out->body.data, out->body.len);
	if (!raw.failed) {
		ignored = c->session != NULL ? gnutls_record_send(c->session, raw.data, raw.len) :
			send(c->fd, raw.data, raw.len, MSG_NOSIGNAL | MSG_DONTWAIT);
		(void)ignored;
	}
	text_release(&raw);
	atomic_fetch_add(&server->requests, 1);
	atomic_fetch_add(&server->by_class[out->status / 100], 1);
	c->linger = true;
}

static enum MHD_Result refuse_now(struct exchange *e, const struct problem *why)
{
	reply_problem(&e->reply, why);
	e->stage = STAGE_REPLY;
	send_raw(e->connection, e->id, &e->reply);
	return MHD_NO;
}

void exchange_refuse_framing(struct connection *c, const struct problem *why)
{
	struct exchange *e = c->exchange;
	struct reply out = { 0 };
	char id[REQUEST_ID_SIZE];

	if (e != NULL && e->stage == STAGE_REPLY) {
		return;   /* it has an answer that only waits for the rest of the body */
	}
	make_id(c->all->server, id);
	reply_problem(&out, why);
	send_raw(c, e != NULL ? e->id : id, &out);
	reply_release(&out);
}

static enum MHD_Result take_body(struct exchange *e, const char *bytes, size_t len)
{
	struct problem why = { 0 };

	if (e->stage != STAGE_BODY) {
		return MHD_YES; /* refused already: the rest is read and dropped */
	}
	if (len > e->body_most - e->body.len) {
		problem_set(&why, PROBLEM_TOO_LARGE, NULL, "At most %zu bytes are taken here.",
			e->body_most);
		return refuse_now(e, &why);
	}
	if (atomic_fetch_add(&e->server->bodies_bytes, (int64_t)len) > BODIES_MOST) {
		atomic_fetch_sub(&e->server->bodies_bytes, (int64_t)len);
		problem_set(&why, PROBLEM_BUSY, NULL,
			"The server is receiving too much at once: send it again a little later.");
		return refuse_now(e, &why);
	}
	text_add(&e->body, bytes, len);
	if (e->body.failed) {
		atomic_fetch_sub(&e->server->bodies_bytes, (int64_t)len);
		problem_set(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory: send it again.");
		return refuse_now(e, &why);
	}
	return e->req.route->look == NULL ||
		e->req.route->look(&e->req, e->body.data, e->body.len, &why) ? MHD_YES :
		refuse_now(e, &why);
}

/* ---- the handler ---- */

/* False: the person has been signed out meanwhile, and the reply says so. */
static bool still(struct exchange *e)
{
	struct problem why = { 0 };

	if (e->req.who.person_id == 0 || e->hooks.still(&e->req, &why)) {
		return true;
	}
	reply_problem(&e->reply, &why);
	return false;
}

static void handle(struct exchange *e)
{
	if (!still(e)) {
		return;
	}
	if (e->hooks.view != NULL && e->req.route->kind != ROUTE_PLAIN) {
		e->hooks.view(&e->req, &e->reply);
	} else {
		e->req.route->handle(&e->req, &e->reply);
	}
}

static bool job_run(struct job *job, void *context)
{
	struct exchange *e = (struct exchange *)job;

	e->req.context = context;
	reply_release(&e->reply);   /* of an earlier try */
	handle(e);
	return e->reply.status < 400;
}

static void job_done(struct job *job, bool committed)
{
	struct exchange *e = (struct exchange *)job;
	struct http_server *server = e->server;
	int pending = OUTCOME_PENDING;

	e->committed = committed;
	if (atomic_compare_exchange_strong(&e->outcome, &pending, OUTCOME_DONE)) {
		MHD_resume_connection(e->link);
		atomic_fetch_sub(&server->suspended, 1); /* the last touch: a stop waits for it */
	}
	exchange_drop(e);
}

static bool hash_run(struct job *job, void *context)
{
	struct exchange *e = (struct exchange *)job;

	(void)context;
	e->req.route->hash(&e->req, &e->reply);
	return true;
}

static void give(struct exchange *e, bool hashed);

static void hash_done(struct job *job, bool committed)
{
	struct exchange *e = (struct exchange *)job;

	if (committed && e->reply.status == 0) {
		give(e, true);
	} else {
		job_done(job, committed);
	}
}

/* To the thread that has the next part of it. */
static void give(struct exchange *e, bool hashed)
{
	const struct http_hooks *hooks = &e->hooks;
	const struct route *route = e->req.route;
	struct problem why = { 0 };
	bool taken;

	e->job = (struct job){ .run = job_run, .done = job_done, .person_id = e->req.who.person_id,
		.gone = &e->gone, .renews = route->renews };
	if (route->hash != NULL && !hashed) {
		e->job = (struct job){ .run = hash_run, .done = hash_done };
		taken = hooks->hash(hooks->app, &e->job, e->req.known_device, &why);
	} else if (route->kind == ROUTE_WRITE) {
		taken = hooks->write(hooks->app, &e->job, &why);
	} else {
		taken = hooks->run_long(hooks->app, &e->job, &why);
	}
	if (!taken) {
		reply_problem(&e->reply, &why);
		job_done(&e->job, true);
	}
}

static enum MHD_Result hand_over(struct exchange *e)
{
	struct http_server *server = e->server;

	e->stage = STAGE_WAIT;
	atomic_fetch_add(&e->holders, 1);
	atomic_fetch_add(&server->suspended, 1);
	pthread_mutex_lock(&server->connections.lock);
	e->connection->suspended = e;
	pthread_mutex_unlock(&server->connections.lock);
	MHD_suspend_connection(e->link);
	give(e, false);
	return MHD_YES;
}

static enum MHD_Result run_handler(struct exchange *e)
{
	const struct route *route = e->req.route;
	struct problem why = { 0 };

	set_due(e, 0);
	e->req.body = e->body.len > 0 ? e->body.data : NULL;
	e->req.body_len = e->body.len;
	if (!guard_body(route, e->req.body, e->req.body_len, &why)) {
		reply_problem(&e->reply, &why);
		return send_reply(e, &e->reply);
	}
	if (route->prepare != NULL) {
		route->prepare(&e->req, &e->reply);
		if (e->reply.status != 0) {
			return send_reply(e, &e->reply);
		}
	}
	if (route->kind == ROUTE_WRITE || route->kind == ROUTE_LONG) {
		return hand_over(e);
	}
	handle(e);
	return send_reply(e, &e->reply);
}

/* The connection goes on: with the handler's reply when its effects are certain. */
static enum MHD_Result go_on(struct exchange *e)
{
	struct problem why = { 0 };
	struct reply unsure = { 0 };
	int outcome = atomic_load(&e->outcome);

	pthread_mutex_lock(&e->connection->all->lock);
	e->connection->suspended = NULL;
	pthread_mutex_unlock(&e->connection->all->lock);
	if (outcome == OUTCOME_DONE && e->committed) {
		if (e->req.route->kind == ROUTE_LONG) {
			e->req.context = e->hooks.reader(e->hooks.app);
			still(e);
		}
		return send_reply(e, &e->reply);
	}
	if (outcome == OUTCOME_DONE && e->job.no_room) {
		problem_set(&why, PROBLEM_FULL, NULL,
			"The disk is full: send it again when there is room (the same twice is registered once).");
	} else if (outcome == OUTCOME_DONE && e->job.outrun) {
		problem_set(&why, PROBLEM_BUSY, NULL,
			"So much is being written just now that this could not be read to its end: ask again a "
			"little later.");
	} else if (e->req.route->kind == ROUTE_LONG) {
		problem_set(&why, PROBLEM_BUSY, NULL,
			"The server is stopping, and this was not read to its end: ask again in a minute.");
	} else {
		problem_set(&why, PROBLEM_BUSY, NULL, "It is not certain that this was done: send it again "
			"(the same twice is registered once).");
	}
	reply_problem(&unsure, &why); /* an abandoned job may still be writing e->reply */
	return send_reply(e, &unsure);
}

enum MHD_Result exchange_step(struct exchange *e, const char *method, const char *version,
	const char *upload, size_t *upload_size)
{
	enum MHD_Result result;

	if (e->stage == STAGE_HEAD) {
		return begin(e, method, version);
	}
	if (*upload_size > 0) {
		result = take_body(e, upload, *upload_size);
		*upload_size = 0;
		return result;
	}
	if (e->stage == STAGE_BODY) {
		return run_handler(e);
	}
	return e->stage == STAGE_WAIT ? go_on(e) : send_reply(e, &e->reply);
}

void exchange_look_after(struct exchange *e)
{
	struct tcp_info info = { .tcpi_state = STATE_ESTABLISHED };
	socklen_t size = sizeof info;

	if (e->req.route->kind == ROUTE_LONG &&
		getsockopt(e->connection->fd, IPPROTO_TCP, TCP_INFO, &info, &size) == 0 &&
		info.tcpi_state != STATE_ESTABLISHED) {
		atomic_store(&e->gone, true);
	}
}

void exchange_abandon_all(struct http_server *server)
{
	struct connections *all = &server->connections;

	pthread_mutex_lock(&all->lock);
	for (struct connection *c = all->first; c != NULL; c = c->next) {
		int pending = OUTCOME_PENDING;

		if (c->suspended != NULL &&
			atomic_compare_exchange_strong(&c->suspended->outcome, &pending, OUTCOME_ABANDONED)) {
			MHD_resume_connection(c->suspended->link);
			atomic_fetch_sub(&server->suspended, 1);
		}
	}
	pthread_mutex_unlock(&all->lock);
}
