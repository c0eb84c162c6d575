#include "http/route.h"

#include <string.h>

/* (each request is held against every pattern: most differ after a few bytes) */
static bool pattern_matches(const char *pattern, const char *path)
{
	for (; *pattern == '{' || *pattern == *path; pattern++, path++) {
		if (*pattern == '{') {
			size_t have = strcspn(path, "/");

			if (have == 0) {
				return false;
			}
			path += have;
			pattern += strcspn(pattern, "/");
			if (*pattern != *path) {
				return false;
			}
		}
		if (*pattern == '\0') {
			return true;
		}
	}
	return false;
}

/* Of two patterns that match the same path: the one with words where the other has {..}. */
static bool pattern_nearer(const char *pattern, const char *other)
{
	while (*pattern == '/' && *other == '/') {
		pattern++;
		other++;
		if ((*pattern == '{') != (*other == '{')) {
			return *other == '{';
		}
		pattern += strcspn(pattern, "/");
		other += strcspn(other, "/");
	}
	return false;
}

/* Copies the parts of path that match {..}; false when they do not fit. */
static bool params_copy(const char *pattern, const char *path, const char *params[REQUEST_PARAMS],
	char *scratch, size_t size)
{
	size_t count = 0;

	while (*pattern == '/') {
		size_t want = strcspn(++pattern, "/");
		size_t have = strcspn(++path, "/");

		if (*pattern == '{') {
			if (count == REQUEST_PARAMS || have >= size) {
				return false;
			}
			memcpy(scratch, path, have);
			scratch[have] = '\0';
			params[count++] = scratch;
			scratch += have + 1;
			size -= have + 1;
		}
		pattern += want;
		path += have;
	}
	return true;
}

const struct route *route_find(const struct route *const *tables, enum method method,
	const char *path, const char *params[REQUEST_PARAMS], char *scratch, size_t size,
	unsigned *allowed, struct problem *why)
{
	const struct route *found = NULL;

	*allowed = 0;
	for (; *tables != NULL; tables++) {
		for (const struct route *r = *tables; r->pattern != NULL; r++) {
			if (!pattern_matches(r->pattern, path)) {
				continue;
			}
			*allowed |= 1u << r->method;
			if (r->method == method &&
				(found == NULL || pattern_nearer(r->pattern, found->pattern))) {
				found = r;
			}
		}
	}
	if (found != NULL && params_copy(found->pattern, path, params, scratch, size)) {
		return found;
	}
	if (found == NULL && *allowed != 0) {
		problem_set(why, PROBLEM_METHOD, NULL, "This address exists, but not for this method.");
	} else {
		problem_set(why, PROBLEM_NO_ROUTE, NULL, "There is nothing at %s.", path);
	}
	return NULL;
}
