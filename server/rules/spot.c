#include "rules/spot.h"

static const char *const mark_code[] = { "spoilt", "live", "rail_end", "weld", "bolt_hole" };
static const char *const mark_title[] = {
	"spoilt spot", "live attachment", "rail end", "weld", "bolt hole"
};
const struct words mark_kind_words = { "mark_kind", mark_code, mark_title, MARK_KINDS };

bool spot_is_inside(int64_t offset_mm, int64_t spot_mm, int64_t clearance_mm)
{
	int64_t apart_mm = offset_mm > spot_mm ? offset_mm - spot_mm : spot_mm - offset_mm;

	return apart_mm < clearance_mm;
}

int64_t mark_clearance_mm(const struct rulebook *rulebook, enum mark_kind kind)
{
	switch (kind) {
	case MARK_RAIL_END:
		return rulebook->rail_end_clearance_mm;
	case MARK_WELD:
		return rulebook->weld_clearance_mm;
	case MARK_BOLT_HOLE:
		return rulebook->bolt_hole_clearance_mm;
	default:
		return rulebook->spot_clearance_mm;
	}
}

/* On which side of a rail end the rail lies: 1 above, -1 below, 0 not known. */
static int rail_side(const struct rail_mark *marks, size_t count, int64_t end_mm)
{
	if (end_mm != 0) {
		return end_mm < 0 ? 1 : -1;
	}
	for (size_t i = 0; i < count; i++) {
		if (marks[i].offset_mm != 0) {
			return marks[i].offset_mm > 0 ? 1 : -1;
		}
	}
	return 0;
}

static bool is_beyond(const struct rail_mark *marks, size_t count, int64_t end_mm,
	int64_t offset_mm)
{
	int side = rail_side(marks, count, end_mm);

	return (side > 0 && offset_mm < end_mm) || (side < 0 && offset_mm > end_mm);
}

const struct rail_mark *spot_blocked_by(const struct rulebook *rulebook,
	const struct rail_mark *marks, size_t count, int64_t offset_mm)
{
	for (size_t i = 0; i < count; i++) {
		if (spot_is_inside(offset_mm, marks[i].offset_mm,
			mark_clearance_mm(rulebook, marks[i].kind)) || (marks[i].kind == MARK_RAIL_END &&
			is_beyond(marks, count, marks[i].offset_mm, offset_mm))) {
			return &marks[i];
		}
	}
	return NULL;
}

bool spot_next_free(const struct rulebook *rulebook, const struct rail_mark *marks, size_t count,
	int64_t wanted_mm, int64_t *offset_mm)
{
	for (int64_t away_mm = 0; away_mm <= SPOT_REACH_MM; away_mm++) {
		for (int side = -1; side <= 1; side += 2) {
			if (spot_blocked_by(rulebook, marks, count, wanted_mm + side * away_mm) == NULL) {
				*offset_mm = wanted_mm + side * away_mm;
				return true;
			}
		}
	}
	return false;
}
