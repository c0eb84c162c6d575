/* The target of a list's query string and its cursor: what is taken is within its bounds. */
#include <stdlib.h>
#include <string.h>

#include "store/record/bond.h"
#include "store/record/person.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* data: pairs "name=value", a line each; the first line alone is a cursor. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static const struct list *const lists[] = { &due_list, &person_list };
	struct query_pair pairs[4] = { { "after", "" } };
	size_t count = 1;
	char *text = malloc(size + 1), *line;

	if (text == NULL) {
		return 0;
	}
	memcpy(text, data, size);
	text[size] = '\0';
	pairs[0].value = text;
	for (line = strchr(text, '\n'); line != NULL && count < 4; line = strchr(line, '\n')) {
		char *value;

		*line++ = '\0';
		value = strchr(line, '=');
		if (value == NULL) {
			break;
		}
		*value = '\0';
		pairs[count].name = line;
		pairs[count++].value = value + 1;
		line = value + 1;
	}
	for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++) {
		struct problems why = { 0 };
		struct list_query query;

		if (list_query_read(lists[i], pairs, count, 20000, &query, &why)) {
			if (query.limit < 1 || query.limit > LIST_LIMIT_MOST ||
				(query.has_after && text[0] == '\0')) {
				abort();
			}
		} else if (why.count == 0) {
			abort();
		}
	}
	free(text);
	return 0;
}
