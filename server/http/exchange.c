#include "http/exchange.h"

#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

#include "base/clock.h"
#include "base/log.h"
#include "http/guard.h"
#include "http/gzip.h"
#include "http/send.h"
#include "http/uri.h"

/* All bodies being received together: what a crowd may make the server hold. */
enum { BODIES_MOST = 256 << 20 };

/* A client must take a reply at this rate at least, beside the deadline. */
enum { SLOWEST_BYTES_PER_S = 1024 };

enum stage {
	STAGE_HEAD,    /* the headers have not been looked at */
	STAGE_BODY,    /* the body is coming */
	STAGE_WAIT,    /* suspended: another thread has it */
	STAGE_REPLY    /* the reply is there and can be queued */
};

enum outcome { OUTCOME_PENDING, OUTCOME_DONE, OUTCOME_ABANDONED };

struct exchange {
	struct job job;                  /* first: a job is cast to its exchange */
	struct http_server *server;
	struct MHD_Connection *link;
	struct connection *connection;
	atomic_int holders;
	atomic_int outcome;              /* enum outcome, of the job */
	bool committed;
	enum stage stage;
	struct request req;
	struct reply reply;
	struct text body;
	size_t body_most;                /* bytes */
	int64_t body_len;                /* announced; -1: chunked */
	unsigned allowed;                /* methods, for Allow */
	bool gzip;
	bool close;
	char peer[INET6_ADDRSTRLEN];
	char id[20];
	char *target;                    /* decoded in place; path and query point into it */
	char *strings;                   /* copies of headers and of path parts: a job may outlive the connection */
};

static void exchange_free(struct exchange *e)
{
	if (e->req.prepared != NULL && e->req.route->forget != NULL) {
		e->req.route->forget(e->req.prepared);
	}
	reply_release(&e->reply);
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
	e->link = link;
	e->connection = c;
	c->exchange = e;
	atomic_init(&e->holders, 1);
	snprintf(e->id, sizeof e->id, "%08x-%08x", server->id_start,
		atomic_fetch_add(&server->id_next, 1));
	atomic_fetch_add(&server->under_way, 1);
	set_due(e, server->options.deadline_s * INT64_C(1000));
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
	c->exchange = NULL;
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
		.close = e->close || atomic_load(&server->draining),
		.secure = server->options.secure_cookies };
	uint64_t bytes = 0;
	int class;

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
	return MHD_YES;
}

/* The answer is known. With a body still to come it is sent now and the connection ends after
 * it; otherwise the library calls again and the connection stays. */
static enum MHD_Result answer(struct exchange *e)
{
	if (e->body_len != 0 && e->stage == STAGE_HEAD) {
		e->close = true;
		e->connection->linger = true;
		return send_reply(e, &e->reply);
	}
	e->stage = STAGE_REPLY;
	return MHD_YES;
}

static enum MHD_Result refuse(struct exchange *e, const struct problem *why)
{
	reply_problem(&e->reply, why);
	return answer(e);
}

/* ---- the headers ---- */

static enum MHD_Result take_header(void *cls, enum MHD_ValueKind kind, const char *name,
	const char *value)
{
	(void)kind;
	head_add(cls, name, value);
	return MHD_YES;
}

static const char *keep(char **to, const char *text)
{
	char *kept = *to;
	size_t size = strlen(text) + 1;

	memcpy(kept, text, size);
	*to += size;
	return kept;
}

/* Copies what handlers see; gives the rest of the memory for the parts of the path. */
static char *keep_headers(struct exchange *e, const struct head *head, size_t *left)
{
	const char *from[] = { head->content_type, head->if_match, head->if_none_match, head->accept,
		head->cookie };
	const char **to[] = { &e->req.content_type, &e->req.if_match, &e->req.if_none_match,
		&e->req.accept, &e->req.cookie };
	enum { COUNT = sizeof from / sizeof from[0] };
	size_t size = 0;
	char *at;

	for (int i = 0; i < COUNT; i++) {
		from[i] = from[i] != NULL ? from[i] : "";
		size += strlen(from[i]) + 1;
	}
	*left = strlen(e->target) + REQUEST_PARAMS + 1;
	at = e->strings = malloc(size + *left);
	for (int i = 0; i < COUNT; i++) {
		*to[i] = at != NULL ? keep(&at, from[i]) : "";
	}
	return at;
}

static void read_peer(struct exchange *e)
{
	const union MHD_ConnectionInfo *info =
		MHD_get_connection_info(e->link, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
	const struct sockaddr *peer = info != NULL ? info->client_addr : NULL;

	if (peer != NULL && peer->sa_family == AF_INET) {
		inet_ntop(AF_INET, &((const struct sockaddr_in *)(const void *)peer)->sin_addr,
			e->peer, sizeof e->peer);
	} else if (peer != NULL && peer->sa_family == AF_INET6) {
		inet_ntop(AF_INET6, &((const struct sockaddr_in6 *)(const void *)peer)->sin6_addr,
			e->peer, sizeof e->peer);
	}
	e->req.peer = e->peer;
}

/* False for a method that is not known. OPTIONS is answered from the tables. */
static bool method_read(const char *text, enum method *method, bool *options)
{
	static const struct { const char *name; enum method method; } methods[] = {
		{ "GET", METHOD_GET }, { "HEAD", METHOD_GET }, { "POST", METHOD_POST },
		{ "PUT", METHOD_PUT }, { "DELETE", METHOD_DELETE } };

	*method = METHOD_GET;
	*options = strcmp(text, "OPTIONS") == 0;
	for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
		if (strcmp(text, methods[i].name) == 0) {
			*method = methods[i].method;
			return true;
		}
	}
	return *options;
}

/* Gives the request its reading context and its person. */
static bool identify(struct exchange *e, struct problem *why)
{
	const struct http_hooks *hooks = &e->server->hooks;

	if (e->req.route->kind == ROUTE_PLAIN) {
		return true;
	}
	e->req.context = hooks->reader(hooks->app);
	if (e->req.context == NULL) {
		return problem_set(why, PROBLEM_BUSY, NULL,
			"The register cannot be read just now: send it again.");
	}
	if (e->req.cookie[0] != '\0' && !hooks->identify(&e->req, &e->req.who)) {
		e->req.who = (struct identity){ 0 };
	}
	return true;
}

static bool find_route(struct exchange *e, const struct head *head, const char *method,
	struct problem *why)
{
	size_t left;
	char *scratch = keep_headers(e, head, &left);
	bool options;

	if (scratch == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory: send it again.");
	}
	if (!method_read(method, &e->req.method, &options)) {
		return problem_set(why, PROBLEM_METHOD_UNKNOWN, NULL, "The method %s is not known here.",
			method);
	}
	if (!uri_read(e->target, &e->req, why)) {
		return false;
	}
	e->req.route = route_find(e->server->tables, e->req.method, e->req.path, e->req.params,
		scratch, left, &e->allowed, why);
	if (options && e->allowed != 0) {
		*why = (struct problem){ 0 };
		e->reply.status = 204;
		return false;
	}
	if (e->req.route != NULL) {
		e->allowed = 0;
	}
	return e->req.route != NULL;
}

static bool check_body_head(struct exchange *e, const struct head *head, struct problem *why)
{
	const struct route *route = e->req.route;

	e->body_most = route->body_most > 0 ? route->body_most : HTTP_BODY_MOST;
	if (e->body_len == 0) {
		return true;
	}
	if (e->req.method == METHOD_GET) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "A GET request has no body.");
	}
	if (e->body_len > 0 && (uint64_t)e->body_len > e->body_most) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL,
			"At most %zu bytes are taken here, not %lld.", e->body_most, (long long)e->body_len);
	}
	return guard_type(head, route, why);
}

static enum MHD_Result read_head(struct exchange *e, const char *method, const char *version)
{
	struct head head = { 0 };
	struct problem why = { 0 };
	bool ok;

	MHD_get_connection_values(e->link, MHD_HEADER_KIND, take_header, &head);
	e->req.app = e->server->hooks.app;
	e->req.now_ms = clock_now_ms();
	e->req.path = "";
	e->gzip = e->req.accept_gzip = gzip_accepted(head.accept_encoding);
	read_peer(e);
	if (!guard_framing(&head, version, &e->body_len, &why)) {
		e->body_len = -1; /* where the next request begins is not certain: close */
		return refuse(e, &why);
	}
	ok = find_route(e, &head, method, &why) && guard_site(&head, e->req.method, &why) &&
		identify(e, &why) && guard_right(e->req.route, &e->req.who, &why) &&
		check_body_head(e, &head, &why);
	if (!ok) {
		return why.code == PROBLEM_NONE ? answer(e) : refuse(e, &why);
	}
	e->req.today = e->server->hooks.today(e->req.app);
	e->stage = STAGE_BODY;
	return MHD_YES;
}

/* ---- the body ---- */

/* The library takes no reply while a body is coming in, so it is written to the socket here. */
static enum MHD_Result refuse_now(struct exchange *e, const struct problem *why)
{
	const struct problem_kind *kind = problem_kind(why->code);
	struct text raw = { 0 };

	reply_problem(&e->reply, why);
	text_addf(&raw, "HTTP/1.1 %d %s\r\nContent-Type: %s\r\nContent-Length: %zu\r\n"
		"Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nX-Request-Id: %s\r\n"
		"Connection: close\r\n\r\n", kind->status, MHD_get_reason_phrase_for((unsigned)kind->status),
		e->reply.type, e->reply.body.len, e->id);
	text_add(&raw, e->reply.body.data, e->reply.body.len);
	if (!raw.failed) {
		ssize_t ignored = send(e->connection->fd, raw.data, raw.len, MSG_NOSIGNAL | MSG_DONTWAIT);

		(void)ignored;
	}
	text_release(&raw);
	atomic_fetch_add(&e->server->requests, 1);
	atomic_fetch_add(&e->server->by_class[kind->status / 100], 1);
	e->connection->linger = true;
	return MHD_NO;
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
	return MHD_YES;
}

/* ---- the handler ---- */

static bool job_run(struct job *job, void *context)
{
	struct exchange *e = (struct exchange *)job;

	e->req.context = context;
	e->req.route->handle(&e->req, &e->reply);
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

static enum MHD_Result hand_over(struct exchange *e)
{
	struct http_server *server = e->server;
	const struct http_hooks *hooks = &server->hooks;
	bool (*take)(void *, struct job *) =
		e->req.route->kind == ROUTE_WRITE ? hooks->write : hooks->run_long;

	e->stage = STAGE_WAIT;
	e->job = (struct job){ .run = job_run, .done = job_done };
	atomic_fetch_add(&e->holders, 1);
	atomic_fetch_add(&server->suspended, 1);
	pthread_mutex_lock(&server->connections.lock);
	e->connection->suspended = e;
	pthread_mutex_unlock(&server->connections.lock);
	MHD_suspend_connection(e->link);
	if (!take(hooks->app, &e->job)) {
		job_done(&e->job, false);
	}
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
	route->handle(&e->req, &e->reply);
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
		return send_reply(e, &e->reply);
	}
	problem_set(&why, PROBLEM_BUSY, NULL, "It is not certain that this was done: send it again "
		"(the same twice is registered once).");
	reply_problem(&unsure, &why); /* an abandoned job may still be writing e->reply */
	return send_reply(e, &unsure);
}

enum MHD_Result exchange_step(struct exchange *e, const char *method, const char *version,
	const char *upload, size_t *upload_size)
{
	enum MHD_Result result;

	if (e->stage == STAGE_HEAD) {
		return read_head(e, method, version);
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
