#include "http/request.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

const char *request_query(const struct request *req, const char *name)
{
	for (size_t i = 0; i < req->query_count; i++) {
		if (strcmp(req->query[i].name, name) == 0) {
			return req->query[i].value;
		}
	}
	return NULL;
}

bool request_id(const struct request *req, size_t index, int64_t *id, struct problem *why)
{
	const char *text = index < REQUEST_PARAMS ? req->params[index] : NULL;
	size_t digits = text != NULL ? strspn(text, "0123456789") : 0;
	long long value;

	if (digits == 0 || text[digits] != '\0') {
		return problem_set(why, PROBLEM_NOT_FOUND, NULL,
			"A record is named by a whole number, not \"%s\".", text != NULL ? text : "");
	}
	errno = 0;
	value = strtoll(text, NULL, 10);
	if (errno != 0 || value <= 0) {
		return problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no record %s.", text);
	}
	*id = value;
	return true;
}

const char *request_bearer(const struct request *req)
{
	static const char scheme[] = "Bearer ";
	const size_t len = sizeof scheme - 1;

	return req->authorization != NULL && strncasecmp(req->authorization, scheme, len) == 0 ?
		req->authorization + len : NULL;
}

/* Is etag in a list of RFC 9110 section 8.8.3 ('"a", W/"b"', or '*')? A weak one counts only
 * when weak is true. etag has its quotes and is strong. */
static bool etag_listed(const char *list, const char *etag, bool weak)
{
	size_t len = strlen(etag);

	if (strcmp(list, "*") == 0) {
		return true;
	}
	while (*list != '\0') {
		bool is_weak;
		size_t quoted;

		list += strspn(list, " \t,");
		is_weak = strncmp(list, "W/", 2) == 0;
		list += is_weak ? 2 : 0;
		if (*list != '"') {
			return false;
		}
		quoted = 1 + strcspn(list + 1, "\"");
		if (list[quoted] != '"') {
			return false;
		}
		if ((weak || !is_weak) && quoted + 1 == len && memcmp(list, etag, len) == 0) {
			return true;
		}
		list += quoted + 1;
	}
	return false;
}

bool request_if_match(const struct request *req, const char *etag, struct problem *why)
{
	if (req->if_match == NULL || req->if_match[0] == '\0') {
		return problem_set(why, PROBLEM_NEEDS_IF_MATCH, NULL,
			"Send If-Match with the ETag of the version that you are changing.");
	}
	if (!etag_listed(req->if_match, etag, false)) {
		return problem_set(why, PROBLEM_CHANGED, NULL,
			"Somebody has changed it since you read it: read it again, then change it.");
	}
	return true;
}

bool request_not_modified(const struct request *req, const char *etag)
{
	return req->if_none_match != NULL && etag[0] != '\0' &&
		etag_listed(req->if_none_match, etag, true);
}

static const char *prefix(const struct request *req, const struct cookie *cookie)
{
	return !req->secure ? "" : strcmp(cookie->path, "/") == 0 ? "__Host-" : "__Secure-";
}

void reply_cookie(const struct request *req, char *to, size_t size, const struct cookie *cookie,
	const char *value, int seconds)
{
	snprintf(to, size, "%s%s=%s; Path=%s; HttpOnly; SameSite=Strict; Max-Age=%d%s",
		prefix(req, cookie), cookie->name, value, cookie->path, seconds,
		req->secure ? "; Secure" : "");
}

bool request_cookie(const struct request *req, const struct cookie *cookie, char *to, size_t size)
{
	const char *at = req->cookie != NULL ? req->cookie : "";
	char whole[80];
	size_t name_len = (size_t)snprintf(whole, sizeof whole, "%s%s", prefix(req, cookie),
		cookie->name);

	while (*at != '\0') {
		size_t len;

		at += strspn(at, " \t;");
		len = strcspn(at, ";");
		if (len > name_len && at[name_len] == '=' && memcmp(at, whole, name_len) == 0) {
			const char *value = at + name_len + 1;
			size_t value_len = len - name_len - 1;

			if (value_len >= size) {
				return false;
			}
			memcpy(to, value, value_len);
			to[value_len] = '\0';
			return true;
		}
		at += len;
	}
	return false;
}
