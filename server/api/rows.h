/* Rows of a list inside another answer. */
#ifndef API_ROWS_H
#define API_ROWS_H

#include "http/request.h"
#include "store/lists/list.h"

/* Adds the rows (at most 1,000) of a list with one filter, without brackets. False: *why. */
bool rows_add(const struct request *req, const struct list *list, const char *filter,
	const char *value, struct text *to, size_t *rows, struct problem *why);

#endif
