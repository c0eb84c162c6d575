#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/day.h"
#include "case.h"
#include "reference.h"
#include "rules/trend.h"

static void assert_close(const char *what, double is, double wanted, double relative)
{
	ck_assert_msg(fabs(is - wanted) <= relative * fabs(wanted), "%s: %.16g is not %.16g", what, is,
		wanted);
}

static size_t points_read(const char *name, struct trend_point *to)
{
	struct reference table;

	reference_read(name, &table);
	for (size_t i = 0; i < table.rows; i++) {
		to[i] = (struct trend_point){ table.cell[i][0], table.cell[i][1] };
	}
	return table.rows;
}

START_TEST(agrees_with_nist_norris)
{
	/* NIST StRD, Norris, certified values; stated tolerances 1e-10, and 1e-12 for b1 and R2 */
	struct trend_point points[REFERENCE_ROWS];
	struct trend t = { 0 };
	size_t n = points_read("strd_norris.csv", points);

	ck_assert_uint_eq(n, 36);
	trend_fit(points, n, &t);
	assert_close("b0", trend_at(&t, 0), -0.262323073774029, 1e-10);
	assert_close("b1", t.slope_per_day, 1.00211681802045, 1e-12);
	/* of the line on day 0: the band's without the 1 of a single reading */
	assert_close("se of b0", t.s * sqrt(1 / 36. + t.mean_day * t.mean_day / t.sxx),
		0.232818234301152, 1e-10);
	assert_close("se of b1", t.slope_se, 0.429796848199937e-03, 1e-10);
	assert_close("residual sd", t.s, 0.884796396144373, 1e-10);
	assert_close("R2", t.r2, 0.999993745883712, 1e-12);
}
END_TEST

/* NIST StRD NoInt1 is a line through the origin, which nothing here fits. But given once more with
 * both signs turned, the same points have their means at the origin, and least squares with an
 * intercept must come to the certified line: same slope, R2 of the uncorrected total, same s
 * (2 SSE / (22 - 2) = SSE / (11 - 1)), and a standard error smaller by the root of 2.
 * NIST StRD Pontius is a parabola: there is no such fit here to compare. */
START_TEST(agrees_with_nist_no_intercept_mirrored)
{
	struct trend_point points[2 * REFERENCE_ROWS];
	struct trend t = { 0 };
	size_t n = points_read("strd_noint1.csv", points);

	ck_assert_uint_eq(n, 11);
	for (size_t i = 0; i < n; i++) {
		points[n + i] = (struct trend_point){ -points[i].day, -points[i].value };
	}
	trend_fit(points, 2 * n, &t);
	ck_assert(fabs(trend_at(&t, 0)) < 1e-12);
	assert_close("b1", t.slope_per_day, 2.07438016528926, 1e-12);
	assert_close("se of b1", t.slope_se * sqrt(2), 0.165289256198347e-01, 1e-10);
	assert_close("residual sd", t.s, 3.56753034006338, 1e-10);
	assert_close("R2", t.r2, 0.999365492298663, 1e-12);
}
END_TEST

START_TEST(agrees_with_a_fit_by_hand)
{
	/* means 150 and 12; sxx 50000, sxy 700, syy 14; SSE 14 - 700^2 / 50000 = 4.2; s^2 2.1 */
	const struct trend_point points[] = { { 0, 10 }, { 100, 12 }, { 200, 11 }, { 300, 15 } };
	struct trend t;

	trend_compute(points, 4, 1000, &t);
	ck_assert(t.fitted && t.n == 4 && t.first_day == 0 && t.last_day == 300);
	ck_assert(t.mean_day == 150 && t.at_mean == 12 && t.sxx == 50000);
	assert_close("slope", t.slope_per_day, 0.014, 1e-15);
	assert_close("s", t.s, sqrt(2.1), 1e-14);
	assert_close("se", t.slope_se, sqrt(2.1 / 50000), 1e-14);
	assert_close("R2", t.r2, 0.7, 1e-14);
	/* t 0.975 for 2: 4.302653; 1 + 1/4 + 150^2 / 50000 = 1.7 */
	assert_close("half band", trend_half_band(&t, 300), 4.302653 * sqrt(2.1 * 1.7), 1e-6);
	assert_close("at", trend_at(&t, 250), 13.4, 1e-14);
	/* slopes: 1/50, 1/200, 1/60, -1/100, 3/200, 1/25: the middle two are 3/200 and 1/60 */
	assert_close("Theil-Sen", t.theil_sen_per_day, (3 / 200. + 1 / 60.) / 2, 1e-14);
	assert_close("its middle", t.theil_sen_at_mean, 11.5, 1e-14);
	/* slope / se 2.16 is under t 0.95 for 2, 2.92 */
	ck_assert_int_eq(t.lack, TREND_NOT_RISING);
}
END_TEST

struct row {
	const char *label;
	size_t n;
	struct trend_point points[5];
	double limit;
	enum trend_lack lack;
	int32_t crosses_day, early_day;
	bool held;
};

/*
 * By hand. 10, 13, 14, 17: mean 13.5, slope 1100 / 50000 = 0.022, SSE 25 - 1100^2 / 50000 = 0.8, so
 * s^2 = 0.4 and slope / se = 7.8; fitted 25 at 150 + 11.5 / 0.022 = 672.7; the upper limit, 13.5 +
 * 0.022 X + 4.302653 sqrt(0.4 (1.25 + X^2 / 50000)), is 25 at X = 304.70, day 454.70.
 * 100, 110, 120 + d over equal steps: slope (10 + d / 2) a step, SSE d^2 / 6, slope / se is at the
 * t 0.95 for 1, 6.313752, where d = -4.30548.
 */
static const struct row rows[] = {
	{ "none", 0, { { 0, 0 } }, 25, TREND_FEW_READINGS, DAY_NONE, DAY_NONE },
	{ "two", 2, { { 0, 10 }, { 1000, 12 } }, 25, TREND_FEW_READINGS, DAY_NONE, DAY_NONE },
	{ "three over 179 days", 3, { { 1, 10 }, { 100, 11 }, { 180, 12 } }, 25, TREND_TOO_SHORT,
		DAY_NONE, DAY_NONE },
	{ "three over 180 days, in line", 3, { { 0, 10 }, { 90, 11 }, { 180, 12 } }, 25,
		TREND_COMPLETE, 1350, 1350 },
	{ "both days", 4, { { 0, 10 }, { 100, 13 }, { 200, 14 }, { 300, 17 } }, 25, TREND_COMPLETE,
		673, 455 },
	{ "no limit", 4, { { 0, 10 }, { 100, 13 }, { 200, 14 }, { 300, 17 } }, NAN, TREND_NO_LIMIT,
		DAY_NONE, DAY_NONE },
	/* upper limit on days 300, 301, 302: 20.348, 20.376, 20.405; fitted 16.8, 16.822; fitted 20.37
	 * and 20.40 on days 462.3 and 463.6 */
	{ "band over the limit at once", 4, { { 0, 10 }, { 100, 13 }, { 200, 14 }, { 300, 17 } }, 20.37,
		TREND_COMPLETE, 463, 301 },
	{ "and the day after tomorrow", 4, { { 0, 10 }, { 100, 13 }, { 200, 14 }, { 300, 17 } }, 20.40,
		TREND_COMPLETE, 464, 302 },
	{ "just under the limit", 4, { { 0, 10 }, { 100, 13 }, { 200, 14 }, { 300, 17 } }, 16.81,
		TREND_COMPLETE, 301, 301 },
	{ "over it", 4, { { 0, 10 }, { 100, 13 }, { 200, 14 }, { 300, 17 } }, 16.79, TREND_CROSSED,
		DAY_NONE, DAY_NONE },
	{ "level", 3, { { 0, 0.1 }, { 100, 0.1 }, { 200, 0.1 } }, 25, TREND_NOT_RISING, DAY_NONE,
		DAY_NONE },
	{ "falling", 3, { { 0, 12 }, { 100, 11 }, { 200, 10 } }, 25, TREND_NOT_RISING, DAY_NONE,
		DAY_NONE },
	{ "level and over the limit", 3, { { 0, 30 }, { 100, 30 }, { 200, 30 } }, 25, TREND_CROSSED,
		DAY_NONE, DAY_NONE },
	/* 0.01 a day: 365.25 from 10 after the 36525th day from the last */
	{ "in a hundred years", 3, { { 0, 0 }, { 100, 1 }, { 200, 2 } }, 367.25, TREND_COMPLETE,
		36725, 36725 },
	{ "in a hundred years and a day", 3, { { 0, 0 }, { 100, 1 }, { 200, 2 } }, 367.26, TREND_FAR,
		DAY_NONE, DAY_NONE },
	{ "slope just not proven", 3, { { 0, 100 }, { 100, 110 }, { 200, 115.6944 } }, 200,
		TREND_NOT_RISING, DAY_NONE, DAY_NONE },
	/* below the line of the others: 200 is reached on day 1000 by that line, and fitted 108.666 +
	 * 0.08 (day - 100) on day 1241.7; the band alone would be there before day 600 */
	{ "below the line of the others", 3, { { 0, 100 }, { 100, 110 }, { 200, 116 } }, 200,
		TREND_COMPLETE, 1242, 1000, true },
	/* no lower last reading makes these rise */
	{ "two equal ones and a high one", 3, { { 0, 100.1 }, { 100, 100.1 }, { 200, 150 } }, 200,
		TREND_NOT_RISING, DAY_NONE, DAY_NONE },
	/* slope / se is 0.25 / (12.25 / 141.4) = 2.89, under 6.31, but 120 would be in line; 120 + 0.25
	 * (day - 100) is 200 on day 420; the band (12.7 * 12.25) is over it at once */
	{ "far above the line of the others", 3, { { 0, 100 }, { 100, 110 }, { 200, 150 } }, 200,
		TREND_COMPLETE, 420, 201, true },
};

START_TEST(says_when_or_why_not)
{
	const struct row *row = &rows[_i];
	struct trend t;

	trend_compute(row->points, row->n, row->limit, &t);
	ck_assert_msg(t.lack == row->lack, "%s: %s", row->label, trend_lack_words.code[t.lack]);
	ck_assert_msg(t.crosses_day == row->crosses_day, "%s: crosses on %d", row->label,
		t.crosses_day);
	ck_assert_msg(t.early_day == row->early_day, "%s: early on %d", row->label, t.early_day);
	ck_assert_msg(t.held == row->held, "%s", row->label);
	ck_assert_msg(t.fitted == !isnan(trend_at(&t, 0)), "%s", row->label);
	ck_assert_msg(t.fitted == !isnan(trend_half_band(&t, 0)), "%s", row->label);
}
END_TEST

START_TEST(has_no_share_explained_when_nothing_varies)
{
	const struct trend_point points[] = { { 0, 0.1 }, { 100, 0.1 }, { 200, 0.1 } };
	struct trend t;

	trend_compute(points, 3, 1, &t);
	ck_assert(t.slope_per_day == 0 && t.s == 0 && isnan(t.r2));
}
END_TEST

START_TEST(the_highest_of_the_last_day_is_the_last)
{
	const struct trend_point a[] = { { 0, 10 }, { 100, 12 }, { 200, 14 }, { 300, 16.5 },
		{ 300, 15 } };
	const struct trend_point b[] = { { 0, 10 }, { 100, 12 }, { 200, 14 }, { 300, 15 },
		{ 300, 16.5 } };
	struct trend of_a, of_b;

	trend_compute(a, 5, 40, &of_a);
	trend_compute(b, 5, 40, &of_b);
	ck_assert_int_eq(of_a.lack, TREND_COMPLETE);
	ck_assert_int_eq(of_a.early_day, of_b.early_day);
	ck_assert_int_eq(of_a.held, of_b.held);
}
END_TEST

int main(void)
{
	Suite *suite = suite_create("trend");
	TCase *tcase = tcase_create("trend");
	SRunner *runner = srunner_create(suite);
	int failed;

	suite_add_tcase(suite, tcase);
	tcase_add_test(tcase, agrees_with_nist_norris);
	tcase_add_test(tcase, agrees_with_nist_no_intercept_mirrored);
	tcase_add_test(tcase, agrees_with_a_fit_by_hand);
	tcase_add_loop_test(tcase, says_when_or_why_not, 0, sizeof rows / sizeof rows[0]);
	tcase_add_test(tcase, has_no_share_explained_when_nothing_varies);
	tcase_add_test(tcase, the_highest_of_the_last_day_is_the_last);
	srunner_run_all(runner, CK_ENV);
	failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
