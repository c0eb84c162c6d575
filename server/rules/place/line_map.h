/*
 * A line's map: how the chainage that people write and the distance along the line belong
 * together. All lengths are whole millimetres.
 *
 * The map is a list of stretches, in the order of the line. Inside a stretch chainage and distance
 * advance equally. Where one ends and the next begins the chainage may jump up (a gap: chainages
 * that do not exist), jump down (an overlap: chainages that exist twice), or neither. The point of
 * a jump has both chainages; it is written with the second.
 *
 * In the notations with posts (NOTATION_KM_M, NOTATION_HM_M) a place is a post and what lies past
 * it, so the post that is written helps to find the place:
 * - In an ordinary stretch every post stands, and a place is counted from the last one before it
 *   (before zero: from the next one towards zero). "3,2 + 30" is 30 m past post 3,2.
 * - In a long stretch only the post at or before its start stands, and all of it is counted from
 *   that one: "1,0 + 2230" is 2230 m past post 1,0 and lies before "1,1 + 0".
 * - Hectometre posts often stand at even hectometres only. So up to 200 m past an even post are
 *   read in an ordinary stretch too, when the post stands in it: "7,0 + 130" is "7,1 + 30".
 * In the other notations a long stretch is an overlap like any other.
 *
 * A map without stretches is a plain line: chainage and distance are the same number. A map with
 * stretches is bounded: nothing lies before the first or after the last.
 */
#ifndef RULES_PLACE_LINE_MAP_H
#define RULES_PLACE_LINE_MAP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"
#include "rules/terms.h"

/* 100,000 km: no chainage and no distance is greater, on either side of zero. */
#define CHAINAGE_LIMIT_MM INT64_C(100000000000)

/* The most stretches of a map, and so the greatest qualifier. */
enum { LINE_MAP_MOST = 256 };

struct map_stretch {
	int64_t distance_mm;  /* where it starts, from the line's datum */
	int64_t start_mm;     /* chainage at its start: the post and what lies past it, added up */
	int64_t end_mm;       /* at its end, counted on from the start; never less than it */
	bool is_long;         /* counted past the one post at or before its start; from 0 up */
};

struct line_map {
	enum notation notation;
	const struct map_stretch *stretches;  /* borrowed */
	size_t count;
};

/*
 * A chainage as written, before it is looked for on a map: the post and what lies past it, which
 * has the post's sign. Their sum is the arithmetical value. Notations without posts have post 0.
 */
struct chainage {
	int64_t post_mm;
	int64_t offset_mm;
	int qualifier;        /* the n of " #n"; 0: none was written */
};

/* From post to post: 1 km, 100 m, or 0 in a notation without posts. */
int64_t notation_step_mm(enum notation notation);

/* The chainage of an arithmetical value where every post stands. */
struct chainage chainage_of_value(int64_t value_mm, enum notation notation);

/* True when it counts so far past its post that the next one would stand before it: a kilometre,
 * a hectometre, or from an even hectometre more than two. */
bool chainage_is_past_post(const struct chainage *label, enum notation notation);

/* The order in which people count: by post, then by what lies past it. -1, 0 or 1. */
int chainage_compare(const struct chainage *a, const struct chainage *b);

/* The stretches of the map; for a plain line the one that holds everything. */
const struct map_stretch *line_map_stretches(const struct line_map *map, size_t *count);

/* True when each stretch starts where the one before ends, and nothing is out of bounds.
 * False: *why is PROBLEM_RULE and names the stretch, counted from 1. Refused too: stretches of
 * which none has a length. */
bool line_map_check(const struct line_map *map, struct problem *why);

/* The chainage at a distance, without qualifier. False when it is off the map. */
bool line_map_at(const struct line_map *map, int64_t distance_mm, struct chainage *label);

/* The chainage at the start (end: false) or the end of a stretch, as people there count. */
struct chainage map_stretch_label(const struct map_stretch *s, bool end, enum notation notation);

/* True when two places are in the same stretch or in ones that join without a jump, so that the
 * difference of their chainages is the length between them. */
bool line_map_is_continuous(const struct line_map *map, int64_t a_mm, int64_t b_mm);

/* One published piece of line: from and to as written, and how long it is on the ground. */
struct line_segment {
	struct chainage from;
	struct chainage to;
	int64_t length_mm;
	bool is_jump;         /* the source says that the chainage jumps in it */
};

/* The most stretches that count segments can make: each may end two runs, and each of these may be
 * long at its end. */
#define LINE_MAP_ROOM(count) (4 * (count) + 2)

/*
 * Makes a map from published pieces of line, in the order of their chainage (chainage_compare).
 *
 * The datum is such that distance and chainage agree at the first start. A piece runs 1:1 when its
 * length differs from its chainage by no more than tolerance_mm (0 for one marked as a jump), and
 * its chainage then counts, not its length: posts are taken as exact. A shorter one becomes a gap
 * after its own length. A longer one is counted past the post at or before its start (an over-long
 * hectometre or kilometre; an overlap where the notation has no posts, or before zero); so is one
 * whose ends are written so (chainage_is_past_post). Pieces that do not touch are joined 1:1, what
 * is listed twice counts once, and neighbours that run 1:1 are one stretch.
 *
 * to has room for LINE_MAP_ROOM(count) stretches. 0: *why is PROBLEM_RULE and names the row,
 * counted from 1 (out of order, a negative length, out of bounds).
 */
size_t line_map_from_segments(const struct line_segment *segments, size_t count,
	enum notation notation, int64_t tolerance_mm, struct map_stretch *to, struct problem *why);

#endif
