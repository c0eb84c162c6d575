/* What counts once, by hand. */
#include <string.h>

#include "case.h"
#include "rules/statistics/place_event.h"

enum { WINDOW_MM = 10000 };

START_TEST(takes_what_lies_within_the_window_on_one_day_once)
{
	/* at 100.000 and 100.004 km on day 10, at 100.002 km on day 400: two events */
	struct place_failure f[] = { { 400, 100002000, true, false, true },
		{ 10, 100004000, true, false, true }, { 10, 100000000, true, false, true } };
	struct place_event e[3];

	ck_assert_uint_eq(place_events_of(f, 3, WINDOW_MM, e), 2);
	ck_assert(e[0].day == 10 && e[0].distance_mm == 100000000 && e[0].here);
	ck_assert(e[1].day == 400 && e[1].distance_mm == 100002000 && e[1].here);
}
END_TEST

START_TEST(measures_from_the_lowest_of_it)
{
	/* 0, 10 m and 10.001 m on one day: the third is beyond the window of the first */
	struct place_failure f[] = { { 10, 0, true, false, false }, { 10, 10000, true, false, true },
		{ 10, 10001, true, false, false } };
	struct place_event e[3];

	ck_assert_uint_eq(place_events_of(f, 3, WINDOW_MM, e), 2);
	ck_assert(e[0].distance_mm == 0 && e[0].here);
	ck_assert(e[1].distance_mm == 10001 && !e[1].here);
}
END_TEST

START_TEST(takes_the_thefts_of_one_night_on_the_line_once)
{
	/* stolen at 1, 2 and 3 km, the second on the other rail; something else at 3 km that day;
	 * stolen again at 2 km another night */
	const struct place_failure all[] = { { 10, 1000000, true, true, true },
		{ 10, 2000000, false, true, false }, { 10, 3000000, true, true, true },
		{ 10, 3000000, true, false, false }, { 11, 2000000, true, true, true } };
	struct place_failure f[5];
	struct place_event e[5];

	memcpy(f, all, sizeof f);
	ck_assert_uint_eq(place_events_of(f, 5, WINDOW_MM, e), 3);
	ck_assert(e[0].distance_mm == 1000000 && e[0].here);
	ck_assert(e[1].distance_mm == 3000000 && !e[1].here);   /* what was no theft */
	ck_assert(e[2].day == 11 && e[2].here);
	/* the first of the night is on the other rail: this rail has none of it */
	memcpy(f, all, sizeof f);
	f[0].of_rail = false;
	ck_assert_uint_eq(place_events_of(f, 3, WINDOW_MM, e), 0);
}
END_TEST

START_TEST(has_none_of_another_rail)
{
	struct place_failure f[] = { { 10, 0, false, false, false }, { 11, 0, false, true, false } };
	struct place_event e[2];

	ck_assert_uint_eq(place_events_of(f, 2, WINDOW_MM, e), 0);
	ck_assert_uint_eq(place_events_of(f, 0, WINDOW_MM, e), 0);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { takes_what_lies_within_the_window_on_one_day_once,
		measures_from_the_lowest_of_it, takes_the_thefts_of_one_night_on_the_line_once,
		has_none_of_another_rail, NULL };

	return case_run("place_event", tests);
}
