#include <stdio.h>
#include <string.h>

#include "case.h"
#include "http/uri.h"

static char target[4096];
static struct request req;
static struct problem why;

static bool read_target(const char *text)
{
	req = (struct request){ 0 };
	why = (struct problem){ 0 };
	snprintf(target, sizeof target, "%s", text);
	return uri_read(target, &req, &why);
}

static const struct { const char *raw, *decoded; } paths[] = {
	{ "/", "/" }, { "/api/bonds/17", "/api/bonds/17" }, { "/a%20b+c", "/a b+c" },
	{ "/K%C3%A4", "/K\xC3\xA4" }, { "/%7e%2E%2e%2e", "/~..." }, { "/..a/.b", "/..a/.b" },
	{ "/a%25zz", "/a%zz" }, /* decoded once */ { "/?", "/" }, { "/a?b=c", "/a" },
};

START_TEST(decodes_a_path_once)
{
	for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
		ck_assert_msg(read_target(paths[i].raw), "%s", paths[i].raw);
		ck_assert_str_eq(req.path, paths[i].decoded);
	}
}
END_TEST

START_TEST(refuses_paths_that_could_mean_two_things)
{
	static const char *const wrong[] = { "", "*", "a", "http://x/a", "/a%00b", "/a%2fb", "/a%2Fb",
		"/a%5cb", "/a%5Cb", "/a\\b", "/%zz", "/%", "/%2", "/a%4", "/%0a", "/%1f", "/%7f", "/a\nb",
		"/.", "/..", "/../etc", "/a/..", "/a/../b", "/a/./b", "/%2e%2e/x", "/a/%2e",
		"/%ff", "/%c3", "/%c0%af", "/%ed%a0%80" };

	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		ck_assert_msg(!read_target(wrong[i]), "%s", wrong[i]);
		ck_assert_int_eq(why.code, PROBLEM_MALFORMED);
	}
}
END_TEST

START_TEST(reads_query_values)
{
	ck_assert(read_target("/a?state=due&q=K%20Loop+1%2B2&&flag&x=a=b&%C3%A4=%C3%B6&"));
	ck_assert_uint_eq(req.query_count, 5);
	ck_assert_str_eq(request_query(&req, "state"), "due");
	ck_assert_str_eq(request_query(&req, "q"), "K Loop 1+2");
	ck_assert_str_eq(request_query(&req, "flag"), "");
	ck_assert_str_eq(request_query(&req, "x"), "a=b");
	ck_assert_str_eq(request_query(&req, "\xC3\xA4"), "\xC3\xB6");
	ck_assert_ptr_null(request_query(&req, "State"));
}
END_TEST

START_TEST(refuses_query_values_by_name)
{
	static const char *const wrong[] = { "/a?ok=1&bad=x%00y", "/a?bad=%ff", "/a?bad=%zz",
		"/a?bad=%2", "/a?bad=%", "/a?bad=%ed%a0%80" };

	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		ck_assert_msg(!read_target(wrong[i]), "%s", wrong[i]);
		ck_assert_int_eq(why.code, PROBLEM_MALFORMED);
		ck_assert_str_eq(why.field, "bad");
	}
	ck_assert(!read_target("/a?%00=1"));
	ck_assert(!read_target("/a?b=1&%ff"));
	ck_assert_ptr_nonnull(strstr(why.detail, "value 2"));
}
END_TEST

START_TEST(a_query_value_is_sent_once)
{
	static const char *const twice[] = { "/a?limit=5&limit=50", "/a?limit=5&x=1&limit=5",
		"/a?limit&limit", "/a?limit=1&l%69mit=2" };

	for (size_t i = 0; i < sizeof twice / sizeof twice[0]; i++) {
		ck_assert_msg(!read_target(twice[i]), "%s", twice[i]);
		ck_assert_int_eq(why.code, PROBLEM_VALUE);
		ck_assert_str_eq(why.field, "limit");
	}
	ck_assert(read_target("/a?limit=5&Limit=5&limits=5"));
}
END_TEST

START_TEST(takes_32_query_values_and_not_33)
{
	char text[400] = "/a?";

	for (int i = 0; i < 32; i++) {
		snprintf(text + strlen(text), 16, "v%d=1&", i);
	}
	ck_assert(read_target(text));
	ck_assert_uint_eq(req.query_count, 32);
	snprintf(text + strlen(text), 16, "w=1");
	ck_assert(!read_target(text));
	ck_assert_int_eq(why.code, PROBLEM_MALFORMED);
}
END_TEST

static const struct { const char *text; bool ok; int64_t id; } ids[] = {
	{ "1", true, 1 }, { "9223372036854775807", true, INT64_MAX }, { "007", true, 7 },
	{ "9223372036854775808", false, 0 }, { "0", false, 0 }, { "-1", false, 0 }, { "", false, 0 },
	{ "1x", false, 0 }, { " 1", false, 0 }, { "+1", false, 0 }, { "0x1", false, 0 }, { NULL, false, 0 },
};

START_TEST(reads_an_id)
{
	for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++) {
		int64_t id = -1;
		const char *label = ids[i].text != NULL ? ids[i].text : "none";

		req = (struct request){ .params = { NULL, ids[i].text } };
		why = (struct problem){ 0 };
		ck_assert_msg(request_id(&req, 1, &id, &why) == ids[i].ok, "%s", label);
		ck_assert_msg(!ids[i].ok || id == ids[i].id, "%s", label);
		ck_assert_msg(ids[i].ok || why.code == PROBLEM_NOT_FOUND, "%s", label);
	}
	ck_assert(!request_id(&req, REQUEST_PARAMS, &(int64_t){ 0 }, &why));
}
END_TEST

/* RFC 9110 section 8.8.3.2: If-Match compares strongly, If-None-Match weakly. */
static const struct { const char *sent; bool strong, weak; } tags[] = {
	{ "\"v7\"", true, true }, { "W/\"v7\"", false, true }, { "\"v8\"", false, false },
	{ "\"v8\", \"v7\"", true, true }, { "\"v8\",W/\"v7\"", false, true }, { "*", true, true },
	{ "v7", false, false }, { "\"v7", false, false }, { "\"v77\"", false, false },
	{ ",, \"v7\" ,", true, true }, { "\"v8\" x \"v7\"", false, false },
};

START_TEST(compares_etags)
{
	for (size_t i = 0; i < sizeof tags / sizeof tags[0]; i++) {
		req = (struct request){ .if_match = tags[i].sent, .if_none_match = tags[i].sent };
		why = (struct problem){ 0 };
		ck_assert_msg(request_if_match(&req, "\"v7\"", &why) == tags[i].strong, "%s", tags[i].sent);
		ck_assert_msg(tags[i].strong || why.code == PROBLEM_CHANGED, "%s", tags[i].sent);
		ck_assert_msg(request_not_modified(&req, "\"v7\"") == tags[i].weak, "%s", tags[i].sent);
	}
	req = (struct request){ .if_match = "", .if_none_match = "" };
	ck_assert(!request_if_match(&req, "\"v7\"", &why));
	ck_assert_int_eq(why.code, PROBLEM_NEEDS_IF_MATCH);
	ck_assert(!request_not_modified(&req, "\"v7\""));
	req = (struct request){ 0 };
	ck_assert(!request_if_match(&req, "\"v7\"", &why));
	ck_assert(!request_not_modified(&req, "\"v7\""));
}
END_TEST

static bool takes_cookie(const char *name, const char *path, char *value, size_t size)
{
	const struct cookie cookie = { name, path };

	return request_cookie(&req, &cookie, value, size);
}

START_TEST(reads_a_cookie)
{
	char value[5];

	req.cookie = "a=1; session=abcd;b=; xsession=no";
	ck_assert(takes_cookie("session", "/", value, sizeof value));
	ck_assert_str_eq(value, "abcd");
	ck_assert(takes_cookie("b", "/", value, sizeof value));
	ck_assert_str_eq(value, "");
	ck_assert(!takes_cookie("sess", "/", value, sizeof value));
	ck_assert(!takes_cookie("session", "/", value, 4)); /* does not fit */
	req.cookie = "session";
	ck_assert(!takes_cookie("session", "/", value, sizeof value));
	req.cookie = "";
	ck_assert(!takes_cookie("session", "/", value, sizeof value));
	req.cookie = NULL;
	ck_assert(!takes_cookie("session", "/", value, sizeof value));
}
END_TEST

START_TEST(a_cookie_of_https_is_no_other)
{
	const struct cookie own = { "session", "/" }, of_path = { "device", "/api" };
	char value[5], line[200];

	req.secure = true;
	req.cookie = "session=plai; __Secure-session=path; __Host-session=host; device=no";
	ck_assert(takes_cookie("session", "/", value, sizeof value));
	ck_assert_str_eq(value, "host");
	ck_assert(!takes_cookie("device", "/api", value, sizeof value));
	reply_cookie(&req, line, sizeof line, &own, "v", 60);
	ck_assert_str_eq(line,
		"__Host-session=v; Path=/; HttpOnly; SameSite=Strict; Max-Age=60; Secure");
	reply_cookie(&req, line, sizeof line, &of_path, "v", 0);
	ck_assert_str_eq(line,
		"__Secure-device=v; Path=/api; HttpOnly; SameSite=Strict; Max-Age=0; Secure");
	req.secure = false;
	reply_cookie(&req, line, sizeof line, &own, "v", 60);
	ck_assert_str_eq(line, "session=v; Path=/; HttpOnly; SameSite=Strict; Max-Age=60");
	ck_assert(takes_cookie("session", "/", value, sizeof value));
	ck_assert_str_eq(value, "plai");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { decodes_a_path_once, refuses_paths_that_could_mean_two_things,
		reads_query_values, refuses_query_values_by_name, a_query_value_is_sent_once,
		takes_32_query_values_and_not_33,
		reads_an_id, compares_etags, reads_a_cookie,
		a_cookie_of_https_is_no_other, NULL };

	return case_run("request", tests);
}
