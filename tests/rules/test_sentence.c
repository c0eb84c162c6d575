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
		cuts_at_a_whole_character, writes_nothing_into_no_room, NULL };

	return case_run("sentence", tests);
}
