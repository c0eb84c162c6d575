/*
 * Spots on the rail. A failed or removed attachment spoils its spot: the steel under it was heated
 * or drilled, and a new attachment never goes on exactly the same place (common practice). How far
 * it keeps away is the rulebook's; so are the distances from a rail end, a weld and a bolt hole.
 *
 * Offsets in mm along the rail from the end's reference mark, rising with the chainage.
 */
#ifndef RULES_SPOT_H
#define RULES_SPOT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "rules/rulebook.h"

/* True when an attachment at an offset is inside the clearance of a spot of the same end: nearer
 * than the clearance (100 mm: at 99 mm yes, at 100 mm no). */
bool spot_is_inside(int64_t offset_mm, int64_t spot_mm, int64_t clearance_mm);

/* The numbers are stored: only add at the end. */
enum mark_kind { MARK_SPOILT, MARK_LIVE, MARK_RAIL_END, MARK_WELD, MARK_BOLT_HOLE, MARK_KINDS };
extern const struct words mark_kind_words;

/* What stands on the rail near an end: former attachments and the live one, and what the railway
 * noted of the rail itself. */
struct rail_mark {
	enum mark_kind kind;
	int64_t offset_mm;
};

int64_t mark_clearance_mm(const struct rulebook *rulebook, enum mark_kind kind);

/* The first mark that an attachment at an offset would be too near to; NULL: it is free. A live
 * attachment counts as a spot: it is spoilt as soon as it is replaced. Nothing can stand beyond a
 * rail end: the rail lies to the side where offset 0 is, and for an end at 0 itself where the first
 * other mark is; without one only the clearance counts. */
const struct rail_mark *spot_blocked_by(const struct rulebook *rulebook,
	const struct rail_mark *marks, size_t count, int64_t offset_mm);

/* The free offset nearest to `wanted_mm`, of two equally near the lower; searched up to
 * SPOT_REACH_MM away. False: there is none. */
enum { SPOT_REACH_MM = 2000 };
bool spot_next_free(const struct rulebook *rulebook, const struct rail_mark *marks, size_t count,
	int64_t wanted_mm, int64_t *offset_mm);

#endif
