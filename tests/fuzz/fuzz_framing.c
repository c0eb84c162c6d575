/* The target of the bytes of a connection: one reading however they come, and no head that passes
 * has in it what another program may read as something else. */
#include <stdlib.h>
#include <string.h>

#include "http/framing.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* The first head of what passed: CR and LF only together, no NUL, no line that goes on. */
static void check_head(const char *bytes, size_t len)
{
	for (size_t i = 0; i < len; i++) {
		char c = bytes[i];

		if (c == '\0' || (c == '\n') != (i > 0 && bytes[i - 1] == '\r') ||
			(i > 0 && bytes[i - 1] == '\n' && (c == ' ' || c == '\t'))) {
			abort();
		}
		if (i >= 3 && memcmp(bytes + i - 3, "\r\n\r\n", 4) == 0) {
			return;
		}
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	const char *bytes = (const char *)data;
	struct framing all = { 0 }, one = { 0 };
	struct problem why = { 0 }, other = { 0 };
	size_t whole, last = 0, step;
	bool ok = framing_read(&all, bytes, size, &whole, &why), same = true;

	for (size_t at = 0; same && at < size; at++) {
		same = framing_read(&one, bytes + at, 1, &step, &other);
		last = step > 0 ? at + step : last;
	}
	if (ok != same || why.code != other.code || all.heads != one.heads || whole != last) {
		abort();
	}
	if (ok) {
		check_head(bytes, size);
	} else if (why.code != PROBLEM_MALFORMED && why.code != PROBLEM_TOO_LARGE &&
		why.code != PROBLEM_HEAD_LARGE) {
		abort();
	}
	return 0;
}
