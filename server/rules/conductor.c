#include "rules/conductor.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#define ONE_COPY "IEC 60228, read in one public copy of its tables"
#define TWO_COPIES "IEC 60228, read in two public copies of its tables"
#define THREE_COPIES "IEC 60228, read in three public copies of its tables"

const struct conductor_row conductor_table[] = {
	{ MATERIAL_COPPER, 1, 10, "1.83", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 16, "1.15", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 25, "0.727", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 35, "0.524", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 50, "0.387", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 70, "0.268", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 95, "0.193", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 120, "0.153", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 150, "0.124", TWO_COPIES },
	{ MATERIAL_COPPER, 1, 185, "0.101", ONE_COPY },
	{ MATERIAL_COPPER, 1, 240, "0.0775", ONE_COPY },
	{ MATERIAL_COPPER, 1, 300, "0.0620", ONE_COPY },
	{ MATERIAL_COPPER, 1, 400, "0.0465", ONE_COPY },
	{ MATERIAL_COPPER, 2, 10, "1.83", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 16, "1.15", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 25, "0.727", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 35, "0.524", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 50, "0.387", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 70, "0.268", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 95, "0.193", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 120, "0.153", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 150, "0.124", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 185, "0.0991", THREE_COPIES },
	{ MATERIAL_COPPER, 2, 240, "0.0754", TWO_COPIES },
	{ MATERIAL_COPPER, 2, 300, "0.0601", TWO_COPIES },
	{ MATERIAL_COPPER, 2, 400, "0.0470", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 10, "1.91", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 16, "1.21", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 25, "0.780", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 35, "0.554", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 50, "0.386", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 70, "0.272", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 95, "0.206", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 120, "0.161", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 150, "0.129", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 185, "0.106", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 240, "0.0801", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 300, "0.0641", TWO_COPIES },
	{ MATERIAL_COPPER, 5, 400, "0.0486", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 1, 10, "3.08", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 16, "1.91", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 25, "1.20", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 35, "0.868", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 50, "0.641", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 70, "0.443", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 95, "0.320", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 120, "0.253", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 150, "0.206", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 185, "0.164", ONE_COPY },
	{ MATERIAL_ALUMINIUM, 1, 240, "0.125", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 1, 300, "0.100", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 1, 400, "0.0778", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 10, "3.08", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 16, "1.91", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 25, "1.20", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 35, "0.868", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 50, "0.641", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 70, "0.443", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 95, "0.320", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 120, "0.253", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 150, "0.206", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 185, "0.164", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 240, "0.125", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 300, "0.100", TWO_COPIES },
	{ MATERIAL_ALUMINIUM, 2, 400, "0.0778", TWO_COPIES },
};
const size_t conductor_table_rows = sizeof conductor_table / sizeof conductor_table[0];

const struct conductor_row *conductor_find(int material, int64_t conductor_class,
	double area_mm2)
{
	for (size_t i = 0; i < conductor_table_rows; i++) {
		const struct conductor_row *row = &conductor_table[i];

		if ((int)row->material == material && row->conductor_class == conductor_class &&
			fabs(row->area_mm2 - area_mm2) <= 0.01) {
			return row;
		}
	}
	return NULL;
}

/* 1 ohm/km is 1000 µΩ/m. One division of whole numbers, so that the result is the double nearest
 * to what was published. */
static double uohm_per_m(const char *ohm_per_km)
{
	double digits = 0, scale = 1;
	bool fraction = false;

	for (const char *at = ohm_per_km; *at != '\0'; at++) {
		if (*at == '.') {
			fraction = true;
			continue;
		}
		digits = digits * 10 + (*at - '0');
		scale *= fraction ? 10 : 1;
	}
	return digits * 1000 / scale;
}

double conductor_uohm_per_m(int material, int64_t conductor_class, double area_mm2)
{
	const struct conductor_row *row = conductor_find(material, conductor_class, area_mm2);

	return row != NULL ? uohm_per_m(row->ohm_per_km) : NAN;
}

/* EN 13674-1. */
#define MASS_READ "mass as published in public copies, area from memory"

const struct rail_row rail_table[] = {
	{ "49E1", 49.39, 62.92, MASS_READ },
	{ "54E1", 54.77, 69.77, MASS_READ },
	{ "56E1", 56.30, 71.69, "mass and area from memory" },
	{ "60E1", 60.21, 76.70, "mass and area as published in public copies" },
	{ "60E2", 60.03, 76.48, "mass and area from memory" },
};
const size_t rail_table_rows = sizeof rail_table / sizeof rail_table[0];

const struct rail_row *rail_find(const char *profile)
{
	for (size_t i = 0; profile != NULL && i < rail_table_rows; i++) {
		if (strcmp(rail_table[i].profile, profile) == 0) {
			return &rail_table[i];
		}
	}
	return NULL;
}

double rail_uohm_per_m(const struct rail_row *row)
{
	const double cm2_of_m2 = 1e4;

	return RAIL_RESISTIVITY_UOHM_M * cm2_of_m2 / row->area_cm2;
}
