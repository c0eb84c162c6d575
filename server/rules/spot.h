/*
 * Spots on the rail. A failed or removed attachment spoils its spot: the steel under it was heated
 * or drilled, and a new attachment never goes on exactly the same place (common practice). How far
 * it keeps away is the rulebook's.
 */
#ifndef RULES_SPOT_H
#define RULES_SPOT_H

#include <stdbool.h>
#include <stdint.h>

/* True when an attachment at an offset is inside the clearance of a spot of the same end: nearer
 * than the clearance (100 mm: at 99 mm yes, at 100 mm no). Offsets in mm along the rail from the
 * end's reference mark. */
bool spot_is_inside(int64_t offset_mm, int64_t spot_mm, int64_t clearance_mm);

#endif
