/*
 * One request and its reply, from the request line until the last byte is sent: the state behind
 * the HTTP library's callbacks.
 *
 * It is owned by its connection, and by its job too while the connection is suspended: a server
 * that must stop before the writer is done lets go of the connection, and the job finds its
 * memory still there.
 */
#ifndef HTTP_EXCHANGE_H
#define HTTP_EXCHANGE_H

#include <arpa/inet.h>
#include <microhttpd.h>

#include "http/accept.h"
#include "http/connection.h"
#include "http/server.h"

struct http_server {
	struct http_options options;
	struct http_hooks hooks;
	const struct route *const *tables;
	struct MHD_Daemon *daemon;
	int listener;                     /* -1: none */
	struct acceptor acceptor;
	unsigned port;
	bool is_tls;
	bool secure;                      /* see request.h */
	struct connections connections;
	unsigned id_start;                /* makes request ids of two runs differ */
	atomic_uint id_next;
	atomic_bool draining;             /* replies ask the client to close */
	atomic_uint under_way;            /* exchanges */
	atomic_uint suspended;
	_Atomic uint64_t requests;
	_Atomic uint64_t by_class[6];
	_Atomic int64_t bodies_bytes;     /* held for requests under way */
};

enum { REQUEST_ID_SIZE = 20 };

enum stage {
	STAGE_HEAD,    /* the headers have not been looked at */
	STAGE_BODY,    /* the body is coming */
	STAGE_WAIT,    /* suspended: another thread has it */
	STAGE_REPLY    /* the reply is there and can be queued */
};

struct exchange {
	struct job job;                  /* first: a job is cast to its exchange */
	struct http_server *server;
	struct http_hooks hooks;         /* the server's: a job may run when that is gone */
	struct MHD_Connection *link;
	struct connection *connection;
	atomic_int holders;
	atomic_int outcome;              /* enum outcome, of the job */
	bool committed;
	atomic_bool gone;                /* the client of a long request: see exchange_look_after */
	void (*file_end)(void *arg);     /* of the reply, once it is sent or cannot be */
	void *file_arg;
	enum stage stage;
	struct request req;
	struct reply reply;
	struct text body;
	size_t body_most;                /* bytes */
	int64_t body_len;                /* bytes announced; -1: chunked, or not certain */
	unsigned allowed;                /* methods for Allow, a bit 1 << method each */
	bool gzip;
	bool close;
	char peer[INET6_ADDRSTRLEN];
	char id[REQUEST_ID_SIZE];
	char *target;                    /* decoded in place; path and query point into it */
	char *strings;                   /* headers and path parts, copied for the job */
};

/* Begins at the request line: target is what stands there, undecoded. NULL: out of memory. */
struct exchange *exchange_begin(struct http_server *server, struct MHD_Connection *link,
	const char *target);

/* Reads the headers and checks all that can be checked before the body: framing, route, site,
 * person, right, length, media type. False: *why says why not, or is empty when the reply is
 * filled already (OPTIONS). body_len is known after either. */
bool exchange_read_head(struct exchange *e, const char *method, const char *version,
	struct problem *why);

/* The HTTP library's access handler once the state exists: called with the headers, with each
 * piece of the body, when the body is there, and again when a suspended one goes on. */
enum MHD_Result exchange_step(struct exchange *e, const char *method, const char *version,
	const char *upload, size_t *upload_size);

/* Answers bytes that are no request as they must be, and ends the connection. From its worker,
 * which waits for a request or for the rest of one. */
void exchange_refuse_framing(struct connection *c, const struct problem *why);

/* The connection lets go of it: sent, failed, or never got further. */
void exchange_end(struct exchange *e);

/* The reaper, under the lock of all: has the client of a long request that waits gone away? The
 * HTTP library does not look while the connection is suspended. A write goes on: what was sent is
 * done. */
void exchange_look_after(struct exchange *e);

/* For a stop that cannot wait longer: the connections that wait for another thread go on with a
 * 503. What their jobs do later goes nowhere. */
void exchange_abandon_all(struct http_server *server);

#endif
