#include <string.h>

#include "case.h"
#include "rules/place/chainage.h"
#include "rules/place/line_marks.h"

static const struct { int64_t least, step; } steps[] = {
	{ 0, 1 }, { 1, 1 }, { 2, 2 }, { 3, 5 }, { 5, 5 }, { 6, 10 }, { 10, 10 }, { 11, 20 },
	{ 500000, 500000 }, { 500001, 1000000 }, { INT64_C(2000000000000), INT64_C(1000000000000) },
};

START_TEST(a_round_step_is_the_next_of_1_2_5)
{
	for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
		ck_assert_int_eq(round_step(steps[i].least), steps[i].step);
	}
}
END_TEST

/* Worked by hand: one stretch to 1+500, a gap of 300 m, 2 km, an overlap of 100 m, 500 m. */
static const struct map_stretch jumps[] = { { 0, 0, 1500000, false },
	{ 1500000, 1800000, 3800000, false }, { 3500000, 3700000, 4200000, false } };

START_TEST(breaks_name_both_sides_of_each_jump)
{
	static const struct { int64_t at, jump; const char *before, *after; } expected[] = {
		{ 1500000, 300000, "1+500", "1+800" }, { 3500000, -100000, "3+800", "3+700" } };
	const struct line_map map = { NOTATION_KM_M, jumps, 3 };
	struct line_break found[4];
	char text[CHAINAGE_TEXT_SIZE];

	ck_assert_uint_eq(line_map_breaks(&map, found, 1), 2);   /* told how many, filled one */
	ck_assert_uint_eq(line_map_breaks(&map, found, 4), 2);
	for (size_t i = 0; i < 2; i++) {
		ck_assert_int_eq(found[i].distance_mm, expected[i].at);
		ck_assert_int_eq(found[i].jump_mm, expected[i].jump);
		chainage_write_label(&found[i].before, map.notation, text, sizeof text);
		ck_assert_str_eq(text, expected[i].before);
		chainage_write_label(&found[i].after, map.notation, text, sizeof text);
		ck_assert_str_eq(text, expected[i].after);
	}
}
END_TEST

START_TEST(a_long_hectometre_ends_past_its_post_and_stretches_that_join_are_no_break)
{
	static const struct map_stretch s[] = { { 0, 0, 1000000, false },
		{ 1000000, 1000000, 3230000, true }, { 3230000, 1100000, 2000000, false } };
	const struct line_map map = { NOTATION_HM_M, s, 3 };
	struct line_break found;
	char text[CHAINAGE_TEXT_SIZE];

	ck_assert_uint_eq(line_map_breaks(&map, &found, 1), 1);
	chainage_write_label(&found.before, map.notation, text, sizeof text);
	ck_assert_str_eq(text, "1,0 + 2230");
	chainage_write_label(&found.after, map.notation, text, sizeof text);
	ck_assert_str_eq(text, "1,1 + 0");
}
END_TEST

static void ticks(const struct line_map *map, int64_t from_mm, int64_t to_mm, int64_t least_mm,
	const char *expected)
{
	int64_t at[64];
	char all[1024] = "";
	size_t count = line_map_ticks(map, from_mm, to_mm, least_mm, at, 64);

	for (size_t i = 0; i < count; i++) {
		char text[CHAINAGE_TEXT_SIZE];

		ck_assert_uint_gt(chainage_write(at[i], map, text, sizeof text), 0);
		ck_assert(at[i] >= from_mm && at[i] <= to_mm && (i == 0 || at[i] > at[i - 1]));
		strncat(all, i > 0 ? "|" : "", 2);
		strncat(all, text, sizeof all - strlen(all) - 1);
	}
	ck_assert_str_eq(all, expected);
}

/* A mile has 80 chains and 1760 yards; expected by counting. */
START_TEST(ticks_stand_at_round_chainages_of_the_notation)
{
	const struct line_map km = { NOTATION_KM_M, NULL, 0 }, hm = { NOTATION_HM_M, NULL, 0 };
	const struct line_map chains = { NOTATION_MILES_CHAINS, NULL, 0 };
	const struct line_map yards = { NOTATION_MILES_YARDS, NULL, 0 };
	const struct line_map miles = { NOTATION_MILES, NULL, 0 };

	ticks(&km, 12345000, 13400000, 150000, "12+400|12+600|12+800|13+000|13+200|13+400");
	ticks(&km, -600000, 600000, 300000, "-0+500|0+000|0+500");
	ticks(&hm, 172900000, 173100000, 90000, "172,9 + 0|173,0 + 0|173,1 + 0");
	ticks(&km, 0, 2100, 1, "0+000|0+001|0+002");
	ticks(&chains, 8000000, 9700000, 300000, "5m 0ch|5m 20ch|5m 40ch|5m 60ch|6m 0ch");
	ticks(&yards, 8046720, 9656064, 500000, "5m 0y|5m 880y|6m 0y");
	ticks(&miles, 160934400, 164153088, 700000, "100.00|100.50|101.00|101.50|102.00");
	/* far along the line, where rounded steps would have drifted: mile 3000 and 10 yards */
	ticks(&yards, INT64_C(4828032000), INT64_C(4828032000) + 9144, 9000, "3000m 0y|3000m 10y");
}
END_TEST

START_TEST(ticks_follow_the_map_across_its_jumps)
{
	const struct line_map map = { NOTATION_KM_M, jumps, 3 };

	ticks(&map, 0, 4000000, 500000, "0+000|0+500|1+000|2+000|2+500|3+000|3+500|4+000");
	ticks(&map, -5000000, 9000000, 1000000, "0+000|1+000|2+000|3+000|4+000");
	/* 3+700 to 3+800 exist twice */
	ticks(&map, 3400000, 3600000, 50000, "3+700 #1|3+750 #1|3+700 #2|3+750 #2|3+800 #2");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_round_step_is_the_next_of_1_2_5,
		breaks_name_both_sides_of_each_jump,
		a_long_hectometre_ends_past_its_post_and_stretches_that_join_are_no_break,
		ticks_stand_at_round_chainages_of_the_notation,
		ticks_follow_the_map_across_its_jumps, NULL };

	return case_run("line_marks", tests);
}
