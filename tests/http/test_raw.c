/* Bytes that another program would read in another way, over a real socket: what is refused is
 * refused once, the connection ends, and nothing behind it is done. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "case.h"
#include "http/served.h"

static struct served s;

/* A write, which must not be done, behind what is refused. */
#define SMUGGLED POST_BOND "Content-Length: 2\r\n\r\n{}"

static const struct { const char *label, *bytes; size_t nul; int status; } rows[] = {
	{ "a bare LF after the request line", "GET /api/bonds/7 HTTP/1.1\n" HOST "\r\n" SMUGGLED, 0, 400 },
	{ "a bare LF after a header", "GET /api/bonds/7 HTTP/1.1\r\nHost: test\n\r\n" SMUGGLED, 0, 400 },
	{ "a bare LF for the empty line", "GET /api/bonds/7 HTTP/1.1\r\n" HOST "\n" SMUGGLED, 0, 400 },
	{ "a second length behind a bare LF", POST_BOND "Content-Length: 110\r\nA: b\nContent-Length: 2\r\n"
		"\r\n{}" SMUGGLED, 0, 400 },
	{ "NUL in a header", "GET /api/bonds/7 HTTP/1.1\r\n" HOST "A: b?c\r\n\r\n" SMUGGLED, 43, 400 },
	{ "NUL before a line feed", "GET /api/bonds/7 HTTP/1.1\r\n" HOST "A: b?\n\r\n" SMUGGLED, 43, 400 },
	{ "NUL in the address", "GET /api/bonds/?7 HTTP/1.1\r\n" HOST "\r\n" SMUGGLED, 15, 400 },
	{ "a bare CR", "GET /api/bonds/7 HTTP/1.1\r\n" HOST "A: b\rc\r\n\r\n" SMUGGLED, 0, 400 },
	{ "a header that goes on", "GET /api/bonds/7 HTTP/1.1\r\n" HOST "A: b\r\n c\r\n\r\n" SMUGGLED, 0, 400 },
	{ "a length that goes on", POST_BOND "Content-Length:\r\n 2\r\n\r\n{}" SMUGGLED, 0, 400 },
	{ "no colon", "GET /api/bonds/7 HTTP/1.1\r\n" HOST "A\r\n\r\n" SMUGGLED, 0, 400 },
	{ "no Host", "GET /api/bonds/7 HTTP/1.1\r\n\r\n" SMUGGLED, 0, 400 },
	{ "no number of bytes", POST_BOND "Content-Length: x\r\n\r\n{}" SMUGGLED, 0, 400 },
	{ "a length beyond all", POST_BOND "Content-Length: 9999999999999999999999\r\n\r\n", 0, 413 },
	{ "another version", "GET /api/bonds/7 HTTP/2.0\r\n" HOST "\r\n" SMUGGLED, 0, 400 },
	{ "a chunk's size that is none", POST_BOND "Transfer-Encoding: chunked\r\n\r\n?\r\n" SMUGGLED, 0, 400 },
	{ "a bare LF after a chunk's size", POST_BOND "Transfer-Encoding: chunked\r\n\r\n2\n{}\r\n0\r\n\r\n"
		SMUGGLED, 0, 400 },
	{ "no request at all", "\x16\x03\x01\r\n\r\n", 0, 400 },
};

/* How often text stands in what came. */
static int count(const char *in, const char *text)
{
	int found = 0;

	for (; (in = strstr(in, text)) != NULL; in++) {
		found++;
	}
	return found;
}

/* All until the connection ends. */
static const char *hear_all(int fd)
{
	static char all[20000];
	size_t len = 0;
	ssize_t got;

	while (len < sizeof all - 1 && (got = read(fd, all + len, sizeof all - 1 - len)) > 0) {
		len += (size_t)got;
	}
	all[len] = '\0';
	return all;
}

START_TEST(what_has_two_readings_is_refused_once_and_nothing_behind_it_is_done)
{
	served_start(&s, (struct http_options){ 0 });
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		char bytes[1000];
		char status[20];
		const char *said;
		int fd = dial(&s);

		snprintf(bytes, sizeof bytes, "%s", rows[i].bytes);
		if (rows[i].nul > 0) {
			ck_assert_int_eq(bytes[rows[i].nul], '?');
			bytes[rows[i].nul] = '\0';
		}
		ck_assert(write(fd, bytes, strlen(rows[i].bytes)) > 0);
		said = hear_all(fd);
		snprintf(status, sizeof status, "HTTP/1.1 %d ", rows[i].status);
		ck_assert_msg(strncmp(said, status, strlen(status)) == 0, "%s: %s", rows[i].label, said);
		ck_assert_msg(count(said, "HTTP/1.1 ") == 1 && count(said, "Content-Length:") == 1 &&
			count(said, "\r\nConnection: close\r\n") == 1 && count(said, "problem+json") == 1,
			"%s: %s", rows[i].label, said);
		close(fd);
	}
	ck_assert_int_eq(atomic_load(&s.handled), 0);
	served_stop(&s, 5);
}
END_TEST

/* What was asked before it is answered. */
START_TEST(a_request_before_it_is_answered)
{
	const char *said;
	int fd;

	served_start(&s, (struct http_options){ 0 });
	fd = dial(&s);
	say(fd, "%s%s", SMUGGLED, "GET /api/bonds/7 HTTP/1.1\nHost: test\r\n\r\n" SMUGGLED);
	said = hear_all(fd);
	ck_assert_msg(count(said, "HTTP/1.1 201") == 1 && count(said, "HTTP/1.1 ") == 1, "%s", said);
	ck_assert_ptr_nonnull(strstr(said, "Connection: close"));
	ck_assert_int_eq(atomic_load(&s.handled), 1);
	close(fd);
	served_stop(&s, 5);
}
END_TEST

/* The bytes of a body are anything. */
START_TEST(a_body_may_hold_what_a_head_may_not)
{
	static const char odd[] = "PUT /api/photo HTTP/1.1\r\n" HOST "Content-Type: image/jpeg\r\n"
		"Content-Length: 6\r\n\r\n\0\n\r\0\n ";
	int fd;

	served_start(&s, (struct http_options){ 0 });
	fd = dial(&s);
	for (int i = 0; i < 2; i++) {
		ck_assert(write(fd, odd, sizeof odd - 1) > 0);
		ck_assert_int_eq(hear(fd, false)->status, 201);
	}
	close(fd);
	served_stop(&s, 5);
}
END_TEST

START_TEST(behind_a_proxy_nothing_follows_the_first_request)
{
	const char *said;
	int fd;

	served_start(&s, (struct http_options){ .behind_proxy = true });
	fd = dial(&s);
	say(fd, "%s%s", GET("/api/bonds/7"), SMUGGLED);
	said = hear_all(fd);
	ck_assert_msg(count(said, "HTTP/1.1 200") == 1 && count(said, "HTTP/1.1 ") == 1, "%s", said);
	ck_assert_ptr_nonnull(strstr(said, "Connection: close"));
	ck_assert_int_eq(atomic_load(&s.handled), 0);
	close(fd);
	served_stop(&s, 5);
}
END_TEST

#define FORWARDED "X-Forwarded-For: 192.0.2.1\r\nX-Forwarded-For: 192.0.2.2, 192.0.2.3\r\n" \
	"X-Forwarded-Proto: https\r\nForwarded: for=192.0.2.9\r\n\r\n"

START_TEST(only_a_proxy_says_whom_it_has_a_request_from)
{
	served_start(&s, (struct http_options){ 0 });
	ck_assert_ptr_nonnull(strstr(ask(&s, "GET /api/peer HTTP/1.1\r\n" HOST FORWARDED)->body,
		"127.0.0.1"));
	served_stop(&s, 5);
	served_start(&s, (struct http_options){ .behind_proxy = true });
	ck_assert_ptr_nonnull(strstr(ask(&s, "GET /api/peer HTTP/1.1\r\n" HOST FORWARDED)->body,
		"192.0.2.3"));
	ck_assert_ptr_nonnull(strstr(ask(&s, "GET /api/peer HTTP/1.1\r\n" HOST
		"X-Forwarded-For: somebody\r\n\r\n")->body, "127.0.0.1"));
	served_stop(&s, 5);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		what_has_two_readings_is_refused_once_and_nothing_behind_it_is_done,
		a_request_before_it_is_answered, a_body_may_hold_what_a_head_may_not,
		behind_a_proxy_nothing_follows_the_first_request,
		only_a_proxy_says_whom_it_has_a_request_from, NULL };

	return case_run("raw", tests);
}
