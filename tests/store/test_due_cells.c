/* The totals of the due list, as they are added up. */
#include "case.h"
#include "store/record/bond.h"
#include "store/register.h"
#include "store/sql.h"

static struct register_file file;

static struct store *open_new(void)
{
	register_file_make(&file);
	return register_open(&file, STORE_WRITE);
}

static void put_away(struct store *store)
{
	store_close(store);
	register_file_remove(&file);
}

static int64_t number(struct store *store, const char *sql)
{
	int64_t n = -9;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(store, sql, NULL, 0, -8, &n, &why), "%s", why.detail);
	return n;
}

static void add(struct store *store, int64_t line_id, int32_t day, int by)
{
	struct due_cell cells[] = { { .line_id = line_id, .alike = 5, .due_day = day,
		.deferred_to_day = DAY_NONE, .evidence_until_day = DAY_NONE, .by = by } };
	struct problem why = { 0 };

	ck_assert_msg(store_due_cells_add(store, cells, 1, &why), "%s", why.detail);
}

START_TEST(totals_are_added_up_by_line_and_for_all_and_a_cell_that_is_empty_is_gone)
{
	struct store *store = open_new();

	add(store, 1, 100, 2);
	add(store, 2, 100, 1);
	ck_assert_int_eq(number(store, "SELECT bonds FROM due_cell WHERE line_id = 0"), 3);
	ck_assert_int_eq(number(store, "SELECT bonds FROM due_cell WHERE line_id = 1"), 2);
	add(store, 1, 100, -1);
	ck_assert_int_eq(number(store, "SELECT bonds FROM due_cell WHERE line_id = 1"), 1);
	add(store, 1, 100, -1);
	ck_assert_int_eq(number(store, "SELECT count(*) FROM due_cell WHERE line_id = 1"), 0);
	ck_assert_int_eq(number(store, "SELECT bonds FROM due_cell WHERE line_id = 0"), 1);
	add(store, 2, 100, -1);
	ck_assert_int_eq(number(store, "SELECT count(*) FROM due_cell"), 0);
	/* what never was counted stays, for check to find */
	add(store, 2, 100, -1);
	ck_assert_int_eq(number(store, "SELECT bonds FROM due_cell WHERE line_id = 2"), -1);
	put_away(store);
}
END_TEST

START_TEST(many_cells_at_once_are_each_of_their_line_and_day)
{
	struct store *store = open_new();
	struct due_cell cells[60];
	struct problem why = { 0 };

	/* lines 1 to 3, days 100 to 104, each four times, in no order */
	for (size_t i = 0; i < 60; i++) {
		cells[i] = (struct due_cell){ .line_id = 1 + (int64_t)(i * 7 % 3), .alike = 5,
			.due_day = 100 + (int32_t)(i % 5), .deferred_to_day = DAY_NONE,
			.evidence_until_day = DAY_NONE, .by = 1 };
	}
	ck_assert(store_due_cells_add(store, cells, 60, &why));
	ck_assert_int_eq(number(store, "SELECT count(*) FROM due_cell WHERE line_id > 0 AND bonds = 4"),
		15);
	ck_assert_int_eq(number(store, "SELECT count(*) FROM due_cell WHERE line_id = 0 AND bonds = 12"),
		5);
	ck_assert_int_eq(number(store, "SELECT count(*) FROM due_cell"), 20);
	put_away(store);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		totals_are_added_up_by_line_and_for_all_and_a_cell_that_is_empty_is_gone,
		many_cells_at_once_are_each_of_their_line_and_day, NULL };

	return case_run("due_cells", tests);
}
