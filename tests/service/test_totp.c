/* Second factors by the published values, and codes that are typed. */
#include <string.h>

#include "case.h"
#include "service/access/code.h"
#include "service/access/totp.h"

/* RFC 6238, appendix B, the mode SHA1: the key is these twenty bytes, the figures are eight. */
static const unsigned char KEY[] = "12345678901234567890";
static const struct { int64_t seconds; uint32_t figures; } published[] = {
	{ 59, 94287082 }, { 1111111109, 7081804 }, { 1111111111, 14050471 }, { 1234567890, 89005924 },
	{ 2000000000, 69279037 }, { 20000000000, 65353130 } };

START_TEST(gives_the_figures_of_rfc_6238)
{
	for (size_t i = 0; i < sizeof published / sizeof published[0]; i++) {
		ck_assert_uint_eq(totp_figures(KEY, 20, published[i].seconds / TOTP_STEP_S, 8),
			published[i].figures);
	}
}
END_TEST

/* RFC 4226, appendix D: the first ten counters of the same key, six figures */
START_TEST(gives_the_figures_of_rfc_4226)
{
	static const uint32_t figures[] = { 755224, 287082, 359152, 969429, 338314, 254676, 287922,
		162583, 399871, 520489 };

	for (int64_t i = 0; i < 10; i++) {
		ck_assert_uint_eq(totp_figures(KEY, 20, i, 6), figures[i]);
	}
}
END_TEST

static bool fits(const char *typed, int64_t seconds, int64_t last_step, int64_t *step)
{
	*step = -1;
	return totp_fits(KEY, 20, typed, seconds * 1000, last_step, step);
}

/* 287082 are the last six of those at 59 s, which is step 1 */
START_TEST(figures_are_good_for_their_step_and_the_one_on_either_side_and_once)
{
	int64_t step;

	ck_assert(fits("287082", 59, 0, &step));
	ck_assert_int_eq(step, 1);
	ck_assert(fits("287 082", 89, 0, &step));    /* step 2 */
	ck_assert_int_eq(step, 1);
	ck_assert(!fits("287082", 90, 0, &step));    /* step 3 */
	ck_assert(fits("287082", 0, 0, &step));      /* step 0 */
	ck_assert(!fits("287082", 59, 1, &step));    /* used up */
	ck_assert(!fits("081804", 1111111109 - 60, 0, &step));
	ck_assert(fits("081804", 1111111109, 0, &step));
}
END_TEST

START_TEST(nothing_but_six_figures_is_looked_at)
{
	static const char *const typed[] = { "", "28708", "2870820", "28708a", "-87082", "287082\n",
		"0287082", "287,082", " ", "287082287082287082287082287082" };
	int64_t step;

	for (size_t i = 0; i < sizeof typed / sizeof typed[0]; i++) {
		ck_assert_msg(!fits(typed[i], 59, 0, &step), "%s", typed[i]);
	}
}
END_TEST

/* RFC 4648, section 10: what needs no padding ("fooba" is MZXW6YTB) */
START_TEST(base32_is_that_of_rfc_4648)
{
	char text[64];

	base32_write((const unsigned char *)"fooba", 5, '\0', text, sizeof text);
	ck_assert_str_eq(text, "MZXW6YTB");
	base32_write(KEY, 20, ' ', text, sizeof text);
	ck_assert_str_eq(text, "GEZD GNBV GY3T QOJQ GEZD GNBV GY3T QOJQ");
}
END_TEST

START_TEST(a_code_is_known_however_it_is_typed_and_no_other)
{
	char code[CODE_SIZE], other[CODE_SIZE], hash[CODE_HASH_SIZE], got[CODE_HASH_SIZE];
	char typed[CODE_SIZE];
	size_t n = 0;

	code_make(code, hash);
	ck_assert_uint_eq(strlen(code), 29);
	code_hash(code, got);
	ck_assert_str_eq(got, hash);
	for (const char *c = code; *c != '\0'; c++) {   /* small letters, no hyphens */
		if (*c != '-') {
			typed[n++] = (char)(*c >= 'A' && *c <= 'Z' ? *c + 32 : *c);
		}
	}
	typed[n] = '\0';
	code_hash(typed, got);
	ck_assert_str_eq(got, hash);
	typed[n - 1] = '\0';
	code_hash(typed, got);
	ck_assert_str_eq(got, "");
	code_hash("AAAA-AAAA-AAAA-AAAA-AAAA-AAA1", got);
	ck_assert_str_eq(got, "");
	code_make(other, got);
	ck_assert_str_ne(other, code);
	ck_assert_str_ne(got, hash);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { gives_the_figures_of_rfc_6238, gives_the_figures_of_rfc_4226,
		figures_are_good_for_their_step_and_the_one_on_either_side_and_once,
		nothing_but_six_figures_is_looked_at, base32_is_that_of_rfc_4648,
		a_code_is_known_however_it_is_typed_and_no_other, NULL };

	return case_run("totp", tests);
}
