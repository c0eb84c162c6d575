#include <math.h>

#include "case.h"
#include "rules/statistics/theil_sen.h"
#include "rules/statistics/trend_line.h"

struct row {
	const char *label;
	size_t n;
	struct trend_point points[7];
	double slope, at_0;
};

/* The published intercept in our convention, median(y) - slope * median(x). */
static const struct row rows[] = {
	{ "Sen 1968, as in SciPy's tests of theilslopes", 7,
		{ { 1, 9 }, { 2, 15 }, { 3, 19 }, { 4, 20 }, { 10, 45 }, { 12, 55 }, { 18, 78 } }, 4, 4 },
	{ "equal values, as in SciPy's tests of theilslopes", 3, { { 0, 0 }, { 1, 1 }, { 2, 1 } },
		0.5, 0.5 },
	/* published: slope 4, median(y - 4 x) = 6; by hand: median(y) 46 - 4 * median(x) 4 = 30 */
	{ "one wild value, a published test", 7,
		{ { 1, 10 }, { 2, 14 }, { 3, 180 }, { 4, 22 }, { 10, 46 }, { 12, 54 }, { 18, 78 } },
		4, 30 },
	/* by hand: the pair of one day is left out; sorted slopes 0, 0.5, 0.5, 0.5, 1 */
	{ "two on one day", 4, { { 0, 0 }, { 2, 1 }, { 2, 2 }, { 4, 2 } }, 0.5, 0.5 },
};

START_TEST(agrees_with_the_published_examples)
{
	const struct row *row = &rows[_i];
	double slope, at_0;

	ck_assert(theil_sen(row->points, row->n, 0, &slope, &at_0));
	ck_assert_msg(slope == row->slope && at_0 == row->at_0, "%s: %.17g, %.17g", row->label, slope,
		at_0);
}
END_TEST

START_TEST(needs_two_days)
{
	const struct trend_point points[] = { { 3, 1 }, { 3, 2 }, { 3, 5 } };
	double slope, value;

	ck_assert(!theil_sen(points, 3, 0, &slope, &value));
	ck_assert(!theil_sen(points, 1, 0, &slope, &value));
	ck_assert(!theil_sen(points, 0, 0, &slope, &value));
}
END_TEST

START_TEST(takes_the_newest_64)
{
	struct trend_point points[200];
	double slope, value;

	for (int i = 0; i < 200; i++) {
		points[i] = (struct trend_point){ i, i < 136 ? 1000 - i : 3 * i };
	}
	ck_assert(theil_sen(points, 200, 10, &slope, &value));
	ck_assert(slope == 3 && value == 30);
	points[136].value = 1e9;
	ck_assert(theil_sen(points, 200, 10, &slope, &value));
	ck_assert(slope == 3);
}
END_TEST

static int by_value(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

/* against sorting all slopes; values from a small set, so that many slopes are equal */
START_TEST(selects_what_sorting_would)
{
	unsigned state = 1;

	for (int round = 0; round < 3000; round++) {
		struct trend_point points[64];
		double slopes[64 * 63 / 2], slope, value, day = 0;
		size_t n = 2 + (size_t)round % 63, pairs = 0;

		for (size_t i = 0; i < n; i++) {
			state = state * 1664525u + 1013904223u;
			day += 1 + (state >> 24) % 3;
			points[i] = (struct trend_point){ day, (state >> 16) % (round % 2 ? 5 : 5000) };
		}
		for (size_t i = 0; i < n; i++) {
			for (size_t j = i + 1; j < n; j++) {
				slopes[pairs++] = (points[j].value - points[i].value) /
					(points[j].day - points[i].day);
			}
		}
		qsort(slopes, pairs, sizeof slopes[0], by_value);
		ck_assert(theil_sen(points, n, 0, &slope, &value));
		ck_assert(slope == (slopes[(pairs - 1) / 2] + slopes[pairs / 2]) / 2);
	}
}
END_TEST

int main(void)
{
	Suite *suite = suite_create("theil_sen");
	TCase *tcase = tcase_create("theil_sen");
	SRunner *runner = srunner_create(suite);
	int failed;

	suite_add_tcase(suite, tcase);
	tcase_add_loop_test(tcase, agrees_with_the_published_examples, 0,
		sizeof rows / sizeof rows[0]);
	tcase_add_test(tcase, needs_two_days);
	tcase_add_test(tcase, takes_the_newest_64);
	tcase_add_test(tcase, selects_what_sorting_would);
	srunner_run_all(runner, CK_ENV);
	failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
