#include <math.h>

#include "case.h"
#include "store/register.h"
#include "store/sql.h"

/* The numbers that a walk gave, and how many it shall take. */
struct taken {
	struct store *store;
	int64_t number[8];
	size_t count, most;
};

static const char by_key[] = "SELECT 1 FROM jar j WHERE j.n >= $1 AND enough(j.n, j.x) "
	"ORDER BY j.n";
static struct register_file file;

static struct store *jar(void)
{
	struct problem why = { 0 };
	struct store *store;

	register_file_make(&file);
	store = register_open(&file, STORE_WRITE);
	ck_assert(sql_run(store, "CREATE TABLE jar (n INTEGER PRIMARY KEY, x REAL, t TEXT) STRICT",
		NULL, 0, &why));
	ck_assert(sql_run(store, "INSERT INTO jar (n, x, t) VALUES (1, 0.5, 'a'), (2, NULL, NULL), "
		"(4, 0, 'bé'), (7, -3, 'z')", NULL, 0, &why));
	return store;
}

static void put_away(struct store *store)
{
	store_close(store);
	register_file_remove(&file);
}

static bool take(void *arg, sqlite3_value **row, struct problem *why)
{
	struct taken *t = arg;

	(void)why;
	t->number[t->count++] = sqlite3_value_int64(row[0]);
	return t->count < t->most;
}

START_TEST(a_walk_gives_the_rows_from_a_key_on_in_its_order)
{
	struct store *store = jar();
	struct taken t = { .most = 8 };
	struct problem why = { 0 };

	ck_assert(sql_walk(store, by_key, 2, take, &t, &why));
	ck_assert_uint_eq(t.count, 3);
	ck_assert_int_eq(t.number[0], 2);
	ck_assert_int_eq(t.number[1], 4);
	ck_assert_int_eq(t.number[2], 7);
	put_away(store);
}
END_TEST

START_TEST(a_walk_ends_with_the_row_that_is_enough_and_can_begin_again)
{
	struct store *store = jar();
	struct taken t = { .most = 2 };
	struct problem why = { 0 };

	ck_assert(sql_walk(store, by_key, 1, take, &t, &why));
	ck_assert_uint_eq(t.count, 2);
	t.most = 3;
	ck_assert(sql_walk(store, by_key, 7, take, &t, &why));
	ck_assert_uint_eq(t.count, 3);
	ck_assert_int_eq(t.number[2], 7);
	put_away(store);
}
END_TEST

START_TEST(an_order_that_no_key_has_is_refused)
{
	struct store *store = jar();
	struct taken t = { .most = 8 };
	struct problem why = { 0 };

	ck_assert(!sql_walk(store, "SELECT 1 FROM jar j WHERE j.n >= $1 AND enough(j.n) "
		"ORDER BY j.x", 1,
		take, &t, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	put_away(store);
}
END_TEST

static bool take_nulls(void *arg, sqlite3_value **row, struct problem *why)
{
	char text[3];

	(void)why;
	(*(int *)arg)++;
	if (sqlite3_value_int(row[0]) == 2) {
		ck_assert(isnan(taken_real(row[1])));
		ck_assert_int_eq(taken_word(row[1]), -1);
		ck_assert_int_eq(taken_day(row[1]), DAY_NONE);
		taken_text(row[2], text, sizeof text);
		ck_assert_str_eq(text, "");
	} else if (sqlite3_value_int(row[0]) == 4) {
		ck_assert_double_eq(taken_real(row[1]), 0);
		ck_assert_int_eq(taken_word(row[1]), 0);
		ck_assert_int_eq(taken_day(row[1]), 0);
		taken_text(row[2], text, sizeof text);
		ck_assert_str_eq(text, "b");   /* é is two bytes and does not fit */
	}
	return true;
}

START_TEST(nothing_recorded_is_not_zero)
{
	static const char sql[] = "SELECT 1 FROM jar j WHERE j.n >= $1 AND enough(j.n, j.x, j.t) "
		"ORDER BY j.n";
	struct store *store = jar();
	struct problem why = { 0 };
	int rows = 0;

	ck_assert(sql_walk(store, sql, 1, take_nulls, &rows, &why));
	ck_assert_int_eq(rows, 4);
	put_away(store);
}
END_TEST

/* Walks from 4 on inside a walk, by another statement. */
static bool take_inner(void *arg, sqlite3_value **row, struct problem *why)
{
	static const char sql[] = "SELECT 1 FROM jar k WHERE k.n >= $1 AND enough(k.n) "
		"ORDER BY k.n";
	struct taken *t = arg;
	struct taken inner = { .most = 8 };

	ck_assert(sql_walk(t->store, sql, 4, take, &inner, why));
	ck_assert_uint_eq(inner.count, 2);
	return take(arg, row, why);
}

static bool take_wrong(void *arg, sqlite3_value **row, struct problem *why)
{
	take(arg, row, why);
	return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

START_TEST(what_takes_rows_may_ask_others_and_may_fail)
{
	struct store *store = jar();
	struct taken t = { .store = store, .most = 8 };
	struct problem why = { 0 };

	ck_assert(sql_walk(store, by_key, 1, take_inner, &t, &why));
	ck_assert_uint_eq(t.count, 4);
	t.count = 0;
	ck_assert(!sql_walk(store, by_key, 1, take_wrong, &t, &why));
	ck_assert_int_eq(why.code, PROBLEM_NO_MEMORY);
	ck_assert_uint_eq(t.count, 1);
	put_away(store);
}
END_TEST

START_TEST(a_statement_that_is_no_walk_is_told_so)
{
	struct store *store = jar();
	struct problem why = { 0 };

	ck_assert(!sql_run(store, "SELECT enough(n) FROM jar", NULL, 0, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	put_away(store);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_walk_gives_the_rows_from_a_key_on_in_its_order,
		a_walk_ends_with_the_row_that_is_enough_and_can_begin_again,
		an_order_that_no_key_has_is_refused, nothing_recorded_is_not_zero,
		what_takes_rows_may_ask_others_and_may_fail, a_statement_that_is_no_walk_is_told_so, NULL };

	return case_run("walk", tests);
}
