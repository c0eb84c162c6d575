/* The target of a request line: decoded once, whatever was sent. */
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "http/uri.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check(const char *text)
{
	if (!utf8_valid(text, strlen(text))) {
		abort();
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct request req = { 0 };
	struct problem why = { 0 };
	char *target = malloc(size + 1);

	if (target == NULL) {
		return 0;
	}
	memcpy(target, data, size);
	target[size] = '\0';
	if (uri_read(target, &req, &why)) {
		check(req.path);
		for (size_t i = 0; i < req.query_count; i++) {
			check(req.query[i].name);
			check(req.query[i].value);
		}
	} else if (why.code != PROBLEM_MALFORMED && why.code != PROBLEM_VALUE) {
		abort();
	}
	free(target);
	return 0;
}
