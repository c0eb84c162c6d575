#include <string.h>

#include "case.h"
#include "http/route.h"

static void nothing(const struct request *req, struct reply *out)
{
	(void)req;
	(void)out;
}

static const struct route bonds[] = {
	{ METHOD_GET, "/api/bonds", ROUTE_READ, RIGHT_ANYONE, nothing, "list" },
	{ METHOD_POST, "/api/bonds", ROUTE_WRITE, RIGHT_ANYONE, nothing, "add" },
	{ METHOD_GET, "/api/bonds/{id}", ROUTE_READ, RIGHT_ANYONE, nothing, "one" },
	{ METHOD_PUT, "/api/bonds/{id}/results/{uuid}", ROUTE_WRITE, RIGHT_ANYONE, nothing, "result" },
	{ 0 }
};
static const struct route others[] = {
	{ METHOD_GET, "/", ROUTE_PLAIN, RIGHT_ANYONE, nothing, "front" },
	{ METHOD_GET, "/api/bonds/due", ROUTE_READ, RIGHT_ANYONE, nothing, "due" },
	{ METHOD_GET, "/{page}", ROUTE_PLAIN, RIGHT_ANYONE, nothing, "page" },
	{ METHOD_GET, "/{a}/{b}/{c}/{d}/{e}", ROUTE_PLAIN, RIGHT_ANYONE, nothing, "five" },
	{ 0 }
};
static const struct route *const tables[] = { bonds, others, NULL };

struct found {
	const struct route *route;
	const char *params[REQUEST_PARAMS];
	char scratch[64];
	unsigned allowed;
	struct problem why;
};

static struct found *find(enum method method, const char *path)
{
	static struct found f;

	f = (struct found){ 0 };
	f.route = route_find(tables, method, path, f.params, f.scratch, sizeof f.scratch, &f.allowed,
		&f.why);
	return &f;
}

static const struct { const char *label; enum method method; const char *path, *summary, *p0, *p1; }
finds[] = {
	{ "the front page", METHOD_GET, "/", "front", NULL, NULL },
	{ "a list", METHOD_GET, "/api/bonds", "list", NULL, NULL },
	{ "the other method", METHOD_POST, "/api/bonds", "add", NULL, NULL },
	{ "a part", METHOD_GET, "/api/bonds/17", "one", "17", NULL },
	{ "a part with odd characters", METHOD_GET, "/api/bonds/K\xC3\xA4 {x}", "one", "K\xC3\xA4 {x}", NULL },
	{ "a word before a part, whatever the order", METHOD_GET, "/api/bonds/due", "due", NULL, NULL },
	{ "two parts", METHOD_PUT, "/api/bonds/5/results/ab", "result", "5", "ab" },
	{ "a page", METHOD_GET, "/due.html", "page", "due.html", NULL },
};

START_TEST(finds_the_route_and_its_parts)
{
	for (size_t i = 0; i < sizeof finds / sizeof finds[0]; i++) {
		struct found *f = find(finds[i].method, finds[i].path);

		ck_assert_msg(f->route != NULL && strcmp(f->route->summary, finds[i].summary) == 0, "%s",
			finds[i].label);
		ck_assert_msg(finds[i].p0 == NULL || strcmp(f->params[0], finds[i].p0) == 0, "%s",
			finds[i].label);
		ck_assert_msg(finds[i].p1 == NULL || strcmp(f->params[1], finds[i].p1) == 0, "%s",
			finds[i].label);
	}
}
END_TEST

START_TEST(knows_405_from_404)
{
	struct found *f = find(METHOD_DELETE, "/api/bonds");

	ck_assert_ptr_null(f->route);
	ck_assert_int_eq(f->why.code, PROBLEM_METHOD);
	ck_assert_uint_eq(f->allowed, 1u << METHOD_GET | 1u << METHOD_POST);
	f = find(METHOD_PUT, "/api/bonds/17");
	ck_assert_int_eq(f->why.code, PROBLEM_METHOD);
	ck_assert_uint_eq(f->allowed, 1u << METHOD_GET);
	f = find(METHOD_PUT, "/api/spots/17");
	ck_assert_int_eq(f->why.code, PROBLEM_NO_ROUTE);
	ck_assert_uint_eq(f->allowed, 0);
}
END_TEST

START_TEST(refuses_what_is_not_in_a_table)
{
	static const char *const paths[] = { "", "api/bonds", "//", "/api/", "/api/bonds/",
		"/api//bonds", "/api/bonds//", "/api/bonds/17/", "/api/bonds/17/results",
		"/api/bonds/17/results/", "/API/bonds", "/api/bondsx", "/api/bond", "/due.html/" };

	for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
		struct found *f = find(METHOD_GET, paths[i]);

		ck_assert_msg(f->route == NULL, "%s is no address", paths[i]);
		ck_assert_msg(f->why.code == PROBLEM_NO_ROUTE || f->why.code == PROBLEM_METHOD, "%s", paths[i]);
	}
}
END_TEST

START_TEST(refuses_parts_that_do_not_fit)
{
	char path[100] = "/api/bonds/";
	struct found *f;

	memset(path + 11, 'x', 63); /* 63 and its NUL fill the 64 bytes */
	ck_assert_ptr_nonnull(find(METHOD_GET, path)->route);
	path[11 + 63] = 'x';
	ck_assert_ptr_null(find(METHOD_GET, path)->route);
	f = find(METHOD_GET, "/1/2/3/4/5"); /* more parts than a request holds */
	ck_assert_ptr_null(f->route);
	ck_assert_int_eq(f->why.code, PROBLEM_NO_ROUTE);
}
END_TEST

START_TEST(every_problem_has_a_status_and_a_title)
{
	for (int code = PROBLEM_MALFORMED; code < PROBLEM_CODES; code++) {
		const struct problem_kind *kind = problem_kind((enum problem_code)code);

		ck_assert_msg(kind->status >= 400 && kind->status < 600, "code %d", code);
		ck_assert_msg(kind->slug != NULL && kind->title != NULL, "code %d", code);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { finds_the_route_and_its_parts, knows_405_from_404,
		refuses_what_is_not_in_a_table, refuses_parts_that_do_not_fit,
		every_problem_has_a_status_and_a_title, NULL };

	return case_run("route", tests);
}
