#include <math.h>
#include <string.h>

#include "base/decimal.h"
#include "base/near.h"
#include "case.h"

/* Expected values are the written decimal itself, as the compiler reads it. */
static const struct { const char *text; char decimal; bool right; double value; } reals[] = {
	{ "12.5", '.', true, 12.5 }, { "12,5", ',', true, 12.5 },
	{ "12,5", '.', false, 0 }, { "12.5", ',', false, 0 },
	{ "1.234,5", ',', false, 0 }, { "1,234.5", '.', false, 0 },
	{ "1 234", '.', false, 0 }, { "1'234", '.', false, 0 },
	{ ".3", '.', true, 0.3 }, { "401.", '.', true, 401 }, { ".", '.', false, 0 },
	{ "-0,0", ',', true, 0 }, { "+7", '.', true, 7 }, { "--7", '.', false, 0 },
	{ "\xE2\x88\x92" "4,5", ',', true, -4.5 }, { "-4,5", ',', true, -4.5 },
	{ "1E-05", '.', true, 1e-5 }, { "2,5e3", ',', true, 2500 },
	{ "1e", '.', false, 0 }, { "e5", '.', false, 0 }, { "1e400", '.', false, 0 },
	{ "", '.', false, 0 }, { "-", '.', false, 0 }, { "nan", '.', false, 0 },
	{ "inf", '.', false, 0 }, { "0x10", '.', false, 0 }, { "12 ", '.', false, 0 },
	{ "153..0", '.', false, 0 }, { "95mm", '.', false, 0 },
};

START_TEST(reads_numbers_by_their_mark_and_no_thousands)
{
	for (size_t i = 0; i < sizeof reals / sizeof reals[0]; i++) {
		double value = 0;
		bool right = decimal_read(reals[i].text, strlen(reals[i].text), reals[i].decimal, &value);

		ck_assert_msg(right == reals[i].right, "\"%s\" with '%c'", reals[i].text,
			reals[i].decimal);
		ck_assert_msg(!right || value == reals[i].value, "\"%s\" gave %g", reals[i].text, value);
		ck_assert_msg(!signbit(value) || value != 0, "\"%s\" gave -0", reals[i].text);
	}
}
END_TEST

START_TEST(refuses_more_than_60_digits)
{
	char digits[62];

	memset(digits, '1', sizeof digits);
	ck_assert(decimal_read(digits, 60, '.', &(double){ 0 }));
	ck_assert(!decimal_read(digits, 61, '.', &(double){ 0 }));
}
END_TEST

static const struct { const char *text; bool right; int64_t value; } integers[] = {
	{ "0", true, 0 }, { "007", true, 7 }, { "-12", true, -12 }, { "3.0", true, 3 },
	{ "3.5", false, 0 }, { "2E3", true, 2000 },
	{ "9223372036854775807", true, INT64_MAX }, { "9223372036854775808", false, 0 },
	{ "-9223372036854775807", true, -INT64_MAX }, { "-9223372036854775808", false, 0 },
	{ "9007199254740992.0", true, 9007199254740992 }, { "9007199254740994.0", false, 0 },
	{ "", false, 0 }, { "+", false, 0 }, { "1 000", false, 0 }, { "1e300", false, 0 },
};

START_TEST(reads_whole_numbers_exactly)
{
	for (size_t i = 0; i < sizeof integers / sizeof integers[0]; i++) {
		int64_t value = 0;
		bool right = decimal_read_integer(integers[i].text, strlen(integers[i].text), '.', &value);

		ck_assert_msg(right == integers[i].right, "\"%s\"", integers[i].text);
		ck_assert_msg(!right || value == integers[i].value, "\"%s\"", integers[i].text);
	}
}
END_TEST

START_TEST(finds_the_name_that_was_meant)
{
	static const char *const known[] = { "current_a", "length_m", "kind", "cables", "label", "a" };
	static const struct { const char *typed, *meant; } names[] = {
		{ "curent_a", "current_a" }, { "CURRENT_A", "current_a" }, { "length", "length_m" },
		{ "leng", NULL }, { "kimd", "kind" }, { "knid", "kind" }, { "kidn", "kind" },
		{ "kxyd", NULL }, { "lable", "label" }, { "b", NULL }, { "", NULL },
		{ "current_a_current_a_current_a_current_a_x", NULL },
	};

	for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
		struct near nearest = { 0 };

		for (size_t j = 0; j < sizeof known / sizeof known[0]; j++) {
			near_try(&nearest, names[i].typed, strlen(names[i].typed), known[j]);
		}
		ck_assert_msg(names[i].meant == NULL ? nearest.name == NULL : nearest.name != NULL &&
			strcmp(nearest.name, names[i].meant) == 0, "%s", names[i].typed);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { reads_numbers_by_their_mark_and_no_thousands,
		refuses_more_than_60_digits, reads_whole_numbers_exactly, finds_the_name_that_was_meant,
		NULL };

	return case_run("decimal", tests);
}
