#include <math.h>

#include "case.h"
#include "rules/statistics/share.h"

/* By hand, from numbers of combinations. */
static const struct { const char *label; struct share is; double p; enum share_meaning meaning; } rows[] = {
	{ "all 3 here of 3 in all, 10 elsewhere: 1 of C(13,3) = 286", { 3, 3, 0, 10 }, 1.0 / 286,
		SHARE_TELLING },
	{ "2 of 3 here and none elsewhere: C(2,2) C(11,1) of C(13,3)", { 2, 3, 0, 10 }, 11.0 / 286,
		SHARE_CHANCE },
	{ "none here", { 0, 5, 4, 20 }, 1, SHARE_CHANCE },
	{ "everywhere", { 5, 5, 20, 20 }, 1, SHARE_CHANCE },
	/* 4 of 4 here, 1 of 12 elsewhere: C(5,4) of C(16,4) = 5 of 1820 */
	{ "4 of 4 here, 1 of 12 elsewhere", { 4, 4, 1, 12 }, 5.0 / 1820, SHARE_TELLING },
	/* 3 or 4 of 4 here, 5 in all of 14: (C(5,3) 9 + C(5,4)) of C(14,4) = 95 of 1001 */
	{ "3 of 4 here, 2 of 10 elsewhere", { 3, 4, 2, 10 }, 95.0 / 1001, SHARE_CHANCE },
};

START_TEST(agrees_with_counting_by_hand)
{
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		double p;
		enum share_meaning meaning = share_judge(&rows[i].is, &p);

		ck_assert_msg(fabs(p - rows[i].p) < 1e-12 && meaning == rows[i].meaning, "%s: p %.12g",
			rows[i].label, p);
	}
}
END_TEST

START_TEST(says_nothing_below_3_here_or_10_elsewhere)
{
	const struct share two_here = { 2, 2, 0, 90 }, nine_elsewhere = { 5, 5, 0, 9 };
	double p;

	ck_assert_int_eq(share_judge(&two_here, &p), SHARE_TOO_FEW);
	ck_assert(isnan(p));
	ck_assert_int_eq(share_judge(&nine_elsewhere, &p), SHARE_TOO_FEW);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_counting_by_hand,
		says_nothing_below_3_here_or_10_elsewhere, NULL };

	return case_run("share", tests);
}
