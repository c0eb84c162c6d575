#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "case.h"
#include "reference.h"
#include "rules/statistics/trend_events.h"

static void assert_near(double is, double wanted, double within)
{
	ck_assert_msg(fabs(is - wanted) <= within, "%.9g is within %g of %.9g", is, within, wanted);
}

START_TEST(agrees_with_the_nist_repair_data)
{
	/* U computed from the formula of the NIST Dataplot manual; P(Z < U) 0.092263 */
	struct reference data;
	struct trend_events trend;
	double at[REFERENCE_ROWS];

	reference_read("trend_repair_nist.csv", &data);
	ck_assert_uint_eq(data.rows, 10);
	for (size_t i = 0; i < data.rows; i++) {
		at[i] = data.cell[i][1];
	}
	trend = trend_events_compute(at, data.rows, 1500, TRUNCATED_BY_TIME);
	ck_assert_uint_eq(trend.counted, 10);
	assert_near(trend.u, -1.326949, 1e-6);
	assert_near(trend.p, 2 * 0.092263, 2e-6);
	ck_assert_int_eq(trend.meaning, TREND_NONE);
}
END_TEST

START_TEST(drops_the_failure_that_ended_the_observation)
{
	/* documentation of "reliability", ROCOF: 2.409, worsening at 95 %; with the last one 2.685 */
	struct reference data;
	struct trend_events trend;
	double at[REFERENCE_ROWS], sum = 0;

	reference_read("trend_rocof.csv", &data);
	ck_assert_uint_eq(data.rows, 30);
	for (size_t i = 0; i < data.rows; i++) {
		sum += data.cell[i][1];
		at[i] = sum;
	}
	trend = trend_events_compute(at, data.rows, 0, TRUNCATED_BY_FAILURE);
	ck_assert_uint_eq(trend.counted, 29);
	assert_near(trend.u, 2.409, 0.0005);
	ck_assert_int_eq(trend.meaning, TREND_WORSE);
	assert_near(trend_events_compute(at, data.rows, sum, TRUNCATED_BY_TIME).u, 2.685168, 1e-6);
}
END_TEST

/* By hand: n = 3, T = 6, so 1 / sqrt(12 n) = 1 / 6 and U = mean of t - 3. */
static const struct { const char *label; double at[3]; double u; enum trend_meaning meaning; } rows[] = {
	{ "evenly", { 1, 3, 5 }, 0, TREND_NONE },
	{ "late, just not enough (1.96 is the 97.5 % point)", { 4.6, 4.98, 5.29 }, 1.956667, TREND_NONE },
	{ "late enough", { 4.6, 5, 5.29 }, 1.963333, TREND_WORSE },
	{ "early enough", { 1.4, 1, 0.71 }, -1.963333, TREND_BETTER },
	{ "in any order", { 5.29, 4.6, 5 }, 1.963333, TREND_WORSE },
};

START_TEST(judges_both_sides_of_the_limit)
{
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct trend_events trend = trend_events_compute(rows[i].at, 3, 6, TRUNCATED_BY_TIME);

		ck_assert_msg(fabs(trend.u - rows[i].u) < 1e-6 && trend.meaning == rows[i].meaning,
			"%s: U %g", rows[i].label, trend.u);
	}
}
END_TEST

START_TEST(says_when_there_are_too_few)
{
	const double at[] = { 2, 4 };

	ck_assert_int_eq(trend_events_compute(at, 1, 6, TRUNCATED_BY_TIME).meaning, TREND_TOO_FEW);
	ck_assert_int_eq(trend_events_compute(at, 2, 6, TRUNCATED_BY_FAILURE).meaning, TREND_TOO_FEW);
	ck_assert_int_eq(trend_events_compute(at, 2, 6, TRUNCATED_BY_TIME).meaning, TREND_NONE);
	ck_assert_int_eq(trend_events_compute(at, 2, 0, TRUNCATED_BY_TIME).meaning, TREND_TOO_FEW);
	ck_assert(isnan(trend_events_compute(NULL, 0, 0, TRUNCATED_BY_FAILURE).u));
	ck_assert_str_eq(trend_meaning_words.title[TREND_WORSE], "getting worse");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_the_nist_repair_data,
		drops_the_failure_that_ended_the_observation, judges_both_sides_of_the_limit,
		says_when_there_are_too_few, NULL };

	return case_run("trend_events", tests);
}
