/* Where requests end in a stream of bytes, and which bytes are none. */
#include <string.h>

#include "case.h"
#include "http/framing.h"

#define HEAD "POST /a HTTP/1.1\r\nHost: x\r\n"

/* heads: read to their end; whole: bytes of whole requests; both -1 where it is refused. */
static const struct {
	const char *label, *bytes;
	int heads, whole;
	enum problem_code code;
} rows[] = {
	{ "a head", "GET /a HTTP/1.1\r\nHost: x\r\n\r\n", 1, 28, PROBLEM_NONE },
	{ "1.0 without a header", "GET / HTTP/1.0\r\n\r\n", 1, 18, PROBLEM_NONE },
	{ "a head that goes on", HEAD, 0, 0, PROBLEM_NONE },
	{ "values with every shown byte", HEAD "A: \t !~\x80\xFF:\r\nB:\r\n\r\n", 1, 45, PROBLEM_NONE },
	{ "a body", HEAD "Content-Length: 3\r\n\r\na\nb", 1, 51, PROBLEM_NONE },
	{ "a body that is not whole", HEAD "Content-Length: 3\r\n\r\na\n", 1, 0, PROBLEM_NONE },
	{ "spaces around a length", HEAD "content-length: \t1 \r\n\r\n\n", 1, 51, PROBLEM_NONE },
	{ "one after the other", "GET /a HTTP/1.1\r\n\r\n" HEAD "Content-Length: 1\r\n\r\n\nGET /b HTTP/1.1\r\n"
		"\r\n", 3, 87, PROBLEM_NONE },
	{ "chunks", HEAD "Transfer-Encoding: chunked\r\n\r\nA;x=\"y\"\r\n0123456789\r\n1\r\n\n\r\n0\r\n\r\n",
		1, 89, PROBLEM_NONE },
	{ "trailers", HEAD "Transfer-Encoding: chunked\r\n\r\n0\r\nA: b\r\n\r\nGET /b HTTP/1.1\r\n\r\n", 2, 87,
		PROBLEM_NONE },
	{ "both lengths: nothing follows", HEAD "Content-Length: 1\r\nTransfer-Encoding: chunked\r\n\r\n\n\n",
		1, 0, PROBLEM_NONE },
	{ "two lengths: nothing follows", HEAD "Content-Length: 1\r\nContent-Length: 1\r\n\r\n\n\n", 1, 0,
		PROBLEM_NONE },
	{ "another coding: nothing follows", HEAD "Transfer-Encoding: gzip, chunked\r\n\r\n\n", 1, 0,
		PROBLEM_NONE },

	{ "a bare LF after the request line", "GET /a HTTP/1.1\nHost: x\r\n\r\n", -1, -1,
		PROBLEM_MALFORMED },
	{ "a bare LF after a header", HEAD "A: b\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a length behind a bare LF", HEAD "A: b\nContent-Length: 5\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a bare LF for the empty line", HEAD "\n", -1, -1, PROBLEM_MALFORMED },
	{ "a bare CR", HEAD "A: b\rc\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "two CR", HEAD "A: b\r\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a bare CR for the empty line", HEAD "\rA", -1, -1, PROBLEM_MALFORMED },
	{ "a line that goes on", HEAD "A: b\r\n c\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "one that goes on with a tab", HEAD "A: b\r\n\tc\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a space first of all", "GET /a HTTP/1.1\r\n Host: x\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a control character", HEAD "A: b\x01\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "DEL", HEAD "A: b\x7F\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a space before the colon", HEAD "Content-Length : 2\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "no colon", HEAD "A\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "no name", HEAD ": b\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a name in UTF-8", HEAD "\xC3\xA4: b\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "no number of bytes", HEAD "Content-Length: x\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "no length", HEAD "Content-Length:\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a sign", HEAD "Content-Length: +1\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a list of lengths", HEAD "Content-Length: 1, 1\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "19 digits", HEAD "Content-Length: 1000000000000000000\r\n\r\n", -1, -1, PROBLEM_TOO_LARGE },
	{ "an empty line first", "\r\nGET /a HTTP/1.1\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "two spaces", "GET  /a HTTP/1.1\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a space in the address", "GET /a b HTTP/1.1\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a space at the end", "GET /a HTTP/1.1 \r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "no version", "GET /a\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "another version", "GET /a HTTP/2.0\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a method that is no word", "G(T /a HTTP/1.1\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a size that is none", HEAD "Transfer-Encoding: chunked\r\n\r\nx\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "no size", HEAD "Transfer-Encoding: chunked\r\n\r\n\r\n", -1, -1, PROBLEM_MALFORMED },
	{ "a size of 16 digits", HEAD "Transfer-Encoding: chunked\r\n\r\n0000000000000001\r\n", -1, -1,
		PROBLEM_MALFORMED },
	{ "a bare LF after a size", HEAD "Transfer-Encoding: chunked\r\n\r\n1\n\n\r\n", -1, -1,
		PROBLEM_MALFORMED },
	{ "a bare LF beside a size", HEAD "Transfer-Encoding: chunked\r\n\r\n1;\n\n\r\n", -1, -1,
		PROBLEM_MALFORMED },
	{ "a chunk that is longer", HEAD "Transfer-Encoding: chunked\r\n\r\n1\r\nab\r\n", -1, -1,
		PROBLEM_MALFORMED },
	{ "a bare LF after a chunk", HEAD "Transfer-Encoding: chunked\r\n\r\n1\r\na\n", -1, -1,
		PROBLEM_MALFORMED },
	{ "a bare LF in a trailer", HEAD "Transfer-Encoding: chunked\r\n\r\n0\r\nA: b\n\r\n", -1, -1,
		PROBLEM_MALFORMED },
};

/* step: bytes given at once */
static void read_row(size_t i, size_t step)
{
	const char *bytes = rows[i].bytes;
	size_t len = strlen(bytes), whole, last = 0;
	struct framing f = { 0 };
	struct problem why = { 0 };
	bool ok = true;

	for (size_t at = 0; ok && at < len; at += step) {
		ok = framing_read(&f, bytes + at, len - at < step ? len - at : step, &whole, &why);
		last = whole > 0 ? at + whole : last;
	}
	ck_assert_msg(ok == (rows[i].code == PROBLEM_NONE) && why.code == rows[i].code, "%s: %s",
		rows[i].label, why.detail);
	ck_assert_msg(!ok || (int)f.heads == rows[i].heads, "%s: %d heads", rows[i].label, (int)f.heads);
	ck_assert_msg(!ok || (int)last == rows[i].whole, "%s: %d bytes", rows[i].label, (int)last);
}

START_TEST(one_reading_however_the_bytes_come)
{
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		read_row(i, 1);
		read_row(i, 2);
		read_row(i, 7);
		read_row(i, 1000);
	}
}
END_TEST

START_TEST(no_byte_of_a_head_is_nul)
{
	static const char head[] = "GET /a HTTP/1.1\r\nHost: x\r\n\r\n";

	for (size_t at = 0; at < sizeof head - 1; at++) {
		char bytes[sizeof head];
		struct framing f = { 0 };
		struct problem why = { 0 };
		size_t whole;

		memcpy(bytes, head, sizeof head);
		bytes[at] = '\0';
		ck_assert_msg(!framing_read(&f, bytes, sizeof head - 1, &whole, &why), "byte %zu", at);
		ck_assert_int_eq(why.code, PROBLEM_MALFORMED);
	}
}
END_TEST

/* What stands before a refused head is whole, and can be answered. */
START_TEST(what_is_whole_is_told_from_what_is_refused)
{
	static const char bytes[] = "GET /a HTTP/1.1\r\n\r\nGET /b HTTP/1.1\n\n";
	struct framing f = { 0 };
	struct problem why = { 0 };
	size_t whole;

	ck_assert(!framing_read(&f, bytes, sizeof bytes - 1, &whole, &why));
	ck_assert_uint_eq(whole, 19);
}
END_TEST

static enum problem_code code_of(size_t bytes, size_t lines)
{
	static char line[FRAMING_HEAD_MOST + 10];
	struct framing f = { 0 };
	struct problem why = { 0 };
	size_t whole;

	memset(line, 'x', sizeof line);
	framing_read(&f, "GET / HTTP/1.1\r\n", 16, &whole, &why);
	for (size_t i = 1; i < lines; i++) {
		framing_read(&f, "A: b\r\n", 6, &whole, &why);
	}
	if (bytes > 0) {   /* of the whole head */
		framing_read(&f, "A:", 2, &whole, &why);
		framing_read(&f, line, bytes - 16 - 2 - 4, &whole, &why);
		framing_read(&f, "\r\n", 2, &whole, &why);
	}
	return framing_read(&f, "\r\n", 2, &whole, &why) ? PROBLEM_NONE : why.code;
}

START_TEST(a_head_has_an_end)
{
	ck_assert_int_eq(code_of(FRAMING_HEAD_MOST, 1), PROBLEM_NONE);
	ck_assert_int_eq(code_of(FRAMING_HEAD_MOST + 1, 1), PROBLEM_HEAD_LARGE);
	ck_assert_int_eq(code_of(0, FRAMING_LINES_MOST), PROBLEM_NONE);
	ck_assert_int_eq(code_of(0, FRAMING_LINES_MOST + 1), PROBLEM_HEAD_LARGE);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { one_reading_however_the_bytes_come, no_byte_of_a_head_is_nul,
		what_is_whole_is_told_from_what_is_refused, a_head_has_an_end, NULL };

	return case_run("framing", tests);
}
