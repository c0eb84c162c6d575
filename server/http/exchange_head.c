#include <arpa/inet.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/log.h"
#include "http/exchange.h"
#include "http/guard.h"
#include "http/gzip.h"
#include "http/uri.h"

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
		head->cookie, head->host, head->authorization, head->user_agent };
	const char **to[] = { &e->req.content_type, &e->req.if_match, &e->req.if_none_match,
		&e->req.accept, &e->req.cookie, &e->req.host, &e->req.authorization,
		&e->req.user_agent };
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
	e->req.secure = e->server->secure;
}

/* Whom the proxy in front has it from: the last of the list, which that proxy wrote. */
static void read_forwarded(struct exchange *e, const char *list)
{
	const char *last = strrchr(list, ',');
	unsigned char ignored[sizeof (struct in6_addr)];
	char address[INET6_ADDRSTRLEN];

	last = last != NULL ? last + 1 : list;
	last += strspn(last, " \t");
	if (strlen(last) < sizeof address) {
		memcpy(address, last, strlen(last) + 1);
		address[strcspn(address, " \t")] = '\0';
		if (inet_pton(AF_INET, address, ignored) == 1 || inet_pton(AF_INET6, address, ignored) == 1) {
			memcpy(e->peer, address, sizeof address);
		}
	}
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
	const struct http_hooks *hooks = &e->hooks;

	if (e->req.route->kind == ROUTE_PLAIN) {
		return true;
	}
	e->req.context = hooks->reader(hooks->app);
	if (e->req.context == NULL) {
		return problem_set(why, PROBLEM_BUSY, NULL,
			"The register cannot be read just now: send it again.");
	}
	if ((e->req.cookie[0] != '\0' || e->req.authorization[0] != '\0') &&
		!hooks->identify(&e->req, &e->req.who, why)) {
		e->req.who = (struct identity){ 0 };
	}
	if (e->req.who.person_id != 0) {
		atomic_store(&e->connection->has_session, true);
	}
	return why->code == PROBLEM_NONE;
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
	if (e->req.who.person_id == 0 && e->body_most > STRANGER_BODY_MOST) {
		e->body_most = STRANGER_BODY_MOST;
	}
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

/* (a stranger who is asked to sign in is nothing to note) */
static bool note_refused(const struct exchange *e, const struct problem *why)
{
	if (why->code == PROBLEM_RIGHT || why->code == PROBLEM_CROSS_SITE) {
		log_line(LOG_WARNING, "refused", "id", e->id, "route", e->req.route->pattern, "who",
			e->req.who.name, "peer", e->req.peer, "why", why->detail, NULL);
	}
	return false;
}

bool exchange_read_head(struct exchange *e, const char *method, const char *version,
	struct problem *why)
{
	struct head head = { 0 };

	MHD_get_connection_values(e->link, MHD_HEADER_KIND, take_header, &head);
	e->req.app = e->hooks.app;
	e->req.now_ms = clock_now_ms();
	e->req.path = "";
	e->gzip = e->req.accept_gzip = gzip_accepted(head.accept_encoding);
	read_peer(e);
	if (e->server->options.behind_proxy && head.forwarded_for != NULL) {
		read_forwarded(e, head.forwarded_for);
	}
	if (e->connection->heads_taken == e->connection->framing.heads) {
		e->body_len = -1;
		return problem_set(why, PROBLEM_STORE, NULL, "The server did not see this request's bytes.");
	}
	e->connection->heads_taken++;
	if (!guard_framing(&head, version, &e->body_len, why)) {
		e->body_len = -1; /* where the next request begins is not certain */
		return false;
	}
	if (!find_route(e, &head, method, why) || !guard_site(&head, e->req.method, why) ||
		!identify(e, why) || !guard_right(e->req.route, &e->req.who, why) ||
		!check_body_head(e, &head, why)) {
		return note_refused(e, why);
	}
	return true;
}
