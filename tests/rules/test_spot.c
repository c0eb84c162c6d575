#include <string.h>

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

/* An end of which all is known, with a cable that reaches everywhere. */
static struct spot_place place_of(const struct rail_mark *marks, size_t count)
{
	return (struct spot_place){ .marks = marks, .count = count, .is_rail_known = true,
		.cable_mm = 100000, .is_other_known = true };
}

static enum spot_is is_at(const struct spot_place *place, int64_t offset_mm)
{
	const struct rulebook rulebook = rules();

	return spot_judge(&rulebook, place, offset_mm).is;
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
		const struct spot_place place = place_of(&mark, 1);
		int64_t away_mm = rows[i].clearance_mm;

		ck_assert_int_eq(mark_clearance_mm(&rulebook, mark.kind), away_mm);
		ck_assert_ptr_eq(spot_judge(&rulebook, &place, 1000 - away_mm + 1).by, &mark);
		ck_assert_int_eq(is_at(&place, 1000 - away_mm + 1), SPOT_TOO_NEAR);
		ck_assert_int_eq(is_at(&place, 1000 - away_mm), SPOT_FREE);
		ck_assert_int_eq(is_at(&place, 1000 + away_mm - 1), SPOT_TOO_NEAR);
		/* nothing stands beyond a rail end, however far */
		ck_assert_int_eq(is_at(&place, 1000 + away_mm), mark.kind == MARK_RAIL_END ?
			SPOT_BEYOND_RAIL_END : SPOT_FREE);
	}
}
END_TEST

START_TEST(nothing_stands_beyond_a_rail_end_of_which_the_end_itself_tells_the_side)
{
	const struct rail_mark above = { MARK_RAIL_END, 400 }, below = { MARK_RAIL_END, -400 };
	const struct rail_mark at_zero = { MARK_RAIL_END, 0 };
	struct spot_place place = place_of(&above, 1);

	ck_assert_int_eq(is_at(&place, 550), SPOT_BEYOND_RAIL_END);
	ck_assert_int_eq(is_at(&place, 250), SPOT_FREE);
	place = place_of(&below, 1);
	ck_assert_int_eq(is_at(&place, -550), SPOT_BEYOND_RAIL_END);
	ck_assert_int_eq(is_at(&place, -250), SPOT_FREE);
	/* attached above the rail end that is at its reference mark */
	place = place_of(&at_zero, 1);
	place.home_mm = 300;
	ck_assert_int_eq(is_at(&place, 150), SPOT_FREE);
	ck_assert_int_eq(is_at(&place, -150), SPOT_BEYOND_RAIL_END);
	place.home_mm = -300;
	ck_assert_int_eq(is_at(&place, -150), SPOT_FREE);
	ck_assert_int_eq(is_at(&place, 150), SPOT_BEYOND_RAIL_END);
	/* not attached: the side of the joint tells it, or else nobody does */
	place.home_mm = 0;
	place.side = JOINT_LOWER;
	ck_assert_int_eq(is_at(&place, -150), SPOT_FREE);
	ck_assert_int_eq(is_at(&place, 150), SPOT_BEYOND_RAIL_END);
	place.side = JOINT_NONE;
	ck_assert_int_eq(is_at(&place, -150), SPOT_SIDE_NOT_KNOWN);
	ck_assert_int_eq(is_at(&place, 150), SPOT_SIDE_NOT_KNOWN);
	ck_assert_int_eq(is_at(&place, -149), SPOT_TOO_NEAR);
}
END_TEST

START_TEST(names_the_first_mark_that_is_too_near)
{
	struct rulebook rulebook = rules();
	const struct rail_mark marks[] = { { MARK_SPOILT, 0 }, { MARK_WELD, 50 }, { MARK_LIVE, 60 } };
	const struct spot_place place = place_of(marks, 3), empty = place_of(NULL, 0);

	ck_assert_ptr_eq(spot_judge(&rulebook, &place, 99).by, &marks[0]);
	ck_assert_ptr_eq(spot_judge(&rulebook, &place, 100).by, &marks[1]);
	ck_assert_ptr_eq(spot_judge(&rulebook, &place, 249).by, &marks[1]);
	ck_assert_ptr_null(spot_judge(&rulebook, &place, 250).by);
	ck_assert_int_eq(is_at(&empty, 0), SPOT_FREE);
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
		{ "far beyond all", 100000, 350 }, { "far below all", -100000, -1850 },
	};
	struct rulebook rulebook = rules();
	struct spot_place place = place_of(marks, 3);

	place.home_mm = 150;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		int64_t free_mm = INT64_MIN;

		ck_assert_msg(spot_next_free(&rulebook, &place, rows[i].wanted_mm, &free_mm), "%s",
			rows[i].label);
		ck_assert_msg(free_mm == rows[i].free_mm, "%s: %lld", rows[i].label, (long long)free_mm);
	}
}
END_TEST

START_TEST(looks_two_metres_to_either_side_of_the_end_and_calls_nothing_beyond_free)
{
	struct rulebook rulebook = rules();
	const struct rail_mark mark = { MARK_LIVE, 10 };
	struct spot_place place = place_of(&mark, 1);
	int64_t free_mm = 7;

	place.home_mm = 10;
	ck_assert_int_eq(is_at(&place, 2010), SPOT_FREE);
	ck_assert_int_eq(is_at(&place, 2011), SPOT_TOO_FAR);
	ck_assert_int_eq(is_at(&place, -1990), SPOT_FREE);
	ck_assert_int_eq(is_at(&place, -1991), SPOT_TOO_FAR);
	ck_assert_int_eq(is_at(&place, 100000), SPOT_TOO_FAR);
	rulebook.spot_clearance_mm = SPOT_REACH_MM;
	ck_assert(spot_next_free(&rulebook, &place, 10, &free_mm));
	ck_assert_int_eq(free_mm, 10 - SPOT_REACH_MM);
	rulebook.spot_clearance_mm = SPOT_REACH_MM + 1;
	ck_assert(!spot_next_free(&rulebook, &place, 10, &free_mm));
}
END_TEST

/* Attached at -120, the joint beyond: up to there, and never across, however free it is. */
START_TEST(keeps_to_its_own_side_of_the_joint)
{
	struct rulebook rulebook = rules();
	const struct rail_mark marks[] = { { MARK_LIVE, -120 }, { MARK_LIVE, 130 } };
	struct spot_place place = place_of(marks, 2);
	int64_t free_mm = 7;

	place.home_mm = place.joint_mm = -120;
	place.other_mm = 130;
	place.side = JOINT_LOWER;
	ck_assert_int_eq(is_at(&place, -20), SPOT_ACROSS_JOINT);
	ck_assert_int_eq(is_at(&place, 230), SPOT_ACROSS_JOINT);
	ck_assert_int_eq(is_at(&place, -220), SPOT_FREE);
	ck_assert(spot_next_free(&rulebook, &place, 1000, &free_mm));
	ck_assert_int_eq(free_mm, -220);
	place.home_mm = place.joint_mm = 130;
	place.other_mm = -120;
	place.side = JOINT_HIGHER;
	ck_assert_int_eq(is_at(&place, 30), SPOT_ACROSS_JOINT);
	ck_assert_int_eq(is_at(&place, 230), SPOT_FREE);
	ck_assert(spot_next_free(&rulebook, &place, 130, &free_mm));
	ck_assert_int_eq(free_mm, 230);
	place.side = JOINT_NOT_KNOWN;
	ck_assert_int_eq(is_at(&place, 230), SPOT_SIDE_NOT_KNOWN);
	ck_assert(!spot_next_free(&rulebook, &place, 130, &free_mm));
}
END_TEST

/* A cable of 600 mm from the other end at 100: from -500 to 700. */
START_TEST(goes_no_further_than_the_cable_reaches)
{
	struct rulebook rulebook = rules();
	const struct rail_mark live = { MARK_LIVE, -450 };
	struct spot_place place = place_of(&live, 1);
	int64_t free_mm = 7;

	place.home_mm = -450;
	place.other_mm = 100;
	place.cable_mm = 600;
	ck_assert_int_eq(is_at(&place, 700), SPOT_FREE);
	ck_assert_int_eq(is_at(&place, 701), SPOT_BEYOND_CABLE);
	ck_assert_int_eq(is_at(&place, -551), SPOT_BEYOND_CABLE);
	ck_assert(spot_next_free(&rulebook, &place, -450, &free_mm));
	ck_assert_int_eq(free_mm, -350);
	place.side = JOINT_LOWER;
	place.joint_mm = -450;
	ck_assert(!spot_next_free(&rulebook, &place, -450, &free_mm));
	/* not known: not held against it, but said */
	place.cable_mm = 0;
	ck_assert_int_eq(is_at(&place, -551), SPOT_FREE);
	ck_assert((spot_unknown(&place) & 1u << UNKNOWN_CABLE) != 0);
}
END_TEST

START_TEST(proposes_nothing_where_the_rail_is_not_known)
{
	struct rulebook rulebook = rules();
	struct spot_place place = place_of(NULL, 0);
	int64_t free_mm = 7;

	place.is_rail_known = false;
	ck_assert_int_eq(is_at(&place, 0), SPOT_RAIL_NOT_KNOWN);
	ck_assert(!spot_next_free(&rulebook, &place, 0, &free_mm));
	ck_assert_uint_eq(spot_unknown(&place), 1u << UNKNOWN_RAIL);
}
END_TEST

START_TEST(says_what_is_not_known_of_each_kind_by_itself)
{
	static const struct rail_mark noted[] = {
		{ MARK_RAIL_END, 2000 }, { MARK_WELD, -2000 }, { MARK_BOLT_HOLE, 5 }
	};
	const struct rail_mark too_far = { MARK_WELD, 2001 };
	struct spot_place place = place_of(noted, 3);

	ck_assert_uint_eq(spot_unknown(&place), 0);
	place = place_of(&too_far, 1);
	ck_assert_uint_eq(spot_unknown(&place), 1u << UNKNOWN_RAIL_END | 1u << UNKNOWN_WELD |
		1u << UNKNOWN_BOLT_HOLE);
	place = place_of(noted, 3);
	place.unplaced = 1;
	place.unstated = 2;
	place.cable_mm = 0;
	place.is_other_known = false;
	place.is_across = true;
	place.side = JOINT_NOT_KNOWN;
	ck_assert_uint_eq(spot_unknown(&place), 1u << UNKNOWN_OFFSET | 1u << UNKNOWN_NEIGHBOUR |
		1u << UNKNOWN_SIDE | 1u << UNKNOWN_CABLE | 1u << UNKNOWN_OTHER_END | 1u << UNKNOWN_ACROSS);
	for (int i = 0; i < SPOT_UNKNOWNS; i++) {
		const char *says = spot_unknown_words.title[i];

		ck_assert_int_eq(says[strlen(says) - 1], '.');
		ck_assert_msg(strstr(says, "not known") != NULL || strstr(says, "look") != NULL ||
			strstr(says, "measure") != NULL, "%s", says);
	}
}
END_TEST

START_TEST(only_what_is_inside_a_clearance_or_beyond_the_rail_spoils_what_is_recorded_there)
{
	for (int is = 0; is < SPOT_IS; is++) {
		ck_assert(spot_is_taken((enum spot_is)is) ==
			(is == SPOT_TOO_NEAR || is == SPOT_BEYOND_RAIL_END));
	}
}
END_TEST

static void says(const struct spot_place *place, int64_t wanted_mm, const char *sentence)
{
	const struct rulebook rulebook = rules();
	char to[SPOT_SENTENCE_SIZE];

	spot_sentence(&rulebook, place, wanted_mm, to, sizeof to);
	ck_assert_str_eq(to, sentence);
}

START_TEST(says_it_in_words)
{
	const struct rail_mark marks[] = { { MARK_LIVE, -120 }, { MARK_RAIL_END, -1000 } };
	struct spot_place place = place_of(marks, 2);

	place.home_mm = place.joint_mm = -120;
	place.other_mm = 130;
	place.side = JOINT_LOWER;
	place.cable_mm = 600;
	says(&place, -220, "Free at −220 mm.");
	says(&place, -130, "Not at −130 mm: too near to the live attachment at −120 mm, clearance "
		"100 mm. The nearest free place is at −220 mm.");
	says(&place, 0, "Not at 0 mm: across the joint, or nearer to it than this end is known to be. "
		"The nearest free place is at −220 mm.");
	says(&place, -500, "Not at −500 mm: the cable of 600 mm does not reach from the other end, at "
		"130 mm. The nearest free place is at −470 mm.");
	says(&place, -1200, "Not at −1200 mm: beyond the rail end at −1000 mm. The nearest free place "
		"is at −470 mm.");
	says(&place, 100000, "Not at 100000 mm: more than 2000 mm from where this end is, at −120 mm. "
		"The nearest free place is at −220 mm.");
	place.cable_mm = 300;
	says(&place, -130, "Not at −130 mm: too near to the live attachment at −120 mm, clearance "
		"100 mm. There is no free place that the cable of 300 mm reaches: the nearest other, at "
		"−220 mm, needs one of 350 mm.");
	place.side = JOINT_NOT_KNOWN;
	says(&place, -300, spot_unknown_words.title[UNKNOWN_SIDE]);
	place.is_rail_known = false;
	says(&place, -300, spot_unknown_words.title[UNKNOWN_RAIL]);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_spot_reaches_to_just_below_the_clearance_on_both_sides,
		each_kind_of_mark_keeps_its_own_clearance,
		nothing_stands_beyond_a_rail_end_of_which_the_end_itself_tells_the_side,
		names_the_first_mark_that_is_too_near, proposes_the_nearest_free_offset,
		looks_two_metres_to_either_side_of_the_end_and_calls_nothing_beyond_free,
		keeps_to_its_own_side_of_the_joint, goes_no_further_than_the_cable_reaches,
		proposes_nothing_where_the_rail_is_not_known,
		says_what_is_not_known_of_each_kind_by_itself,
		only_what_is_inside_a_clearance_or_beyond_the_rail_spoils_what_is_recorded_there,
		says_it_in_words, NULL };

	return case_run("spot", tests);
}
