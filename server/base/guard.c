#include "base/guard.h"

#include <string.h>

bool guard_needed(const char *text, size_t len)
{
	static const char *const wide[] = { "\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D",
		"\xEF\xBC\xA0" };   /* U+FF1D, FF0B, FF0D, FF20 */

	while (len > 0 && *text == '\'') {
		text++;
		len--;
	}
	if (len > 0 && memchr("=+-@\t\r\n\0", *text, 8) != NULL) {
		return true;
	}
	for (size_t i = 0; len >= 3 && i < sizeof wide / sizeof wide[0]; i++) {
		if (memcmp(text, wide[i], 3) == 0) {
			return true;
		}
	}
	return false;
}

size_t guard_length(const char *text, size_t len)
{
	return len > 1 && *text == '\'' && guard_needed(text, len) ? 1 : 0;
}
