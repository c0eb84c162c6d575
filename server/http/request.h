/*
 * A request and its reply, as a handler sees them. Handlers never touch the HTTP library, so
 * tests call them with a struct request and no socket.
 */
#ifndef HTTP_REQUEST_H
#define HTTP_REQUEST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"
#include "base/query.h"
#include "base/text.h"

enum method { METHOD_GET, METHOD_POST, METHOD_PUT, METHOD_DELETE, METHODS };

enum { REQUEST_PARAMS = 4, REQUEST_QUERY = 32 };

/* Who asks. Filled by the identify hook; a zeroed one is a stranger. */
struct identity {
	int64_t person_id;       /* 0: nobody is signed in; under 0: a machine */
	unsigned rights;         /* bits; every request also has RIGHT_ANYONE */
	char name[128];
	char session[44];        /* names the session in the store, for signing out */
	uint64_t seen;           /* the hooks': when that was so */
	const char *lacking;     /* what they have to do before anything else; NULL: nothing */
};

/* Right bits that http itself knows; the others belong to the route tables. A route whose right
 * is 0 is open to nobody: a forgotten one closes the route. */
enum { RIGHT_NOBODY = 0, RIGHT_ANYONE = 1 };

struct route;

struct request {
	enum method method;
	const char *path;                            /* decoded */
	const char *params[REQUEST_PARAMS];          /* {..} parts of the pattern, in order */
	struct query_pair query[REQUEST_QUERY];
	size_t query_count;
	const char *body;                            /* NULL when there is none */
	size_t body_len;                             /* bytes */
	const char *content_type;                    /* "" when absent; likewise below */
	const char *if_match;
	const char *if_none_match;
	const char *accept;
	const char *cookie;                          /* the Cookie header */
	const char *host;                            /* as the client names this server */
	const char *authorization;                   /* the Authorization header, of machines */
	const char *user_agent;                      /* what the browser calls itself */
	bool secure;                                 /* the pages are reached over https */
	bool accept_gzip;                            /* the client takes gzip */
	const char *peer;                            /* the client's address in text */
	struct identity who;
	const struct route *route;
	void *app;                                   /* the program's, from struct http_hooks */
	void *context;                               /* of the thread that runs it: for the hooks */
	void *view;                                  /* what the handler sees, from the hook view */
	void *prepared;                              /* made by prepare, freed by forget */
	bool known_device;                           /* prepare says: somebody signed in there before */
	int64_t now_ms;                              /* the instant of receipt, UTC */
};

/* Value of a query name, NULL when it was not sent. */
const char *request_query(const struct request *req, const char *name);

/* Reads params[index] as a positive whole number; false: *why is PROBLEM_NOT_FOUND. */
bool request_id(const struct request *req, size_t index, int64_t *id, struct problem *why);

/* What goes back. A zeroed reply is 204 with no body. */
struct reply {
	int status;                /* 0: 204 */
	const char *type;          /* media type; static text */
	struct text body;          /* owned; taken over by the sender */
	const void *fixed;         /* instead of body: bytes that outlive the program's service */
	size_t fixed_len;
	bool fixed_gzip;           /* the fixed bytes are gzip already */
	int file;                  /* instead of body: an open, unlinked file whose first byte is at 0;
	                              -1 or 0: none. Closed by the sender. */
	size_t file_len;
	/* Called with file_arg when the file is sent, or is not going to be; NULL: nothing is. */
	void (*file_end)(void *arg);
	void *file_arg;
	char etag[80];             /* with its quotes; "" for none */
	char location[160];
	char link[1200];           /* RFC 8288 */
	char set_cookie[240];
	char set_cookie_too[240];
	char cache[64];            /* Cache-Control; "" gives no-store */
	char disposition[200];     /* Content-Disposition */
	unsigned retry_after_s;    /* of a 429 or 503; 0: 2 */
	bool alone;                /* what people sent: opened by itself it may do nothing at all */
};

void reply_release(struct reply *out);

/* Sets status and type and takes the text over (body is empty after). A text that failed becomes
 * a problem. */
void reply_text(struct reply *out, int status, const char *type, struct text *body);
void reply_json(struct reply *out, int status, struct text *body);

/* application/problem+json (RFC 9457): type, title, status, detail, and "errors", a list of
 * {"field", "detail"}, when several members are wrong. The status is the table's for the first. */
void reply_problem(struct reply *out, const struct problem *why);
void reply_problems(struct reply *out, const struct problems *why);

/* The token of "Authorization: Bearer ..." (RFC 6750, section 2.1), as it was sent; NULL: none. */
const char *request_bearer(const struct request *req);

/* Compares If-Match with the reply's strong ETag of the current version. False: *why is
 * PROBLEM_NEEDS_IF_MATCH or PROBLEM_CHANGED. etag has its quotes. */
bool request_if_match(const struct request *req, const char *etag, struct problem *why);

/* True when If-None-Match names the etag: the handler then answers 304 without a body. */
bool request_not_modified(const struct request *req, const char *etag);

/*
 * A cookie for this host alone, which no script reads and no other site's request brings. Where the
 * pages are reached over https it goes over https alone, and browsers take it from nobody else: that
 * is what the beginning of its name says, "__Host-", or "__Secure-" of one with a path of its own
 * (RFC 6265bis, section 4.1.3).
 */
struct cookie {
	const char *name, *path;
};
/* seconds 0: forget it. */
void reply_cookie(const struct request *req, char *to, size_t size, const struct cookie *cookie,
	const char *value, int seconds);
/* Its value into to (NUL-terminated); false when it was not sent or does not fit. */
bool request_cookie(const struct request *req, const struct cookie *cookie, char *to, size_t size);

#endif
