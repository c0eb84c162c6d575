#include "base/table.h"

#include <string.h>
#include <strings.h>

#include "base/day.h"

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

struct cell cell_of_text(const char *text)
{
	return (struct cell){ .is_null = text == NULL || *text == '\0', .text = text,
		.len = text != NULL ? strlen(text) : 0 };
}

struct cell cell_of_day(int32_t day)
{
	return (struct cell){ .is_null = day == DAY_NONE, .integer = day };
}
