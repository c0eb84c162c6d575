/*
 * Whether the complete inspections of bonds were on time, as it is kept: with each bond, by day and
 * order of arrival, and added up by day, line and enum timely.
 */
#ifndef STORE_KEPT_VISIT_COUNT_H
#define STORE_KEPT_VISIT_COUNT_H

#include "rules/report.h"
#include "store/store.h"

/* One visit in the bytes of bond_state.visits, which has VISIT_BYTES for each. */
enum { VISIT_BYTES = 4 };
struct visit_kept {
	int32_t day;
	enum timely timely;
};
void visit_kept_write(const struct visit_kept *visit, unsigned char to[VISIT_BYTES]);
struct visit_kept visit_kept_read(const unsigned char from[VISIT_BYTES]);

/* In statements: visits_among(visits, from_day, to_day, bits of enum timely) is 1 where what is
 * kept with a bond has such a one on these days. */

/* How many more, or fewer, there are. */
struct visit_cell {
	int32_t day;
	int64_t line_id;
	enum timely timely;
	int by;
};
/* Adds them up. Sorts the cells. */
bool store_visit_cells_add(struct store *store, struct visit_cell *cells, size_t count,
	struct problem *why);

/* Adds up what is kept with all bonds anew; and whether what is added up is anything else. */
bool store_visit_count_make(struct store *store, struct problem *why);
bool store_visit_count_wrong(struct store *store, bool *wrong, struct problem *why);

/* The lines that have any of these (bits of enum timely) on some days, by number; *ids is the
 * caller's to free, also after failure. */
bool store_visit_lines(struct store *store, int32_t from_day, int32_t to_day, unsigned timely,
	int64_t **ids, size_t *count, struct problem *why);

/* What is added up of some days, one call of `each` a day, line and timely. */
typedef void store_visit_each(void *arg, const struct visit_cell *cell);
bool store_visit_counts(struct store *store, int32_t from_day, int32_t to_day,
	store_visit_each *each, void *arg, struct problem *why);

#endif
