#include <string.h>

#include "case.h"
#include "http/guard.h"
#include "http/gzip.h"

static struct problem why;

/* Headers as "name: value" lines. */
static struct head head_of(const char *const lines[8][2])
{
	struct head head = { 0 };

	for (int i = 0; i < 8 && lines[i][0] != NULL; i++) {
		head_add(&head, lines[i][0], lines[i][1]);
	}
	return head;
}

static const struct {
	const char *label, *version, *lines[8][2];
	enum problem_code code;
	int64_t body_len;
} framings[] = {
	{ "no body", "HTTP/1.1", { { "Host", "x" } }, PROBLEM_NONE, 0 },
	{ "a length", "HTTP/1.1", { { "Host", "x" }, { "content-LENGTH", "17" } }, PROBLEM_NONE, 17 },
	{ "chunked", "HTTP/1.1", { { "Host", "x" }, { "Transfer-Encoding", "Chunked" } }, PROBLEM_NONE, -1 },
	{ "1.0 needs no Host", "HTTP/1.0", { { NULL } }, PROBLEM_NONE, 0 },
	{ "1.1 does", "HTTP/1.1", { { NULL } }, PROBLEM_MALFORMED, 0 },
	{ "an empty Host", "HTTP/1.1", { { "Host", "" } }, PROBLEM_MALFORMED, 0 },
	{ "two Hosts", "HTTP/1.1", { { "Host", "x" }, { "HOST", "x" } }, PROBLEM_MALFORMED, 0 },
	{ "both", "HTTP/1.1", { { "Host", "x" }, { "Content-Length", "2" },
		{ "Transfer-Encoding", "chunked" } }, PROBLEM_MALFORMED, 0 },
	{ "two lengths, alike", "HTTP/1.1", { { "Host", "x" }, { "Content-Length", "2" },
		{ "Content-Length", "2" } }, PROBLEM_MALFORMED, 0 },
	{ "a list of lengths", "HTTP/1.1", { { "Host", "x" }, { "Content-Length", "2, 2" } },
		PROBLEM_MALFORMED, 0 },
	{ "a negative length", "HTTP/1.1", { { "Host", "x" }, { "Content-Length", "-2" } },
		PROBLEM_MALFORMED, 0 },
	{ "a length of 19 digits", "HTTP/1.1", { { "Host", "x" },
		{ "Content-Length", "1000000000000000000" } }, PROBLEM_TOO_LARGE, 0 },
	{ "gzip, chunked", "HTTP/1.1", { { "Host", "x" }, { "Transfer-Encoding", "gzip, chunked" } },
		PROBLEM_MALFORMED, 0 },
	{ "identity", "HTTP/1.1", { { "Host", "x" }, { "Transfer-Encoding", "identity" } },
		PROBLEM_MALFORMED, 0 },
	{ "an empty coding", "HTTP/1.1", { { "Host", "x" }, { "Transfer-Encoding", NULL } },
		PROBLEM_MALFORMED, 0 },
	{ "two codings", "HTTP/1.1", { { "Host", "x" }, { "Transfer-Encoding", "chunked" },
		{ "Transfer-Encoding", "chunked" } }, PROBLEM_MALFORMED, 0 },
	{ "chunked in 1.0", "HTTP/1.0", { { "Transfer-Encoding", "chunked" } }, PROBLEM_MALFORMED, 0 },
	{ "two cookies", "HTTP/1.1", { { "Host", "x" }, { "Cookie", "a=1" }, { "Cookie", "a=2" } },
		PROBLEM_MALFORMED, 0 },
	{ "two Accepts", "HTTP/1.1", { { "Host", "x" }, { "Accept", "a/b" }, { "Accept", "c/d" } },
		PROBLEM_NONE, 0 },
};

START_TEST(refuses_bodies_that_could_end_in_two_places)
{
	for (size_t i = 0; i < sizeof framings / sizeof framings[0]; i++) {
		struct head head = head_of(framings[i].lines);
		int64_t len = 99;

		why = (struct problem){ 0 };
		guard_framing(&head, framings[i].version, &len, &why);
		ck_assert_msg(why.code == framings[i].code, "%s: %d", framings[i].label, why.code);
		ck_assert_msg(why.code != PROBLEM_NONE || len == framings[i].body_len, "%s",
			framings[i].label);
	}
}
END_TEST

static const struct { const char *site, *origin, *host; bool ok; } sites[] = {
	{ NULL, NULL, "a:80", true },                   /* not a browser */
	{ "same-origin", NULL, "a", true }, { "none", NULL, "a", true },
	{ "same-site", NULL, "a", false }, { "cross-site", NULL, "a", false }, { "", NULL, "a", false },
	{ "cross-site", "https://a", "a", false },      /* Sec-Fetch-Site cannot be forged by a page */
	{ "same-origin", "https://b", "a", true },      /* a proxy that rewrites Host */
	{ NULL, "https://a", "a", true }, { NULL, "http://A:8080", "a:8080", true },
	{ NULL, "https://b", "a", false }, { NULL, "https://a:1", "a", false },
	{ NULL, "https://a.b", "a", false }, { NULL, "null", "a", false }, { NULL, "", "a", false },
	{ NULL, "https://a", NULL, false },
};

START_TEST(takes_changes_only_from_its_own_pages)
{
	for (size_t i = 0; i < sizeof sites / sizeof sites[0]; i++) {
		struct head head = { .fetch_site = sites[i].site, .origin = sites[i].origin,
			.host = sites[i].host };

		why = (struct problem){ 0 };
		ck_assert_msg(guard_site(&head, METHOD_POST, &why) == sites[i].ok, "row %zu", i);
		ck_assert_msg(sites[i].ok || why.code == PROBLEM_CROSS_SITE, "row %zu", i);
		ck_assert_msg(guard_site(&head, METHOD_GET, &why), "row %zu", i);
	}
}
END_TEST

static const struct { unsigned route, person, rights; enum problem_code code; } rights[] = {
	{ RIGHT_ANYONE, 0, 0, PROBLEM_NONE }, { RIGHT_ANYONE, 1, 2, PROBLEM_NONE },
	{ 2, 0, 0, PROBLEM_SIGN_IN }, { 2, 1, 2, PROBLEM_NONE }, { 2, 1, 6, PROBLEM_NONE },
	{ 6, 1, 4, PROBLEM_NONE }, { 2, 1, 4, PROBLEM_RIGHT }, { 2, 1, 0, PROBLEM_RIGHT },
	{ RIGHT_NOBODY, 0, 0, PROBLEM_SIGN_IN }, { RIGHT_NOBODY, 1, ~0u, PROBLEM_RIGHT },
};

START_TEST(a_route_is_open_to_whom_it_names)
{
	for (size_t i = 0; i < sizeof rights / sizeof rights[0]; i++) {
		struct route route = { .right = rights[i].route };
		struct identity who = { .person_id = rights[i].person, .rights = rights[i].rights };

		why = (struct problem){ 0 };
		guard_right(&route, &who, &why);
		ck_assert_msg(why.code == rights[i].code, "row %zu", i);
	}
}
END_TEST

static const struct { const char *wanted, *sent, *coding; bool ok; } types[] = {
	{ NULL, "application/json", NULL, true }, { NULL, "Application/JSON", "identity", true },
	{ NULL, "application/json; charset=utf-8", NULL, true },
	{ NULL, "application/json;x=y; charset=\"UTF-8\"", NULL, true },
	{ NULL, "application/json; charset=latin1", NULL, false },
	{ NULL, "application/json; charset=utf-80", NULL, false },
	{ NULL, "application/json", "gzip", false }, { NULL, "application/jsonx", NULL, false },
	{ NULL, "application/jso", NULL, false }, { NULL, "text/plain", NULL, false },
	{ NULL, "", NULL, false }, { NULL, NULL, NULL, false },
	{ "text/csv", "text/csv; header=present", NULL, true }, { "text/csv", "application/json", NULL, false },
	{ "image/*", "image/jpeg", NULL, true }, { "image/*", "IMAGE/webp", NULL, true },
	{ "image/*", "image/", NULL, false }, { "image/*", "text/image/png", NULL, false },
};

START_TEST(takes_the_media_type_of_the_route)
{
	for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
		struct route route = { .body_type = types[i].wanted };
		struct head head = { .content_type = types[i].sent, .content_encoding = types[i].coding };

		why = (struct problem){ 0 };
		ck_assert_msg(guard_type(&head, &route, &why) == types[i].ok, "row %zu", i);
		ck_assert_msg(types[i].ok || why.code == PROBLEM_MEDIA_TYPE, "row %zu", i);
	}
}
END_TEST

START_TEST(names_the_byte_that_is_not_utf8)
{
	const struct route json = { .pattern = "/" };
	const struct route photo = { .body_type = "image/*" };

	ck_assert(guard_body(&json, "{\"a\":\"\xC3\xA4\"}", 10, &why));
	ck_assert(!guard_body(&json, "{\"a\":\"\xC3\"}", 9, &why));
	ck_assert_int_eq(why.code, PROBLEM_MALFORMED);
	ck_assert_ptr_nonnull(strstr(why.detail, "byte 6 "));
	ck_assert(guard_body(&photo, "\xFF\xD8\xFF", 3, &why));
	ck_assert(guard_body(&json, NULL, 0, &why)); /* the route takes none */
	ck_assert(!guard_body(&photo, NULL, 0, &why));
	ck_assert_ptr_nonnull(strstr(why.detail, "missing"));
}
END_TEST

static const struct { const char *sent; bool ok; } accepts[] = {
	{ NULL, false }, { "", false }, { "gzip", true }, { "GZIP", true }, { "deflate, gzip;q=0.5, br", true },
	{ "gzip;q=0", false }, { "gzip; q=0.000, br", false }, { "gzip;q=0.001", true },
	{ "gzip;q=0,br;q=1", false }, { "xgzip", false }, { "gzipx", false }, { "br", false },
	{ "gzip ; q=1", true },
};

START_TEST(gzips_only_where_it_is_taken)
{
	for (size_t i = 0; i < sizeof accepts / sizeof accepts[0]; i++) {
		ck_assert_msg(gzip_accepted(accepts[i].sent) == accepts[i].ok, "row %zu", i);
	}
	ck_assert(gzip_worth("application/json"));
	ck_assert(gzip_worth("application/problem+json"));
	ck_assert(gzip_worth("application/geo+json"));
	ck_assert(gzip_worth("text/csv; charset=utf-8"));
	ck_assert(!gzip_worth("image/png"));
	ck_assert(!gzip_worth("application/octet-stream"));
}
END_TEST

static bool body_is(struct reply *out, int status, const char *text)
{
	return out->status == status && strcmp(out->type, "application/problem+json") == 0 &&
		strcmp(out->body.data, text) == 0;
}

START_TEST(writes_problems_as_rfc_9457)
{
	struct reply out = { .status = 200, .etag = "\"x\"", .set_cookie = "a=b" };
	struct problems all = { 0 };
	struct text broken = { .failed = true };

	why = (struct problem){ PROBLEM_NOT_FOUND, "", "There is no record 7." };
	reply_problem(&out, &why);
	ck_assert(body_is(&out, 404, "{\"type\":\"/problems/not-found\",\"title\":\"There is no such "
		"record\",\"status\":404,\"detail\":\"There is no record 7.\"}\n"));
	ck_assert_str_eq(out.etag, ""); /* nothing of the answer that was being made */
	problems_add(&all, PROBLEM_VALUE, "a", "A \"quoted\" one.");
	problems_add(&all, PROBLEM_RULE, "b.c", "Another.");
	reply_problems(&out, &all);
	ck_assert(body_is(&out, 422, "{\"type\":\"/problems/value\",\"title\":\"A value is wrong\","
		"\"status\":422,\"detail\":\"A \\\"quoted\\\" one.\",\"errors\":["
		"{\"field\":\"a\",\"detail\":\"A \\\"quoted\\\" one.\"},"
		"{\"field\":\"b.c\",\"detail\":\"Another.\"}]}\n"));
	all.count = PROBLEMS_SHOWN + 3;
	reply_problems(&out, &all);
	ck_assert_ptr_nonnull(strstr(out.body.data, "],\"more\":3}\n"));
	reply_json(&out, 200, &broken); /* memory ran out while writing */
	ck_assert_int_eq(out.status, 503);
	ck_assert_ptr_nonnull(strstr(out.fixed, "/problems/memory"));
	reply_release(&out);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { refuses_bodies_that_could_end_in_two_places,
		takes_changes_only_from_its_own_pages, a_route_is_open_to_whom_it_names,
		takes_the_media_type_of_the_route, names_the_byte_that_is_not_utf8,
		gzips_only_where_it_is_taken, writes_problems_as_rfc_9457, NULL };

	return case_run("guard", tests);
}
