/*
 * Routes are data. A table is ended by a route without a pattern; the server is given a list of
 * tables. From the tables come matching, 405 apart from 404, the right, the limit of the body,
 * where the handler runs, and the API description.
 */
#ifndef HTTP_ROUTE_H
#define HTTP_ROUTE_H

#include "http/request.h"

struct form;
struct list;

/* Where a handler runs. The handler is the same code either way and does not know. */
enum route_kind {
	ROUTE_READ,     /* on its worker, with the worker's reading context */
	ROUTE_PLAIN,    /* on its worker, with no context and nobody identified: pages, /livez */
	ROUTE_WRITE,    /* on the writer: the connection is suspended, answered after the commit */
	ROUTE_LONG      /* on a job thread with a reading context of its own: exports, reports */
};

typedef void handler(const struct request *req, struct reply *out);

struct route {
	enum method method;
	const char *pattern;             /* "/api/bonds/{id}": {..} matches one part without a slash */
	enum route_kind kind;
	unsigned right;                  /* RIGHT_NOBODY (0) closes it */
	handler *handle;
	const char *summary;             /* one line for the API description */
	const struct form *body;         /* what it takes as JSON; NULL: none */
	const struct list *list;         /* what it lists; NULL: not a list (for the description) */
	size_t body_most;                /* bytes; 0: HTTP_BODY_MOST */
	/* media type the body must have ("image/" + "*" for a family); NULL: application/json */
	const char *body_type;
	/* What needs no transaction, done on a worker before a handler that runs elsewhere: may set
	 * req->prepared, or answer at once by setting out->status, and then nothing further runs.
	 * forget frees what it made. */
	void (*prepare)(struct request *req, struct reply *out);
	void (*forget)(void *prepared);
	/* Of a body that is still coming, at each piece of it: false ends it there, with *why. */
	bool (*look)(const struct request *req, const char *body, size_t len, struct problem *why);
	/* Of a body whose client was cut off before it was whole: what had come of it. */
	void (*cut)(const struct request *req, const char *body, size_t len);
	/* The hash of a password, between prepare and a WRITE handler, on the thread for it, without a
	 * context; it too may answer. */
	void (*hash)(struct request *req, struct reply *out);
	bool renews;                     /* LONG: in several views, and never long in one of them */
	const struct list *filters;      /* a list whose filters it takes; NULL: none, or those of list */
};

/* Bytes. Before signing in, whatever the route takes. */
enum { HTTP_BODY_MOST = 1 << 20, STRANGER_BODY_MOST = 16 << 10 };

/* The status, slug and title of each problem code: the only place where they meet. */
struct problem_kind {
	int status;
	const char *slug;
	const char *title;
};
const struct problem_kind *problem_kind(enum problem_code code);

/*
 * Finds the route. tables is NULL-terminated. Of two patterns that match, the one with a word
 * where the other has {..} counts ("/api/bonds/due" before "/api/bonds/{id}"), else the first.
 * Parts of the path that match {..} are copied into scratch (size bytes) and pointed to by
 * params. A slash at the end makes another path.
 * NULL: *why is PROBLEM_NO_ROUTE or PROBLEM_METHOD (then *allowed has a bit 1 << method each).
 * HEAD is looked up as GET by the caller.
 */
const struct route *route_find(const struct route *const *tables, enum method method,
	const char *path, const char *params[REQUEST_PARAMS], char *scratch, size_t size,
	unsigned *allowed, struct problem *why);

#endif
