/*
 * The HTTP server. libmicrohttpd is hidden behind this header: nothing outside http/ sees it.
 *
 * A request goes: limits -> route -> who asks and may they -> body -> (prepare) -> handler ->
 * send. Requests that could be read in two ways (both Content-Length and Transfer-Encoding, a
 * repeated Content-Length, %00 or %2f in the path) are refused before routing; what in the bytes
 * themselves could be (framing.h), before the library sees it.
 */
#ifndef HTTP_SERVER_H
#define HTTP_SERVER_H

#include "base/job.h"
#include "http/route.h"

struct http_hooks {
	void *app;                                        /* given to every request */
	/* The reading context of the calling thread; called for each request that runs on a worker.
	 * NULL: the register cannot be read now (503). The hooks' owner frees it when the thread
	 * ends. */
	void *(*reader)(void *app);
	/* Fills who from the request's cookie or token. False: nobody (it goes on as a stranger), or,
	 * when *why is set, it cannot be told now, and that is the answer: a person who is signed in
	 * is not asked to sign in again because a disk failed. */
	bool (*identify)(const struct request *req, struct identity *who, struct problem *why);
	/* Is who asks still the one that identify filled in, with these rights? Asked with the context
	 * of the thread, just before the handler, and before the answer of a long one. False: *why. */
	bool (*still)(const struct request *req, struct problem *why);
	/* Hands a job over; false: not taken, and *why is the answer. job->done is called from that
	 * thread. hash: for a route's hash alone. */
	bool (*write)(void *app, struct job *job, struct problem *why);
	bool (*run_long)(void *app, struct job *job, struct problem *why);
	bool (*hash)(void *app, struct job *job, bool known_device, struct problem *why);
	/* Runs the handler of a route, with req->view set, in the thread of its context: one answer
	 * sees one state. For every route but plain ones. NULL: the handler is called as it is. */
	void (*view)(struct request *req, struct reply *out);
};

struct http_options {
	const char *address;          /* "127.0.0.1", "::1", "0.0.0.0" */
	unsigned port;                /* 0: any free one */
	unsigned threads;             /* workers; 0: one per core */
	unsigned connections_most;    /* 0: 2000 */
	/* of one address without anybody signed in: the oldest of more are ended (of an IPv6 network of
	 * 64 bits; not behind a proxy, which is one address); 0: 64 */
	unsigned per_address_most;
	unsigned idle_s;              /* 0: 30 */
	unsigned pace_s;              /* a client takes 8 KB a second, looked at so often; 0: 30 */
	unsigned deadline_s;          /* for receiving one whole request; 0: 60 */
	/* A proxy of ours is in front: each answer ends its connection, so that nothing behind the
	 * first request is read, and the last of X-Forwarded-For is the peer, which means nothing
	 * otherwise. */
	bool behind_proxy;
	/* The proxy is reached over https: what is said of `secure` in request.h. */
	bool proxy_https;
	/* PEM text of the certificate (with its chain) and of its key: serves https, TLS 1.2 and 1.3.
	 * Both NULL: plain http, for this machine or behind a proxy. Read at the start alone. */
	const char *tls_certificate;
	const char *tls_key;
	/* Browsers are told to ask this host over https alone from now on, for a year, at every port
	 * (RFC 6797): only where nothing else is served by its name. Nothing over plain http. */
	bool hsts;
};

struct http_server;

/* How many threads will answer: as many as was said, or one a core. */
unsigned http_threads(const struct http_options *options);

/* Starts serving in threads of its own; NULL: *why says why not (the port is in use ...).
 * tables and everything they point to must outlive the server. */
struct http_server *http_server_start(const struct http_options *options,
	const struct route *const *tables, const struct http_hooks *hooks, struct problem *why);

unsigned http_server_port(const struct http_server *server);

/* Shows another certificate from now on, to whoever connects; connections that are open stay. Only
 * for a server that was started with one. False: *why, and the former is shown still. */
bool http_server_certificate(struct http_server *server, const char *chain_pem, const char *key_pem,
	struct problem *why);

/* Stops taking connections, waits until what was accepted is answered (at most `wait_s`), frees. */
void http_server_stop(struct http_server *server, unsigned wait_s);

/* Counters for /metrics, taken without locks. */
struct http_counts {
	uint64_t requests, by_class[6];      /* by_class[2] are 2xx ... */
	uint64_t connections_now;
	uint64_t suspended_now;
};
void http_server_counts(const struct http_server *server, struct http_counts *to);

#endif
