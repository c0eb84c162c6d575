/*
 * What every Check program shares: a suite from a list of test cases, run and counted.
 *
 *     int main(void) { return case_run("day", tests); }   where
 *     const TTest *const tests[] = { reads_a_day, NULL };
 */
#ifndef TESTS_CASE_H
#define TESTS_CASE_H

#include <check.h>
#include <stdlib.h>

static inline int case_run(const char *name, const TTest *const tests[])
{
	Suite *suite = suite_create(name);
	TCase *tcase = tcase_create(name);
	SRunner *runner;
	int failed;

	tcase_set_timeout(tcase, 120);
	for (size_t i = 0; tests[i] != NULL; i++) {
		tcase_add_test(tcase, tests[i]);
	}
	suite_add_tcase(suite, tcase);
	runner = srunner_create(suite);
	srunner_run_all(runner, CK_ENV);
	failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

#endif
