#include "http/guard.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/utf8.h"

/* once: sent twice it is refused; of the others the first counts, or the last, which a proxy
 * adds. */
static const struct { const char *name; size_t offset; bool once; } known[] = {
	{ "accept", offsetof(struct head, accept), false },
	{ "accept-encoding", offsetof(struct head, accept_encoding), false },
	{ "authorization", offsetof(struct head, authorization), true },
	{ "content-encoding", offsetof(struct head, content_encoding), true },
	{ "content-length", offsetof(struct head, content_length), true },
	{ "content-type", offsetof(struct head, content_type), true },
	{ "cookie", offsetof(struct head, cookie), true },
	{ "host", offsetof(struct head, host), true },
	{ "if-match", offsetof(struct head, if_match), true },
	{ "if-none-match", offsetof(struct head, if_none_match), true },
	{ "origin", offsetof(struct head, origin), true },
	{ "sec-fetch-site", offsetof(struct head, fetch_site), true },
	{ "transfer-encoding", offsetof(struct head, transfer_encoding), true },
	{ "user-agent", offsetof(struct head, user_agent), false },
	{ "x-forwarded-for", offsetof(struct head, forwarded_for), false },
};

void head_add(struct head *head, const char *name, const char *value)
{
	for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
		const char **member;

		if ((name[0] | 0x20) != known[i].name[0] || strcasecmp(name, known[i].name) != 0) {
			continue;
		}
		member = (const char **)(void *)((char *)head + known[i].offset);
		if (*member == NULL || member == &head->forwarded_for) {
			*member = value != NULL ? value : "";
		} else if (known[i].once) {
			head->repeated = known[i].name;
		}
		return;
	}
}

static bool length_read(const char *text, int64_t *body_len, struct problem *why)
{
	size_t digits = strspn(text, "0123456789");

	if (digits == 0 || text[digits] != '\0') {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "Content-Length is a number of bytes.");
	}
	if (digits > 18) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL, "A body of %s bytes is not taken.", text);
	}
	*body_len = strtoll(text, NULL, 10);
	return true;
}

bool guard_framing(const struct head *head, const char *version, int64_t *body_len,
	struct problem *why)
{
	bool old = strcmp(version, "HTTP/1.0") == 0;

	*body_len = 0;
	if (head->repeated != NULL) {
		return problem_set(why, PROBLEM_MALFORMED, NULL,
			"The header %s was sent twice: send it once.", head->repeated);
	}
	if (!old && (head->host == NULL || head->host[0] == '\0')) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The header Host is missing.");
	}
	if (head->transfer_encoding != NULL) {
		if (head->content_length != NULL) {
			return problem_set(why, PROBLEM_MALFORMED, NULL,
				"Send either Content-Length or Transfer-Encoding, not both.");
		}
		if (old || strcasecmp(head->transfer_encoding, "chunked") != 0) {
			return problem_set(why, PROBLEM_MALFORMED, NULL,
				"The only Transfer-Encoding that is taken is \"chunked\", in HTTP/1.1.");
		}
		*body_len = -1;
		return true;
	}
	return head->content_length == NULL || length_read(head->content_length, body_len, why);
}

bool guard_site(const struct head *head, enum method method, struct problem *why)
{
	const char *origin = head->origin;
	const char *host;

	if (method == METHOD_GET) {
		return true;
	}
	if (head->fetch_site != NULL) {
		return strcmp(head->fetch_site, "same-origin") == 0 ||
			strcmp(head->fetch_site, "none") == 0 ||
			problem_set(why, PROBLEM_CROSS_SITE, NULL,
				"Changes are taken only from this server's own pages.");
	}
	if (origin == NULL) {
		return true;
	}
	host = strstr(origin, "://");
	return (host != NULL && head->host != NULL && strcasecmp(host + 3, head->host) == 0) ||
		problem_set(why, PROBLEM_CROSS_SITE, NULL,
			"Changes are taken only from this server's own pages, not from %s.", origin);
}

bool guard_right(const struct route *route, const struct identity *who, struct problem *why)
{
	if ((route->right & (who->rights | RIGHT_ANYONE)) != 0) {
		return true;
	}
	if (who->person_id == 0) {
		return problem_set(why, PROBLEM_SIGN_IN, NULL, "Sign in first.");
	}
	if (who->lacking != NULL) {
		return problem_set(why, PROBLEM_SIGN_IN, NULL, "%s", who->lacking);
	}
	return problem_set(why, PROBLEM_RIGHT, NULL, "You are signed in as %s, whose role may not "
		"do this.", who->name);
}

static const char *route_body_type(const struct route *route)
{
	return route->body_type != NULL ? route->body_type : "application/json";
}

static bool type_is(const char *sent, const char *wanted)
{
	size_t len = strcspn(sent, "; \t");
	size_t family = strlen(wanted) - 1;

	if (wanted[family] == '*') {
		return len > family && strncasecmp(sent, wanted, family) == 0;
	}
	return len == family + 1 && strncasecmp(sent, wanted, len) == 0;
}

/* Looks at the parameters of a media type: one without a charset is UTF-8 to us. */
static bool charset_is_utf8(const char *sent)
{
	for (const char *at = strchr(sent, ';'); at != NULL; at = strchr(at, ';')) {
		at += 1 + strspn(at + 1, " \t");
		if (strncasecmp(at, "charset=", 8) == 0) {
			at += at[8] == '"' ? 9 : 8;
			return strncasecmp(at, "utf-8", 5) == 0 &&
				(at[5] == '\0' || strchr("\"; \t", at[5]) != NULL);
		}
	}
	return true;
}

bool guard_type(const struct head *head, const struct route *route, struct problem *why)
{
	const char *wanted = route_body_type(route);
	const char *sent = head->content_type != NULL ? head->content_type : "";

	if (head->content_encoding != NULL && strcasecmp(head->content_encoding, "identity") != 0) {
		return problem_set(why, PROBLEM_MEDIA_TYPE, NULL, "Send it without Content-Encoding.");
	}
	if (!type_is(sent, wanted)) {
		return problem_set(why, PROBLEM_MEDIA_TYPE, NULL, "Send it with the Content-Type %s%s%s.",
			wanted, sent[0] != '\0' ? ", not " : "", sent);
	}
	if (!charset_is_utf8(sent)) {
		return problem_set(why, PROBLEM_MEDIA_TYPE, NULL, "Send it as UTF-8.");
	}
	return true;
}

bool guard_body(const struct route *route, const char *body, size_t len, struct problem *why)
{
	size_t at = 0;

	if (len == 0) {
		if (route->body == NULL && route->body_type == NULL) {
			return true;
		}
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The body is missing: send it as %s.",
			route_body_type(route));
	}
	if (strcmp(route_body_type(route), "application/json") != 0) {
		return true;
	}
	while (at < len) {
		size_t step = utf8_step(body + at, len - at);

		if (step == 0) {
			return problem_set(why, PROBLEM_MALFORMED, NULL,
				"The body is not UTF-8: look at byte %zu (counted from 0).", at);
		}
		at += step;
	}
	return true;
}
