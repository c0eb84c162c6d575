/*
 * Totals of lists, kept by a reading connection until the register changes: counting a line's bonds
 * costs more than reading a page of them, and most pages are asked for between two changes.
 */
#ifndef STORE_TOTALS_H
#define STORE_TOTALS_H

#include "base/text.h"
#include "store/sql.h"

enum { TOTALS_MOST = 16 };

/* The n whole numbers of a statement's only row. The writing connection counts each time, since
 * its own changes do not show in the version of the register. False: *why. */
bool totals_get(struct store *store, const struct text *sql, const struct value *values,
	size_t n_values, int64_t *to, size_t n, struct problem *why);

#endif
