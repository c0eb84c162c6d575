#include <math.h>
#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/sentence.h"

START_TEST(writes_text_numbers_and_days)
{
	char to[120];
	struct sentence s;

	sentence_begin(&s, to, sizeof to);
	sentence_add(&s, "from ");
	sentence_add_day(&s, 0);
	sentence_add_day(&s, DAY_NONE);
	sentence_add(&s, ": ");
	sentence_add_integer(&s, INT64_MIN);
	sentence_add(&s, ", ");
	sentence_add_integer(&s, 0);
	sentence_add(&s, ", ");
	sentence_add_integer(&s, INT64_MAX);
	ck_assert_str_eq(to, "from 1970-01-01: -9223372036854775808, 0, 9223372036854775807");
	ck_assert(!s.cut);
	ck_assert_uint_eq(s.len, strlen(to));
}
END_TEST

START_TEST(counts_one_without_an_s)
{
	char to[40];
	struct sentence s;

	sentence_begin(&s, to, sizeof to);
	sentence_add_count(&s, 1, "day");
	sentence_add(&s, ", ");
	sentence_add_count(&s, 0, "day");
	sentence_add(&s, ", ");
	sentence_add_count(&s, 12, "month");
	ck_assert_str_eq(to, "1 day, 0 days, 12 months");
}
END_TEST

START_TEST(rounds_a_number_and_drops_the_zeros_at_its_end)
{
	static const struct { double value; int decimals; const char *text; } rows[] = {
		{ 2, 3, "2" }, { 1.25, 2, "1.25" }, { 1.25, 1, "1.3" }, { 1.205, 2, "1.21" },
		{ 1.0004, 3, "1" }, { 10.05, 3, "10.05" }, { 0.75, 0, "1" }, { 0, 2, "0" },
		{ -0.5, 1, "-0.5" }, { -0.004, 2, "0" }, { 99.96, 1, "100" }, { 0.000001, 6, "0.000001" },
		{ 999999999999.0, 6, "999999999999" }, { 1e12, 0, "" }, { NAN, 2, "" }, { -INFINITY, 2, "" },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		char to[32];
		struct sentence s;

		sentence_begin(&s, to, sizeof to);
		sentence_add_real(&s, rows[i].value, rows[i].decimals);
		ck_assert_str_eq(to, rows[i].text);
	}
}
END_TEST

START_TEST(cuts_at_a_whole_character)
{
	char to[6];
	struct sentence s;

	sentence_begin(&s, to, sizeof to);
	sentence_add(&s, "12345");
	ck_assert(!s.cut);
	sentence_begin(&s, to, sizeof to);
	sentence_add(&s, "1234\xC2\xB5");  /* a micro sign, of which one byte would fit */
	ck_assert(s.cut);
	ck_assert_str_eq(to, "1234");
	sentence_add(&s, "5");              /* and nothing after it */
	ck_assert_str_eq(to, "1234");
}
END_TEST

START_TEST(writes_nothing_into_no_room)
{
	char to[2] = "x";
	struct sentence s;

	sentence_begin(&s, to, 0);
	sentence_add(&s, "text");
	ck_assert_str_eq(to, "x");
	sentence_begin(&s, to, 1);
	sentence_add(&s, "text");
	ck_assert_str_eq(to, "");
	ck_assert(s.cut);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { writes_text_numbers_and_days, counts_one_without_an_s,
		rounds_a_number_and_drops_the_zeros_at_its_end,
		cuts_at_a_whole_character, writes_nothing_into_no_room, NULL };

	return case_run("sentence", tests);
}
