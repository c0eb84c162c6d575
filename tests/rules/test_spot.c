#include "case.h"
#include "rules/spot.h"

START_TEST(a_spot_reaches_to_just_below_the_clearance_on_both_sides)
{
	ck_assert(spot_is_inside(0, 0, 100));
	ck_assert(spot_is_inside(99, 0, 100) && spot_is_inside(-99, 0, 100));
	ck_assert(!spot_is_inside(100, 0, 100) && !spot_is_inside(-100, 0, 100));
	ck_assert(spot_is_inside(-250, -300, 51) && !spot_is_inside(-250, -300, 50));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_spot_reaches_to_just_below_the_clearance_on_both_sides, NULL };

	return case_run("spot", tests);
}
