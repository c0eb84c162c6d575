#include "http/uri.h"

#include <string.h>

#include "base/utf8.h"

static int hex_value(char c)
{
	if (c >= '0' && c <= '9') {
		return c - '0';
	}
	if (c >= 'a' && c <= 'f') {
		return c - 'a' + 10;
	}
	return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* The byte that %xx at `at` stands for; -1 when two hexadecimal digits do not follow. */
static int escaped_byte(const char *at)
{
	int high = hex_value(at[1]);
	int low = high < 0 ? -1 : hex_value(at[2]);

	return low < 0 ? -1 : high * 16 + low;
}

static bool path_has_dots(const char *path)
{
	while (*path == '/') {
		size_t len = strcspn(path + 1, "/");

		if ((len == 1 && path[1] == '.') || (len == 2 && path[1] == '.' && path[2] == '.')) {
			return true;
		}
		path += 1 + len;
	}
	return false;
}

static bool path_read(char *path, struct problem *why)
{
	char *to = path;

	if (path[0] != '/') {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "An address begins with a slash.");
	}
	for (const char *at = path; *at != '\0'; at++) {
		int c = (unsigned char)*at;

		if (c == '%') {
			c = escaped_byte(at);
			if (c < 0) {
				return problem_set(why, PROBLEM_MALFORMED, NULL,
					"The address has a %% without two hexadecimal digits after it.");
			}
			if (c == '/') {
				c = '\0';
			}
			at += 2;
		}
		if (c < 0x20 || c == 0x7F || c == '\\') {
			return problem_set(why, PROBLEM_MALFORMED, NULL, "The address has a control character, "
				"a backslash or an escaped slash (%%00, %%2f, %%5c ...), which it must not.");
		}
		*to++ = (char)c;
	}
	*to = '\0';
	if (!utf8_valid(path, (size_t)(to - path))) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The address is not UTF-8.");
	}
	if (path_has_dots(path)) {
		return problem_set(why, PROBLEM_MALFORMED, NULL,
			"The address has a part \".\" or \"..\": write it without.");
	}
	return true;
}

/* Decodes one name or value in place; gives what is wrong with it, NULL when nothing is. */
static const char *query_decode(char *text)
{
	char *to = text;

	for (const char *at = text; *at != '\0'; at++) {
		int c = *at == '+' ? ' ' : (unsigned char)*at;

		if (c == '%') {
			c = escaped_byte(at);
			if (c < 0) {
				return "has a % without two hexadecimal digits after it";
			}
			if (c == '\0') {
				return "has a NUL character (%00) in it";
			}
			at += 2;
		}
		*to++ = (char)c;
	}
	*to = '\0';
	return utf8_valid(text, (size_t)(to - text)) ? NULL : "is not UTF-8";
}

static bool pair_read(char *name, struct request *req, struct problem *why)
{
	char *value = name + strcspn(name, "=");
	const char *wrong;

	if (req->query_count == REQUEST_QUERY) {
		return problem_set(why, PROBLEM_MALFORMED, NULL,
			"The address has more than %d query values.", REQUEST_QUERY);
	}
	if (*value == '=') {
		*value++ = '\0';
	}
	wrong = query_decode(name);
	if (wrong != NULL) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The name of query value %zu %s.",
			req->query_count + 1, wrong);
	}
	if (request_query(req, name) != NULL) {
		return problem_set(why, PROBLEM_VALUE, name, "%s was sent twice: send it once.", name);
	}
	wrong = query_decode(value);
	if (wrong != NULL) {
		return problem_set(why, PROBLEM_MALFORMED, name, "The query value \"%s\" %s.", name, wrong);
	}
	req->query[req->query_count++] = (struct query_pair){ name, value };
	return true;
}

bool uri_read(char *target, struct request *req, struct problem *why)
{
	char *query = strchr(target, '?');

	if (query != NULL) {
		*query++ = '\0';
	}
	if (!path_read(target, why)) {
		return false;
	}
	req->path = target;
	while (query != NULL) {
		char *pair = query;
		size_t len = strcspn(query, "&");

		query = pair[len] == '&' ? pair + len + 1 : NULL;
		pair[len] = '\0';
		if (len > 0 && !pair_read(pair, req, why)) {
			return false;
		}
	}
	return true;
}
