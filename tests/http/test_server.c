/* What the server refuses and how it answers, over a real socket. */
#include <curl/curl.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "case.h"
#include "http/served.h"

static struct served s;

static bool has(const struct answer *a, const char *header)
{
	return strstr(a->head, header) != NULL;
}

static const struct { const char *label, *request; int status; bool ends; const char *says; } rows[] = {
	{ "a read", GET("/api/bonds/7"), 200, false, "\"id\":\"7\"" },
	{ "a part is decoded once", GET("/api/bonds/a%2520b"), 200, false, "\"a%20b\"" },
	{ "a write", POST_BOND "Content-Length: 2\r\n\r\n{}", 201, false, "\"len\":2" },
	{ "a chunked write", POST_BOND "Transfer-Encoding: chunked\r\n\r\n"
		"1\r\n{\r\n1\r\n}\r\n0\r\n\r\n", 201, false, "\"len\":2" },
	{ "HTTP/1.0", "GET /api/bonds/7 HTTP/1.0\r\n\r\n", 200, true, NULL },
	{ "both lengths", POST_BOND "Content-Length: 2\r\n"
		"Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n", 400, true, "not both" },
	{ "both lengths, other order", POST_BOND
		"Transfer-Encoding: chunked\r\nContent-Length: 2\r\n\r\n2\r\n{}\r\n0\r\n\r\n", 400, true, "not both" },
	{ "two lengths", POST_BOND "Content-Length: 2\r\nContent-Length: 2\r\n\r\n{}",
		400, true, "twice" },
	{ "two lengths that differ", POST_BOND "Content-Length: 2\r\n"
		"Content-Length: 9\r\n\r\n{}", 400, true, "twice" },
	{ "a space before the colon", POST_BOND "Content-Length : 2\r\n\r\n{}",
		400, true, "space" },
	{ "gzip, chunked", POST_BOND "Transfer-Encoding: gzip, chunked\r\n\r\n"
		"2\r\n{}\r\n0\r\n\r\n", 400, true, "chunked" },
	{ "identity", POST_BOND "Transfer-Encoding: identity\r\n\r\n{}", 400, true,
		"chunked" },
	{ "no number of bytes", POST_BOND "Content-Length: x\r\n\r\n{}", 400, true, NULL },
	{ "no Host", "GET /api/bonds/7 HTTP/1.1\r\n\r\n", 400, true, NULL },
	{ "two Hosts", "GET /api/bonds/7 HTTP/1.1\r\n" HOST HOST "\r\n", 400, true, "twice" },
	{ "%00", GET("/api/bonds/7%00"), 400, false, "control" },
	{ "%2f", GET("/api/bonds%2f7"), 400, false, "slash" },
	{ "%2F..", GET("/api/bonds/7%2F..%2F8"), 400, false, NULL },
	{ "%5c", GET("/api/bonds/%5c7"), 400, false, NULL },
	{ "%zz", GET("/api/bonds/%zz"), 400, false, "hexadecimal" },
	{ "..", GET("/api/bonds/../x"), 400, false, NULL },
	{ "a NUL in a value", GET("/api/bonds/7?a=1&b=x%00y"), 400, false, "\"field\":\"b\"" },
	{ "no UTF-8 in a value", GET("/api/bonds/7?a=1&b=%ff"), 400, false, "\"field\":\"b\"" },
	{ "33 values",
		"GET /api/bonds/7?a&b&c&d&e&f&g&h&i&j&k&l&m&n&o&p&q&r&s&t&u&v&w&x&y&z&a2&b2&c2&d2&e2&f2&g2"
		" HTTP/1.1\r\n" HOST "\r\n", 400, false, "32" },
	{ "a value twice", GET("/api/bonds/7?a=1&b=2&%61=1"), 422, false, "\"field\":\"a\"" },
	{ "no such address", GET("/api/nothing"), 404, false, "no-page" },
	{ "a slash at the end", GET("/api/bonds/7/"), 404, false, NULL },
	{ "an unknown method", "BREW /api/bonds/7 HTTP/1.1\r\n" HOST "\r\n", 501, false, "BREW" },
	{ "a method in lower case", "get /api/bonds/7 HTTP/1.1\r\n" HOST "\r\n", 501, false, NULL },
	{ "TRACE", "TRACE /api/bonds/7 HTTP/1.1\r\n" HOST "\r\n", 501, false, NULL },
	{ "another method", "PUT /api/bonds/7 HTTP/1.1\r\n" HOST "\r\n", 405, false, "method" },
	{ "no media type", "POST /api/bonds HTTP/1.1\r\n" HOST "Content-Length: 2\r\n\r\n{}", 415, true,
		"application/json" },
	{ "a form's media type", "POST /api/bonds HTTP/1.1\r\n" HOST "Content-Type: text/plain\r\n"
		"Content-Length: 2\r\n\r\n{}", 415, true, "application/json" },
	{ "no body", POST_BOND "\r\n", 400, false, "missing" },
	{ "an empty chunked body", POST_BOND "Transfer-Encoding: chunked\r\n\r\n"
		"0\r\n\r\n", 400, false, "missing" },
	{ "no UTF-8", POST_BOND "Content-Length: 3\r\n\r\n{\xFF}", 400, false, "byte 1 " },
	{ "a GET with a body",
		"GET /api/bonds/7 HTTP/1.1\r\n" HOST JSON "Content-Length: 2\r\n\r\n{}", 400, true, NULL },
	{ "a length over the limit", POST_BOND "Content-Length: 10001\r\n\r\n", 413,
		true, "10000" },
	{ "a length beyond all", POST_BOND
		"Content-Length: 9999999999999999999999\r\n\r\n", 413, true, NULL },
	{ "another site", POST_BOND "Sec-Fetch-Site: cross-site\r\n"
		"Content-Length: 2\r\n\r\n{}", 403, true, "cross-site" },
	{ "a neighbour site",
		"DELETE /api/bonds/7 HTTP/1.1\r\n" HOST "Sec-Fetch-Site: same-site\r\n\r\n", 403, false,
		"cross-site" },
	{ "our own page",
		"DELETE /api/bonds/7 HTTP/1.1\r\n" HOST "Sec-Fetch-Site: same-origin\r\n\r\n",
		201, false, NULL },
	{ "another origin",
		"DELETE /api/bonds/7 HTTP/1.1\r\n" HOST "Origin: http://other\r\n\r\n",
		403, false, "other" },
	{ "our own origin",
		"DELETE /api/bonds/7 HTTP/1.1\r\n" HOST "Origin: http://test\r\n\r\n", 201, false, NULL },
	{ "a read from another site",
		"GET /api/bonds/7 HTTP/1.1\r\n" HOST "Sec-Fetch-Site: cross-site\r\n\r\n", 200,
		false, NULL },
	{ "a stranger", GET("/api/inspect"), 401, false, "sign-in" },
	{ "an ended session",
		"GET /api/inspect HTTP/1.1\r\n" HOST "Cookie: session=old\r\n\r\n", 401, false, "sign-in" },
	{ "a session that cannot be looked up",
		"GET /api/inspect HTTP/1.1\r\n" HOST "Cookie: session=broken\r\n\r\n", 500, false,
		"try again" },
	{ "another role",
		"GET /api/inspect HTTP/1.1\r\n" HOST "Cookie: session=plan\r\n\r\n", 403, false, "plan" },
	{ "the right role",
		"GET /api/inspect HTTP/1.1\r\n" HOST "Cookie: session=crew\r\n\r\n", 500, false, "store" },
	{ "who it is",
		"GET /api/bonds/7 HTTP/1.1\r\n" HOST "Cookie: session=crew\r\n\r\n",
		200, false, "\"who\":\"crew\"" },
	{ "a forgotten right",
		"GET /api/forgotten HTTP/1.1\r\n" HOST "Cookie: session=crew\r\n\r\n", 403, false, NULL },
	{ "refused by a rule",
		"PUT /api/refused HTTP/1.1\r\n" HOST "\r\n", 422, false, "\"field\":\"a\"" },
	{ "prepared first",
		"POST /api/prepared HTTP/1.1\r\n" HOST JSON "Content-Length: 4\r\n\r\n{  }", 201, false,
		"\"prepared\":1" },
	{ "refused while preparing",
		"POST /api/prepared HTTP/1.1\r\n" HOST JSON "Content-Length: 2\r\n\r\n{}", 422,
		false, "name" },
};

START_TEST(answers_each_kind_of_request)
{
	served_start(&s, (struct http_options){ 0 });
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct answer *a = ask(&s, "%s", rows[i].request);

		ck_assert_msg(a->status == rows[i].status, "%s: %d %s", rows[i].label, a->status, a->body);
		ck_assert_msg(a->ended == rows[i].ends, "%s: %s", rows[i].label, a->head);
		ck_assert_msg(rows[i].says == NULL || strstr(a->body, rows[i].says) != NULL, "%s: %s",
			rows[i].label, a->body);
	}
	served_stop(&s, 5);
}
END_TEST

START_TEST(sends_the_headers_that_protect)
{
	static const char *const always[] = { "Content-Security-Policy: default-src 'none'",
		"X-Content-Type-Options: nosniff", "Referrer-Policy: ", "Cross-Origin-Opener-Policy: same-origin",
		"Cross-Origin-Resource-Policy: same-origin", "Permissions-Policy: camera=(self)",
		"Cache-Control: no-store", "Date: ", "X-Request-Id: " };
	struct answer *a;

	served_start(&s, (struct http_options){ .behind_proxy = true, .proxy_https = true,
		.hsts = true });
	for (int round = 0; round < 2; round++) {
		a = ask(&s, GET("/api/%s"), round == 0 ? "bonds/7" : "nothing");
		for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
			ck_assert_msg(has(a, always[i]), "%s: %s", always[i], a->head);
		}
		ck_assert(has(a, "Strict-Transport-Security: max-age=31536000"));
	}
	served_stop(&s, 5);
	served_start(&s, (struct http_options){ .hsts = true });   /* (nothing over plain http) */
	a = ask(&s, GET("/api/bonds/7"));
	ck_assert(!has(a, "Strict-Transport-Security"));
	a = ask(&s, GET("/api/inspect"));
	ck_assert(has(a, "WWW-Authenticate: "));
	served_stop(&s, 5);
}
END_TEST

START_TEST(answers_head_options_and_304_without_a_body)
{
	struct answer *a;
	int fd;

	served_start(&s, (struct http_options){ 0 });
	fd = dial(&s);
	say(fd, "HEAD /api/bonds/7 HTTP/1.1\r\n" HOST "\r\n");
	a = hear(fd, true);
	ck_assert_int_eq(a->status, 200);
	ck_assert(has(a, "Content-Length: 51\r\n")); /* {"path":"/api/bonds/7","id":"7","query":0,"who":""} */
	say(fd, "GET /api/bonds/7 HTTP/1.1\r\n" HOST "If-None-Match: \"v0\", \"v1\"\r\n\r\n");
	a = hear(fd, false);
	ck_assert_int_eq(a->status, 304);
	ck_assert(has(a, "ETag: \"v1\""));
	say(fd, "OPTIONS /api/bonds/7 HTTP/1.1\r\n" HOST "\r\n");
	a = hear(fd, false);
	ck_assert_int_eq(a->status, 204);
	ck_assert(has(a, "Allow: GET, HEAD, DELETE, OPTIONS\r\n"));
	say(fd, "OPTIONS /api/nothing HTTP/1.1\r\n" HOST "\r\n");
	ck_assert_int_eq(hear(fd, false)->status, 404);
	say(fd, "POST /api/bonds/7 HTTP/1.1\r\n" HOST "\r\n");
	a = hear(fd, false);
	ck_assert_int_eq(a->status, 405);
	ck_assert(has(a, "Allow: GET, HEAD, DELETE, OPTIONS\r\n"));
	close(fd);
	served_stop(&s, 5);
}
END_TEST

START_TEST(keeps_the_connection_and_answers_in_order)
{
	int fd;

	served_start(&s, (struct http_options){ 0 });
	fd = dial(&s);
	for (int i = 0; i < 20; i++) { /* all sent before the first is read */
		say(fd, GET("/api/bonds/%d"), i);
		say(fd, POST_BOND "Content-Length: %d\r\n\r\n%*s", i + 1, i + 1, "1");
	}
	for (int i = 0; i < 20; i++) {
		char expected[32];

		snprintf(expected, sizeof expected, "\"id\":\"%d\"", i);
		ck_assert_ptr_nonnull(strstr(hear(fd, false)->body, expected));
		snprintf(expected, sizeof expected, "\"len\":%d,", i + 1);
		ck_assert_ptr_nonnull(strstr(hear(fd, false)->body, expected));
	}
	close(fd);
	served_stop(&s, 5);
}
END_TEST

START_TEST(refuses_a_chunked_body_over_the_limit_before_it_ends)
{
	static char chunk[4097];
	struct answer *a;
	int fd;

	memset(chunk, 'x', sizeof chunk - 1);
	served_start(&s, (struct http_options){ 0 });
	fd = dial(&s);
	say(fd, POST_BOND "Transfer-Encoding: chunked\r\n\r\n");
	for (int i = 0; i < 100; i++) { /* far over, and no last chunk */
		say(fd, "1000\r\n%s\r\n", chunk);
	}
	a = hear(fd, false);
	ck_assert_int_eq(a->status, 413);
	ck_assert(has(a, "Connection: close"));
	ck_assert_ptr_nonnull(strstr(a->body, "10000 bytes"));
	ck_assert(ends_within(fd, 2000));
	close(fd);
	ck_assert_int_eq(atomic_load(&s.handled), 0);
	served_stop(&s, 5);
}
END_TEST

/* A reset in the middle of sending would make many a client forget the answer it has received. */
START_TEST(a_refused_client_may_finish_sending)
{
	static char bytes[1 << 16];
	int fd;

	served_start(&s, (struct http_options){ 0 });
	fd = dial(&s);
	say(fd, POST_BOND "Content-Length: 8000000\r\n\r\n");
	for (int i = 0; i < 120; i++) {
		ck_assert_msg(send(fd, bytes, sizeof bytes, MSG_NOSIGNAL) > 0, "reset at %d", i);
		if (i == 10) {
			nanosleep(&(struct timespec){ 0, 200000000 }, NULL);
		}
	}
	ck_assert_int_eq(hear(fd, false)->status, 413);
	ck_assert(ends_within(fd, 1000));
	close(fd);
	served_stop(&s, 5);
}
END_TEST

START_TEST(takes_a_body_at_the_limit)
{
	static char body[10001];
	struct answer *a;

	memset(body, ' ', sizeof body - 1);
	served_start(&s, (struct http_options){ 0 });
	a = ask(&s, POST_BOND "Content-Length: 10000\r\n\r\n%s", body);
	ck_assert_int_eq(a->status, 201);
	a = ask(&s, POST_BOND "Transfer-Encoding: chunked\r\n\r\n2710\r\n%s\r\n0\r\n\r\n",
		body);
	ck_assert_int_eq(a->status, 201);
	a = ask(&s, POST_BOND "Transfer-Encoding: chunked\r\n\r\n2711\r\n%s \r\n0\r\n\r\n",
		body);
	ck_assert_int_eq(a->status, 413);
	served_stop(&s, 5);
}
END_TEST

static size_t take(char *bytes, size_t size, size_t n, void *to)
{
	(void)bytes;
	*(size_t *)to += size * n;
	return size * n;
}

/* A real client: a photo, and one that is too large, whose answer must arrive all the same. */
START_TEST(a_client_that_sends_too_much_still_reads_why)
{
	static char photo[8 << 20];
	char url[64];
	CURL *curl;
	long status = 0;
	size_t got = 0;

	served_start(&s, (struct http_options){ 0 });
	snprintf(url, sizeof url, "http://127.0.0.1:%u/api/photo", s.port);
	curl = curl_easy_init();
	curl_easy_setopt(curl, CURLOPT_URL, url);
	curl_easy_setopt(curl, CURLOPT_CUSTOMREQUEST, "PUT");
	curl_easy_setopt(curl, CURLOPT_COOKIE, "session=crew");
	curl_easy_setopt(curl, CURLOPT_POSTFIELDS, photo);
	curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, take);
	curl_easy_setopt(curl, CURLOPT_WRITEDATA, &got);
	for (int expect = 0; expect < 2; expect++) {
		struct curl_slist *headers = curl_slist_append(NULL, "Content-Type: image/jpeg");

		if (expect == 0) {
			headers = curl_slist_append(headers, "Expect:");
		}
		curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
		curl_easy_setopt(curl, CURLOPT_POSTFIELDSIZE, 2L << 20);
		ck_assert_int_eq(curl_easy_perform(curl), CURLE_OK);
		curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
		ck_assert_int_eq(status, 201);
		curl_easy_setopt(curl, CURLOPT_POSTFIELDSIZE, (long)sizeof photo);
		got = 0;
		ck_assert_int_eq(curl_easy_perform(curl), CURLE_OK);
		curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
		ck_assert_int_eq(status, 413);
		ck_assert_uint_gt(got, 0);
		curl_slist_free_all(headers);
	}
	curl_easy_cleanup(curl);
	served_stop(&s, 5);
}
END_TEST

START_TEST(packs_long_texts_when_the_client_takes_gzip)
{
	char url[64];
	struct answer *a;
	CURL *curl;
	size_t got = 0;

	served_start(&s, (struct http_options){ 0 });
	a = ask(&s, "GET /api/long HTTP/1.1\r\n" HOST "Accept-Encoding: gzip\r\n\r\n");
	ck_assert(has(a, "Content-Encoding: gzip") && has(a, "Vary: Accept-Encoding"));
	ck_assert_uint_lt(a->body_len, 15000);
	a = ask(&s, "GET /api/long HTTP/1.1\r\n" HOST "Accept-Encoding: gzip;q=0\r\n\r\n");
	ck_assert(!has(a, "Content-Encoding"));
	a = ask(&s, "GET /api/bonds/7 HTTP/1.1\r\n" HOST "Accept-Encoding: gzip\r\n\r\n");
	ck_assert(!has(a, "Content-Encoding")); /* short */
	snprintf(url, sizeof url, "http://127.0.0.1:%u/api/long", s.port);
	curl = curl_easy_init();
	curl_easy_setopt(curl, CURLOPT_URL, url);
	curl_easy_setopt(curl, CURLOPT_ACCEPT_ENCODING, "gzip");
	curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, take);
	curl_easy_setopt(curl, CURLOPT_WRITEDATA, &got);
	ck_assert_int_eq(curl_easy_perform(curl), CURLE_OK);
	ck_assert_uint_eq(got, 28890); /* 10 * 7 + 90 * 8 + 900 * 9 + 2000 * 10 */
	curl_easy_cleanup(curl);
	served_stop(&s, 5);
}
END_TEST

START_TEST(sends_a_large_file)
{
	struct answer *a;
	int fd;

	served_start(&s, (struct http_options){ 0 });
	fd = dial(&s);
	for (int i = 0; i < 2; i++) { /* and the connection stays */
		say(fd, "GET /api/file/40 HTTP/1.1\r\n" HOST "Accept-Encoding: gzip\r\n\r\n");
		a = hear(fd, false);
		ck_assert_int_eq(a->status, 200);
		ck_assert_uint_eq(a->body_len, 40u << 20);
		ck_assert(has(a, "Content-Disposition: attachment"));
		ck_assert(!has(a, "Content-Encoding"));
		ck_assert_int_eq(a->body[0], 'a');
		ck_assert_int_eq(a->body[4096], 'b');
	}
	say(fd, "HEAD /api/file/1 HTTP/1.1\r\n" HOST "\r\n");
	ck_assert(has(hear(fd, true), "Content-Length: 1048576"));
	say(fd, GET("/api/file/40")); /* and hang up in the middle */
	recv(fd, a->body, 100, 0);
	close(fd);
	ck_assert(wait_no_connections(&s));
	served_stop(&s, 5);
}
END_TEST

START_TEST(says_send_again_when_nothing_is_certain)
{
	static const char post[] = POST_BOND "Content-Length: 2\r\n\r\n{}";
	struct answer *a;

	served_start(&s, (struct http_options){ 0 });
	s.writer.fail_commit = true;
	a = ask(&s, "%s", post);
	ck_assert_int_eq(a->status, 503);
	ck_assert(has(a, "Retry-After: "));
	ck_assert_ptr_nonnull(strstr(a->body, "send it again"));
	ck_assert_int_eq(ask(&s, "PUT /api/refused HTTP/1.1\r\n" HOST "\r\n")->status, 503);
	s.writer.fail_commit = false;
	atomic_store(&s.refuse_jobs, true);
	ck_assert_int_eq(ask(&s, "%s", post)->status, 503);
	ck_assert_int_eq(ask(&s, GET("/api/file/1"))->status, 503);
	atomic_store(&s.refuse_jobs, false);
	atomic_store(&s.unreadable, true);
	ck_assert_int_eq(ask(&s, GET("/api/bonds/7"))->status, 503);
	ck_assert_int_eq(ask(&s, GET("/livez"))->status, 200);
	atomic_store(&s.unreadable, false);
	ck_assert_int_eq(ask(&s, "%s", post)->status, 201);
	served_stop(&s, 5);
}
END_TEST

/* Between the head and the handler, and before the answer of a long one. */
START_TEST(who_was_signed_out_meanwhile_is_refused)
{
	int write = 0, file = 0;

	served_start(&s, (struct http_options){ 0 });
	served_hold(&s, true);
	write = dial(&s);
	say(write, POST_BOND "Cookie: session=crew\r\nContent-Length: 2\r\n\r\n{}");
	ck_assert(wait_suspended(&s, 1));
	atomic_store(&s.signed_out, true);
	served_hold(&s, false);
	ck_assert_int_eq(hear(write, false)->status, 401);
	ck_assert_int_eq(atomic_load(&s.handled), 0);
	file = dial(&s);
	say(file, "GET /api/file/1 HTTP/1.1\r\n" HOST "Cookie: session=crew\r\n\r\n");
	ck_assert_int_eq(hear(file, false)->status, 401);
	ck_assert_int_eq(ask(&s, "GET /api/bonds/7 HTTP/1.1\r\n" HOST "Cookie: session=crew\r\n"
		"\r\n")->status, 401);
	ck_assert_int_eq(ask(&s, GET("/api/bonds/7"))->status, 200);   /* a stranger stays one */
	close(write);
	close(file);
	served_stop(&s, 5);
}
END_TEST

START_TEST(the_handler_of_every_route_but_a_plain_one_is_given_a_view)
{
	static const struct { enum route_kind kind; const char *request; } each[] = {
		{ ROUTE_READ, GET("/api/bonds/7") }, { ROUTE_PLAIN, GET("/livez") },
		{ ROUTE_WRITE, POST_BOND "Content-Length: 2\r\n\r\n{}" },
		{ ROUTE_LONG, GET("/api/file/1") },
	};

	served_start(&s, (struct http_options){ 0 });
	for (size_t i = 0; i < sizeof each / sizeof each[0]; i++) {
		struct answer *a = ask(&s, "%s", each[i].request);

		ck_assert_msg(a->status < 300, "%s", a->body);
		ck_assert_int_eq(atomic_load(&s.viewed[each[i].kind]), each[i].kind != ROUTE_PLAIN);
	}
	served_stop(&s, 5);
}
END_TEST

START_TEST(limits_the_headers)
{
	static char header[70000];

	served_start(&s, (struct http_options){ 0 });
	memset(header, 'x', sizeof header - 1);
	ck_assert_int_eq(ask(&s, "GET /api/bonds/7 HTTP/1.1\r\n" HOST "X: %s\r\n\r\n", header)->status, 431);
	ck_assert_int_eq(ask(&s, "GET /api/bonds/7 HTTP/1.1\r\n" HOST "X: %.20000s\r\n\r\n", header)->status, 200);
	ck_assert_int_ge(ask(&s, GET("/%s"), header)->status, 400);
	served_stop(&s, 5);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { answers_each_kind_of_request, sends_the_headers_that_protect,
		answers_head_options_and_304_without_a_body, keeps_the_connection_and_answers_in_order,
		refuses_a_chunked_body_over_the_limit_before_it_ends,
		a_refused_client_may_finish_sending, takes_a_body_at_the_limit,
		a_client_that_sends_too_much_still_reads_why, packs_long_texts_when_the_client_takes_gzip,
		sends_a_large_file, says_send_again_when_nothing_is_certain,
		who_was_signed_out_meanwhile_is_refused,
		the_handler_of_every_route_but_a_plain_one_is_given_a_view, limits_the_headers, NULL };

	return case_run("server", tests);
}
