/* Which rulebook is in force on a day, and which were before: by hand. Days are plain numbers. */
#include "case.h"
#include "rules/in_force.h"

static const struct { const char *label; struct rulebook_dated all[4]; size_t n; int32_t day;
	int64_t version; } days[] = {
	{ "the first, long ago", { { 1, -100, 5, false } }, 1, 3, 1 },
	{ "the day before any", { { 1, -100, 5, false } }, 1, -101, 0 },
	{ "the first day of any", { { 1, -100, 5, false } }, 1, -100, 1 },
	{ "the day before the second", { { 1, -100, 5, false }, { 2, 20, 10, false } }, 2, 19, 1 },
	{ "the second's day", { { 1, -100, 5, false }, { 2, 20, 10, false } }, 2, 20, 2 },
	{ "a later version from an earlier day does not hide one of a future day",
		{ { 1, -100, 5, false }, { 2, 50, 10, false }, { 3, 20, 12, false } }, 3, 50, 2 },
	{ "and holds until then",
		{ { 1, -100, 5, false }, { 2, 50, 10, false }, { 3, 20, 12, false } }, 3, 49, 3 },
	{ "of one day the greater version",
		{ { 1, -100, 5, false }, { 2, 20, 10, false }, { 3, 20, 12, false } }, 3, 20, 3 },
	{ "in whatever order they stand",
		{ { 3, 20, 12, false }, { 2, 20, 10, false }, { 1, -100, 5, false } }, 3, 20, 3 },
	{ "a withdrawn one counts for nothing",
		{ { 1, -100, 5, false }, { 2, 20, 10, false }, { 3, 20, 12, true } }, 3, 20, 2 },
	{ "all are withdrawn", { { 1, -100, 5, true } }, 1, 3, 0 },
	{ "there is none", { { 0 } }, 0, 3, 0 },
};

START_TEST(the_greatest_day_counts_and_of_equal_ones_the_greatest_version)
{
	for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
		int on = rulebook_on(days[i].all, days[i].n, days[i].day);

		ck_assert_msg((on < 0 ? 0 : days[i].all[on].version) == days[i].version, "%s: %d",
			days[i].label, on);
	}
}
END_TEST

/* Each span as {version, from, to}. */
static const struct { const char *label; struct rulebook_dated all[4]; size_t n;
	struct { int64_t version; int32_t from, to; } is[4]; size_t n_is; } spans[] = {
	{ "one holds until another", { { 1, -100, 5, false }, { 2, 20, 10, false } }, 2,
		{ { 1, -100, 19 }, { 2, 20, INT32_MAX } }, 2 },
	{ "in the order of their days", { { 1, -100, 5, false }, { 2, 50, 10, false },
		{ 3, 20, 12, false } }, 3, { { 1, -100, 19 }, { 3, 20, 49 }, { 2, 50, INT32_MAX } }, 3 },
	{ "replaced the day before its first: it never was in force", { { 1, -100, 5, false },
		{ 2, 20, 10, false }, { 3, 20, 19, false } }, 3,
		{ { 1, -100, 19 }, { 3, 20, INT32_MAX } }, 2 },
	{ "replaced on its first day: it was, for a part of it", { { 1, -100, 5, false },
		{ 2, 20, 20, false }, { 3, 20, 20, false } }, 3,
		{ { 1, -100, 19 }, { 2, 20, 20 }, { 3, 20, INT32_MAX } }, 3 },
	{ "withdrawn: the one before holds on", { { 1, -100, 5, false }, { 2, 20, 10, true },
		{ 3, 30, 12, false } }, 3, { { 1, -100, 29 }, { 3, 30, INT32_MAX } }, 2 },
	{ "none is left", { { 1, -100, 5, true } }, 1, { { 0 } }, 0 },
};

static void check_spans(size_t i)
{
	struct rulebook_span got[4];
	int of[4];
	size_t n = rulebook_spans(spans[i].all, spans[i].n, got, of);

	ck_assert_msg(n == spans[i].n_is, "%s: %zu", spans[i].label, n);
	for (size_t k = 0; k < n; k++) {
		ck_assert_msg(spans[i].all[of[k]].version == spans[i].is[k].version &&
			got[k].from_day == spans[i].is[k].from && got[k].to_day == spans[i].is[k].to,
			"%s: %zu is %lld, %d to %d", spans[i].label, k,
			(long long)spans[i].all[of[k]].version, got[k].from_day, got[k].to_day);
	}
	/* the last that has begun is the one in force, on each day around */
	for (int32_t day = -102; day < 60; day++) {
		size_t until = rulebook_spans_until(got, n, day);
		int on = rulebook_on(spans[i].all, spans[i].n, day);

		ck_assert_msg(until == 0 ? on < 0 : of[until - 1] == on, "%s: day %d", spans[i].label, day);
	}
}

START_TEST(every_version_has_the_days_on_which_it_was_in_force)
{
	for (size_t i = 0; i < sizeof spans / sizeof spans[0]; i++) {
		check_spans(i);
	}
}
END_TEST

START_TEST(those_since_a_day_begin_with_the_one_in_force_on_it)
{
	const struct rulebook_span all[] = { { -100, 19, NULL }, { 20, 49, NULL },
		{ 50, INT32_MAX, NULL } };

	ck_assert_int_eq(rulebook_spans_since(all, 3, -200), 0);
	ck_assert_int_eq(rulebook_spans_since(all, 3, 19), 0);
	ck_assert_int_eq(rulebook_spans_since(all, 3, 20), 1);
	ck_assert_int_eq(rulebook_spans_since(all, 3, 49), 1);
	ck_assert_int_eq(rulebook_spans_since(all, 3, 9999), 2);
	ck_assert_int_eq(rulebook_spans_until(all, 3, 19), 1);
	ck_assert_int_eq(rulebook_spans_until(all, 3, 20), 2);
	ck_assert_int_eq(rulebook_spans_until(all, 3, -101), 0);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		the_greatest_day_counts_and_of_equal_ones_the_greatest_version,
		every_version_has_the_days_on_which_it_was_in_force,
		those_since_a_day_begin_with_the_one_in_force_on_it, NULL };

	return case_run("in_force", tests);
}
