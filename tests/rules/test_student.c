#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "case.h"
#include "reference.h"
#include "rules/student.h"

START_TEST(agrees_with_the_published_table)
{
	/* columns: df, upper 0.10, 0.05, 0.025, 0.01, 0.005 */
	struct reference table;

	reference_read("student_t.csv", &table);
	ck_assert_uint_eq(table.rows, 34);
	for (size_t i = 0; i < table.rows; i++) {
		const double *row = table.cell[i];
		size_t df = (size_t)row[0];

		ck_assert_msg(fabs(student_t_95(df) - row[2]) < 1e-6, "0.95, df %zu", df);
		ck_assert_msg(fabs(student_t_975(df) - row[3]) < 1e-6, "0.975, df %zu", df);
	}
}
END_TEST

START_TEST(its_own_table_is_the_librarys)
{
	for (size_t df = 1; df <= 200; df++) {
		double at_95 = gsl_cdf_tdist_Pinv(0.95, (double)df);
		double at_975 = gsl_cdf_tdist_Pinv(0.975, (double)df);

		ck_assert_msg(fabs(student_t_95(df) / at_95 - 1) < 1e-12, "0.95, df %zu", df);
		ck_assert_msg(fabs(student_t_975(df) / at_975 - 1) < 1e-12, "0.975, df %zu", df);
	}
}
END_TEST

START_TEST(has_its_closed_form_for_one_and_two_degrees)
{
	/* df 1 (Cauchy): tan(pi (p - 1/2)); df 2: (2p - 1) / sqrt(2 p (1 - p)) */
	const double pi = acos(-1);

	ck_assert(fabs(student_t_95(1) / tan(pi * 0.45) - 1) < 1e-13);
	ck_assert(fabs(student_t_975(1) / tan(pi * 0.475) - 1) < 1e-13);
	ck_assert(fabs(student_t_95(2) / (0.9 / sqrt(2 * 0.95 * 0.05)) - 1) < 1e-13);
	ck_assert(fabs(student_t_975(2) / (0.95 / sqrt(2 * 0.975 * 0.025)) - 1) < 1e-13);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_the_published_table, its_own_table_is_the_librarys,
		has_its_closed_form_for_one_and_two_degrees, NULL };

	return case_run("student", tests);
}
