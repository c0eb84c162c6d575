#include <math.h>
#include <stdbool.h>

#include "case.h"
#include "reference.h"
#include "rules/statistics/scatter.h"

static size_t bonds_read(struct scatter_bond *to)
{
	struct reference table;

	reference_read("scatter_bonds.csv", &table);
	for (size_t i = 0; i < table.rows; i++) {
		to[i] = (struct scatter_bond){ .sse_share = table.cell[i][0],
			.freedom = (size_t)table.cell[i][1] };
	}
	return table.rows;
}

START_TEST(agrees_with_twelve_bonds_computed_elsewhere)
{
	struct scatter_bond bonds[REFERENCE_ROWS];
	struct scatter s;

	scatter_propose(bonds, bonds_read(bonds), &s);
	ck_assert(s.bonds == 12 && s.freedom == 31);
	ck_assert_double_eq_tol(s.share, 0.0251791263, 1e-10);
}
END_TEST

/* Median of chi-square with 1, 2, 3, 5, 10 degrees of freedom: SciPy 1.10.1; of 2: 2 ln 2. */
START_TEST(a_bond_of_many_readings_is_measured_by_the_median_of_chi_square)
{
	static const struct { size_t freedom; double median; } rows[] = { { 1, 0.4549364231 },
		{ 2, 1.386294361 }, { 3, 2.365973884 }, { 5, 4.351460191 }, { 10, 9.341817766 } };

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct scatter_bond bonds[30];
		struct scatter s;

		for (size_t k = 0; k < 30; k++) {
			bonds[k] = (struct scatter_bond){ .sse_share = 0.01, .freedom = rows[i].freedom };
		}
		scatter_propose(bonds, 30, &s);
		ck_assert_double_eq_tol(s.share * s.share, 0.01 / rows[i].median, 1e-9);
	}
}
END_TEST

START_TEST(nothing_is_proposed_of_fewer_than_30_degrees_of_freedom)
{
	struct scatter_bond bonds[30];
	struct scatter s;

	for (size_t i = 0; i < 30; i++) {
		bonds[i] = (struct scatter_bond){ .sse_share = 0.01, .freedom = 1 };
	}
	scatter_propose(bonds, 29, &s);
	ck_assert(s.freedom == 29 && s.bonds == 29 && s.share == 0);
	scatter_propose(bonds, 30, &s);
	ck_assert(s.freedom == 30 && s.share > 0);
	scatter_propose(bonds, 0, &s);
	ck_assert(s.freedom == 0 && s.share == 0 && isnan(s.lag_one));
}
END_TEST

static int by_day(const void *a, const void *b)
{
	const struct trend_point *one = a, *other = b;

	return (one->day > other->day) - (one->day < other->day);
}

/* NIST StRD Norris, ten times its x: residual sd 0.884796396144373, certified, of 34 degrees. */
START_TEST(what_a_bond_scatters_by_agrees_with_nist_norris)
{
	struct trend_point points[REFERENCE_ROWS];
	struct scatter_bond bond;
	struct reference table;

	reference_read("strd_norris.csv", &table);
	for (size_t i = 0; i < table.rows; i++) {
		points[i] = (struct trend_point){ .day = (int32_t)lround(10 * table.cell[i][0]),
			.value = table.cell[i][1] };
	}
	qsort(points, table.rows, sizeof points[0], by_day);
	ck_assert(scatter_of(points, table.rows, 10, &bond));
	ck_assert_uint_eq(bond.freedom, 34);
	ck_assert_double_eq_tol(sqrt(bond.sse_share * 100 / 34), 0.884796396144373, 1e-10);
}
END_TEST

/* By hand: 10, 12, 11, 15 on days 0, 100, 200, 300: mean 12, slope 0.014; residuals 0.1, 0.7, -1.7,
 * 0.9; SSE 4.2; neighbours 0.07 - 1.19 - 1.53 = -2.65, by 4.2 / 2. Expected of independent errors:
 * less 3/4 and (-150 * -50 - 50 * 50 + 50 * 150) / 50000 = 1/4. */
START_TEST(a_bond_by_hand)
{
	struct trend_point points[] = { { .day = 0, .value = 10 }, { .day = 100, .value = 12 },
		{ .day = 200, .value = 11 }, { .day = 300, .value = 15 } };
	struct scatter_bond bond;
	struct scatter s;

	ck_assert(scatter_of(points, 4, 20, &bond));
	ck_assert_uint_eq(bond.freedom, 2);
	ck_assert_double_eq_tol(bond.sse_share, 4.2 / 400, 1e-14);
	ck_assert_double_eq_tol(bond.lag, -2.65 / 2.1, 1e-12);
	ck_assert_double_eq_tol(bond.lag_independent, -1, 1e-12);
	scatter_propose(&bond, 1, &s);
	ck_assert_double_eq_tol(s.lag_one, -2.65 / 4.2, 1e-12);
	ck_assert_double_eq_tol(s.lag_one_independent, -0.5, 1e-12);
	ck_assert(scatter_of(points, 3, 20, &bond));
	points[2].day = 180;
	ck_assert(scatter_of(points, 3, 20, &bond));
	points[2].day = 179;
	ck_assert(!scatter_of(points, 3, 20, &bond));
	ck_assert(!scatter_of(points, 2, 20, &bond));
	ck_assert(!scatter_of(points, 4, 0, &bond));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_twelve_bonds_computed_elsewhere,
		a_bond_of_many_readings_is_measured_by_the_median_of_chi_square,
		nothing_is_proposed_of_fewer_than_30_degrees_of_freedom,
		what_a_bond_scatters_by_agrees_with_nist_norris, a_bond_by_hand, NULL };

	return case_run("scatter", tests);
}
