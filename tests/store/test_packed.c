/* The states of readings, packed into a number and bytes. */
#include <math.h>

#include "case.h"
#include "rules/judge/asked.h"
#include "rules/judge/judge.h"
#include "store/kept/judgement.h"
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

/* No member has the value of another, nor 0. */
static struct reading_state some_state(void)
{
	return (struct reading_state){ .r_uohm = 81.25, .r20_uohm = 82.5, .thermal_uv = -3.75,
		.equivalent_m = 1.5, .limit = 1e9, .u95 = 1e-300, .p_within = 0.1, .remark = REMARKS - 1,
		.meter = METER_STATED, .verdict = VERDICT_UNPROVEN, .limit_kind = LIMITS - 1,
		.asked = (1 << ASKEDS) - 1, .status = STATUS_DROPPED_OVER, .parallel = 1,
		.told = VERDICT_OVER, .told_version = 70000, .rulebook_version = 4000000000 };
}

static struct reading_state no_state(void)
{
	return (struct reading_state){ .r_uohm = NAN, .r20_uohm = NAN, .thermal_uv = NAN,
		.equivalent_m = NAN, .limit = NAN, .u95 = NAN, .p_within = NAN, .limit_kind = -1 };
}

static void expect_same(const struct reading_state *a, const struct reading_state *b)
{
	const double one[] = { a->r_uohm, a->r20_uohm, a->thermal_uv, a->equivalent_m, a->limit,
		a->u95, a->p_within };
	const double other[] = { b->r_uohm, b->r20_uohm, b->thermal_uv, b->equivalent_m, b->limit,
		b->u95, b->p_within };

	for (size_t i = 0; i < sizeof one / sizeof one[0]; i++) {
		ck_assert_msg((isnan(one[i]) && isnan(other[i])) || one[i] == other[i], "figure %zu", i);
	}
	ck_assert_int_eq(a->remark, b->remark);
	ck_assert_int_eq(a->meter, b->meter);
	ck_assert_int_eq(a->verdict, b->verdict);
	ck_assert_int_eq(a->limit_kind, b->limit_kind);
	ck_assert_int_eq(a->asked, b->asked);
	ck_assert_int_eq(a->status, b->status);
	ck_assert_int_eq(a->parallel, b->parallel);
	ck_assert_int_eq(a->told, b->told);
	ck_assert_int_eq(a->told_version, b->told_version);
	ck_assert_int_eq(a->rulebook_version, b->rulebook_version);
}

START_TEST(what_is_packed_is_read_back)
{
	const struct reading_state states[] = { some_state(), no_state() };
	struct reading_state back, odd = no_state();
	struct reading_kept kept, other;

	for (size_t i = 0; i < 2; i++) {
		reading_state_write(&states[i], &kept);
		reading_state_read(&kept, &back);
		expect_same(&states[i], &back);
	}
	/* one zero; what is not finite is none; of no verdict no version is told */
	odd.r_uohm = 0;
	reading_state_write(&odd, &other);
	odd = (struct reading_state){ .r_uohm = -0.0, .r20_uohm = INFINITY, .thermal_uv = NAN,
		.equivalent_m = NAN, .limit = -INFINITY, .u95 = NAN, .p_within = NAN, .limit_kind = -1,
		.told_version = 3 };
	reading_state_write(&odd, &kept);
	ck_assert(reading_kept_same(&kept, &other));
}
END_TEST

#define ONE_OTHER(member, value) do { \
	struct reading_state changed = some_state(); \
	changed.member = value; \
	reading_state_write(&changed, &other); \
	ck_assert_msg(!reading_kept_same(&kept, &other), #member); \
} while (0)

START_TEST(two_are_the_same_only_with_every_member_but_the_rulebook_under_which_they_came_out)
{
	struct reading_state state = some_state();
	struct reading_kept kept, other;

	reading_state_write(&state, &kept);
	ONE_OTHER(r_uohm, nextafter(81.25, 100));
	ONE_OTHER(r20_uohm, NAN);
	ONE_OTHER(thermal_uv, 3.75);
	ONE_OTHER(equivalent_m, 0);
	ONE_OTHER(limit, 1e9 + 1);
	ONE_OTHER(u95, 0);
	ONE_OTHER(p_within, nextafter(0.1, 0));
	ONE_OTHER(remark, 0);
	ONE_OTHER(meter, METER_FOUND_OUT);
	ONE_OTHER(verdict, VERDICT_OVER);
	ONE_OTHER(limit_kind, -1);
	ONE_OTHER(asked, 1);
	ONE_OTHER(status, STATUS_DROPPED);
	ONE_OTHER(parallel, 0);
	ONE_OTHER(told, VERDICT_WITHIN);
	ONE_OTHER(told_version, 70001);
	state.rulebook_version = 1;
	reading_state_write(&state, &other);
	ck_assert(reading_kept_same(&kept, &other));
	ck_assert_int_eq(reading_kept_version(&other), 1);
	reading_kept_put_version(&other, 4000000000);
	ck_assert_int_eq(reading_kept_version(&other), 4000000000);
}
END_TEST

static int64_t number(struct store *store, const char *sql)
{
	int64_t n = -9;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(store, sql, NULL, 0, -8, &n, &why), "%s", why.detail);
	return n;
}

#define OF_READING " FROM reading_state s WHERE n = "

START_TEST(in_a_row_each_member_stands_under_its_name)
{
	struct store *store = open_new();
	const struct reading_state some = some_state(), none = no_state();
	struct reading_kept kept;
	struct problem why = { 0 };
	int64_t same = 0;

	reading_state_write(&some, &kept);
	ck_assert(store_reading_state_put(store, 1, 0, &kept, &why));
	reading_state_write(&none, &kept);
	ck_assert(store_reading_state_put(store, 1, 1, &kept, &why));
	ck_assert_int_eq(number(store, "SELECT asked" OF_READING "0"), some.asked);
	ck_assert_int_eq(number(store, "SELECT status" OF_READING "0"), some.status);
	ck_assert_int_eq(number(store, "SELECT parallel" OF_READING "0"), 1);
	ck_assert_int_eq(number(store, "SELECT told" OF_READING "0"), some.told);
	ck_assert_int_eq(number(store, "SELECT verdict" OF_READING "0"), some.verdict);
	ck_assert_int_eq(number(store, "SELECT remark" OF_READING "0"), some.remark);
	ck_assert_int_eq(number(store, "SELECT meter" OF_READING "0"), some.meter);
	ck_assert_int_eq(number(store, "SELECT limit_kind" OF_READING "0"), some.limit_kind);
	ck_assert_int_eq(number(store, "SELECT limit_kind IS NULL AND verdict = 0 AND asked = 0"
		OF_READING "1"), 1);
	ck_assert_int_eq(number(store, "SELECT " FIGURE("rulebook_version") OF_READING "0"), 4000000000);
	ck_assert_int_eq(number(store, "SELECT " FIGURE("told_version") OF_READING "0"), 70000);
	ck_assert_int_eq(number(store, "SELECT " FIGURE("r_uohm") " = 81.25 AND " FIGURE("r20_uohm")
		" = 82.5 AND " FIGURE("thermal_uv") " = -3.75 AND " FIGURE("equivalent_m") " = 1.5 AND "
		FIGURE("limit_value") " = 1e9" OF_READING "0"), 1);
	/* (bound: SQLite reads decimals in a text by long doubles, which valgrind does not have) */
	ck_assert(sql_integer(store, "SELECT " FIGURE("u95") " = $1 AND " FIGURE("p_within") " = $2"
		OF_READING "0", (struct value[]){ value_real(1e-300), value_real(0.1) }, 2, 0, &same,
		&why));
	ck_assert_int_eq(same, 1);
	ck_assert_int_eq(number(store, "SELECT " FIGURE("p_within") " IS NULL AND " FIGURE("r_uohm")
		" IS NULL AND " FIGURE("nothing") " IS NULL" OF_READING "1"), 1);
	put_away(store);
}
END_TEST

START_TEST(bytes_that_are_cut_off_give_no_figure)
{
	struct store *store = open_new();
	const struct reading_state some = some_state();
	struct reading_state back;
	struct reading_kept kept;
	struct problem why = { 0 };
	size_t whole;

	reading_state_write(&some, &kept);
	whole = kept.len;
	for (kept.len = 0; kept.len < whole; kept.len++) {
		reading_state_read(&kept, &back);
		ck_assert(isnan(back.p_within));
		ck_assert(store_reading_state_put(store, 1, 0, &kept, &why));
		ck_assert_int_eq(number(store, "SELECT " FIGURE("p_within") " IS NULL" OF_READING "0"), 1);
	}
	put_away(store);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { what_is_packed_is_read_back,
		two_are_the_same_only_with_every_member_but_the_rulebook_under_which_they_came_out,
		in_a_row_each_member_stands_under_its_name, bytes_that_are_cut_off_give_no_figure, NULL };

	return case_run("packed", tests);
}
