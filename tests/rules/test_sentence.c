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
	ck_assert_str_eq(to, "from 1970-01-01: −9223372036854775808, 0, 9223372036854775807");
	ck_assert(!s.cut);
	ck_assert_uint_eq(s.len, strlen(to));
}
END_TEST

/* By hand. 0.125, 2.5 and 0.0009765625 are ties that a double holds exactly; 1.005 is a little
 * below what it says, 2.345 a little above. */
static const struct { double value; int decimals; const char *text; } decimals[] = {
	{ 0, 0, "0" }, { 0, 2, "0.00" }, { 1, 0, "1" }, { 12.3, 1, "12.3" }, { 12.3, 3, "12.300" },
	{ 0.125, 2, "0.13" }, { -0.125, 2, "−0.13" }, { 2.5, 0, "3" }, { -2.5, 0, "−3" },
	{ 0.375, 2, "0.38" }, { 0.0009765625, 9, "0.000976563" }, { 1.005, 2, "1.00" },
	{ 0.615, 2, "0.61" }, { 2.345, 2, "2.35" }, { 0.49999999999999994, 0, "0" }, { 0.5, 0, "1" },
	{ 9.99, 1, "10.0" }, { 999.9999, 3, "1000.000" }, { -0.04, 1, "0.0" }, { -0.05, 1, "−0.1" },
	{ 0.000000001, 9, "0.000000001" }, { 1e-300, 9, "0.000000000" }, { 5e-324, 3, "0.000" },
	{ 123456789.987654321, 9, "123456789.987654328" },  /* the double beside it */
	{ 999999999999999.5, 1, "999999999999999.5" }, { 999999999999999.5, 0, "1000000000000000" },
	{ 1e15, 2, "more than 10^15" }, { 1.7e308, 2, "more than 10^15" },
	{ -1e15, 2, "less than −10^15" }, { INFINITY, 0, "more than 10^15" },
	{ -INFINITY, 0, "less than −10^15" }, { NAN, 3, "not known" },
	{ 1.5, -1, "2" }, { 1.5, 99, "1.500000000" },       /* decimals outside their bounds */
};

START_TEST(rounds_a_decimal_half_away_from_zero)
{
	for (size_t i = 0; i < sizeof decimals / sizeof decimals[0]; i++) {
		char to[60];
		struct sentence s;

		sentence_begin(&s, to, sizeof to);
		sentence_add_decimal(&s, decimals[i].value, decimals[i].decimals);
		ck_assert_msg(strcmp(to, decimals[i].text) == 0, "%.17g to %d: %s", decimals[i].value,
			decimals[i].decimals, to);
	}
}
END_TEST

/* By hand. */
static const struct { double value; int figures; const char *text; } figures[] = {
	{ 1234.6, 3, "1235" }, { 81.94, 3, "81.9" }, { 1.5, 3, "1.5" }, { 0.0754, 3, "0.0754" },
	{ 0.07546, 3, "0.0755" }, { 9.994, 3, "9.99" }, { 9.996, 3, "10" }, { 99.96, 3, "100" },
	{ 120, 2, "120" }, { 1230000, 3, "1230000" }, { 0, 4, "0" }, { -0.00012345, 3, "−0.000123" },
	{ -31.7864, 5, "−31.786" }, { 1e-12, 3, "0" }, { -1e-12, 3, "0" }, { 0.1, 9, "0.1" },
	{ 28.683181226, 6, "28.6832" }, { 1e14, 3, "100000000000000" }, { NAN, 3, "not known" },
	{ INFINITY, 3, "more than 10^15" },
};

START_TEST(writes_so_many_figures_and_no_idle_zeros)
{
	for (size_t i = 0; i < sizeof figures / sizeof figures[0]; i++) {
		char to[60];
		struct sentence s;

		sentence_begin(&s, to, sizeof to);
		sentence_add_figures(&s, figures[i].value, figures[i].figures);
		ck_assert_msg(strcmp(to, figures[i].text) == 0, "%.17g to %d: %s", figures[i].value,
			figures[i].figures, to);
	}
}
END_TEST

START_TEST(a_number_is_cut_like_any_text)
{
	char to[4];
	struct sentence s;

	sentence_begin(&s, to, sizeof to);
	sentence_add_decimal(&s, 12.345, 3);
	ck_assert(s.cut);
	ck_assert_str_eq(to, "12.");
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
		{ -0.5, 1, "−0.5" }, { -0.004, 2, "0" }, { 99.96, 1, "100" }, { 0.000001, 6, "0.000001" },
		{ 999999999999.0, 6, "999999999999" }, { 1e12, 0, "1000000000000" }, { NAN, 2, "not known" },
		{ -INFINITY, 2, "less than −10^15" },
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
	const TTest *const tests[] = { writes_text_numbers_and_days,
		rounds_a_decimal_half_away_from_zero, writes_so_many_figures_and_no_idle_zeros,
		a_number_is_cut_like_any_text, counts_one_without_an_s,
		rounds_a_number_and_drops_the_zeros_at_its_end,
		cuts_at_a_whole_character, writes_nothing_into_no_room, NULL };

	return case_run("sentence", tests);
}
