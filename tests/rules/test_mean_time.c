#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "case.h"
#include "reference.h"
#include "rules/statistics/mean_time.h"

static void assert_near(double is, double wanted, double within)
{
	ck_assert_msg(fabs(is - wanted) <= within, "%.9g is within %g of %.9g", is, within, wanted);
}

START_TEST(agrees_with_nist_on_two_failures_in_800_hours)
{
	/* NIST/SEMATECH e-Handbook 8.4.5.1, its R listing: 90 %, ended by time */
	struct mean_time t;

	ck_assert(mean_time_between(2, 800, TRUNCATED_BY_TIME, 0.9, &t));
	assert_near(t.mean, 400, 0);
	assert_near(t.lower, 127.0690, 5e-5);
	assert_near(t.upper, 2251.229, 5e-4);
}
END_TEST

START_TEST(has_no_upper_end_without_a_failure)
{
	/* 0 events in 40 units: the upper rates 0.0748933 (one-sided 95 %: two-sided 90 %) and
	 * 0.0922220 (two-sided 95 %), from a published note on Garwood's bounds; and NIST/SEMATECH
	 * e-Handbook 8.4.5.1, T / -ln(0.05) for T = 800 */
	struct mean_time t;

	ck_assert(mean_time_between(0, 40, TRUNCATED_BY_TIME, 0.9, &t));
	assert_near(1 / t.lower, 0.0748933, 5e-8);
	ck_assert(isinf(t.upper) && isinf(t.mean));
	ck_assert(mean_time_between(0, 40, TRUNCATED_BY_TIME, 0.95, &t));
	assert_near(1 / t.lower, 0.0922220, 5e-8);
	ck_assert(mean_time_between(0, 800, TRUNCATED_BY_TIME, 0.9, &t));
	assert_near(t.lower, 267.046561, 1e-6);
}
END_TEST

START_TEST(agrees_with_the_published_chi_square_table)
{
	/* columns: df, 0.025, 0.05, 0.10, 0.90, 0.95, 0.975; r failures have 2 r degrees */
	struct reference table;
	size_t used = 0;

	reference_read("chi2.csv", &table);
	for (size_t i = 0; i < table.rows; i++) {
		const double *row = table.cell[i];
		size_t df = (size_t)row[0];
		struct mean_time t;

		if (df % 2 != 0) {
			continue;
		}
		ck_assert(mean_time_between(df / 2, 1, TRUNCATED_BY_FAILURE, 0.95, &t));
		assert_near(2 / t.lower, row[6], 1e-6);
		assert_near(2 / t.upper, row[1], 1e-6);
		ck_assert(mean_time_between(df / 2, 1, TRUNCATED_BY_FAILURE, 0.9, &t));
		assert_near(2 / t.lower, row[5], 1e-6);
		assert_near(2 / t.upper, row[2], 1e-6);
		used++;
	}
	ck_assert_uint_eq(used, 13);
}
END_TEST

START_TEST(needs_time_and_the_failure_that_ended_it)
{
	struct mean_time t;

	ck_assert(!mean_time_between(2, 0, TRUNCATED_BY_TIME, 0.95, &t));
	ck_assert(!mean_time_between(0, 100, TRUNCATED_BY_FAILURE, 0.95, &t));
	ck_assert(mean_time_between(1, 100, TRUNCATED_BY_FAILURE, 0.95, &t));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_nist_on_two_failures_in_800_hours,
		has_no_upper_end_without_a_failure, agrees_with_the_published_chi_square_table,
		needs_time_and_the_failure_that_ended_it, NULL };

	return case_run("mean_time", tests);
}
