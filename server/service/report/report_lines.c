#include <stdlib.h>
#include <string.h>

#include "service/report/report_rows.h"

/* The codes that are named, each of which must be a line's. */
static bool keep_named(const char *codes, struct report_lines *lines, struct problem *why)
{
	size_t kept = 0;

	for (const char *at = codes; *at != '\0';) {
		size_t len = strcspn(at, ",");
		size_t i = kept;

		while (i < lines->count && (strlen(lines->line[i].code) != len ||
			memcmp(lines->line[i].code, at, len) != 0)) {
			i++;
		}
		if (i < lines->count) {
			struct report_line found = lines->line[i];

			lines->line[i] = lines->line[kept];
			lines->line[kept++] = found;
		} else {
			bool twice = false;

			for (size_t k = 0; k < kept; k++) {
				twice = twice || (strlen(lines->line[k].code) == len &&
					memcmp(lines->line[k].code, at, len) == 0);
			}
			if (!twice) {
				return problem_set(why, PROBLEM_VALUE, "lines", "There is no line %.*s.",
					(int)(len < 60 ? len : 60), at);
			}
		}
		at += len + (at[len] == ',');
	}
	lines->count = kept;
	return true;
}

bool report_lines_read(const struct view *view, const char *codes, struct report_lines *to,
	struct problem *why)
{
	*to = (struct report_lines){ 0 };
	if (!store_report_lines(view->store, &to->line, &to->count, why)) {
		return false;
	}
	return codes == NULL || *codes == '\0' || keep_named(codes, to, why);
}

void report_lines_release(struct report_lines *lines)
{
	free(lines->line);
	*lines = (struct report_lines){ 0 };
}
