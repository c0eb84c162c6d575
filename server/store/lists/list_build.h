/* The statement of a list, from its description to its text. Internal to store/. */
#ifndef STORE_LISTS_LIST_BUILD_H
#define STORE_LISTS_LIST_BUILD_H

#include "store/lists/list.h"
#include "store/sql.h"

enum { VALUES_MOST = 96 };

/* A statement under construction: its text and the values in order of their placeholders. */
struct build {
	const struct list_query *query;
	struct text sql;
	struct value values[VALUES_MOST];
	size_t count;
	char text_end[LIST_FILTERS][104];   /* upper bounds of prefixes */
	size_t n_ends;
};

/* Adds the statement of query: the columns, then the sort keys and the id, for the cursor. */
void list_build_rows(struct build *b);

#endif
