#include <iconv.h>
#include <string.h>

#include "base/charset.h"
#include "base/utf8.h"
#include "case.h"

/* The tables were written by hand; glibc's iconv is the independent source. */
static void compare_with_iconv(enum charset from, const char *name, unsigned undefined)
{
	iconv_t converter = iconv_open("UTF-8", name);
	unsigned refused = 0;

	ck_assert(converter != (iconv_t)-1);
	for (unsigned byte = 1; byte < 256; byte++) {
		char in = (char)byte;
		char out[8], ours[4];
		char *from_at = &in, *to_at = out;
		size_t from_left = 1, to_left = sizeof out;
		bool known = iconv(converter, &from_at, &from_left, &to_at, &to_left) != (size_t)-1;
		uint32_t code_point = charset_code_point(from, (unsigned char)byte);
		size_t len;

		iconv(converter, NULL, NULL, NULL, NULL);
		ck_assert_msg(known == (code_point != 0), "%s %02X", name, byte);
		refused += !known;
		len = known ? utf8_put(code_point, ours) : 0;
		ck_assert_msg(!known || (len == sizeof out - to_left && memcmp(ours, out, len) == 0),
			"%s %02X", name, byte);
	}
	ck_assert_uint_eq(refused, undefined);
	iconv_close(converter);
}

START_TEST(agrees_with_iconv_on_every_byte)
{
	compare_with_iconv(CHARSET_CP850, "CP850", 0);
	compare_with_iconv(CHARSET_WINDOWS_1252, "CP1252", 5);   /* 81 8D 8F 90 9D */
}
END_TEST

/* The same two words in each encoding: Übergang, Süd. */
static const struct { enum charset from; const char *bytes; } same[] = {
	{ CHARSET_UTF_8, "\xC3\x9C" "bergang S\xC3\xBC" "d" },
	{ CHARSET_UTF_8, "\xEF\xBB\xBF\xC3\x9C" "bergang S\xC3\xBC" "d" },
	{ CHARSET_WINDOWS_1252, "\xDC" "bergang S\xFC" "d" },
	{ CHARSET_CP850, "\x9A" "bergang S\x81" "d" },
};

START_TEST(gives_the_same_text_from_each_encoding)
{
	for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
		struct text to = { 0 };
		struct problem why = { 0 };

		ck_assert(charset_to_utf8(same[i].from, same[i].bytes, strlen(same[i].bytes), &to, &why));
		ck_assert_str_eq(to.data, same[0].bytes);
		text_release(&to);
	}
}
END_TEST

START_TEST(names_the_byte_that_does_not_exist)
{
	struct text to = { 0 };
	struct problem why = { 0 };

	ck_assert(!charset_to_utf8(CHARSET_UTF_8, "a;b\r\nS\xFC" "d;1\n", 11, &to, &why));
	ck_assert_int_eq(why.code, PROBLEM_MALFORMED);
	ck_assert_str_eq(why.detail, "the file is not UTF-8: byte FC in line 2, byte 2 of that line "
		"(offset 6 in the file), does not exist in it; choose another encoding or save the file "
		"again as UTF-8");
	ck_assert(!charset_to_utf8(CHARSET_WINDOWS_1252, "a\rb\nc\x90", 6, &to, &why));
	ck_assert_ptr_nonnull(strstr(why.detail, "not Windows-1252: byte 90 in line 3, byte 2"));
	ck_assert(!charset_to_utf8(CHARSET_UTF_8, "\xEF\xBB\xBF" "1234567\xC3", 11, &to, &why));
	ck_assert_ptr_nonnull(strstr(why.detail, "byte C3 in line 1, byte 11"));
	text_release(&to);
}
END_TEST

START_TEST(takes_an_empty_file)
{
	struct text to = { 0 };
	struct problem why = { 0 };

	ck_assert(charset_to_utf8(CHARSET_UTF_8, "", 0, &to, &why));
	ck_assert(charset_to_utf8(CHARSET_CP850, "", 0, &to, &why));
	ck_assert_uint_eq(to.len, 0);
	text_release(&to);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_iconv_on_every_byte,
		gives_the_same_text_from_each_encoding, names_the_byte_that_does_not_exist,
		takes_an_empty_file, NULL };

	return case_run("charset", tests);
}
