#include "rules/place/chainage_units.h"

#include <stddef.h>

const struct mile_part *mile_part_of(enum notation notation)
{
	/* 1 chain = 22 yards, 80 chains = 1760 yards = 1 mile, 1 yard = 914.4 mm */
	static const struct mile_part chain = { 201168, 80, 0, "ch" };
	static const struct mile_part yard = { 9144, 1760, 0, "y" };
	static const struct mile_part mile = { 16093440, 1, 2, NULL };

	switch (notation) {
	case NOTATION_MILES_CHAINS:
		return &chain;
	case NOTATION_MILES_YARDS:
		return &yard;
	case NOTATION_MILES:
		return &mile;
	default:
		return NULL;
	}
}

int64_t mile_part_mm(const struct mile_part *part, int64_t count, int64_t scale)
{
	return (count * part->tenth_mm + 5 * scale) / (10 * scale);
}

int64_t mile_part_nearest(const struct mile_part *part, int64_t mm, int64_t scale)
{
	return (mm * 10 * scale + part->tenth_mm / 2) / part->tenth_mm;
}
