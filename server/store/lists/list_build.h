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

/* Parts of it. A condition, with {today}, {value} and {value_end} as placeholders; FROM, {rows} being
 * that of list_rows.table; FROM of the list's own, or of a filter's that was sent; all conditions
 * but the filter `without`, whose place in the list does not count either (NULL: all and the
 * place); FROM and WHERE of the rows asked for. */
void list_build_condition(struct build *b, const char *sql, struct value value);
void list_build_from(struct build *b, const char *from, int rows);
void list_build_from_whole(struct build *b, int rows);
void list_build_conditions(struct build *b, const char *without);
void list_build_where(struct build *b, const char *without);

/* Which table of rows is asked for: an index of list_rows.table. */
int list_build_rows_of(const struct list_query *q);

#endif
