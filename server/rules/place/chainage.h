/*
 * Chainages: reading what people write, and writing a place so that it reads back.
 *
 * The notation belongs to the line (or to the column that is imported), never to the text alone.
 *
 *   notation      written          also read
 *   KM_M          12+345           012 + 345,5  KM27+205.4  000-428 (428 m before zero)  -0+150
 *   HM_M          172,9 + 16       172.9+16  4.4 +     0  -0,0 + -73
 *   KM            12.345           12,345  km 12.3  12
 *   M             12345            12345.6 m; refused: 12.345 and 12,345, which may mean thousands
 *   MILES_CHAINS  5m 40ch          5.40 (two digits, always)  5 mi 40 chains  5m 40ch 50lk
 *   MILES_YARDS   5m 880y          5.0880  5.088 (zeros lost at the end are put back)
 *   MILES         123.45           MP 123.45  0104.5  .3  401.
 *
 * Before zero: -0+150, -0,0 + -73, -0.428, -150, -0m 10ch. Where a text names several places it is
 * followed by " #1", " #2" ..., counted in the direction of rising distance.
 *
 * Whole numbers only. A mile is 1609344 mm, a chain 20116.8 mm, a yard 914.4 mm; what falls between
 * two millimetres goes to the nearer one, halves away from zero, once. Writing uses the fewest
 * decimals that read back to the same millimetre, so that 40 chains stay "40ch" and a place between
 * two chains is not moved.
 */
#ifndef RULES_PLACE_CHAINAGE_H
#define RULES_PLACE_CHAINAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"
#include "rules/place/line_map.h"

enum { CHAINAGE_TEXT_SIZE = 48 };

/*
 * Reads a chainage as people write it and gives the place on the line.
 *
 * text         not NUL-terminated; spaces around are passed over.
 * map          the line's notation and stretches, checked by line_map_check.
 * distance_mm  from the line's datum; set only on success.
 *
 * False: *why is PROBLEM_CHAINAGE_SYNTAX, _IN_GAP (names both sides), _AMBIGUOUS (lists the
 * candidates with their qualifiers) or _OUTSIDE (names the ends).
 */
bool chainage_read(const char *text, size_t len, const struct line_map *map,
	int64_t *distance_mm, struct problem *why);

/*
 * Writes the place so that chainage_read gives the same millimetre again, with its qualifier when
 * there are others like it. size CHAINAGE_TEXT_SIZE is always enough. Returns the length; 0 and ""
 * when the place is off the map.
 */
size_t chainage_write(int64_t distance_mm, const struct line_map *map, char *to, size_t size);

struct chainage_candidate {
	int64_t distance_mm;
	char text[CHAINAGE_TEXT_SIZE];   /* what was asked, with the qualifier that picks it */
};

/* All places that a text may mean, whatever qualifier it has, in rising distance. Fills up to room
 * and returns how many there are: 0 when the text is wrong or names no place, 1 when it is
 * clear. */
size_t chainage_candidates(const char *text, size_t len, const struct line_map *map,
	struct chainage_candidate *to, size_t room);

/* Reads a text by its notation alone. False: *why is PROBLEM_CHAINAGE_SYNTAX. */
bool chainage_parse(const char *text, size_t len, enum notation notation,
	struct chainage *label, struct problem *why);

/* Writes a chainage by its notation alone, with the qualifier that it has. Returns the
 * length; when size is too small for it, "" is written. */
size_t chainage_write_label(const struct chainage *label, enum notation notation,
	char *to, size_t size);

/* The distances at which a chainage lies, qualifier apart. Returns how many there are. */
size_t chainage_places(const struct chainage *label, const struct line_map *map,
	int64_t *distance_mm, size_t room);

#endif
