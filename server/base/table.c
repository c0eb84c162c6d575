#include "base/table.h"

#include <string.h>
#include <strings.h>

int words_find(const struct words *words, const char *text, size_t len)
{
	for (int i = 0; i < words->n; i++) {
		if ((strlen(words->code[i]) == len && strncasecmp(words->code[i], text, len) == 0) ||
			(strlen(words->title[i]) == len && strncasecmp(words->title[i], text, len) == 0)) {
			return i;
		}
	}
	return -1;
}
