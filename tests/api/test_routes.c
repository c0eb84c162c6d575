/* The tables of routes, as the workers have them. */
#include <pthread.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "api/routes.h"
#include "case.h"
#include "store/lists/list.h"

static void *ask(void *arg)
{
	(void)arg;
	return (void *)all_routes();
}

/* Of the routes made from the lists, those that fill whole pages of memory: nobody may write there
 * any more, on pain of death. */
START_TEST(the_table_is_never_written_once_it_is_given_out)
{
	const struct route *const *tables = all_routes();
	size_t page = (size_t)sysconf(_SC_PAGESIZE), from, to;
	const struct route *made = NULL;
	pthread_t threads[8];

	for (size_t i = 0; tables[i] != NULL; i++) {
		made = strcmp(tables[i][0].pattern, "/api/due") == 0 ? tables[i] : made;
	}
	ck_assert_ptr_nonnull(made);
	from = ((uintptr_t)made + page - 1) / page * page;
	for (to = (uintptr_t)made; made->pattern != NULL; made++) {
		to = (uintptr_t)(made + 1);
	}
	to = to / page * page;
	ck_assert_uint_gt(to, from);
	ck_assert_int_eq(mprotect((void *)from, to - from, PROT_READ), 0);
	for (int i = 0; i < 8; i++) {
		ck_assert_int_eq(pthread_create(&threads[i], NULL, ask, NULL), 0);
	}
	for (int i = 0; i < 8; i++) {
		void *given;

		pthread_join(threads[i], &given);
		ck_assert_ptr_eq(given, tables);
	}
	ck_assert_int_eq(mprotect((void *)from, to - from, PROT_READ | PROT_WRITE), 0);
}
END_TEST

/* (what http does with each kind is tests/http/test_server.c's) */
START_TEST(only_what_says_nothing_of_the_register_has_no_view)
{
	const struct route *const *tables = all_routes();
	size_t plain = 0, all = 0;

	for (size_t i = 0; tables[i] != NULL; i++) {
		for (const struct route *r = tables[i]; r->pattern != NULL; r++) {
			all++;
			plain += r->kind == ROUTE_PLAIN;
			ck_assert_msg(r->kind != ROUTE_PLAIN || strncmp(r->pattern, "/api/", 5) != 0 ||
				tables[i] == about_routes || tables[i] == page_routes || tables[i] == progress_routes,
				"%s reads without a view", r->pattern);
		}
	}
	ck_assert_uint_gt(all, 100);
	ck_assert_uint_gt(plain, 0);
}
END_TEST

/* (a route without a right is closed: tests/http) */
START_TEST(what_gives_a_list_has_the_right_of_its_table_and_each_has_one)
{
	const struct route *const *tables = all_routes();

	for (const struct listed *l = all_lists; l->list != NULL; l++) {
		size_t routes = 0;

		ck_assert_msg(l->right != RIGHT_NOBODY, "%s has no right", l->list->name);
		for (size_t i = 0; tables[i] != NULL; i++) {
			for (const struct route *r = tables[i]; r->pattern != NULL; r++) {
				ck_assert_msg(r->list != l->list || r->right == l->right, "%s", r->pattern);
				routes += r->list == l->list;
			}
		}
		ck_assert_msg(routes > 1, "%s is given by nothing", l->list->name);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { the_table_is_never_written_once_it_is_given_out,
		only_what_says_nothing_of_the_register_has_no_view,
		what_gives_a_list_has_the_right_of_its_table_and_each_has_one, NULL };

	return case_run("routes", tests);
}
