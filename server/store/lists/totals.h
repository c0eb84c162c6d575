/*
 * Totals of lists, kept by a reading connection until the register changes: counting a line's bonds
 * costs more than reading a page of them, and most pages are asked for between two changes.
 */
#ifndef STORE_LISTS_TOTALS_H
#define STORE_LISTS_TOTALS_H

#include "base/text.h"
#include "store/lists/list.h"
#include "store/sql.h"

enum { TOTALS_MOST = LIST_TOTALS };

/* What was asked, as bytes that differ whenever the totals may; and what is kept of it. */
struct totals_question {
	unsigned char hash[16];
	int64_t version;              /* of the register, as this connection saw it; 0: keep nothing */
};

/* What is asked for: the list, the day, and what is filtered by. */
void totals_ask(const struct list_query *query, struct text *asked);

/* True: to has the n numbers. False: they are to be counted, or *why. The writing connection
 * counts each time, since its own changes do not show in the version of the register. */
bool totals_kept(struct store *store, const struct text *asked, struct totals_question *question,
	int64_t *to, size_t n, struct problem *why);

/* Keeps what was counted since. */
void totals_keep(struct store *store, const struct totals_question *question, const int64_t *numbers,
	size_t n);

#endif
