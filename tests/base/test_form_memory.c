/* A body is read whole or not at all, whichever allocation fails. The linker gives every malloc of
 * the form's decoder and of the parser under it to __wrap_malloc. */
#include <stdlib.h>

#include "base/form.h"
#include "case.h"

static int until_failure = -1;   /* allocations that still succeed; -1: all do */

void *__real_malloc(size_t size);
void *__wrap_malloc(size_t size);

void *__wrap_malloc(size_t size)
{
	if (until_failure >= 0 && until_failure-- == 0) {
		return NULL;
	}
	return __real_malloc(size);
}

struct body {
	double uohm;
	const char *note;
};

static const struct member members[] = {
	{ "uohm", "Resistance", "µΩ", MEMBER_REAL, true, offsetof(struct body, uohm), .least = 0,
		.most = 1e9 },
	{ "note", "Note", NULL, MEMBER_TEXT, true, offsetof(struct body, note), .longest = 200 },
	{ 0 }
};
static const struct form form = { "Body", members, sizeof (struct body) };

static bool take(struct body *to, struct form_memory *memory, struct problems *why)
{
	/* longer than the parser's first room for a token */
	static const char json[] = "{\"uohm\":123456.7890123456789012,"
		"\"note\":\"a note that is longer than the first room of any token\"}";

	return form_from_json(&form, json, sizeof json - 1, to, memory, why);
}

/* One failure, then memory again: the digit that it cost would go unseen. */
START_TEST(one_allocation_that_fails_is_told_and_costs_no_digit)
{
	bool all_good = false;
	int told = 0;

	for (int after = 0; !all_good && after < 1000; after++) {
		struct body body;
		struct form_memory memory = { 0 };
		struct problems why = { 0 };
		bool ok, failed;

		until_failure = after;
		ok = take(&body, &memory, &why);
		failed = until_failure < 0;
		until_failure = -1;
		if (ok) {
			ck_assert_double_eq(body.uohm, 123456.7890123456789012);
			ck_assert_str_eq(body.note, "a note that is longer than the first room of any token");
			all_good = !failed;
		} else {
			ck_assert_int_eq(problems_code(&why), PROBLEM_NO_MEMORY);
			told++;
		}
		form_memory_release(&memory);
	}
	ck_assert(all_good);
	ck_assert_int_gt(told, 10);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { one_allocation_that_fails_is_told_and_costs_no_digit, NULL };

	return case_run("form_memory", tests);
}
