#include "case.h"
#include "rules/spot.h"

START_TEST(a_spot_reaches_to_just_below_the_clearance_on_both_sides)
{
	ck_assert(spot_is_inside(0, 0, 100));
	ck_assert(spot_is_inside(99, 0, 100) && spot_is_inside(-99, 0, 100));
	ck_assert(!spot_is_inside(100, 0, 100) && !spot_is_inside(-100, 0, 100));
	ck_assert(spot_is_inside(-250, -300, 51) && !spot_is_inside(-250, -300, 50));
}
END_TEST

static struct rulebook rules(void)
{
	struct rulebook rulebook = rulebook_default();

	rulebook.spot_clearance_mm = 100;
	rulebook.rail_end_clearance_mm = 150;
	rulebook.weld_clearance_mm = 200;
	rulebook.bolt_hole_clearance_mm = 120;
	return rulebook;
}

START_TEST(each_kind_of_mark_keeps_its_own_clearance)
{
	static const struct { enum mark_kind kind; int64_t clearance_mm; } rows[] = {
		{ MARK_SPOILT, 100 }, { MARK_LIVE, 100 }, { MARK_RAIL_END, 150 }, { MARK_WELD, 200 },
		{ MARK_BOLT_HOLE, 120 },
	};
	struct rulebook rulebook = rules();

	ck_assert_int_eq(sizeof rows / sizeof rows[0], MARK_KINDS);
	for (int i = 0; i < MARK_KINDS; i++) {
		const struct rail_mark mark = { rows[i].kind, 1000 };
		int64_t away_mm = rows[i].clearance_mm;

		ck_assert_int_eq(mark_clearance_mm(&rulebook, mark.kind), away_mm);
		ck_assert_ptr_eq(spot_blocked_by(&rulebook, &mark, 1, 1000 - away_mm + 1), &mark);
		ck_assert_ptr_null(spot_blocked_by(&rulebook, &mark, 1, 1000 - away_mm));
		ck_assert_ptr_eq(spot_blocked_by(&rulebook, &mark, 1, 1000 + away_mm - 1), &mark);
		/* nothing stands beyond a rail end, however far */
		ck_assert((spot_blocked_by(&rulebook, &mark, 1, 1000 + away_mm) == NULL) ==
			(mark.kind != MARK_RAIL_END));
	}
}
END_TEST

START_TEST(nothing_stands_beyond_a_rail_end)
{
	struct rulebook rulebook = rules();
	const struct rail_mark above = { MARK_RAIL_END, 400 }, below = { MARK_RAIL_END, -400 };
	const struct rail_mark at_zero[] = { { MARK_RAIL_END, 0 }, { MARK_LIVE, 300 } };
	const struct rail_mark at_zero_below[] = { { MARK_RAIL_END, 0 }, { MARK_WELD, -900 } };

	ck_assert_ptr_eq(spot_blocked_by(&rulebook, &above, 1, 5000), &above);
	ck_assert_ptr_null(spot_blocked_by(&rulebook, &above, 1, -5000));
	ck_assert_ptr_eq(spot_blocked_by(&rulebook, &below, 1, -5000), &below);
	ck_assert_ptr_null(spot_blocked_by(&rulebook, &below, 1, 5000));
	ck_assert_ptr_eq(spot_blocked_by(&rulebook, at_zero, 2, -5000), &at_zero[0]);
	ck_assert_ptr_null(spot_blocked_by(&rulebook, at_zero, 2, 150));
	ck_assert_ptr_eq(spot_blocked_by(&rulebook, at_zero_below, 2, 150), &at_zero_below[0]);
	ck_assert_ptr_null(spot_blocked_by(&rulebook, at_zero_below, 2, -150));
	/* alone at 0: its side is not known */
	ck_assert_ptr_null(spot_blocked_by(&rulebook, at_zero, 1, 150));
	ck_assert_ptr_null(spot_blocked_by(&rulebook, at_zero, 1, -150));
	ck_assert_ptr_eq(spot_blocked_by(&rulebook, at_zero, 1, -149), &at_zero[0]);
}
END_TEST

START_TEST(names_the_first_mark_that_is_too_near)
{
	struct rulebook rulebook = rules();
	const struct rail_mark marks[] = { { MARK_SPOILT, 0 }, { MARK_WELD, 50 }, { MARK_LIVE, 60 } };

	ck_assert_ptr_eq(spot_blocked_by(&rulebook, marks, 3, 99), &marks[0]);
	ck_assert_ptr_eq(spot_blocked_by(&rulebook, marks, 3, 100), &marks[1]);
	ck_assert_ptr_eq(spot_blocked_by(&rulebook, marks, 3, 249), &marks[1]);
	ck_assert_ptr_null(spot_blocked_by(&rulebook, marks, 3, 250));
	ck_assert_ptr_null(spot_blocked_by(&rulebook, NULL, 0, 0));
}
END_TEST

/* By hand: a spoilt spot at 0 takes -99 to 99, the live one at 150 takes 51 to 249, a rail end at
 * 500 leaves up to 350. */
START_TEST(proposes_the_nearest_free_offset)
{
	static const struct rail_mark marks[] = {
		{ MARK_SPOILT, 0 }, { MARK_LIVE, 150 }, { MARK_RAIL_END, 500 }
	};
	static const struct { const char *label; int64_t wanted_mm, free_mm; } rows[] = {
		{ "free already", 300, 300 }, { "just free", -100, -100 }, { "below the spot", -99, -100 },
		{ "at the spot", 0, -100 }, { "as near to both: the lower", 75, -100 },
		{ "nearer to the upper", 76, 250 }, { "at the live one", 150, 250 },
		{ "before the rail end", 480, 350 }, { "beyond the rail end", 2000, 350 },
	};
	struct rulebook rulebook = rules();

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		int64_t free_mm = INT64_MIN;

		ck_assert_msg(spot_next_free(&rulebook, marks, 3, rows[i].wanted_mm, &free_mm), "%s",
			rows[i].label);
		ck_assert_msg(free_mm == rows[i].free_mm, "%s: %lld", rows[i].label, (long long)free_mm);
	}
}
END_TEST

START_TEST(looks_for_a_free_offset_up_to_its_reach)
{
	struct rulebook rulebook = rules();
	const struct rail_mark mark = { MARK_SPOILT, 10 };
	int64_t free_mm = 7;

	rulebook.spot_clearance_mm = SPOT_REACH_MM;
	ck_assert(spot_next_free(&rulebook, &mark, 1, 10, &free_mm));
	ck_assert_int_eq(free_mm, 10 - SPOT_REACH_MM);
	rulebook.spot_clearance_mm = SPOT_REACH_MM + 1;
	ck_assert(!spot_next_free(&rulebook, &mark, 1, 10, &free_mm));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_spot_reaches_to_just_below_the_clearance_on_both_sides,
		each_kind_of_mark_keeps_its_own_clearance, nothing_stands_beyond_a_rail_end,
		names_the_first_mark_that_is_too_near, proposes_the_nearest_free_offset,
		looks_for_a_free_offset_up_to_its_reach, NULL };

	return case_run("spot", tests);
}
