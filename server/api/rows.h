/* Rows of a list inside another answer. */
#ifndef API_ROWS_H
#define API_ROWS_H

#include "derived/view.h"

/* Adds the rows (at most 1,000) of a list with one filter, without brackets. False: *why. */
bool rows_add(struct view *view, const struct list *list, const char *filter, const char *value,
	struct text *to, struct problem *why);

/* Adds the row of an entry, its brace not closed (encode/encode.h). False: *why, PROBLEM_NOT_FOUND
 * when there is none. */
bool rows_open(struct view *view, const struct list *list, const char *uuid, struct text *to,
	struct problem *why);

#endif
