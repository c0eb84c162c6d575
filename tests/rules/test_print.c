/* The printing of rules.wasm (wasm/print.c) beside the C library's, which knows nothing of it. */
#include <stdint.h>
#include <stdio.h>

#include "case.h"

#define vsnprintf print_vsnprintf
#define snprintf print_snprintf
#include "../../server/wasm/print.c"
#undef vsnprintf
#undef snprintf

static void same(size_t size, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void same(size_t size, const char *format, ...)
{
	char ours[64], theirs[64];
	va_list args, again;

	memset(ours, '#', sizeof ours);
	memset(theirs, '#', sizeof theirs);
	va_start(args, format);
	va_copy(again, args);
	ck_assert_int_eq(print_vsnprintf(ours, size, format, args),
		vsnprintf(theirs, size, format, again));
	va_end(again);
	va_end(args);
	ck_assert_mem_eq(ours, theirs, sizeof ours);
}

START_TEST(prints_as_the_library_does)
{
	same(64, "plain, 100 %%");
	same(64, "%s", "");
	same(64, "\"%s\" is not a chainage here: %s.", "12+3O5", "write it");
	same(64, "%.*s|%.*s|%.*s", 0, "abc", 2, "abc", 9, "abc");
	same(64, "%.*s", -1, "all of it");
	same(64, "%d %d %d", 0, INT_MIN, INT_MAX);
	same(64, "%u %zu", UINT_MAX, SIZE_MAX);
	same(64, "%ld %lld", LONG_MIN, LLONG_MAX);
	same(64, "%lld%s", LLONG_MIN, "|");
}
END_TEST

START_TEST(cuts_as_the_library_does)
{
	/* room for less, for all but the end, for all */
	same(1, "%s %d", "twelve", 12);
	same(5, "%s %d", "twelve", 12);
	same(9, "%s %d", "twelve", 12);
	same(10, "%s %d", "twelve", 12);
	ck_assert_int_eq(print_snprintf(NULL, 0, "%s %d", "twelve", 12), 9);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { prints_as_the_library_does, cuts_as_the_library_does, NULL };

	return case_run("print", tests);
}
