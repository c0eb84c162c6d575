#include "http/server.h"

#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/log.h"
#include "http/certificate.h"
#include "http/exchange.h"
#include "http/listen.h"

/* Bytes of headers and of a body in flight that one connection may hold. (The library zeroes them
 * after each request.) */
enum { CONNECTION_MEMORY = 32 << 10 };

/* Descriptors beside the connections: database, photos, exports, lingering sockets. */
enum { OTHER_FILES = 256, LEAST_FILES = 8 };

enum { STOP_TICK_MS = 20, STOP_QUIET_TICKS = 5, STOP_LAST_MS = 500 };

static enum MHD_Result on_accept(void *cls, const struct sockaddr *from, socklen_t len)
{
	struct http_server *server = cls;

	(void)len;
	return connection_may(&server->connections, from) ? MHD_YES : MHD_NO;
}

static void on_connection(void *cls, struct MHD_Connection *link, void **context,
	enum MHD_ConnectionNotificationCode what)
{
	struct http_server *server = cls;
	struct connection *c = *context;

	if (what == MHD_CONNECTION_NOTIFY_STARTED) {
		const union MHD_ConnectionInfo *info =
			MHD_get_connection_info(link, MHD_CONNECTION_INFO_CONNECTION_FD);
		const union MHD_ConnectionInfo *tls =
			MHD_get_connection_info(link, MHD_CONNECTION_INFO_GNUTLS_SESSION);

		*context = connection_add(&server->connections, info->connect_fd,
			tls != NULL ? tls->tls_session : NULL,
			MHD_get_connection_info(link, MHD_CONNECTION_INFO_CLIENT_ADDRESS)->client_addr,
			clock_monotonic_ms() + server->options.deadline_s * INT64_C(1000));
	} else if (c != NULL) {
		if (c->exchange != NULL) {
			exchange_end(c->exchange); /* it never got to the handler */
		}
		connection_remove(c);
		*context = NULL;
	}
}

static void *on_target(void *cls, const char *target, struct MHD_Connection *link)
{
	return exchange_begin(cls, link, target);
}

static enum MHD_Result on_request(void *cls, struct MHD_Connection *link, const char *path,
	const char *method, const char *version, const char *upload, size_t *upload_size, void **state)
{
	(void)cls;
	(void)link;
	(void)path; /* decoded by the library, cut at %00: see uri.h */
	return *state != NULL ? exchange_step(*state, method, version, upload, upload_size) : MHD_NO;
}

static void on_completed(void *cls, struct MHD_Connection *link, void **state,
	enum MHD_RequestTerminationCode why)
{
	(void)cls;
	(void)link;
	(void)why;
	if (*state != NULL) {
		exchange_end(*state);
		*state = NULL;
	}
}

static void on_log(void *cls, const char *format, va_list args)
	__attribute__((format(printf, 2, 0)));

static void on_log(void *cls, const char *format, va_list args)
{
	char line[300];

	(void)cls;
	vsnprintf(line, sizeof line, format, args);
	line[strcspn(line, "\n")] = '\0';
	log_line(LOG_DEBUG, "libmicrohttpd", "says", line, NULL);
}

/* Each connection needs a descriptor; the usual soft limit of 1024 is raised as far as allowed. Of
 * a low one the register, its readers and exports have the larger part. */
static void fit_files(struct http_options *options)
{
	struct rlimit files;
	rlim_t need = (rlim_t)options->connections_most + OTHER_FILES;
	rlim_t others;

	if (getrlimit(RLIMIT_NOFILE, &files) != 0 || files.rlim_cur >= need) {
		return;
	}
	files.rlim_cur = need < files.rlim_max ? need : files.rlim_max;
	if (setrlimit(RLIMIT_NOFILE, &files) != 0 || files.rlim_cur < need) {
		getrlimit(RLIMIT_NOFILE, &files);
		others = files.rlim_cur / 2 + LEAST_FILES;
		others = others < OTHER_FILES ? others : OTHER_FILES;
		options->connections_most = files.rlim_cur > others + LEAST_FILES
			? (unsigned)(files.rlim_cur - others) : LEAST_FILES;
		log_line(LOG_WARNING, "the limit of open files allows fewer connections", NULL);
	}
}

unsigned http_threads(const struct http_options *options)
{
	long cores = sysconf(_SC_NPROCESSORS_ONLN);

	return options->threads > 0 ? options->threads : cores > 1 ? (unsigned)cores : 1;
}

static void fill_defaults(struct http_options *options)
{
	options->threads = http_threads(options);
	options->connections_most = options->connections_most > 0 ? options->connections_most : 2000;
	options->idle_s = options->idle_s > 0 ? options->idle_s : 30;
	options->pace_s = options->pace_s > 0 ? options->pace_s : 30;
	options->per_address_most = options->per_address_most > 0 ? options->per_address_most : 64;
	options->per_address_most = options->behind_proxy ? UINT_MAX : options->per_address_most;
	options->deadline_s = options->deadline_s > 0 ? options->deadline_s : 60;
	if (options->connections_most < options->threads) {
		options->connections_most = options->threads;
	}
	fit_files(options);
}

/* Poll, not epoll: with epoll 0.9.75 freezes when exactly 128, 256 ... connections are active. */
static struct MHD_Daemon *daemon_start(struct http_server *server)
{
	const struct http_options *o = &server->options;
	unsigned flags = MHD_USE_POLL | MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_SUSPEND_RESUME |
		MHD_USE_ITC | MHD_USE_ERROR_LOG;

	if (strchr(o->address, ':') != NULL) {
		flags |= MHD_USE_IPv6;
	}
	flags |= server->is_tls ? MHD_USE_TLS : 0;
	return MHD_start_daemon(flags, 0, on_accept, server, on_request, server,
		MHD_OPTION_EXTERNAL_LOGGER, on_log, NULL,
		MHD_OPTION_LISTEN_SOCKET, server->listener,
		MHD_OPTION_THREAD_POOL_SIZE, o->threads > 1 ? o->threads : 0,
		/* (accept.h keeps to it; the library shares its limit out among its threads) */
		MHD_OPTION_CONNECTION_LIMIT, o->connections_most * o->threads,
		MHD_OPTION_CONNECTION_TIMEOUT, o->idle_s,
		MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)CONNECTION_MEMORY,
		MHD_OPTION_NOTIFY_CONNECTION, on_connection, server,
		MHD_OPTION_URI_LOG_CALLBACK, on_target, server,
		MHD_OPTION_NOTIFY_COMPLETED, on_completed, server,
		/* (behind an END nothing is read; the library's own choice still offers TLS 1.0) */
		server->is_tls ? MHD_OPTION_HTTPS_CERT_CALLBACK2 : MHD_OPTION_END, certificate_give,
		MHD_OPTION_HTTPS_PRIORITIES,
		"SECURE128:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2:%SERVER_PRECEDENCE",
		MHD_OPTION_END);
}

/* The library wants a socket to listen on where it has several threads, and is told at once to
 * leave it alone. */
static bool daemons_start(struct http_server *server)
{
	struct acceptor *a = &server->acceptor;

	if (connections_start(&server->connections)) {
		server->daemon = daemon_start(server);
	}
	if (server->daemon == NULL) {
		return false;
	}
	MHD_quiesce_daemon(server->daemon);
	a->daemon = server->daemon;
	a->connections = &server->connections;
	a->listener = server->listener;
	if (!accept_start(a)) {
		MHD_stop_daemon(server->daemon);
	}
	return a->running;
}

struct http_server *http_server_start(const struct http_options *options,
	const struct route *const *tables, const struct http_hooks *hooks, struct problem *why)
{
	struct http_server *server = calloc(1, sizeof *server);

	if (server == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory at start.");
		return NULL;
	}
	server->options = *options;
	server->hooks = *hooks;
	server->tables = tables;
	server->connections.server = server;
	server->port = options->port;
	server->is_tls = options->tls_certificate != NULL;
	server->secure = server->is_tls || (options->behind_proxy && options->proxy_https);
	fill_defaults(&server->options);
	if (getrandom(&server->id_start, sizeof server->id_start, 0) < 0) {
		server->id_start = (unsigned)clock_now_ms();
	}
	server->listener = !server->is_tls ||
		certificate_set(options->tls_certificate, options->tls_key, why) ?
		listen_open(options->address, &server->port, why) : -1;
	if (server->listener < 0) {
		certificate_forget();
		free(server);
		return NULL;
	}
	server->connections.most = server->options.connections_most;
	server->connections.per_address_most = server->options.per_address_most;
	if (!daemons_start(server)) {
		problem_set(why, PROBLEM_STORE, NULL, "The server's threads cannot be started.");
		certificate_forget();
		connections_stop(&server->connections);
		close(server->listener);
		free(server);
		return NULL;
	}
	return server;
}

unsigned http_server_port(const struct http_server *server)
{
	return server->port;
}

static void sleep_ms(long ms)
{
	nanosleep(&(struct timespec){ ms / 1000, ms % 1000 * 1000000 }, NULL);
}

/* Waits until nothing has been under way for a few ticks (what a client sent just before may
 * not have been read yet); false at the deadline. */
static bool wait_quiet(const struct http_server *server, int64_t until_ms)
{
	int quiet = 0;

	while (quiet < STOP_QUIET_TICKS) {
		if (clock_monotonic_ms() >= until_ms) {
			return false;
		}
		sleep_ms(STOP_TICK_MS);
		quiet = atomic_load(&server->under_way) == 0 ? quiet + 1 : 0;
	}
	return true;
}

void http_server_stop(struct http_server *server, unsigned wait_s)
{
	if (server == NULL) {
		return;
	}
	atomic_store(&server->draining, true);
	accept_stop(&server->acceptor);
	if (!wait_quiet(server, clock_monotonic_ms() + wait_s * INT64_C(1000))) {
		log_line(LOG_WARNING, "stopping with requests under way", NULL);
		exchange_abandon_all(server);
		wait_quiet(server, clock_monotonic_ms() + STOP_LAST_MS);
	}
	/* the library must not be stopped with a suspended connection; one that a worker suspended
	 * since is let go too */
	while (atomic_load(&server->suspended) > 0) {
		exchange_abandon_all(server);
		sleep_ms(STOP_TICK_MS);
	}
	MHD_stop_daemon(server->daemon);
	close(server->listener);
	connections_stop(&server->connections);
	certificate_forget();
	free(server);
}

bool http_server_certificate(struct http_server *server, const char *chain_pem, const char *key_pem,
	struct problem *why)
{
	return server->is_tls ? certificate_set(chain_pem, key_pem, why) :
		problem_set(why, PROBLEM_VALUE, "certificate", "This server was started without one.");
}

void http_server_counts(const struct http_server *server, struct http_counts *to)
{
	to->requests = atomic_load(&server->requests);
	for (int i = 0; i < 6; i++) {
		to->by_class[i] = atomic_load(&server->by_class[i]);
	}
	to->connections_now = atomic_load(&server->connections.count);
	to->suspended_now = atomic_load(&server->suspended);
}
