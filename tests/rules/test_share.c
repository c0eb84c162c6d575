#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>

#include "case.h"
#include "rules/statistics/share.h"

static void assert_near(double is, double wanted, double within)
{
	ck_assert_msg(fabs(is - wanted) <= within, "%.12g is within %g of %.12g", is, within, wanted);
}

/* Exact fractions. */
static const struct { int64_t x, n, v, all; double p; } chances[] = {
	{ 3, 4, 4, 8, 17.0 / 70 },                 /* R. A. Fisher 1935, the lady tasting tea */
	{ 3, 4, 20, 100, 6403.0 / 261415 }, { 2, 2, 20, 100, 19.0 / 495 },
	{ 4, 4, 60, 100, 32509.0 / 261415 }, { 1, 3, 5, 400, 78607.0 / 2117360 },
	/* one attachment that failed three times is one job: 1 of 2, not 3 of 4 */
	{ 1, 2, 20, 100, 179.0 / 495 },
	{ 0, 4, 20, 100, 1 },
};

START_TEST(agrees_with_exact_fractions)
{
	for (size_t i = 0; i < sizeof chances / sizeof chances[0]; i++) {
		assert_near(share_chance(chances[i].x, chances[i].n, chances[i].v, chances[i].all),
			chances[i].p, 1e-12);
	}
	/* printed by R in a public course: 21 of 24 against 14 of 24, one side 0.0244957065 */
	assert_near(share_chance(21, 24, 35, 48), 0.0244957065, 1e-10);
}
END_TEST

START_TEST(allows_for_all_that_is_asked_as_benjamini_and_hochberg_did)
{
	/* Benjamini and Hochberg 1995, as in the SciPy documentation of false_discovery_control */
	static const double p[] = { 0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344,
		0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1.0 };
	static const double wanted[] = { 0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.06385714,
		0.06385714, 0.0645, 0.0765, 0.486, 0.58118182, 0.714875, 0.75323077, 0.81321429, 1.0 };
	static const double unsorted[] = { 0.01, 0.04, 0.03, 0.20 };
	double q[15];

	ck_assert(false_discovery(p, 15, q));
	for (size_t i = 0; i < 15; i++) {
		assert_near(q[i], wanted[i], 1e-8);
	}
	ck_assert(false_discovery(unsorted, 4, q));     /* by hand */
	assert_near(q[0], 0.04, 1e-12);
	assert_near(q[1], 0.16 / 3, 1e-12);
	assert_near(q[2], 0.16 / 3, 1e-12);
	assert_near(q[3], 0.2, 1e-12);
	ck_assert(false_discovery(p, 0, q));
}
END_TEST

/* 35 values asked about, of 200 jobs; two failed. */
static enum share_meaning of_two(int64_t line)
{
	struct share shares[35];

	for (size_t i = 0; i < 35; i++) {
		shares[i] = (struct share){ 0, 2, 10, 200, 0, 0, SHARE_CHANCE };
	}
	shares[7] = (struct share){ 2, 2, line, 200, 0, 0, SHARE_CHANCE };
	ck_assert(shares_judge(shares, 35));
	for (size_t i = 0; i < 35; i++) {
		ck_assert(i == 7 || (shares[i].p == 1 && shares[i].meaning == SHARE_CHANCE));
	}
	return shares[7].meaning;
}

START_TEST(tells_two_of_two_of_what_is_rare_and_not_of_what_is_common)
{
	ck_assert_int_eq(of_two(2), SHARE_TELLING);      /* p 1 / C(200,2), q 0.0018 */
	ck_assert_int_eq(of_two(10), SHARE_CHANCE);      /* p 45 / 19900, q 0.079 */
	/* both sides of 0.05: 35 C(v,2) / 19900 is 0.049 for v = 8, 0.063 for v = 9 */
	ck_assert_int_eq(of_two(8), SHARE_TELLING);
	ck_assert_int_eq(of_two(9), SHARE_CHANCE);
}
END_TEST

enum { JOBS = 200, CREWS = 20, BATCHES = 12, METHODS = 3, FAILED = 4, PLACES = 2000 };

/* Of places at which 4 jobs failed by chance, how many are told to have something in common. */
START_TEST(tells_hardly_anything_where_there_is_nothing)
{
	static const int values[] = { CREWS, BATCHES, METHODS };
	gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
	size_t told = 0;

	gsl_rng_set(random, 3);
	for (int place = 0; place < PLACES; place++) {
		struct share shares[CREWS + BATCHES + METHODS] = { 0 };
		bool telling = false;
		size_t first = 0;

		for (size_t f = 0; f < 3; f++) {
			for (int job = 0; job < JOBS; job++) {
				struct share *s = &shares[first + gsl_rng_uniform_int(random,
					(unsigned long)values[f])];

				s->line++;
				s->here += job < FAILED;
			}
			first += (size_t)values[f];
		}
		for (size_t i = 0; i < first; i++) {
			shares[i].of_here = FAILED;
			shares[i].of_line = JOBS;
		}
		ck_assert(shares_judge(shares, first));
		for (size_t i = 0; i < first; i++) {
			telling = telling || shares[i].meaning == SHARE_TELLING;
		}
		told += telling;
	}
	gsl_rng_free(random);
	printf("told of %d places that chance made: %zu (%.1f %%)\n", PLACES, told,
		100.0 * (double)told / PLACES);
	ck_assert_msg((double)told <= PLACES * 0.05 + 3 * sqrt(PLACES * 0.05 * 0.95), "%zu", told);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_exact_fractions,
		allows_for_all_that_is_asked_as_benjamini_and_hochberg_did,
		tells_two_of_two_of_what_is_rare_and_not_of_what_is_common,
		tells_hardly_anything_where_there_is_nothing, NULL };

	return case_run("share", tests);
}
