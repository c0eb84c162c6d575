#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/utf8.h"
#include "case.h"

/* The decimal as written in the source is the shortest form of the double that it gives. */
static const struct { double value; const char *written; } reals[] = {
	{ 0.1, "0.1" }, { 0.5, "0.5" }, { -0.5, "-0.5" }, { 12.345, "12.345" }, { 0.001, "0.001" },
	{ 0.000123, "0.000123" }, { 99999999.125, "99999999.125" }, { -12345.678901, "-12345.678901" },
	{ 3, "3" }, { 0, "0" }, { -0.0, "0" }, { 1e15, "1e+15" }, { 1e-7, "1e-07" },
	{ 0.30000000000000004, "0.30000000000000004" }, { 1.0 / 3, "0.3333333333333333" },
	{ 123456789.5, "123456789.5" },
	{ 54.75848402, "54.75848402" }, { 10.01, "10.01" }, { 100.1, "100.1" },
};

START_TEST(writes_reals_in_their_shortest_form)
{
	for (size_t i = 0; i < sizeof reals / sizeof reals[0]; i++) {
		struct text t = { 0 };

		text_add_real(&t, reals[i].value);
		ck_assert_str_eq(t.data, reals[i].written);
		text_release(&t);
	}
}
END_TEST

START_TEST(every_real_reads_back)
{
	uint64_t state = 88172645463325252;   /* xorshift64: the same numbers in each run */
	struct text t = { 0 };

	for (int i = 0; i < 200000; i++) {
		double value;

		state ^= state << 13;
		state ^= state >> 7;
		state ^= state << 17;
		if (i % 2 == 0) {
			memcpy(&value, &state, sizeof value);
		} else {
			value = (double)(int64_t)(state >> 24) / (i % 3 == 0 ? 1000 : 999983);
		}
		if (!isfinite(value)) {
			continue;
		}
		text_clear(&t);
		text_add_real(&t, value);
		ck_assert_msg(strtod(t.data, NULL) == value, "%.17g was written as %s", value, t.data);
	}
	text_release(&t);
}
END_TEST

START_TEST(writes_what_is_not_finite_as_null)
{
	struct text t = { 0 };

	text_add_real(&t, NAN);
	text_add_real(&t, -INFINITY);
	ck_assert_str_eq(t.data, "nullnull");
	text_release(&t);
}
END_TEST

START_TEST(writes_json_strings_that_stay_valid)
{
	struct text t = { 0 };

	text_add_json(&t, "a\"b\\c\n\x1F\xC3\xA9\xFF\0d", 12);
	ck_assert_uint_eq(t.len, strlen(t.data));
	ck_assert_str_eq(t.data, "\"a\\\"b\\\\c\\u000a\\u001f\xC3\xA9\xEF\xBF\xBD\\u0000d\"");
	text_release(&t);
}
END_TEST

START_TEST(writes_whole_numbers_to_both_ends)
{
	struct text t = { 0 };

	text_add_integer(&t, INT64_MIN);
	text_add_char(&t, ' ');
	text_add_integer(&t, INT64_MAX);
	text_add_char(&t, ' ');
	text_add_integer(&t, 0);
	ck_assert_str_eq(t.data, "-9223372036854775808 9223372036854775807 0");
	text_release(&t);
}
END_TEST

START_TEST(cuts_what_does_not_fit_at_a_whole_character)
{
	char to[8];

	/* "é" has two bytes, "€" three */
	text_fit(to, sizeof to, "%s", "1234567");
	ck_assert_str_eq(to, "1234567");
	text_fit(to, sizeof to, "%s", "12345678");
	ck_assert_str_eq(to, "1234...");
	text_fit(to, sizeof to, "%s", "12\u00e9\u00e9\u00e9");
	ck_assert_str_eq(to, "12\u00e9...");
	text_fit(to, sizeof to, "12%d\u00e9\u00e9\u00e9", 3);
	ck_assert_str_eq(to, "123...");
	text_fit_copy(to, sizeof to, "12\u20ac\u20ac", 8);
	ck_assert_str_eq(to, "12...");
	text_fit_copy(to, sizeof to, "1\u20ac\u20ac", 7);
	ck_assert_str_eq(to, "1\u20ac\u20ac");
	text_fit_copy(to, sizeof to, "1\u20ac\u20ac", 3);   /* (a part of a text that is whole) */
	ck_assert_str_eq(to, "1");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { writes_reals_in_their_shortest_form, every_real_reads_back,
		writes_what_is_not_finite_as_null, writes_json_strings_that_stay_valid,
		writes_whole_numbers_to_both_ends,
		cuts_what_does_not_fit_at_a_whole_character, NULL };

	return case_run("text", tests);
}
