#include "http/served.h"

#include <arpa/inet.h>
#include <check.h>
#include <errno.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/log.h"

/* ---- routes ---- */

static void get_echo(const struct request *req, struct reply *out)
{
	struct text body = { 0 };

	ck_assert_ptr_eq(req->view, req->context);
	text_addf(&body, "{\"path\":");
	text_add_json(&body, req->path, strlen(req->path));
	text_addf(&body, ",\"id\":");
	text_add_json(&body, req->params[0], strlen(req->params[0]));
	text_addf(&body, ",\"query\":%zu,\"who\":\"%s\"}", req->query_count, req->who.name);
	snprintf(out->etag, sizeof out->etag, "\"v1\"");
	if (request_not_modified(req, out->etag)) {
		out->status = 304;
		text_release(&body);
		return;
	}
	reply_json(out, 200, &body);
}

static void get_long_text(const struct request *req, struct reply *out)
{
	struct text body = { 0 };

	ck_assert_int_eq(req->view == NULL, req->route->kind == ROUTE_PLAIN);
	for (int i = 0; i < 3000; i++) {
		text_addf(&body, "line %d\n", i);
	}
	reply_text(out, 200, "text/plain; charset=utf-8", &body);
}

static void get_peer(const struct request *req, struct reply *out)
{
	struct text body = { 0 };

	text_add_z(&body, req->peer);
	reply_text(out, 200, "text/plain; charset=utf-8", &body);
}

static void get_broken(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };

	(void)req;
	problem_set(&why, PROBLEM_STORE, NULL, "It did not work.");
	reply_problem(out, &why);
}

static void write_len(const struct request *req, struct reply *out)
{
	struct served *s = req->app;
	struct text body = { 0 };

	ck_assert_ptr_eq(req->context, &s->writer); /* the writer's, not the worker's */
	ck_assert_ptr_eq(req->view, req->context);
	atomic_fetch_add(&s->handled, 1);
	text_addf(&body, "{\"len\":%zu,\"prepared\":%d}", req->body_len, req->prepared != NULL);
	reply_json(out, 201, &body);
}

static void write_refused(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };

	(void)req;
	problem_set(&why, PROBLEM_RULE, "a", "A rule refuses this.");
	reply_problem(out, &why);
}

static void prepare(struct request *req, struct reply *out)
{
	struct served *s = req->app;

	if (req->body_len == 2) { /* "{}" */
		struct problem why = { 0 };

		problem_set(&why, PROBLEM_VALUE, "name", "A name is missing.");
		reply_problem(out, &why);
		return;
	}
	atomic_fetch_add(&s->prepared, 1);
	req->prepared = s;
}

static void forget(void *prepared)
{
	atomic_fetch_sub(&((struct served *)prepared)->prepared, 1);
}

static void get_file(const struct request *req, struct reply *out)
{
	char name[] = "/tmp/test-reply-XXXXXX";
	int64_t megabytes = 0;
	struct problem why;
	char block[4096];

	ck_assert_ptr_eq(req->context, &((struct served *)req->app)->jobs);
	ck_assert_ptr_eq(req->view, req->context);
	ck_assert(request_id(req, 0, &megabytes, &why));
	out->file = mkstemp(name);
	ck_assert_int_gt(out->file, 0);
	unlink(name);
	out->status = 200;
	out->type = "text/csv; charset=utf-8";
	out->file_len = (size_t)megabytes << 20;
	for (size_t at = 0; at < out->file_len; at += sizeof block) {
		memset(block, 'a' + (int)(at / sizeof block % 26), sizeof block);
		ck_assert_int_eq(write(out->file, block, sizeof block), (ssize_t)sizeof block);
	}
	snprintf(out->disposition, sizeof out->disposition, "attachment; filename=\"bonds.csv\"");
}

static const struct route routes[] = {
	{ METHOD_GET, "/api/bonds/{id}", ROUTE_READ, RIGHT_ANYONE, get_echo, "one" },
	{ METHOD_POST, "/api/bonds", ROUTE_WRITE, RIGHT_ANYONE, write_len, "add", .body_most = 10000,
		.body_type = "application/json" },
	{ METHOD_DELETE, "/api/bonds/{id}", ROUTE_WRITE, RIGHT_ANYONE, write_len, "delete" },
	{ METHOD_PUT, "/api/refused", ROUTE_WRITE, RIGHT_ANYONE, write_refused, "refused" },
	{ METHOD_POST, "/api/prepared", ROUTE_WRITE, RIGHT_ANYONE, write_len, "prepared",
		.prepare = prepare, .forget = forget },
	{ METHOD_PUT, "/api/photo", ROUTE_WRITE, RIGHT_ANYONE, write_len, "photo",
		.body_most = 2 << 20, .body_type = "image/*" },
	{ METHOD_GET, "/api/inspect", ROUTE_READ, RIGHT_INSPECT, get_broken, "needs a right" },
	{ METHOD_GET, "/api/forgotten", ROUTE_READ, RIGHT_NOBODY, get_broken, "no right given" },
	{ METHOD_GET, "/api/broken", ROUTE_READ, RIGHT_ANYONE, get_broken, "fails" },
	{ METHOD_GET, "/api/peer", ROUTE_READ, RIGHT_ANYONE, get_peer, "who asks" },
	{ METHOD_GET, "/api/long", ROUTE_READ, RIGHT_ANYONE, get_long_text, "a long text" },
	{ METHOD_GET, "/api/file/{mb}", ROUTE_LONG, RIGHT_ANYONE, get_file, "an export" },
	{ METHOD_GET, "/livez", ROUTE_PLAIN, RIGHT_ANYONE, get_long_text, "alive" },
	{ 0 }
};
static const struct route *const tables[] = { routes, NULL };

/* ---- threads ---- */

static struct job *worker_take(struct worker *w)
{
	struct job *taken;

	pthread_mutex_lock(&w->lock);
	while ((w->first == NULL || w->held) && !w->stopping) {
		pthread_cond_wait(&w->wake, &w->lock);
	}
	taken = w->first;
	w->first = NULL;
	w->last = &w->first;
	pthread_mutex_unlock(&w->lock);
	return taken;
}

static void *work(void *arg)
{
	struct worker *w = arg;
	struct job *job;

	while ((job = worker_take(w)) != NULL || !w->stopping) {
		while (job != NULL) {
			struct job *next = job->next;

			job->ok = job->run(job, w);
			job->done(job, !w->fail_commit);
			job = next;
		}
	}
	return NULL;
}

static void worker_start(struct worker *w)
{
	pthread_mutex_init(&w->lock, NULL);
	pthread_cond_init(&w->wake, NULL);
	w->last = &w->first;
	ck_assert_int_eq(pthread_create(&w->thread, NULL, work, w), 0);
}

static void worker_stop(struct worker *w)
{
	pthread_mutex_lock(&w->lock);
	w->stopping = true;
	pthread_cond_signal(&w->wake);
	pthread_mutex_unlock(&w->lock);
	pthread_join(w->thread, NULL);
	pthread_cond_destroy(&w->wake);
	pthread_mutex_destroy(&w->lock);
}

static bool worker_give(struct worker *w, struct job *job)
{
	pthread_mutex_lock(&w->lock);
	job->next = NULL;
	*w->last = job;
	w->last = &job->next;
	pthread_cond_signal(&w->wake);
	pthread_mutex_unlock(&w->lock);
	return true;
}

static void hold(struct worker *w, bool held)
{
	pthread_mutex_lock(&w->lock);
	w->held = held;
	pthread_cond_signal(&w->wake);
	pthread_mutex_unlock(&w->lock);
}

void served_hold(struct served *s, bool held)
{
	hold(&s->writer, held);
}

void served_hold_jobs(struct served *s, bool held)
{
	hold(&s->jobs, held);
}

int served_jobs_gone(struct served *s)
{
	int gone = 0;

	pthread_mutex_lock(&s->jobs.lock);
	for (const struct job *job = s->jobs.first; job != NULL; job = job->next) {
		gone += atomic_load(job->gone);
	}
	pthread_mutex_unlock(&s->jobs.lock);
	return gone;
}

/* ---- hooks ---- */

static bool is_let(struct served *s)
{
	int let = atomic_load(&s->let);

	return let > 0 && atomic_compare_exchange_strong(&s->let, &let, let - 1);
}

static void *reader(void *app)
{
	struct served *s = app;

	while (atomic_load(&s->gate) && !is_let(s)) {
		nanosleep(&(struct timespec){ 0, 1000000 }, NULL);
	}
	return atomic_load(&s->unreadable) ? NULL : s;
}

static bool identify(const struct request *req, struct identity *who, struct problem *why)
{
	static const struct cookie cookie = { "session", "/" };
	char session[8];

	if (!request_cookie(req, &cookie, session, sizeof session)) {
		return false;
	}
	if (strcmp(session, "broken") == 0) {
		return problem_set(why, PROBLEM_STORE, NULL, "It cannot be read who you are: try again.");
	}
	who->person_id = 1;
	who->rights = strcmp(session, "crew") == 0 ? RIGHT_INSPECT : RIGHT_PLAN;
	snprintf(who->name, sizeof who->name, "%s", session);
	return strcmp(session, "old") != 0;
}

static bool still(const struct request *req, struct problem *why)
{
	struct served *s = req->app;

	return !atomic_load(&s->signed_out) ||
		problem_set(why, PROBLEM_SIGN_IN, NULL, "Signed out meanwhile.");
}

static bool give_to(struct served *s, struct worker *to, struct job *job, struct problem *why)
{
	return atomic_load(&s->refuse_jobs) ? problem_set(why, PROBLEM_BUSY, NULL, "Not taken.") :
		worker_give(to, job);
}

static bool give_write(void *app, struct job *job, struct problem *why)
{
	struct served *s = app;

	return give_to(s, &s->writer, job, why);
}

static bool give_long(void *app, struct job *job, struct problem *why)
{
	struct served *s = app;

	return give_to(s, &s->jobs, job, why);
}

static bool give_hash(void *app, struct job *job, bool known_device, struct problem *why)
{
	struct served *s = app;

	(void)known_device;
	return give_to(s, &s->jobs, job, why);
}

static void view(struct request *req, struct reply *out)
{
	struct served *s = req->app;

	atomic_fetch_add(&s->viewed[req->route->kind], 1);
	req->view = req->context;
	req->route->handle(req, out);
	req->view = NULL;
}

void served_start(struct served *s, struct http_options options)
{
	struct http_hooks hooks = { .app = s, .reader = reader, .identify = identify,
		.write = give_write, .run_long = give_long, .hash = give_hash, .still = still,
		.view = view };
	struct problem why = { 0 };

	*s = (struct served){ 0 };
	options.address = "127.0.0.1";
	options.per_address_most = options.per_address_most > 0 ? options.per_address_most : 10000;
	log_set_level(LOG_ERROR - 1); /* the refusals of the tests are no news */
	worker_start(&s->writer);
	worker_start(&s->jobs);
	s->server = http_server_start(&options, tables, &hooks, &why);
	ck_assert_msg(s->server != NULL, "%s", why.detail);
	s->port = http_server_port(s->server);
}

void served_stop(struct served *s, unsigned wait_s)
{
	http_server_stop(s->server, wait_s);
	served_hold(s, false);
	worker_stop(&s->writer);
	worker_stop(&s->jobs);
	ck_assert_int_eq(atomic_load(&s->prepared), 0);
}

/* ---- the client ---- */

int dial_from(const struct served *s, unsigned host)
{
	struct sockaddr_in from = { .sin_family = AF_INET, .sin_addr = { htonl(0x7F000000 + host) } };
	struct sockaddr_in at = { .sin_family = AF_INET, .sin_port = htons((uint16_t)s->port),
		.sin_addr = { htonl(INADDR_LOOPBACK) } };
	int fd = socket(AF_INET, SOCK_STREAM, 0);

	ck_assert_int_ge(fd, 0);
	ck_assert_int_eq(bind(fd, (struct sockaddr *)&from, sizeof from), 0);
	ck_assert_msg(connect(fd, (struct sockaddr *)&at, sizeof at) == 0, "%s", strerror(errno));
	return fd;
}

int dial(const struct served *s)
{
	return dial_from(s, 1);
}

static void send_all(int fd, const char *bytes, size_t len)
{
	while (len > 0) {
		ssize_t sent = send(fd, bytes, len, MSG_NOSIGNAL);

		if (sent < 0) {
			return; /* the server may have closed: what it said is what counts */
		}
		bytes += sent;
		len -= (size_t)sent;
	}
}

static void say_v(int fd, const char *format, va_list args)
	__attribute__((format(printf, 2, 0)));

static void say_v(int fd, const char *format, va_list args)
{
	static char bytes[200000];
	int len = vsnprintf(bytes, sizeof bytes, format, args);

	ck_assert_int_lt(len, (int)sizeof bytes);
	send_all(fd, bytes, (size_t)len);
}

void say(int fd, const char *format, ...)
{
	va_list args;

	va_start(args, format);
	say_v(fd, format, args);
	va_end(args);
}

/* recv with a limit of time; 0 at the end of the stream, -1 when nothing came or it broke. */
static ssize_t receive(int fd, char *to, size_t size, int ms)
{
	struct pollfd p = { .fd = fd, .events = POLLIN };

	return poll(&p, 1, ms) == 1 ? recv(fd, to, size, 0) : -1;
}

static size_t content_length(const char *head)
{
	for (const char *line = head; (line = strstr(line, "\r\n")) != NULL;) {
		line += 2;
		if (strncasecmp(line, "Content-Length:", 15) == 0) {
			return strtoul(line + 15, NULL, 10);
		}
	}
	return 0;
}

/* Reads up to the empty line and nothing behind it; false when it does not come. */
static bool hear_head(int fd, char *head, size_t size)
{
	size_t len = 0;

	while (len < 4 || memcmp(head + len - 4, "\r\n\r\n", 4) != 0) {
		size_t take = 0;
		struct pollfd p = { .fd = fd, .events = POLLIN };
		ssize_t there = poll(&p, 1, 10000) == 1 ? recv(fd, head + len, size - 1 - len, MSG_PEEK) : -1;

		if (there <= 0) {
			return false;
		}
		while (take < (size_t)there && (len + take < 4 ||
			memcmp(head + len + take - 4, "\r\n\r\n", 4) != 0)) {
			take++;
		}
		if (recv(fd, head + len, take, 0) != (ssize_t)take) {
			return false;
		}
		len += take;
	}
	head[len] = '\0';
	return true;
}

struct answer *hear(int fd, bool head_only)
{
	static struct answer a;
	size_t body;

	a.status = 0;
	a.body_len = 0;
	a.ended = false;
	a.body[0] = a.head[0] = '\0';
	if (!hear_head(fd, a.head, sizeof a.head)) {
		return &a;
	}
	a.status = (int)strtol(a.head + strlen("HTTP/1.1 "), NULL, 10);
	body = head_only || a.status == 304 ? 0 : content_length(a.head);
	while (a.body_len < body) {
		char waste[4096];
		bool fits = a.body_len < sizeof a.body - 1;
		size_t room = fits ? sizeof a.body - 1 - a.body_len : sizeof waste;
		size_t left = body - a.body_len;
		ssize_t got = receive(fd, fits ? a.body + a.body_len : waste, left < room ? left : room, 10000);

		if (got <= 0) {
			a.status = 0;
			return &a;
		}
		a.body_len += (size_t)got;
	}
	a.body[a.body_len < sizeof a.body - 1 ? a.body_len : sizeof a.body - 1] = '\0';
	return &a;
}

bool ends_within(int fd, int ms)
{
	int64_t until_ms = clock_monotonic_ms() + ms;
	char waste[65536];

	while (clock_monotonic_ms() < until_ms) {
		struct pollfd p = { .fd = fd, .events = POLLIN };

		if (poll(&p, 1, 10) == 1 && recv(fd, waste, sizeof waste, 0) <= 0) {
			return true;
		}
	}
	return false;
}

struct answer *ask(const struct served *s, const char *format, ...)
{
	int fd = dial(s);
	struct answer *a;
	va_list args;

	va_start(args, format);
	say_v(fd, format, args);
	va_end(args);
	a = hear(fd, strncmp(format, "HEAD", 4) == 0);
	a->ended = ends_within(fd, strstr(a->head, "Connection: close") != NULL ? 2000 : 30);
	close(fd);
	return a;
}

static bool wait_for(const struct served *s, bool (*right)(const struct http_counts *, uint64_t),
	uint64_t value)
{
	for (int i = 0; i < 500; i++) {
		struct http_counts counts;

		http_server_counts(s->server, &counts);
		if (right(&counts, value)) {
			return true;
		}
		nanosleep(&(struct timespec){ 0, 10000000 }, NULL);
	}
	return false;
}

static bool suspended_is(const struct http_counts *counts, uint64_t value)
{
	return counts->suspended_now == value;
}

static bool connections_are(const struct http_counts *counts, uint64_t value)
{
	return counts->connections_now == value;
}

bool wait_suspended(const struct served *s, uint64_t count)
{
	return wait_for(s, suspended_is, count);
}

bool wait_connections(const struct served *s, uint64_t count)
{
	return wait_for(s, connections_are, count);
}

bool wait_no_connections(const struct served *s)
{
	return wait_connections(s, 0);
}
