/* Miles and their parts, exact in tenths of a millimetre. Shared by reading and writing only. */
#ifndef RULES_PLACE_CHAINAGE_UNITS_H
#define RULES_PLACE_CHAINAGE_UNITS_H

#include <stdint.h>

#include "rules/terms.h"

#define MILE_MM INT64_C(1609344)

/* What a mile is divided into in one notation. */
struct mile_part {
	int64_t tenth_mm;     /* its length */
	int64_t per_mile;
	int least_decimals;   /* that are always written */
	const char *suffix;   /* NULL: the mile itself, written as a decimal */
};

/* NULL when the notation is not one of miles. */
const struct mile_part *mile_part_of(enum notation notation);

/* count / scale parts in millimetres, halves up; count is not negative. */
int64_t mile_part_mm(const struct mile_part *part, int64_t count, int64_t scale);

/* The whole number of 1 / scale parts that is nearest to a length, at most a mile. */
int64_t mile_part_nearest(const struct mile_part *part, int64_t mm, int64_t scale);

#endif
