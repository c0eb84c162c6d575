/*
 * The greatest resistance that a conductor and a rail may have, as published tables give it.
 *
 * Conductors: IEC 60228, greatest d.c. resistance at 20 °C of plain copper of classes 1, 2 and 5
 * and of aluminium of classes 1 and 2, 10 to 400 mm². Class 6 is not here: no copy of its table was
 * seen. Figures are kept as the text that was published, so that a
 * test compares them string-exact. A railway's own rows come before these (store/conductor.h).
 *
 * Rails: resistance of one rail of a profile, from its area and a resistivity that varies between
 * melts: rail_uohm_per_m says which was assumed.
 */
#ifndef RULES_CONDUCTOR_H
#define RULES_CONDUCTOR_H

#include <stddef.h>
#include <stdint.h>

#include "rules/terms.h"

struct conductor_row {
	enum material material;
	int conductor_class;          /* 1, 2, 5 */
	double area_mm2;
	const char *ohm_per_km;       /* as published: "0.524" */
	const char *source;           /* which copy of the table it was read in */
};
extern const struct conductor_row conductor_table[];   /* by material, class, area */
extern const size_t conductor_table_rows;

/* µΩ for 1 m of one cable at 20 °C; NAN when the table has no such row (the area must be one of the
 * table's, to 0.01 mm²). conductor_class 0 or material -1: not known, NAN. */
double conductor_uohm_per_m(int material, int64_t conductor_class, double area_mm2);
/* The row that gives it; NULL. */
const struct conductor_row *conductor_find(int material, int64_t conductor_class,
	double area_mm2);

struct rail_row {
	const char *profile;          /* "60E1" */
	double mass_kg_m, area_cm2;
	const char *source;           /* with what is from memory */
};
extern const struct rail_row rail_table[];
extern const size_t rail_table_rows;

/* Of rail steel, µΩ m, used for the table: it varies between melts (common practice). */
#define RAIL_RESISTIVITY_UOHM_M 0.22

/* NULL: no such profile. profile may be NULL. */
const struct rail_row *rail_find(const char *profile);
/* µΩ for 1 m of one new rail. */
double rail_uohm_per_m(const struct rail_row *row);

#endif
