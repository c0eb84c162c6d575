/* The target of the tables of routes: the real ones, whatever the path. */
#include <stdlib.h>
#include <string.h>

#include "api/routes.h"
#include "http/uri.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* A route that is found is of this method and has a right, and its parameters are whole parts. */
static void check(const struct route *found, enum method method, const char *const *params)
{
	size_t braces = 0;

	if (found->method != method || found->handle == NULL || found->right == RIGHT_NOBODY) {
		abort();
	}
	for (const char *c = found->pattern; *c != '\0'; c++) {
		braces += *c == '{';
	}
	for (size_t i = 0; i < braces; i++) {
		if (params[i] == NULL || params[i][0] == '\0' || strchr(params[i], '/') != NULL) {
			abort();
		}
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct problem why = { 0 };
	struct request req = { 0 };
	char *target, *scratch;

	if (size == 0) {
		return 0;
	}
	target = calloc(1, size);
	scratch = malloc(size + REQUEST_PARAMS + 1);
	if (target != NULL && scratch != NULL) {
		enum method method = (enum method)(data[0] % METHODS);
		unsigned allowed = 0;
		const struct route *found = NULL;

		memcpy(target, data + 1, size - 1);
		if (uri_read(target, &req, &why)) {
			found = route_find(all_routes(), method, req.path, req.params, scratch,
				size + REQUEST_PARAMS + 1, &allowed, &why);
		}
		if (found != NULL) {
			check(found, method, req.params);
		} else if (why.code == PROBLEM_METHOD && allowed == 0) {
			abort();
		}
	}
	free(target);
	free(scratch);
	return 0;
}
