/*
 * What a drawing of a line shows along it: ticks at round chainages, and the jumps of the map.
 */
#ifndef RULES_PLACE_LINE_MARKS_H
#define RULES_PLACE_LINE_MARKS_H

#include "rules/place/line_map.h"

/* Where the chainage jumps. */
struct line_break {
	int64_t distance_mm;
	struct chainage before, after;   /* at the end of one stretch, at the start of the next */
	int64_t jump_mm;                 /* above zero: a gap; below: chainages that exist twice */
};

/* All jumps in rising distance; fills up to room and returns how many there are. */
size_t line_map_breaks(const struct line_map *map, struct line_break *to, size_t room);

/*
 * Distances from from_mm to to_mm at which the chainage is round as people count in the line's
 * notation (kilometres and metres by 1, 2, 5; chains and yards by parts of a mile), in rising
 * order. From one to the next it is least_mm or more, except across a jump. A jump gives no tick of
 * its own. Fills up to room and returns how many were filled.
 */
size_t line_map_ticks(const struct line_map *map, int64_t from_mm, int64_t to_mm,
	int64_t least_mm, int64_t *to, size_t room);

/* The smallest of 1, 2, 5, 10, 20, 50 ... that is not less; at most 10^12. */
int64_t round_step(int64_t least);

#endif
