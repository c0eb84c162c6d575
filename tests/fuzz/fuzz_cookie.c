/* The target of the Cookie and Authorization headers, and of what a device keeps. */
#include <stdlib.h>
#include <string.h>

#include "http/request.h"
#include "service/access/sign_in.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST = 50 };

/* What was sent under the name, ended by ";": its value is a part of the header, and no other. */
static void check(const char *header, const char *value)
{
	if (strlen(value) >= MOST || strchr(value, ';') != NULL || strstr(header, value) == NULL) {
		abort();
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static const struct cookie cookies[] = { { "bondbook_session", "/" },
		{ "bondbook_device", "/api/session" } };
	const struct person nobody = { 0 };
	char *header = malloc(size + 1), value[MOST];
	struct request req = { .secure = size % 2 != 0 };

	if (header == NULL) {
		return 0;
	}
	memcpy(header, data, size);
	header[size] = '\0';
	req.cookie = req.authorization = header;
	for (size_t i = 0; i < 2; i++) {
		memset(value, 'x', sizeof value);
		if (request_cookie(&req, &cookies[i], value, sizeof value)) {
			check(header, value);
			if (device_is_known(&nobody, value)) {
				abort();
			}
		}
	}
	if (request_bearer(&req) != NULL && strlen(request_bearer(&req)) > size) {
		abort();
	}
	free(header);
	return 0;
}
