#include <math.h>

#include "base/day.h"
#include "case.h"
#include "reference.h"
#include "rules/statistics/trend_line.h"

static const double TWO_SIDED_95 = 1.959963984540054;   /* normal, 0.975 */

static void assert_close(const char *what, double is, double wanted, double tolerance)
{
	ck_assert_msg(fabs(is - wanted) <= tolerance * fmax(1, fabs(wanted)), "%s: %.16g is not %.16g",
		what, is, wanted);
}

static void assert_where_given(const char *what, int number, double is, double wanted,
	double tolerance)
{
	char name[80];

	snprintf(name, sizeof name, "case %d, %s", number, what);
	if (!isnan(wanted)) {
		assert_close(name, is, wanted, tolerance);
	}
}

static size_t points_of_case(const struct reference *all, int number, struct trend_point *to)
{
	size_t n = 0;

	for (size_t i = 0; i < all->rows; i++) {
		const double *c = all->cell[i];

		if ((int)c[0] == number) {
			to[n++] = (struct trend_point){ .day = (int32_t)c[1], .value = c[2], .sigma = c[3],
				.common = c[4], .meter = (int64_t)c[5] };
		}
	}
	return n;
}

/* Columns as in trend_lines.csv. */
enum {
	CASE, TOLERANCE, AT_0, SLOPE, U_AT_0, U_SLOPE, COV_AT_0, MEAN_DAY, LEVEL, SLOPE_BY_ERROR,
	SIGMA_NEXT, LIMIT, MAY_CROSS, CROSSES, FIELLER_LOW, FIELLER_HIGH
};

static void check_line(const struct trend_line *line, const double *c)
{
	int number = (int)c[CASE];
	double tolerance = c[TOLERANCE], error = sqrt(line->var_slope);

	assert_where_given("at 0", number, trend_line_at(line, 0), c[AT_0], tolerance);
	assert_where_given("slope", number, line->slope_per_day, c[SLOPE], tolerance);
	assert_where_given("u at 0", number, trend_line_half_band(line, 0, 0) / TWO_SIDED_95, c[U_AT_0],
		tolerance);
	assert_where_given("u of the slope", number, error, c[U_SLOPE], tolerance);
	/* moved from the mean day to day 0 */
	assert_where_given("covariance at 0", number, line->cov - line->mean_day * line->var_slope,
		c[COV_AT_0], tolerance);
	assert_where_given("mean day", number, line->mean_day, c[MEAN_DAY], tolerance);
	assert_where_given("level", number, line->level, c[LEVEL], tolerance);
	assert_where_given("slope by its error", number, line->slope_per_day / error,
		c[SLOPE_BY_ERROR], 1e-10);
}

static void check_days(const struct trend_line *line, const double *c)
{
	int number = (int)c[CASE];
	double low = NAN, high = NAN;

	if (isnan(c[FIELLER_LOW])) {
		return;
	}
	ck_assert(trend_line_fieller(line, c[LIMIT], &low, &high));
	assert_where_given("Fieller, low", number, low, c[FIELLER_LOW], 1e-9);
	assert_where_given("Fieller, high", number, high, c[FIELLER_HIGH], 1e-9);
	assert_where_given("crosses", number, trend_line_reaches(line, c[LIMIT], NAN), c[CROSSES], 0);
	assert_where_given("may cross", number, trend_line_reaches(line, c[LIMIT], c[SIGMA_NEXT]),
		c[MAY_CROSS], 0);
}

START_TEST(agrees_with_published_lines_and_with_exact_fractions)
{
	struct reference points, lines;

	reference_read("trend_points.csv", &points);
	reference_read("trend_lines.csv", &lines);
	ck_assert_uint_eq(lines.rows, 13);
	for (size_t i = 0; i < lines.rows; i++) {
		struct trend_point p[REFERENCE_ROWS];
		struct trend_line line;
		size_t n = points_of_case(&points, (int)lines.cell[i][CASE], p);

		ck_assert_uint_ge(n, 3);
		trend_line_fit(p, n, &line);
		check_line(&line, lines.cell[i]);
		check_days(&line, lines.cell[i]);
	}
}
END_TEST

/* NIST StRD Norris, ten times its x so that they are whole: its certified residual sd given as the
 * sigma of all, the certified errors must follow. */
START_TEST(agrees_with_nist_norris)
{
	struct trend_point points[REFERENCE_ROWS];
	struct trend_line line;
	struct reference table;

	reference_read("strd_norris.csv", &table);
	ck_assert_uint_eq(table.rows, 36);
	for (size_t i = 0; i < table.rows; i++) {
		points[i] = (struct trend_point){ .day = (int32_t)lround(10 * table.cell[i][0]),
			.value = table.cell[i][1], .sigma = 0.884796396144373 };
	}
	trend_line_fit(points, table.rows, &line);
	assert_close("b0", trend_line_at(&line, 0), -0.262323073774029, 1e-10);
	assert_close("b1", 10 * line.slope_per_day, 1.00211681802045, 1e-12);
	assert_close("se of b0", trend_line_half_band(&line, 0, 0) / TWO_SIDED_95, 0.232818234301152, 1e-10);
	assert_close("se of b1", 10 * sqrt(line.var_slope), 0.429796848199937e-03, 1e-12);
}
END_TEST

/*
 * By hand: 0, 90, 180, sigma 1: mean 90, S 2 * 90² = 16200, g -1/180, 0, 1/180, h 1/3 each.
 * All by one meter with a common part of 0.5: (0.5)² in the level, none in the slope. The last by
 * another: parts 2/3 and 1/3 of 0.5 in the level, -1/360 and 1/360 in the slope.
 */
START_TEST(a_change_of_meter_is_in_the_slope_and_one_meter_is_not)
{
	struct trend_point points[] = { { .day = 0, .value = 100, .sigma = 1, .common = 0.5 },
		{ .day = 90, .value = 102, .sigma = 1, .common = 0.5 },
		{ .day = 180, .value = 101, .sigma = 1, .common = 0.5 } };
	struct trend_line line;

	trend_line_fit(points, 3, &line);
	assert_close("slope", line.slope_per_day, 1 / 180., 1e-14);
	assert_close("level", line.level, 101, 1e-14);
	assert_close("A", line.var_level, 1 / 3. + 0.25, 1e-14);
	ck_assert(fabs(line.cov) < 1e-15);
	assert_close("C", line.var_slope * 16200, 1, 1e-13);
	points[2].meter = 7;
	trend_line_fit(points, 3, &line);
	assert_close("A", line.var_level, 1 / 3. + 1 / 9. + 1 / 36., 1e-14);
	assert_close("B", line.cov * 360, -1 / 3. + 1 / 6., 1e-13);
	assert_close("C", line.var_slope * 16200, 1 + 16200 * 2 / (360. * 360.), 1e-13);
}
END_TEST

START_TEST(equal_values_make_a_level_line_exactly)
{
	const struct trend_point points[] = { { .day = 19000, .value = 0.1, .sigma = 0.3 },
		{ .day = 19133, .value = 0.1, .sigma = 0.1 }, { .day = 19400, .value = 0.1, .sigma = 0.7 } };
	struct trend_line line;

	trend_line_fit(points, 3, &line);
	ck_assert(line.slope_per_day == 0 && line.level == 0.1);
}
END_TEST

/* 0.1 a day from 100 on day 0, sigma so small that it does not count: 110.05 on day 100.5 */
START_TEST(a_limit_is_reached_on_the_first_whole_day_within_a_hundred_years)
{
	const struct trend_point points[] = { { .day = 0, .value = 100, .sigma = 1e-6 },
		{ .day = 40, .value = 104, .sigma = 1e-6 }, { .day = 80, .value = 108, .sigma = 1e-6 } };
	struct trend_line line;
	double low, high;

	trend_line_fit(points, 3, &line);
	ck_assert_int_eq(trend_line_reaches(&line, 110.05, NAN), 101);
	ck_assert_int_eq(trend_line_reaches(&line, 110.09999, NAN), 101);
	ck_assert_int_eq(trend_line_reaches(&line, 110.10001, NAN), 102);
	/* over it already: from the day after the last reading */
	ck_assert_int_eq(trend_line_reaches(&line, 20, NAN), 81);
	/* 80 + 36525 days: 3760.5 */
	ck_assert_int_eq(trend_line_reaches(&line, 3760.4999, NAN), 36605);
	ck_assert_int_eq(trend_line_reaches(&line, 3760.5001, NAN), DAY_NONE);
	ck_assert_int_eq(trend_line_reaches(&line, NAN, NAN), DAY_NONE);
	ck_assert_int_eq(trend_line_reaches(&line, INFINITY, 1), DAY_NONE);
	ck_assert(!trend_line_fieller(&line, NAN, &low, &high));
}
END_TEST

/* Three in equal steps of 100 days, sigma 1: error of the slope 1 / √20000. Bounds are finite while
 * the slope is over 1.96 of it, 0.0138593. */
START_TEST(bounds_are_there_while_the_slope_is_proven)
{
	struct trend_point points[] = { { .day = 0, .value = 100, .sigma = 1 },
		{ .day = 100, .value = 101, .sigma = 1 }, { .day = 200, .value = 102.7719, .sigma = 1 } };
	struct trend_line line;
	double low = 0, high = 0;

	trend_line_fit(points, 3, &line);
	ck_assert(trend_line_fieller(&line, 150, &low, &high));
	ck_assert(isfinite(low) && isfinite(high) && low < high);
	points[2].value = 102.7718;
	trend_line_fit(points, 3, &line);
	ck_assert(!trend_line_fieller(&line, 150, &low, &high));
	points[2].value = 80;
	trend_line_fit(points, 3, &line);
	ck_assert(!trend_line_fieller(&line, 150, &low, &high));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_published_lines_and_with_exact_fractions,
		agrees_with_nist_norris, a_change_of_meter_is_in_the_slope_and_one_meter_is_not,
		equal_values_make_a_level_line_exactly,
		a_limit_is_reached_on_the_first_whole_day_within_a_hundred_years,
		bounds_are_there_while_the_slope_is_proven, NULL };

	return case_run("trend_line", tests);
}
