/*
 * The strip: one picture of a line, asked for a stretch at a time. It shows what the due list
 * shows, by the same filters: either single bonds with both their ends, or counts by stretch.
 */
#ifndef STORE_LISTS_STRIP_H
#define STORE_LISTS_STRIP_H

#include "store/lists/due_filters.h"

/* Rows of single bonds; a bond lies where its end A does. */
extern const struct list strip_list;

/* What lies on one track in one stretch. Stretches are counted from the datum, the one from 0 to
 * step_mm being number 0, so that they stay where they are whatever part of the line is asked. */
struct strip_count {
	int64_t stretch;
	int64_t track_id;                          /* 0: not stated */
	int64_t bonds;
	int64_t by_state[DUE_STATES];              /* enum due_state */
	int64_t by_grade[DUE_GRADES];              /* enum grade less GRADE_UNKNOWN */
	int64_t by_kind[BOND_KIND_NOT_KNOWN + 1];
};

/*
 * Counts the bonds of a query of strip_list, in the order of the line. step_mm divides 10^12 (as
 * round_step gives it). *all is the caller's: free().
 */
bool store_strip_counts(struct store *store, const struct list_query *query, int64_t step_mm,
	struct strip_count **all, size_t *count, struct problem *why);

/* How far the line's bonds and maps reach. False: failed. *from_mm > *to_mm when there are none. */
bool store_line_extent(struct store *store, int64_t line_id, int64_t *from_mm, int64_t *to_mm,
	struct problem *why);

/* Tracks of a line in the order of entry. *all is the caller's: free(). */
struct line_track {
	struct track track;
	bool own_map;
};
bool store_line_tracks(struct store *store, int64_t line_id, struct line_track **all,
	size_t *count, struct problem *why);

#endif
