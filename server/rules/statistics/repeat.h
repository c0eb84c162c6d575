/*
 * Places where failures repeat: on one line, track and rail, close together in space and time,
 * whatever bond was there at the time.
 *
 * A set of failures is a place when
 *   - it holds every failure (not yet in a place) inside some window of the rulebook's length and
 *     period, and at least the rulebook's count of them;
 *   - the positions of its first and last differ by no more than the window (10 m: 10,000 mm yes,
 *     10,001 mm no);
 *   - its last day lies before its first day + the period in calendar months (60 months from
 *     2020-03-01: 2025-02-28 yes, 2025-03-01 no).
 *
 * Places share no failure. Of two that would, the one with more failures wins, then the one with
 * the shorter span, then the lower chainage, then the earlier first day; that leaves no tie. The
 * loser competes again with the failures that it has left, so in the end no failures are left
 * over that would make a place together.
 */
#ifndef RULES_STATISTICS_REPEAT_H
#define RULES_STATISTICS_REPEAT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "rules/rulebook.h"

/* One failure of the group. */
struct repeat_failure {
	int64_t id;           /* only orders failures of one day and position */
	int32_t day;
	int64_t distance_mm;  /* along the line from its datum */
};

struct repeat_place {
	size_t member;        /* its first one in repeat_places.members */
	size_t count;         /* and how many */
	int64_t from_mm, to_mm;
	int32_t first_day, last_day;
};

struct repeat_places {
	struct repeat_place *places;  /* by from_mm, then first_day */
	size_t count;
	size_t *members;      /* indexes into the caller's failures; within a place by day, position, id */
};

/*
 * Finds the places of one group, given in any order.
 *
 * rulebook  one that passes rulebook_check: repeat_window_mm, _period_months, _least_count.
 * places    need not be initialised; the caller releases it, also after failure.
 *
 * False: out of memory. Working memory is about 110 bytes a failure and freed before return.
 * Time grows with the number of failures times how many lie within one window's length. 20,000
 * spread over a line take about 10 ms, in clusters of 500 half a second, all on 10 m 3 s.
 */
bool repeat_find(const struct repeat_failure *failures, size_t n, const struct rulebook *rulebook,
	struct repeat_places *places);
void repeat_places_release(struct repeat_places *places);

/* to_mm - from_mm, both ends' positions: 0 when all are at one. */
int64_t repeat_span_mm(const struct repeat_place *place);

#endif
