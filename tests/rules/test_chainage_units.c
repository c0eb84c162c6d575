/* The unit table behind mile, yard and chain against tests/reference/units_length.csv, which names
 * where each length was published. */
#include <math.h>

#include "case.h"
#include "reference.h"
#include "rules/place/chainage_units.h"

enum { YARD, CHAIN, MILE, US_SURVEY_CHAIN, UNITS };

static int64_t tenth_mm_of(const struct reference *table, int unit)
{
	return llround(table->cell[unit][0] * 10000);
}

START_TEST(mile_yard_and_chain_are_as_published_to_the_tenth_of_a_millimetre)
{
	static const struct { enum notation notation; int unit; int64_t per_mile; } parts[] = {
		{ NOTATION_MILES, MILE, 1 }, { NOTATION_MILES_YARDS, YARD, 1760 },
		{ NOTATION_MILES_CHAINS, CHAIN, 80 },
	};
	struct reference table;

	reference_read("units_length.csv", &table);
	ck_assert_uint_eq(table.rows, UNITS);
	ck_assert_int_eq(MILE_MM * 10, tenth_mm_of(&table, MILE));
	for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
		const struct mile_part *part = mile_part_of(parts[i].notation);

		ck_assert_int_eq(part->tenth_mm, tenth_mm_of(&table, parts[i].unit));
		ck_assert_int_eq(part->per_mile, parts[i].per_mile);
		ck_assert_int_eq(part->tenth_mm * part->per_mile, tenth_mm_of(&table, MILE));
		ck_assert_int_eq(mile_part_mm(part, part->per_mile, 1), MILE_MM);
	}
}
END_TEST

/* Over the 8,000 chains of 100 miles: 0.04 mm each are 320 mm. */
START_TEST(the_chain_is_not_that_of_the_us_survey_foot)
{
	struct reference table;
	double apart_m;

	reference_read("units_length.csv", &table);
	apart_m = (table.cell[US_SURVEY_CHAIN][0] - (double)mile_part_of(NOTATION_MILES_CHAINS)->tenth_mm /
		10000) * 8000;
	ck_assert_double_eq_tol(apart_m, 0.32, 1e-9);
}
END_TEST

START_TEST(notations_without_miles_have_no_parts_of_one)
{
	ck_assert_ptr_null(mile_part_of(NOTATION_KM_M));
	ck_assert_ptr_null(mile_part_of(NOTATION_HM_M));
	ck_assert_ptr_null(mile_part_of(NOTATION_KM));
	ck_assert_ptr_null(mile_part_of(NOTATION_M));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		mile_yard_and_chain_are_as_published_to_the_tenth_of_a_millimetre,
		the_chain_is_not_that_of_the_us_survey_foot,
		notations_without_miles_have_no_parts_of_one, NULL };

	return case_run("chainage units", tests);
}
