#include <stdio.h>
#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/statistics/repeat.h"

static int32_t day(const char *text)
{
	int32_t d = 0;

	ck_assert_msg(day_read(text, strlen(text), &d), "%s is a day", text);
	return d;
}

static struct rulebook rules(int64_t window_mm, int64_t period_months, int64_t least_count)
{
	struct rulebook rulebook = rulebook_default();

	rulebook.repeat_window_mm = window_mm;
	rulebook.repeat_period_months = period_months;
	rulebook.repeat_least_count = least_count;
	return rulebook;
}

/* A group and its places as text: "1 2; 4 5" are the ids of two places. */
static void places_as_text(const struct repeat_failure *failures, size_t n,
	const struct rulebook *rulebook, char *to, size_t size)
{
	struct repeat_places places;
	size_t len = 0;

	to[0] = '\0';
	ck_assert(repeat_find(failures, n, rulebook, &places));
	for (size_t p = 0; p < places.count; p++) {
		for (size_t i = 0; i < places.places[p].count; i++) {
			size_t index = places.members[places.places[p].member + i];

			ck_assert_uint_lt(index, n);
			len += (size_t)snprintf(to + len, size - len, "%s%lld", i > 0 ? " " : p > 0 ? "; " : "",
				(long long)failures[index].id);
			ck_assert_uint_lt(len, size);
		}
	}
	repeat_places_release(&places);
}

/* By hand, with the default of 10 m, 60 months and 2. The ids are 1, 2, 3 ... in each row. */
static const struct {
	const char *label;
	struct { const char *day; int64_t mm; } failures[8];
	const char *places;
} rows[] = {
	{ "one is no repeat", { { "2020-01-01", 0 } }, "" },
	{ "two at one place on one day", { { "2020-01-01", 0 }, { "2020-01-01", 0 } }, "1 2" },
	{ "10 m apart", { { "2020-01-01", 5000 }, { "2020-02-01", 15000 } }, "1 2" },
	{ "10 m and 1 mm apart", { { "2020-01-01", 5000 }, { "2020-02-01", 15001 } }, "" },
	{ "around the datum", { { "2020-01-01", -4000 }, { "2020-02-01", 6000 } }, "1 2" },
	{ "the last day of five years", { { "2020-03-01", 0 }, { "2025-02-28", 0 } }, "1 2" },
	{ "the day after it", { { "2020-03-01", 0 }, { "2025-03-01", 0 } }, "" },
	{ "five years from a leap day end on 27 February",
		{ { "2020-02-29", 0 }, { "2025-02-27", 0 } }, "1 2" },
	{ "and not on the 28th", { { "2020-02-29", 0 }, { "2025-02-28", 0 } }, "" },
	{ "given in any order", { { "2022-01-01", 9000 }, { "2020-01-01", 0 }, { "2021-01-01", 5000 } },
		"2 3 1" },
	{ "more failures win: 9 to 19 m over 0 to 9 m",
		{ { "2020-01-01", 0 }, { "2020-01-02", 9000 }, { "2020-01-03", 12000 },
			{ "2020-01-04", 19000 } }, "2 3 4" },
	{ "then the shorter: 8 to 14 m over 0 to 8 m",
		{ { "2020-01-01", 0 }, { "2020-01-02", 8000 }, { "2020-01-03", 14000 } }, "2 3" },
	{ "then the lower: 0 to 8 m over 8 to 16 m",
		{ { "2020-01-01", 0 }, { "2020-01-02", 8000 }, { "2020-01-03", 16000 } }, "1 2" },
	{ "then the earlier: two pairs of three at one position, 3 years apart",
		{ { "2026-01-01", 0 }, { "2020-01-01", 0 }, { "2023-01-01", 0 } }, "2 3" },
	{ "what a winner leaves competes again: 0 and 1 m beside four at 9 to 12 m",
		{ { "2020-01-01", 0 }, { "2020-01-02", 1000 }, { "2020-01-03", 9000 },
			{ "2020-01-04", 10500 }, { "2020-01-05", 11000 }, { "2020-01-06", 12000 } },
		"1 2; 3 4 5 6" },
	{ "one position, two times", { { "2000-01-01", 0 }, { "2001-01-01", 0 }, { "2010-01-01", 0 },
		{ "2011-01-01", 0 } }, "1 2; 3 4" },
	{ "near in space but not in time, far in space but not in time",
		{ { "2000-01-01", 0 }, { "2010-01-01", 1000 }, { "2010-01-01", 500000 } }, "" },
	{ "equal ones in the order of ids", { { "2020-01-01", 7 }, { "2020-01-01", 7 },
		{ "2020-01-01", 7 } }, "1 2 3" },
};

START_TEST(finds_the_places_worked_by_hand)
{
	struct rulebook rulebook = rules(10000, 60, 2);

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct repeat_failure failures[8];
		size_t n = 0;
		char text[80];

		for (; n < 8 && rows[i].failures[n].day != NULL; n++) {
			failures[n] = (struct repeat_failure){ (int64_t)n + 1, day(rows[i].failures[n].day),
				rows[i].failures[n].mm };
		}
		places_as_text(failures, n, &rulebook, text, sizeof text);
		ck_assert_msg(strcmp(text, rows[i].places) == 0, "%s: got \"%s\", not \"%s\"",
			rows[i].label, text, rows[i].places);
	}
}
END_TEST

START_TEST(needs_as_many_as_the_rulebook_says)
{
	const struct repeat_failure failures[] = { { 1, 0, 0 }, { 2, 1, 1 }, { 3, 2, 2 } };
	struct rulebook three = rules(10000, 60, 3), four = rules(10000, 60, 4);
	char text[40];

	places_as_text(failures, 3, &three, text, sizeof text);
	ck_assert_str_eq(text, "1 2 3");
	places_as_text(failures, 3, &four, text, sizeof text);
	ck_assert_str_eq(text, "");
	places_as_text(NULL, 0, &three, text, sizeof text);
	ck_assert_str_eq(text, "");
}
END_TEST

START_TEST(says_where_when_and_how_often)
{
	/* 2020-01-01 to 2020-12-31 is 365 days (a leap year): 4 failures, 3 times between */
	const struct repeat_failure failures[] = { { 40, day("2020-12-31"), 12000 },
		{ 10, day("2020-01-01"), 15000 }, { 20, day("2020-03-01"), 8000 },
		{ 30, day("2020-06-01"), 9000 } };
	struct rulebook rulebook = rules(10000, 60, 2);
	struct repeat_places places;

	ck_assert(repeat_find(failures, 4, &rulebook, &places));
	ck_assert_uint_eq(places.count, 1);
	ck_assert_int_eq(places.places[0].from_mm, 8000);
	ck_assert_int_eq(places.places[0].to_mm, 15000);
	ck_assert_int_eq(places.places[0].first_day, day("2020-01-01"));
	ck_assert_int_eq(places.places[0].last_day, day("2020-12-31"));
	ck_assert_int_eq(repeat_span_mm(&places.places[0]), 7000);
	ck_assert_uint_eq(places.members[0], 1);  /* the first found there */
	repeat_places_release(&places);
	ck_assert_ptr_null(places.places);
}
END_TEST

START_TEST(takes_the_ends_of_the_number_range)
{
	const struct repeat_failure failures[] = { { 1, 0, INT64_MIN }, { 2, 0, INT64_MAX },
		{ 3, 0, INT64_MAX - 10000 }, { 4, 0, INT64_MIN + 10000 } };
	struct rulebook rulebook = rules(10000, 60, 2);
	char text[40];

	places_as_text(failures, 4, &rulebook, text, sizeof text);
	ck_assert_str_eq(text, "1 4; 3 2");
}
END_TEST

/* ---- a plain search, written from the header alone, for comparison ---- */

enum { PLAIN_MOST = 40 };

struct plain {
	size_t member[PLAIN_MOST];  /* indexes, by day, position, id */
	size_t count;
	int64_t from_mm, to_mm;
	int32_t first_day;
};

static bool plain_before(const struct repeat_failure *a, const struct repeat_failure *b)
{
	return a->day != b->day ? a->day < b->day : a->distance_mm != b->distance_mm ?
		a->distance_mm < b->distance_mm : a->id < b->id;
}

static void plain_add(struct plain *set, const struct repeat_failure *f, size_t index)
{
	size_t at = set->count++;

	for (; at > 0 && plain_before(&f[index], &f[set->member[at - 1]]); at--) {
		set->member[at] = set->member[at - 1];
	}
	set->member[at] = index;
	set->from_mm = at == 0 && set->count == 1 ? f[index].distance_mm :
		f[index].distance_mm < set->from_mm ? f[index].distance_mm : set->from_mm;
	set->to_mm = set->count == 1 ? f[index].distance_mm :
		f[index].distance_mm > set->to_mm ? f[index].distance_mm : set->to_mm;
	set->first_day = f[set->member[0]].day;
}

static bool plain_better(const struct plain *a, const struct plain *b)
{
	int64_t a_mm = a->to_mm - a->from_mm, b_mm = b->to_mm - b->from_mm;

	return a->count != b->count ? a->count > b->count : a_mm != b_mm ? a_mm < b_mm :
		a->from_mm != b->from_mm ? a->from_mm < b->from_mm : a->first_day < b->first_day;
}

/* The best window of all that begin at the position of one and the day of another. */
static struct plain plain_best(const struct repeat_failure *f, size_t n, const bool *taken,
	const struct rulebook *rulebook)
{
	struct plain best = { .count = 0 };

	for (size_t low = 0; low < n; low++) {
		for (size_t first = 0; first < n; first++) {
			int32_t end_day = day_add_months(f[first].day, (int)rulebook->repeat_period_months);
			struct plain set = { .count = 0 };

			for (size_t i = 0; i < n; i++) {
				if (!taken[i] && f[i].distance_mm >= f[low].distance_mm &&
					f[i].distance_mm - f[low].distance_mm <= rulebook->repeat_window_mm &&
					f[i].day >= f[first].day && f[i].day < end_day) {
					plain_add(&set, f, i);
				}
			}
			if (plain_better(&set, &best)) {
				best = set;
			}
		}
	}
	return best;
}

static size_t plain_find(const struct repeat_failure *f, size_t n, const struct rulebook *rulebook,
	struct plain *places)
{
	bool taken[PLAIN_MOST] = { false };
	size_t count = 0;

	for (;;) {
		struct plain best = plain_best(f, n, taken, rulebook);

		if (best.count < (size_t)rulebook->repeat_least_count) {
			return count;
		}
		for (size_t i = 0; i < best.count; i++) {
			taken[best.member[i]] = true;
		}
		places[count++] = best;
	}
}

/* xorshift64: the same groups in every run */
static uint64_t next_random(uint64_t *state)
{
	*state ^= *state << 13;
	*state ^= *state >> 7;
	*state ^= *state << 17;
	return *state;
}

static int64_t random_below(uint64_t *state, int64_t limit)
{
	return (int64_t)(next_random(state) % (uint64_t)limit);
}

static void assert_same(const struct repeat_places *places, const struct plain *plain, size_t count,
	unsigned group)
{
	ck_assert_msg(places->count == count, "group %u: %zu places, not %zu", group, places->count,
		count);
	for (size_t p = 0; p < count; p++) {
		size_t q = 0;

		while (q < count &&
			plain[q].member[0] != places->members[places->places[p].member]) {
			q++;
		}
		ck_assert_msg(q < count, "group %u: a place that the plain search has not", group);
		ck_assert_uint_eq(places->places[p].count, plain[q].count);
		ck_assert_int_eq(places->places[p].from_mm, plain[q].from_mm);
		ck_assert_int_eq(places->places[p].to_mm, plain[q].to_mm);
		ck_assert_int_eq(places->places[p].first_day, plain[q].first_day);
		ck_assert(memcmp(plain[q].member, places->members + places->places[p].member,
			plain[q].count * sizeof(size_t)) == 0);
		ck_assert(p == 0 || places->places[p - 1].from_mm <= places->places[p].from_mm);
	}
}

START_TEST(agrees_with_a_plain_search_on_1000_random_groups)
{
	uint64_t state = 0x9E3779B97F4A7C15u;
	size_t found = 0;

	for (unsigned group = 0; group < 1000; group++) {
		struct repeat_failure failures[PLAIN_MOST];
		struct plain plain[PLAIN_MOST];
		struct repeat_places places;
		/* coarse grids give many ties, fine ones few */
		int64_t step_mm = (int64_t[]){ 1, 1000, 2500, 5000 }[random_below(&state, 4)];
		int64_t length_mm = 10000 + random_below(&state, 60000);
		int64_t days = 1 + random_below(&state, 6000), step_days = 1 + random_below(&state, 400);
		struct rulebook rulebook = rules(10000, 1 + random_below(&state, 60),
			2 + random_below(&state, 3));
		size_t n = (size_t)random_below(&state, PLAIN_MOST + 1), count;

		for (size_t i = 0; i < n; i++) {
			failures[i] = (struct repeat_failure){ (int64_t)(i * 7 % PLAIN_MOST),
				(int32_t)(random_below(&state, days) / step_days * step_days),
				random_below(&state, length_mm) / step_mm * step_mm - 20000 };
		}
		count = plain_find(failures, n, &rulebook, plain);
		ck_assert(repeat_find(failures, n, &rulebook, &places));
		assert_same(&places, plain, count, group);
		found += count;
		repeat_places_release(&places);
	}
	ck_assert_uint_gt(found, 1000);  /* the groups are not empty ones */
}
END_TEST

static int by_position(const void *left, const void *right)
{
	const struct repeat_failure *a = left, *b = right;

	return (a->distance_mm > b->distance_mm) - (a->distance_mm < b->distance_mm);
}

/* Pairs of these that would be a place. */
static size_t pairs_left(struct repeat_failure *f, size_t n, const struct rulebook *rulebook)
{
	size_t pairs = 0;

	qsort(f, n, sizeof *f, by_position);
	for (size_t i = 0; i < n; i++) {
		for (size_t j = i + 1; j < n &&
			f[j].distance_mm - f[i].distance_mm <= rulebook->repeat_window_mm; j++) {
			int32_t first = f[i].day < f[j].day ? f[i].day : f[j].day;
			int32_t last = f[i].day < f[j].day ? f[j].day : f[i].day;

			pairs += last < day_add_months(first, (int)rulebook->repeat_period_months);
		}
	}
	return pairs;
}

/* Every place keeps its limits and shares nothing, and what is left over makes no pair. */
static void assert_sound(const struct repeat_failure *f, size_t n, const struct rulebook *rulebook,
	const struct repeat_places *places)
{
	char *taken = calloc(n, 1);
	struct repeat_failure *left = calloc(n, sizeof *left);
	size_t n_left = 0, wrong = 0;

	ck_assert(taken != NULL && left != NULL);
	for (size_t p = 0; p < places->count; p++) {
		const struct repeat_place *place = &places->places[p];

		wrong += repeat_span_mm(place) > rulebook->repeat_window_mm || place->count < 2 ||
			place->last_day >= day_add_months(place->first_day,
			(int)rulebook->repeat_period_months);
		for (size_t i = 0; i < place->count; i++) {
			size_t index = places->members[place->member + i];

			wrong += taken[index] || f[index].distance_mm < place->from_mm ||
				f[index].distance_mm > place->to_mm || f[index].day < place->first_day ||
				f[index].day > place->last_day;
			taken[index] = 1;
		}
	}
	ck_assert_uint_eq(wrong, 0);
	for (size_t i = 0; i < n; i++) {
		if (!taken[i]) {
			left[n_left++] = f[i];
		}
	}
	ck_assert_uint_eq(pairs_left(left, n_left, rulebook), 0);
	free(left);
	free(taken);
}

/* Over 40 years: spread over 100 km; in 40 clusters of 10 m; at 300 kilometre posts; all
 * on 10 m (a fifth of them, it is the slow case). */
START_TEST(keeps_its_word_on_20000_failures)
{
	enum { N = 20000 };
	struct repeat_failure *failures = calloc(N, sizeof *failures);
	struct rulebook rulebook = rules(10000, 60, 2);
	uint64_t state = 88172645463325252u;

	ck_assert_ptr_nonnull(failures);
	for (int kind = 0; kind < 4; kind++) {
		struct repeat_places places;
		size_t n = kind == 3 ? N / 5 : N;

		for (size_t i = 0; i < n; i++) {
			int64_t mm = kind == 0 ? random_below(&state, 100000000) :
				kind == 1 ? random_below(&state, 40) * 2500000 + random_below(&state, 10001) :
				kind == 2 ? random_below(&state, 300) * 1000000 : random_below(&state, 10001);

			failures[i] = (struct repeat_failure){ (int64_t)i,
				(int32_t)random_below(&state, 14610), mm };
		}
		ck_assert(repeat_find(failures, n, &rulebook, &places));
		assert_sound(failures, n, &rulebook, &places);
		repeat_places_release(&places);
	}
	free(failures);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		finds_the_places_worked_by_hand, needs_as_many_as_the_rulebook_says,
		says_where_when_and_how_often, takes_the_ends_of_the_number_range,
		agrees_with_a_plain_search_on_1000_random_groups, keeps_its_word_on_20000_failures, NULL };

	return case_run("repeat", tests);
}
