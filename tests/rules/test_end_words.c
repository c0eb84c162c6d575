#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "case.h"
#include "rules/end_words.h"

static struct end_facts on_rail(const char *track, int rail, int64_t distance_mm)
{
	return (struct end_facts){ .on = END_ON_RAIL, .track = track, .label = { "cess", "six-foot" },
		.rail = rail, .face = -1, .distance_mm = distance_mm, .chainage = "12+345" };
}

static struct end_facts on_other(enum end_on on, const char *structure, const char *track)
{
	return (struct end_facts){ .on = on, .track = track, .label = { "cess", "six-foot" },
		.rail = -1, .face = -1, .distance_mm = 12345000, .structure = structure,
		.chainage = "12+345" };
}

static void check(enum bond_kind kind, struct end_facts a, struct end_facts b,
	enum ends_differ by, const char *brief_a, const char *brief_b)
{
	const struct end_facts ends[2] = { a, b };
	const struct end_facts turned[2] = { b, a };
	struct end_words is;

	end_words_make(kind, ends, &is);
	ck_assert_str_eq(is.brief[END_A], brief_a);
	ck_assert_str_eq(is.brief[END_B], brief_b);
	ck_assert_int_eq(is.by, by);
	/* the same end has the same name whichever of the two was registered first */
	if (by != ENDS_ALIKE) {
		end_words_make(kind, turned, &is);
		ck_assert_str_eq(is.brief[END_A], brief_b);
		ck_assert_str_eq(is.brief[END_B], brief_a);
	}
}

START_TEST(a_rail_joint_bond_has_a_side_of_the_joint_at_each_end)
{
	check(BOND_RAIL_JOINT, on_rail("Up", RAIL_LEFT, 12345000), on_rail("Up", RAIL_LEFT, 12345001),
		ENDS_BY_CHAINAGE, "lower-chainage side of the joint", "higher-chainage side of the joint");
	check(BOND_RAIL_JOINT, on_rail("Up", RAIL_LEFT, -400), on_rail("Up", RAIL_LEFT, -900),
		ENDS_BY_CHAINAGE, "higher-chainage side of the joint", "lower-chainage side of the joint");
}
END_TEST

START_TEST(a_cross_bond_between_tracks_is_named_by_track_and_rail)
{
	check(BOND_TRACK_CROSS, on_rail("Up Fast", RAIL_LEFT, 12345000),
		on_rail("Down Fast", RAIL_LEFT, 12345000), ENDS_BY_TRACK,
		"Up Fast, left rail (cess)", "Down Fast, left rail (cess)");
	check(BOND_TRACK_CROSS, on_rail("Up Fast", -1, 12345000),
		on_rail("Down Fast", RAIL_RIGHT, 12346000), ENDS_BY_TRACK,
		"Up Fast", "Down Fast, right rail (six-foot)");
}
END_TEST

START_TEST(a_cross_bond_between_rails_is_named_by_the_rail)
{
	struct end_facts plain_left = on_rail("Up", RAIL_LEFT, 0);
	struct end_facts plain_right = on_rail("Up", RAIL_RIGHT, 0);

	check(BOND_RAIL_CROSS, on_rail("Up", RAIL_RIGHT, 0), on_rail("Up", RAIL_LEFT, 0), ENDS_BY_RAIL,
		"Up, right rail (six-foot)", "Up, left rail (cess)");
	plain_left.label[RAIL_LEFT] = "";
	plain_right.label[RAIL_RIGHT] = NULL;
	plain_left.track = plain_right.track = NULL;
	check(BOND_RAIL_CROSS, plain_left, plain_right, ENDS_BY_RAIL, "left rail", "right rail");
}
END_TEST

START_TEST(the_other_kinds_are_named_by_the_rail_and_what_else_they_are_on)
{
	const struct { enum bond_kind kind; enum end_on on; const char *number, *name; } rows[] = {
		{ BOND_STRUCTURE, END_ON_STRUCTURE, "Mast 18/04", "Mast 18/04" },
		{ BOND_STRUCTURE, END_ON_STRUCTURE, "18/04", "structure 18/04" },
		{ BOND_STRUCTURE, END_ON_STRUCTURE, "", "the structure" },
		{ BOND_IMPEDANCE_LEAD, END_ON_EQUIPMENT, "Impedance bond 9/96", "Impedance bond 9/96" },
		{ BOND_FEEDER_LEAD, END_ON_EQUIPMENT, NULL, "the equipment" },
		{ BOND_TRACK_CIRCUIT_LEAD, END_ON_EQUIPMENT, "7", "equipment 7" },
		{ BOND_PROTECTIVE_EARTH, END_ON_STRUCTURE, "Platform canopy", "Platform canopy" },
		{ BOND_KIND_NOT_KNOWN, END_ON_STRUCTURE, "Mast 1", "Mast 1" },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		check(rows[i].kind, on_rail("Up", RAIL_LEFT, 12345000),
			on_other(rows[i].on, rows[i].number, "Up"), ENDS_BY_ON, "Up, left rail (cess)",
			rows[i].name);
	}
	check(BOND_STRUCTURE, on_rail(NULL, -1, 5), on_other(END_ON_STRUCTURE, NULL, NULL), ENDS_BY_ON,
		"the rail", "the structure");
	check(BOND_STRUCTURE, on_other(END_ON_STRUCTURE, "Mast 1", NULL),
		on_other(END_ON_EQUIPMENT, "Case 2", NULL), ENDS_BY_ON, "Mast 1", "Case 2");
}
END_TEST

START_TEST(two_structures_are_told_apart_by_number_then_track_then_chainage)
{
	struct end_facts far = on_other(END_ON_STRUCTURE, "Mast 1", "Up");

	far.distance_mm += 40000;
	check(BOND_PROTECTIVE_EARTH, on_other(END_ON_STRUCTURE, "Mast 1", "Up"),
		on_other(END_ON_STRUCTURE, "Mast 2", "Down"), ENDS_BY_STRUCTURE, "Mast 1", "Mast 2");
	check(BOND_PROTECTIVE_EARTH, on_other(END_ON_STRUCTURE, "Mast 1", "Up"),
		on_other(END_ON_STRUCTURE, "mast 1", "Down"), ENDS_BY_TRACK, "Mast 1 beside Up",
		"mast 1 beside Down");
	check(BOND_PROTECTIVE_EARTH, on_other(END_ON_STRUCTURE, "Mast 1", "Up"), far, ENDS_BY_CHAINAGE,
		"end towards lower chainage", "end towards higher chainage");
}
END_TEST

START_TEST(ends_on_one_rail_are_told_apart_by_chainage_then_by_the_face)
{
	struct end_facts field = on_rail("Up", RAIL_LEFT, 700), gauge = field;

	field.face = FACE_WEB_FIELD;
	gauge.face = FACE_WEB_GAUGE;
	check(BOND_RAIL_CROSS, field, gauge, ENDS_BY_FACE, "web, field side", "web, gauge side");
	gauge.distance_mm = 701;
	check(BOND_RAIL_CROSS, field, gauge, ENDS_BY_CHAINAGE, "end towards lower chainage",
		"end towards higher chainage");
}
END_TEST

START_TEST(what_is_stated_of_one_end_only_tells_nothing_apart)
{
	struct end_facts faced = on_rail("Up", RAIL_LEFT, 700);

	faced.face = FACE_FOOT;
	check(BOND_KIND_NOT_KNOWN, on_rail("Up", RAIL_LEFT, 700), on_rail(NULL, RAIL_LEFT, 700),
		ENDS_ALIKE, "end A, not told apart", "end B, not told apart");
	check(BOND_KIND_NOT_KNOWN, on_rail("Up", RAIL_LEFT, 700), on_rail("up", -1, 700), ENDS_ALIKE,
		"end A, not told apart", "end B, not told apart");
	check(BOND_RAIL_JOINT, on_rail("Up", RAIL_LEFT, 700), faced, ENDS_ALIKE,
		"end A, not told apart", "end B, not told apart");
	check(BOND_STRUCTURE, on_other(END_ON_STRUCTURE, "Mast 1", "Up"),
		on_other(END_ON_STRUCTURE, NULL, "Up"), ENDS_ALIKE, "end A, not told apart",
		"end B, not told apart");
}
END_TEST

START_TEST(names_that_would_read_alike_are_not_told_apart)
{
	check(BOND_STRUCTURE, on_rail("Up", RAIL_LEFT, 0),
		on_other(END_ON_STRUCTURE, "up, LEFT rail (cess)", NULL), ENDS_ALIKE,
		"end A, not told apart", "end B, not told apart");
}
END_TEST

START_TEST(the_long_words_name_track_rail_and_chainage)
{
	const struct end_facts joint[2] = { on_rail("Up", RAIL_LEFT, 1), on_rail("Up", RAIL_LEFT, 2) };
	const struct end_facts mast[2] = { on_rail("Up", RAIL_LEFT, 1),
		on_other(END_ON_STRUCTURE, "Mast 7", "Up") };
	const struct end_facts alike[2] = { joint[0], joint[0] };
	struct end_words is;

	end_words_make(BOND_RAIL_JOINT, joint, &is);
	ck_assert_str_eq(is.words[END_A], "lower-chainage side of the joint: Up, left rail (cess), at "
		"12+345");
	end_words_make(BOND_STRUCTURE, mast, &is);
	ck_assert_str_eq(is.words[END_A], "Up, left rail (cess), at 12+345");
	ck_assert_str_eq(is.words[END_B], "Mast 7 beside Up, at 12+345");
	end_words_make(BOND_RAIL_JOINT, alike, &is);
	ck_assert_str_eq(is.words[END_A],
		"end A: not told apart on record from end B, note where it is");
	ck_assert_str_eq(is.words[END_B],
		"end B: not told apart on record from end A, note where it is");
}
END_TEST

/* 40 characters stay, 41 are shortened: first the railway's label goes, or the track where both
 * ends are on it. */
START_TEST(a_brief_name_is_shortened_and_still_says_what_differs)
{
	char t18[] = "123456789012345678", t19[] = "1234567890123456789";
	char t40[] = "1234567890123456789012345678901234567890";
	struct end_facts a = on_rail(t18, RAIL_LEFT, 0), b = on_rail(t18, RAIL_RIGHT, 0);

	b.label[RAIL_RIGHT] = "cessy";
	a.label[RAIL_LEFT] = "cessys";
	check(BOND_RAIL_CROSS, a, b, ENDS_BY_RAIL, "123456789012345678, left rail (cessys)",
		"123456789012345678, right rail (cessy)");   /* 18 + 2 + 9 + 9 = 38; 18 + 2 + 10 + 8 */
	a.label[RAIL_LEFT] = "cessyses";                 /* 40 */
	check(BOND_RAIL_CROSS, a, b, ENDS_BY_RAIL, "123456789012345678, left rail (cessyses)",
		"123456789012345678, right rail (cessy)");
	a.track = b.track = t19;                         /* 41 */
	check(BOND_RAIL_CROSS, a, b, ENDS_BY_RAIL, "left rail (cessyses)", "right rail (cessy)");
	b.track = "Down";
	check(BOND_TRACK_CROSS, a, b, ENDS_BY_TRACK, "1234567890123456789, left rail",
		"Down, right rail");
	a.track = t40;
	check(BOND_TRACK_CROSS, a, b, ENDS_BY_TRACK, t40, "Down");
}
END_TEST

START_TEST(a_contact_is_named_with_its_end_and_other_quantities_are_not)
{
	const struct end_facts ends[2] = { on_rail("Up", RAIL_LEFT, 1),
		on_other(END_ON_STRUCTURE, "Mast 7", "Up") };
	struct end_words is;
	char says[END_BRIEF_SIZE];

	end_words_make(BOND_STRUCTURE, ends, &is);
	end_words_quantity(&is, QUANTITY_CONTACT_A, says, sizeof says);
	ck_assert_str_eq(says, "contact at Up, left rail (cess)");
	end_words_quantity(&is, QUANTITY_CONTACT_B, says, sizeof says);
	ck_assert_str_eq(says, "contact at Mast 7");
	end_words_quantity(&is, QUANTITY_END_TO_END, says, sizeof says);
	ck_assert_str_eq(says, "end to end");
	end_words_quantity(&is, QUANTITY_RAIL_DROP, says, sizeof says);
	ck_assert_str_eq(says, "voltage drop against the rail");
}
END_TEST

static uint64_t seed = 20100;

static int any(int below)
{
	seed ^= seed << 13;
	seed ^= seed >> 7;
	seed ^= seed << 17;
	return (int)((seed >> 11) % (uint64_t)below);
}

static struct end_facts any_end(void)
{
	static const char *const tracks[] = { NULL, "", "Up", "up", "Down", "Up, left rail",
		"Up Relief through the old goods station, northern side, n° 2" };
	static const char *const labels[] = { NULL, "", "cess", "six-foot", "left rail" };
	static const char *const structures[] = { NULL, "", "Mast 1", "mast 1", "12", "the rail",
		"Up, left rail (cess)", "Up" };

	return (struct end_facts){ .on = (enum end_on)any(3), .track = tracks[any(7)],
		.label = { labels[any(5)], labels[any(5)] }, .rail = any(3) - 1, .face = any(4) - 1,
		.distance_mm = any(3), .structure = structures[any(8)], .chainage = "1+000" };
}

START_TEST(ten_thousand_random_pairs_differ_or_both_say_that_they_are_not_told_apart)
{
	int alike = 0;

	for (int i = 0; i < 10000; i++) {
		const struct end_facts ends[2] = { any_end(), any_end() };
		struct end_words is;
		bool says_a, says_b;

		end_words_make((enum bond_kind)any(BOND_KIND_NOT_KNOWN + 1), ends, &is);
		says_a = strcmp(is.brief[END_A], "end A, not told apart") == 0;
		says_b = strcmp(is.brief[END_B], "end B, not told apart") == 0;
		ck_assert_msg(says_a == says_b && says_a == (is.by == ENDS_ALIKE), "%s | %s",
			is.brief[END_A], is.brief[END_B]);
		ck_assert_msg(strcmp(is.brief[END_A], is.brief[END_B]) != 0, "%s", is.brief[END_A]);
		ck_assert_msg(strcmp(is.words[END_A], is.words[END_B]) != 0, "%s", is.words[END_A]);
		ck_assert(is.brief[END_A][0] != '\0' && is.brief[END_B][0] != '\0');
		alike += says_a;
	}
	ck_assert_msg(alike > 100 && alike < 5000, "%d", alike);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_rail_joint_bond_has_a_side_of_the_joint_at_each_end,
		a_cross_bond_between_tracks_is_named_by_track_and_rail,
		a_cross_bond_between_rails_is_named_by_the_rail,
		the_other_kinds_are_named_by_the_rail_and_what_else_they_are_on,
		two_structures_are_told_apart_by_number_then_track_then_chainage,
		ends_on_one_rail_are_told_apart_by_chainage_then_by_the_face,
		what_is_stated_of_one_end_only_tells_nothing_apart,
		names_that_would_read_alike_are_not_told_apart,
		the_long_words_name_track_rail_and_chainage,
		a_brief_name_is_shortened_and_still_says_what_differs,
		a_contact_is_named_with_its_end_and_other_quantities_are_not,
		ten_thousand_random_pairs_differ_or_both_say_that_they_are_not_told_apart, NULL };

	return case_run("end_words", tests);
}
