/*
 * The headers that http itself looks at, and what is refused because of them before any handler
 * runs. No socket and no HTTP library here.
 */
#ifndef HTTP_GUARD_H
#define HTTP_GUARD_H

#include "http/route.h"

/* Borrowed from the connection, whose bytes framing.h has passed; NULL: not sent. */
struct head {
	const char *accept;
	const char *accept_encoding;
	const char *authorization;
	const char *content_encoding;
	const char *content_length;
	const char *content_type;
	const char *cookie;
	const char *fetch_site;
	const char *forwarded_for; /* the last, other than the others */
	const char *host;
	const char *if_match;
	const char *if_none_match;
	const char *origin;
	const char *transfer_encoding;
	const char *user_agent;
	const char *repeated;      /* the name of a header that was sent twice and must not be */
};

/* Takes note of one header. */
void head_add(struct head *head, const char *name, const char *value);

/* Refuses what two programs could read in two ways (RFC 9112 sections 3.2 and 6.3): both
 * Content-Length and Transfer-Encoding, one of them or Host twice, a coding that is not
 * "chunked", no Host. PROBLEM_MALFORMED; PROBLEM_TOO_LARGE for a length beyond 18 digits.
 * body_len is -1 when chunked, 0 when there is no body. */
bool guard_framing(const struct head *head, const char *version, int64_t *body_len,
	struct problem *why);

/* Refuses a changing request that another site made the browser send: Sec-Fetch-Site other than
 * same-origin or none, or, where the browser sends none, an Origin that is not this host. */
bool guard_site(const struct head *head, enum method method, struct problem *why);

/* May this identity use the route? PROBLEM_SIGN_IN for a stranger, PROBLEM_RIGHT otherwise. */
bool guard_right(const struct route *route, const struct identity *who, struct problem *why);

/* Refuses a body of another media type than the route takes ("image/..." may be taken as
 * "image/" + "*"), of another charset than UTF-8, or with a Content-Encoding. */
bool guard_type(const struct head *head, const struct route *route, struct problem *why);

/* Once the body is there: refuses a missing one, and for JSON one that is not UTF-8 (naming the
 * offset of the first byte at fault). */
bool guard_body(const struct route *route, const char *body, size_t len, struct problem *why);

#endif
