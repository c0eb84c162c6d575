/* Rows of a list inside another answer. */
#ifndef API_ROWS_H
#define API_ROWS_H

#include "derived/view.h"

/* Adds the rows (at most 1,000) of a list with one filter, without brackets. False: *why. */
bool rows_add(struct view *view, const struct list *list, const char *filter, const char *value,
	struct text *to, struct problem *why);

/* The same with a query of several pairs; without "limit" the first page's. *rows: how many. */
bool rows_add_by(struct view *view, const struct list *list, const struct query_pair *pairs,
	size_t count, struct text *to, size_t *rows, struct problem *why);

/* Adds the row of an entry, its brace not closed (encode/encode.h). False: *why, PROBLEM_NOT_FOUND
 * when there is none. */
bool rows_open(struct view *view, const struct list *list, const char *uuid, struct text *to,
	struct problem *why);

/* What hangs on a row: of a list, by its filter, as a member of that name. */
struct rows_more {
	const struct list *list;
	const char *filter, *member;
};

/* Answers with the row of a list whose id (filter "uuid") is the first parameter of the address, and
 * with what hangs on it. */
struct request;
struct reply;
void rows_give(const struct request *req, struct reply *out, const struct list *list,
	const struct rows_more *more, size_t count);

#endif
