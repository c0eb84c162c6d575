#include <math.h>
#include <string.h>

#include "case.h"
#include "rules/judge/verdict.h"

/* By hand: limit 100, U 10. Whole µΩ are exact in a double. */
static const struct { const char *label; double value, u95, limit; enum verdict verdict; } rows[] = {
	{ "at the guard band", 90, 10, 100, VERDICT_WITHIN },
	{ "1 µΩ below it", 89, 10, 100, VERDICT_WITHIN },
	{ "1 µΩ above it", 91, 10, 100, VERDICT_UNPROVEN },
	{ "1 µΩ below the limit", 99, 10, 100, VERDICT_UNPROVEN },
	{ "at the limit", 100, 10, 100, VERDICT_UNPROVEN },
	{ "1 µΩ above the limit", 101, 10, 100, VERDICT_UNPROVEN },
	{ "1 µΩ below the far side", 109, 10, 100, VERDICT_UNPROVEN },
	{ "at the far side", 110, 10, 100, VERDICT_UNPROVEN },
	{ "1 µΩ above the far side", 111, 10, 100, VERDICT_OVER },
	{ "no uncertainty, below", 99, 0, 100, VERDICT_WITHIN },
	{ "no uncertainty, at the limit", 100, 0, 100, VERDICT_WITHIN },
	{ "no uncertainty, above", 101, 0, 100, VERDICT_OVER },
	{ "a joint better than rail", -1, 0.5, 2, VERDICT_WITHIN },
	{ "limit of zero", 0, 0, 0, VERDICT_WITHIN },
	{ "absurdly large", 1e9, 10, 100, VERDICT_OVER },
	{ "absurdly uncertain", 50, 1e9, 100, VERDICT_UNPROVEN },
	{ "no value", NAN, 10, 100, VERDICT_NONE },
	{ "no uncertainty known", 90, NAN, 100, VERDICT_NONE },
	{ "no limit", 90, 10, NAN, VERDICT_NONE },
	{ "negative uncertainty", 90, -1, 100, VERDICT_NONE },
	{ "infinite value", INFINITY, 10, 100, VERDICT_NONE },
	{ "infinite limit", 90, 10, INFINITY, VERDICT_NONE },
	/* four zones, as a public article on ILAC-G8 guard bands has them: limit 0.003 mm, U 0.001 mm,
	 * acceptance limit 0.002 mm; 0.0017 passes, 0.0025 is in the conditional zone. In nm here. */
	{ "four zones: pass", 1700, 1000, 3000, VERDICT_WITHIN },
	{ "four zones: acceptance limit", 2000, 1000, 3000, VERDICT_WITHIN },
	{ "four zones: conditional", 2500, 1000, 3000, VERDICT_UNPROVEN },
};

START_TEST(is_proven_only_outside_the_guard_band)
{
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		enum verdict verdict = verdict_of(rows[i].value, rows[i].u95, rows[i].limit);

		ck_assert_msg(verdict == rows[i].verdict, "%s: %s", rows[i].label,
			verdict_words.code[verdict]);
		ck_assert_msg((verdict == VERDICT_NONE) ==
			(isnan(verdict_p_within(rows[i].value, rows[i].u95, rows[i].limit)) != 0), "%s",
			rows[i].label);
	}
}
END_TEST

/* Upper limits of the examples of JCGM 106:2012 (from memory, recomputed with an independent
 * program); a lower limit is the same question with the signs turned. U = 2 u. */
static const struct { const char *label; double value, u, limit, p, tolerance; } chances[] = {
	{ "clause 7: Zener diode, -5.47 V, u 0.05 V, at most -5.40 V", -5.47, 0.05, -5.40, 0.919243,
		1e-6 },
	{ "clause 7: burst pressure, 507 kPa, u 8.6 kPa, at least 490 kPa", -507, 8.6, -490, 0.975965,
		1e-6 },
	{ "clause 7: oil, 13.6, u 1.8, at most 16.3", 13.6, 1.8, 16.3, 0.933193, 1e-6 },
	{ "clause 7: oil, at least 12.5", -13.6, 1.8, -12.5, 0.729437, 1e-6 },
	/* z of table 1, one-sided, recomputed to 6 decimals */
	{ "0.80", -0.841621, 1, 0, 0.80, 1e-6 }, { "0.90", -1.281552, 1, 0, 0.90, 1e-6 },
	{ "0.95", -1.644854, 1, 0, 0.95, 1e-6 }, { "0.99", -2.326348, 1, 0, 0.99, 1e-6 },
	{ "0.999", -3.090232, 1, 0, 0.999, 1e-6 },
	{ "at the limit: half", 100, 5, 100, 0.5, 0 },
	/* of the guard bands of ILAC-G8:09/2019 the specific risk at the acceptance limit: w = U less
	 * than 2.5 % (a laboratory's page that quotes it), the others from memory, recomputed */
	{ "w = U", 90, 5, 100, 1 - 0.022750, 1e-6 },
	{ "w = 0.83 U (ISO 14253-1)", 91.7, 5, 100, 1 - 0.048457, 1e-6 },
	{ "w = 1.5 U", 85, 5, 100, 1 - 0.001350, 1e-6 },
	{ "over by U", 110, 5, 100, 0.022750, 1e-6 },
	{ "over by 3 U", 130, 5, 100, 9.866e-10, 1e-13 },
};

START_TEST(gives_the_probability_of_conformity)
{
	for (size_t i = 0; i < sizeof chances / sizeof chances[0]; i++) {
		double p = verdict_p_within(chances[i].value, 2 * chances[i].u, chances[i].limit);

		ck_assert_msg(fabs(p - chances[i].p) <= chances[i].tolerance, "%s: %.9g",
			chances[i].label, p);
	}
	/* the oil has both limits: 0.66 in the standard's text */
	ck_assert_double_eq_tol(verdict_p_within(13.6, 3.6, 16.3) - (1 -
		verdict_p_within(-13.6, 3.6, -12.5)), 0.662630, 1e-6);
}
END_TEST

START_TEST(without_uncertainty_it_is_so_or_it_is_not)
{
	ck_assert_double_eq(verdict_p_within(99, 0, 100), 1);
	ck_assert_double_eq(verdict_p_within(100, 0, 100), 1);
	ck_assert_double_eq(verdict_p_within(101, 0, 100), 0);
	ck_assert_double_eq(verdict_p_within(1e9, 10, 100), 0);
	ck_assert_double_eq(verdict_p_within(-1e9, 10, 100), 1);
}
END_TEST

/* In steps of an eighth, so that each sum is exact. */
START_TEST(a_higher_value_never_gives_a_better_verdict)
{
	for (double u95 = 0; u95 <= 20; u95 += 2.5) {
		double last_p = 1;
		enum verdict last = VERDICT_WITHIN;

		for (double value = 50; value <= 150; value += 0.125) {
			enum verdict verdict = verdict_of(value, u95, 100);
			double p = verdict_p_within(value, u95, 100);

			ck_assert_int_ge(verdict, last);
			ck_assert_double_le(p, last_p);
			/* the guard band of U leaves at most 2.275 % (ILAC-G8: less than 2.5 %) */
			ck_assert(verdict != VERDICT_WITHIN || p >= 0.97724);
			ck_assert(verdict != VERDICT_OVER || p <= 0.02276);
			last = verdict;
			last_p = p;
		}
		ck_assert_int_eq(last, VERDICT_OVER);
	}
}
END_TEST

START_TEST(a_worse_instrument_proves_nothing_more)
{
	for (double value = 50; value <= 150; value += 0.125) {
		enum verdict last = verdict_of(value, 0, 100);

		for (double u95 = 0.125; u95 <= 60; u95 += 0.125) {
			enum verdict verdict = verdict_of(value, u95, 100);

			ck_assert(verdict == last || verdict == VERDICT_UNPROVEN);
			last = verdict;
		}
	}
}
END_TEST

START_TEST(each_verdict_has_its_words)
{
	ck_assert_int_eq(verdict_words.n, VERDICT_OVER + 1);
	ck_assert_str_eq(verdict_words.code[VERDICT_WITHIN], "within");
	ck_assert_str_eq(verdict_words.code[VERDICT_OVER], "over");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { is_proven_only_outside_the_guard_band,
		gives_the_probability_of_conformity, without_uncertainty_it_is_so_or_it_is_not,
		a_higher_value_never_gives_a_better_verdict, a_worse_instrument_proves_nothing_more,
		each_verdict_has_its_words, NULL };

	return case_run("verdict", tests);
}
