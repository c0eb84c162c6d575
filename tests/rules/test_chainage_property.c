/*
 * For every notation, random places on random maps (gaps, overlaps, long stretches, all of them in
 * any order): what is written reads back to the same millimetre, and never to anything else.
 */
#include <inttypes.h>
#include <string.h>

#include "case.h"
#include "rules/place/chainage.h"

enum { PLACES = 100000, PLACES_PER_MAP = 50, STRETCHES_MOST = 12 };

/* xorshift64*: the same places in every run. */
static uint64_t seed = 88172645463325252u;

static int64_t pick(int64_t least, int64_t most)
{
	seed ^= seed >> 12;
	seed ^= seed << 25;
	seed ^= seed >> 27;
	return least + (int64_t)(seed * 2685821657736338717u % (uint64_t)(most - least + 1));
}

/* Lengths of all sizes, also 0 and 1 mm. */
static int64_t pick_length(void)
{
	static const int64_t most[] = { 1, 1000, 100000, 2500000, 300000000 };

	return pick(0, most[pick(0, 4)]);
}

static size_t pick_map(struct map_stretch *s)
{
	size_t count = (size_t)pick(1, STRETCHES_MOST);
	int64_t distance_mm = pick(-1000000, 1000000);
	int64_t value_mm = pick(-3000000, 50000000);

	for (size_t i = 0; i < count; i++) {
		int64_t length_mm = pick_length() + (i == 0 ? 1 : 0);   /* none at all is no map */
		bool on_post = pick(0, 2) == 0;

		value_mm = on_post ? value_mm / 100000 * 100000 : value_mm;
		s[i] = (struct map_stretch){ distance_mm, value_mm, value_mm + length_mm,
			value_mm >= 0 && pick(0, 2) == 0 };
		distance_mm += length_mm;
		value_mm += length_mm + (pick(0, 3) == 0 ? 0 : pick(0, 1) ? pick_length() : -pick_length());
	}
	return count;
}

/* Anywhere, but every third time within 1 mm of an end of a stretch. */
static int64_t pick_place(const struct map_stretch *s, size_t count)
{
	int64_t first_mm = s[0].distance_mm;
	int64_t last_mm = s[count - 1].distance_mm + s[count - 1].end_mm - s[count - 1].start_mm;
	int64_t mm = pick(first_mm, last_mm);

	if (pick(0, 2) == 0) {
		mm = s[pick(0, (int64_t)count - 1)].distance_mm + pick(-1, 1);
	}
	return mm < first_mm ? first_mm : mm > last_mm ? last_mm : mm;
}

/* NULL, or what is not as it should be. Check's assertions write a record each: too slow here. */
static const char *fault_at(const struct line_map *map, int64_t mm, char text[CHAINAGE_TEXT_SIZE])
{
	struct chainage_candidate all[STRETCHES_MOST];
	struct problem why = { 0 };
	int64_t read_mm = INT64_MIN;
	size_t len = chainage_write(mm, map, text, CHAINAGE_TEXT_SIZE);
	size_t count = chainage_candidates(text, len, map, all, STRETCHES_MOST);
	const char *mark = strchr(text, '#');
	bool is_candidate = false;

	if (len == 0 || len >= CHAINAGE_TEXT_SIZE) {
		return "is not written";
	}
	if (!chainage_read(text, len, map, &read_mm, &why) || read_mm != mm) {
		return "does not read back";
	}
	for (size_t i = 0; i < count; i++) {
		is_candidate = is_candidate || all[i].distance_mm == mm;
		if ((i > 0 && all[i - 1].distance_mm >= all[i].distance_mm) ||
			!chainage_read(all[i].text, strlen(all[i].text), map, &read_mm, &why) ||
			read_mm != all[i].distance_mm) {
			return "has a candidate that does not read back";
		}
	}
	if (!is_candidate || (mark != NULL) != (count > 1)) {
		return "is not what the candidates say";
	}
	if (mark != NULL && (chainage_read(text, (size_t)(mark - text), map, &read_mm, &why) ||
		why.code != PROBLEM_CHAINAGE_AMBIGUOUS)) {
		return "reads without its qualifier";
	}
	return NULL;
}

static void check_place(const struct line_map *map, int64_t mm)
{
	char text[CHAINAGE_TEXT_SIZE];
	const char *fault = fault_at(map, mm, text);

	if (fault != NULL) {
		ck_abort_msg("%s (%" PRId64 " mm) %s", text, mm, fault);
	}
}

START_TEST(what_was_written_reads_back_to_the_same_millimetre)
{
	struct map_stretch s[STRETCHES_MOST];
	struct line_map map = { (enum notation)_i, s, 0 };

	for (int i = 0; i < PLACES; i++) {
		struct problem why = { 0 };

		if (i % PLACES_PER_MAP == 0) {
			map.count = pick_map(s);
			ck_assert_msg(line_map_check(&map, &why), "%s", why.detail);
		}
		check_place(&map, pick_place(s, map.count));
	}
}
END_TEST

START_TEST(a_plain_line_reads_back_too)
{
	const struct line_map map = { (enum notation)_i, NULL, 0 };

	check_place(&map, CHAINAGE_LIMIT_MM);
	check_place(&map, -CHAINAGE_LIMIT_MM);
	for (int i = 0; i < PLACES / 5; i++) {
		check_place(&map, i % 2 == 0 ? pick(-CHAINAGE_LIMIT_MM, CHAINAGE_LIMIT_MM) :
			pick(-2000000, 2000000));
	}
}
END_TEST

int main(void)
{
	Suite *suite = suite_create("chainage_property");
	TCase *tcase = tcase_create("chainage_property");
	SRunner *runner = srunner_create(suite);
	int failed;

	tcase_set_timeout(tcase, 120);
	tcase_add_loop_test(tcase, what_was_written_reads_back_to_the_same_millimetre,
		0, NOTATION_MILES + 1);
	tcase_add_loop_test(tcase, a_plain_line_reads_back_too, 0, NOTATION_MILES + 1);
	suite_add_tcase(suite, tcase);
	srunner_run_all(runner, CK_ENV);
	failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
