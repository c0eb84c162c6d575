#include <math.h>

#include "case.h"
#include "rules/odd.h"

START_TEST(the_median_is_the_middle_one_or_between_the_two)
{
	double odd[] = { 9, 1, 5 }, even[] = { 9, 1, 5, 7 }, one[] = { 3 };

	ck_assert_double_eq(odd_median(odd, 3), 5);
	ck_assert_double_eq(odd_median(even, 4), 6);
	ck_assert_double_eq(odd_median(one, 1), 3);
	ck_assert(isnan(odd_median(NULL, 0)));
}
END_TEST

START_TEST(a_hundred_times_the_median_is_not_yet_far_off)
{
	static const struct { double r20, median; size_t count; bool far; } rows[] = {
		{ 5000, 50, 3, false }, { 5000.1, 50, 3, true }, { 0.5, 50, 3, false },
		{ 0.4999, 50, 3, true }, { 50000, 50, 2, false }, { 50, 50, 9, false },
		{ NAN, 50, 3, false }, { 50000, NAN, 3, false },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		ck_assert_msg(odd_reading_is_far_off(rows[i].r20, rows[i].median, rows[i].count) ==
			rows[i].far, "row %zu", i);
	}
}
END_TEST

START_TEST(a_remark_that_leaves_evidence_is_not_odd)
{
	for (int remark = 0; remark < REMARKS; remark++) {
		enum reading_standing standing = reading_standing_of((enum reading_remark)remark);

		ck_assert_int_eq(odd_reading_is_no_evidence((enum reading_remark)remark),
			standing != READING_EVIDENCE && standing != READING_WEAKER);
	}
	ck_assert(!odd_reading_is_no_evidence(REMARK_NONE));
	ck_assert(!odd_reading_is_no_evidence(REMARK_ONE_DIRECTION));
	ck_assert(odd_reading_is_no_evidence(REMARK_LEADS_TOO_LARGE));
	ck_assert(odd_reading_is_no_evidence(REMARK_NOTHING_MEASURED));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { the_median_is_the_middle_one_or_between_the_two,
		a_hundred_times_the_median_is_not_yet_far_off, a_remark_that_leaves_evidence_is_not_odd,
		NULL };

	return case_run("odd", tests);
}
