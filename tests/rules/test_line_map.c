#include <inttypes.h>
#include <string.h>

#include "case.h"
#include "rules/place/chainage.h"

static int64_t place(const struct line_map *map, const char *text)
{
	struct problem why = { 0 };
	int64_t mm = INT64_MIN;

	ck_assert_msg(chainage_read(text, strlen(text), map, &mm, &why), "%s: %s", text, why.detail);
	return mm;
}

static void refused(const struct line_map *map, const char *text, enum problem_code code,
	const char *part)
{
	struct problem why = { 0 };
	int64_t mm = 0;

	ck_assert_msg(!chainage_read(text, strlen(text), map, &mm, &why), "%s is refused", text);
	ck_assert_msg(strstr(why.detail, part) != NULL, "\"%s\" has \"%s\"", why.detail, part);
	ck_assert_msg(why.code == code, "%s: the code is %d", text, (int)why.code);
	ck_assert_int_eq(mm, 0);
}

static void written(const struct line_map *map, int64_t mm, const char *text)
{
	char to[CHAINAGE_TEXT_SIZE];

	ck_assert_uint_eq(chainage_write(mm, map, to, sizeof to), strlen(text));
	ck_assert_str_eq(to, text);
}

/*
 * Station equation back 0+550.725 = ahead 0+450.725: surveying receiver manual, general guide to
 * road design elements, p. 21 (manualshive.com manual 1873499), and sums of its figures.
 */
START_TEST(a_station_equation_makes_chainages_exist_twice)
{
	static const struct map_stretch s[] = {
		{ 0, 0, 550725, false }, { 550725, 450725, 700000, false } };
	const struct line_map map = { NOTATION_KM_M, s, 2 };
	struct problem why = { 0 };

	ck_assert(line_map_check(&map, &why));
	/* 0+450.725 to 0+550.725 occur twice, the ends too */
	ck_assert_int_eq(place(&map, "0+450.724"), 450724);
	refused(&map, "0+450.725", PROBLEM_CHAINAGE_AMBIGUOUS, "#2");
	refused(&map, "0+550.725", PROBLEM_CHAINAGE_AMBIGUOUS, "#2");
	ck_assert_int_eq(place(&map, "0+550.726"), 650726);
	/* continuous chainage of 0+460, 0+470 and 0+550.725 after the equation */
	ck_assert_int_eq(place(&map, "0+460.000 #2"), 560000);
	ck_assert_int_eq(place(&map, "0+470#2"), 570000);
	ck_assert_int_eq(place(&map, " 0 + 550.725  # 2 "), 650725);
	/* from 0+348.832 before to 0+619.254 after it */
	ck_assert_int_eq(place(&map, "0+619.254") - place(&map, "0+348.832"), 370422);
	refused(&map, "0+460", PROBLEM_CHAINAGE_AMBIGUOUS, "0+460 #1 (460 m), 0+460 #2 (560 m)");
	refused(&map, "0+460 #3", PROBLEM_CHAINAGE_SYNTAX, "exists 2 times");
	written(&map, 460000, "0+460 #1");
	written(&map, 560000, "0+460 #2");
	written(&map, 550725, "0+450.725 #2");   /* the point of the jump: the chainage ahead */
	written(&map, 450724, "0+450.724");
}
END_TEST

/*
 * Road design manual of a state highway department, appendix K, example 3-8: divergence at
 * 3+56.91, new length 2243.64 ft gives back 26+00.55, old length 2049.29 ft gives ahead
 * 24+06.20; equation value +194.35. Here a hundredth of a foot stands for a millimetre.
 */
START_TEST(the_highway_manual_s_equation_comes_out)
{
	static const struct map_stretch s[] = {
		{ 35691, 35691, 35691 + 224364, false }, { 260055, 35691 + 204929, 300000, false } };
	const struct line_map map = { NOTATION_KM, s, 2 };

	ck_assert_int_eq(s[0].end_mm, 260055);
	ck_assert_int_eq(s[1].start_mm, 240620);
	ck_assert_int_eq(place(&map, "0.250000 #2") - place(&map, "0.250000 #1"), 19435);
	refused(&map, "0.240620", PROBLEM_CHAINAGE_AMBIGUOUS, "#2");
	refused(&map, "0.260055", PROBLEM_CHAINAGE_AMBIGUOUS, "#2");
	ck_assert_int_eq(place(&map, "0.240619"), 240619);
	ck_assert_int_eq(place(&map, "0.260056"), 279491);
	refused(&map, "0.035690", PROBLEM_CHAINAGE_OUTSIDE, "from 0.035691 to 0.300");
	refused(&map, "0.300001", PROBLEM_CHAINAGE_OUTSIDE, "from 0.035691 to 0.300");
}
END_TEST

/* The same manuals: back 0+450.725 = ahead 0+550.725; from 0+348.832 to 0+619.254 are 170.422 m. */
START_TEST(a_gap_names_its_two_sides)
{
	static const struct map_stretch s[] = {
		{ 0, 0, 450725, false }, { 450725, 550725, 700000, false } };
	const struct line_map map = { NOTATION_KM_M, s, 2 };

	ck_assert_int_eq(place(&map, "0+619.254") - place(&map, "0+348.832"), 170422);
	ck_assert_int_eq(place(&map, "0+450.725"), 450725);
	ck_assert_int_eq(place(&map, "0+550.725"), 450725);
	refused(&map, "0+450.726", PROBLEM_CHAINAGE_IN_GAP, "from 0+450.725 to 0+550.725");
	refused(&map, "0+550.724", PROBLEM_CHAINAGE_IN_GAP, "from 0+450.725 to 0+550.725");
	written(&map, 450724, "0+450.724");
	written(&map, 450725, "0+550.725");
	refused(&map, "0+700.001", PROBLEM_CHAINAGE_OUTSIDE, "from 0+000 to 0+700");
	refused(&map, "-0+000.001", PROBLEM_CHAINAGE_OUTSIDE, "from 0+000 to 0+700");
	written(&map, 600001, "");
	written(&map, -1, "");
	written(&map, 600000, "0+700");
	ck_assert(line_map_is_continuous(&map, 0, 450724));
	ck_assert(!line_map_is_continuous(&map, 450726, 450724));
	ck_assert(!line_map_is_continuous(&map, 450726, 600001));
}
END_TEST

/* 2480 m are counted past post 2,0, where the chainage then says 2,1 + 30. */
static const struct map_stretch long_stretches[] = { { 0, 0, 2000000, false },
	{ 2000000, 2000000, 4480000, true }, { 4480000, 2130000, 5000000, false } };

START_TEST(the_post_that_is_written_picks_the_place)
{
	const struct line_map map = { NOTATION_HM_M, long_stretches, 3 };

	ck_assert_int_eq(place(&map, "1,9 + 99"), 1999000);
	ck_assert_int_eq(place(&map, "2,0 + 0"), 2000000);
	ck_assert_int_eq(place(&map, "2,0 + 2230"), 4230000);
	ck_assert_int_eq(place(&map, "4,2 + 30"), 4480000 + (4230000 - 2130000));
	ck_assert_int_eq(place(&map, "2,0 + 2480"), 4480000);
	ck_assert_int_eq(place(&map, "2,1 + 30"), 4480000);
	ck_assert_int_eq(place(&map, "2,1 + 31"), 4481000);
	refused(&map, "2,0 + 2480,001", PROBLEM_CHAINAGE_IN_GAP, "from 2,0 + 2480 to 2,1 + 30");
	refused(&map, "2,1 + 29", PROBLEM_CHAINAGE_IN_GAP, "from 2,0 + 2480 to 2,1 + 30");
	refused(&map, "3,0 + 1230", PROBLEM_CHAINAGE_SYNTAX, "write 4,2 + 30");
	refused(&map, "5,0 + 1", PROBLEM_CHAINAGE_OUTSIDE, "from 0,0 + 0 to 5,0 + 0");
	written(&map, 4230000, "2,0 + 2230");
	written(&map, 4479999, "2,0 + 2479,999");
	written(&map, 4480000, "2,1 + 30");
	written(&map, 1999000, "1,9 + 99");
}
END_TEST

START_TEST(without_posts_a_long_stretch_is_an_overlap)
{
	const struct line_map map = { NOTATION_KM, long_stretches, 3 };

	refused(&map, "4.230", PROBLEM_CHAINAGE_AMBIGUOUS, "4.230 #1 (4230 m), 4.230 #2 (6580 m)");
	ck_assert_int_eq(place(&map, "4.230 #1"), 4230000);
	ck_assert_int_eq(place(&map, "2.129"), 2129000);
	written(&map, 6580000, "4.230 #2");
}
END_TEST

START_TEST(lists_the_candidates)
{
	const struct line_map map = { NOTATION_KM, long_stretches, 3 };
	struct chainage_candidate c[2];

	ck_assert_uint_eq(chainage_candidates("4.23", 4, &map, c, 2), 2);
	ck_assert_str_eq(c[0].text, "4.230 #1");
	ck_assert_int_eq(c[0].distance_mm, 4230000);
	ck_assert_str_eq(c[1].text, "4.230 #2");
	ck_assert_int_eq(c[1].distance_mm, 6580000);
	ck_assert_uint_eq(chainage_candidates("4.23 #1", 7, &map, c, 1), 2);
	ck_assert_uint_eq(chainage_candidates("1.5", 3, &map, c, 2), 1);
	ck_assert_str_eq(c[0].text, "1.500");
	ck_assert_uint_eq(chainage_candidates("5.5", 3, &map, c, 2), 0);
	ck_assert_uint_eq(chainage_candidates("x", 1, &map, c, 2), 0);
}
END_TEST

static const struct { const char *part; size_t count; struct map_stretch s[2]; } bad_maps[] = {
	{ "Stretch 2 does not start", 2, { { 0, 0, 10, false }, { 11, 20, 30, false } } },
	{ "Stretch 1 ends before", 1, { { 0, 10, 9, false } } },
	{ "Stretch 1 is long and starts before zero", 1, { { 0, -1, 9, true } } },
	{ "Stretch 1 is more than", 1, { { 0, 0, CHAINAGE_LIMIT_MM + 1, false } } },
	{ "Stretch 2 is more than", 2, { { 0, 0, 1, false }, { 1, INT64_MIN, INT64_MAX, false } } },
	{ "Stretch 1 ends more than", 1, { { 1, 0, CHAINAGE_LIMIT_MM, false } } },
	{ "Stretch 1 has no length", 1, { { 7, 5000, 5000, false } } },
	{ "Stretch 2 has no length", 2, { { 0, 0, 0, false }, { 0, 5000, 5000, false } } },
	{ "has 257 stretches", 257, { { 0, 0, 0, false } } },
};

START_TEST(a_stretch_without_length_ends_a_line_after_a_jump)
{
	static const struct map_stretch one_mm[] = { { 0, 0, 1, false } },
		jump[] = { { 0, 0, 1000, false }, { 1000, 5000, 5000, false } };
	struct problem why = { 0 };

	ck_assert(line_map_check(&(struct line_map){ NOTATION_KM, one_mm, 1 }, &why));
	ck_assert(line_map_check(&(struct line_map){ NOTATION_KM, jump, 2 }, &why));
	ck_assert(line_map_check(&(struct line_map){ NOTATION_KM, NULL, 0 }, &why));
}
END_TEST

START_TEST(refuses_maps_that_are_none)
{
	for (size_t i = 0; i < sizeof bad_maps / sizeof bad_maps[0]; i++) {
		const struct line_map map = { NOTATION_KM, bad_maps[i].s, bad_maps[i].count };
		struct problem why = { 0 };

		ck_assert(!line_map_check(&map, &why));
		ck_assert_int_eq(why.code, PROBLEM_RULE);
		ck_assert_msg(strstr(why.detail, bad_maps[i].part) != NULL, "%s", why.detail);
	}
}
END_TEST

/* One row: from, to (as written), length in metres, marked as a jump. */
struct row {
	const char *from, *to;
	int64_t length_m;
	bool is_jump;
};

enum { ROWS_MOST = 6, TOLERANCE_MM = 60000 };

static const struct {
	const char *label;
	struct row rows[ROWS_MOST];
	size_t count;
	struct map_stretch s[4];
} builds[] = {
	{ "an over-long hectometre in one row; 3 m more than the posts say do not count",
		{ { "0,0 + 0", "2,0 + 0", 2000 }, { "2.0 +     0", "2.1 +    30", 2480, true },
			{ "2,1 + 30", "5,0 + 0", 2873 } },
		3, { { 0, 0, 2000000, false }, { 2000000, 2000000, 4480000, true },
			{ 4480000, 2130000, 5000000, false } } },
	{ "the same in four rows, counted past the post in between",
		{ { "0,0 + 0", "2,0 + 0", 2000 }, { "2,0 + 0", "2,0 + 90", 90, true },
			{ "2,0 + 90", "2,0 + 2000", 1910 }, { "2,0 + 2000", "2,1 + 30", 480, true },
			{ "2,1 + 30", "5,0 + 0", 2870 } },
		3, { { 0, 0, 2000000, false }, { 2000000, 2000000, 4480000, true },
			{ 4480000, 2130000, 5000000, false } } },
	{ "a gap without ground",
		{ { "-0,0 + -50", "1,7 + 40", 1790 }, { "1,7 + 40", "2,9 + 10", 0, true },
			{ "2,9 + 10", "3,0 + 0", 90 } },
		2, { { -50000, -50000, 1740000, false }, { 1740000, 2910000, 3000000, false } } },
	{ "a gap with less ground than chainage",
		{ { "0,0 + 0", "1,0 + 0", 1000 }, { "1,0 + 0", "1,3 + 0", 40, true },
			{ "1,3 + 0", "2,0 + 0", 700 } },
		2, { { 0, 0, 1040000, false }, { 1040000, 1300000, 2000000, false } } },
	{ "a marked jump of nothing",
		{ { "0,0 + 0", "1,0 + 0", 1000 }, { "1,0 + 0", "1,1 + 0", 100, true } },
		1, { { 0, 0, 1100000, false } } },
	{ "the tolerance is inclusive", { { "0,0 + 0", "1,0 + 0", 1060 } },
		1, { { 0, 0, 1000000, false } } },
	{ "and ends there", { { "0,0 + 0", "1,0 + 0", 939 }, { "1,0 + 0", "1,1 + 0", 100 } },
		2, { { 0, 0, 939000, false }, { 939000, 1000000, 1100000, false } } },
	{ "rows that do not touch are joined, rows listed twice count once",
		{ { "0,0 + 0", "1,0 + 0", 1000 }, { "0,0 + 0", "1,0 + 0", 1000 },
			{ "0,9 + 0", "1,2 + 0", 300 }, { "1,5 + 0", "2,0 + 0", 500 } },
		1, { { 0, 0, 2000000, false } } },
	{ "a jump listed twice counts once",
		{ { "0,0 + 0", "1,0 + 0", 1000 }, { "1,0 + 0", "1,1 + 0", 400, true },
			{ "1,0 + 0", "1,1 + 0", 400, true }, { "1,1 + 0", "2,0 + 0", 900 } },
		3, { { 0, 0, 1000000, false }, { 1000000, 1000000, 1400000, true },
			{ 1400000, 1100000, 2000000, false } } },
	{ "ground without chainage",
		{ { "0,0 + 0", "1,0 + 0", 1000 }, { "1,0 + 0", "1,0 + 0", 150, true },
			{ "1,0 + 0", "1,1 + 0", 100 } },
		3, { { 0, 0, 1000000, false }, { 1000000, 1000000, 1150000, true },
			{ 1150000, 1000000, 1100000, false } } },
	{ "the row in which the chainage jumps back is missing",
		{ { "1,0 + 0", "1,0 + 900", 900 }, { "1,1 + 0", "1,2 + 0", 100 } },
		2, { { 1000000, 1000000, 1900000, true }, { 1900000, 1100000, 1200000, false } } },
	{ "the line ends in an over-long hectometre",
		{ { "0,0 + 0", "1,0 + 0", 1000 }, { "1,0 + 0", "1,1 + 0", 400, true } },
		3, { { 0, 0, 1000000, false }, { 1000000, 1000000, 1400000, true },
			{ 1400000, 1100000, 1100000, false } } },
	{ "ends that are counted past a post",
		{ { "0,0 + 0", "1,0 + 20", 1020 }, { "1,0 + 20", "1,0 + 220", 200 } },
		2, { { 0, 0, 1000000, false }, { 1000000, 1000000, 1220000, true } } },
	{ "and the posts stand again after it",
		{ { "0,0 + 0", "1,0 + 220", 1220 }, { "1,0 + 220", "2,0 + 0", 780 } },
		3, { { 0, 0, 1000000, false }, { 1000000, 1000000, 1220000, true },
			{ 1220000, 1220000, 2000000, false } } },
	{ "before zero nobody counts past a post",
		{ { "-1,0 + 0", "-0,9 + 0", 300, true }, { "-0,9 + 0", "0,0 + 0", 900 } },
		2, { { -1000000, -1000000, -700000, false }, { -700000, -900000, 0, false } } },
};

static size_t build(const struct row *rows, size_t count, struct map_stretch *to,
	struct problem *why)
{
	struct line_segment segments[ROWS_MOST];

	for (size_t i = 0; i < count; i++) {
		segments[i].length_mm = rows[i].length_m * 1000;
		segments[i].is_jump = rows[i].is_jump;
		ck_assert(chainage_parse(rows[i].from, strlen(rows[i].from), NOTATION_HM_M,
			&segments[i].from, why));
		ck_assert(chainage_parse(rows[i].to, strlen(rows[i].to), NOTATION_HM_M,
			&segments[i].to, why));
	}
	return line_map_from_segments(segments, count, NOTATION_HM_M, TOLERANCE_MM, to, why);
}

START_TEST(builds_a_map_from_pieces_of_line)
{
	for (size_t i = 0; i < sizeof builds / sizeof builds[0]; i++) {
		struct map_stretch s[LINE_MAP_ROOM(ROWS_MOST)];
		struct problem why = { 0 };
		size_t rows = 0;
		size_t count;

		while (rows < ROWS_MOST && builds[i].rows[rows].from != NULL) {
			rows++;
		}
		count = build(builds[i].rows, rows, s, &why);

		ck_assert_msg(count == builds[i].count, "%s: %zu stretches %s", builds[i].label, count,
			why.detail);
		for (size_t k = 0; k < count; k++) {
			const struct map_stretch *want = &builds[i].s[k];

			ck_assert_msg(s[k].distance_mm == want->distance_mm && s[k].start_mm == want->start_mm &&
				s[k].end_mm == want->end_mm && s[k].is_long == want->is_long,
				"%s: stretch %zu: %" PRId64 " %" PRId64 " %" PRId64 " %d", builds[i].label, k,
				s[k].distance_mm, s[k].start_mm, s[k].end_mm, s[k].is_long);
		}
	}
}
END_TEST

static const struct { const char *part; struct row rows[2]; size_t count; } bad_rows[] = {
	{ "no row", { { NULL } }, 0 },
	{ "Row 2 starts before row 1",
		{ { "1,0 + 0", "2,0 + 0", 1000 }, { "0,9 + 0", "2,0 + 0", 1 } }, 2 },
	{ "Row 1 ends before", { { "1,0 + 0", "0,9 + 0", 100 } }, 1 },
	{ "negative length", { { "1,0 + 0", "1,1 + 0", -1 } }, 1 },
	{ "without length", { { "1,0 + 0", "1,0 + 0", 0 } }, 1 },
	{ "Row 1 is more than", { { "1,0 + 0", "1,1 + 0", CHAINAGE_LIMIT_MM / 1000 + 1 } }, 1 },
	{ "At row 1 the line is longer", { { "1,0 + 0", "1,1 + 0", CHAINAGE_LIMIT_MM / 1000 } }, 1 },
};

START_TEST(refuses_pieces_that_make_no_line)
{
	for (size_t i = 0; i < sizeof bad_rows / sizeof bad_rows[0]; i++) {
		struct map_stretch s[LINE_MAP_ROOM(2)];
		struct problem why = { 0 };

		ck_assert_uint_eq(build(bad_rows[i].rows, bad_rows[i].count, s, &why), 0);
		ck_assert_int_eq(why.code, PROBLEM_RULE);
		ck_assert_msg(strstr(why.detail, bad_rows[i].part) != NULL, "%s", why.detail);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_station_equation_makes_chainages_exist_twice,
		the_highway_manual_s_equation_comes_out, a_gap_names_its_two_sides,
		the_post_that_is_written_picks_the_place, without_posts_a_long_stretch_is_an_overlap,
		lists_the_candidates, a_stretch_without_length_ends_a_line_after_a_jump,
		refuses_maps_that_are_none, builds_a_map_from_pieces_of_line,
		refuses_pieces_that_make_no_line, NULL };

	return case_run("line_map", tests);
}
