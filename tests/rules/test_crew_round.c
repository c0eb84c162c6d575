/* How far a round is and what became of its bonds: never better than what was recorded. */
#include "case.h"
#include "rules/crew_round.h"

START_TEST(a_round_is_as_far_as_was_said_or_recorded)
{
	ck_assert_int_eq(round_state(&(struct round_facts){ 0 }), ROUND_PLANNED);
	ck_assert_int_eq(round_state(&(struct round_facts){ .taken = true }), ROUND_TAKEN);
	ck_assert_int_eq(round_state(&(struct round_facts){ .begun = true }), ROUND_UNDER_WAY);
	ck_assert_int_eq(round_state(&(struct round_facts){ .recorded = true }), ROUND_UNDER_WAY);
	ck_assert_int_eq(round_state(&(struct round_facts){ .taken = true, .withdrawn = true,
		.recorded = true }), ROUND_WITHDRAWN);
	ck_assert_int_eq(round_state(&(struct round_facts){ .withdrawn = true, .done = true }),
		ROUND_DONE);
}
END_TEST

START_TEST(a_bond_is_done_by_a_complete_visit_and_for_mending_only_by_what_mends)
{
	const struct round_bond_facts none = { 0 }, seen = { .complete = true },
		proved = { .complete = true, .proved = true }, partly = { .partly = true },
		repaired = { .repaired = true }, not_reached = { .not_reached = true },
		both = { .complete = true, .not_reached = true };

	ck_assert_int_eq(round_bond_state(ROUND_INSPECT, &none), ROUND_BOND_OPEN);
	ck_assert_int_eq(round_bond_state(ROUND_INSPECT, &seen), ROUND_BOND_DONE);
	ck_assert_int_eq(round_bond_state(ROUND_INSPECT, &partly), ROUND_BOND_PARTLY);
	ck_assert_int_eq(round_bond_state(ROUND_INSPECT, &repaired), ROUND_BOND_PARTLY);
	ck_assert_int_eq(round_bond_state(ROUND_INSPECT, &not_reached), ROUND_BOND_NOT_REACHED);
	ck_assert_int_eq(round_bond_state(ROUND_INSPECT, &both), ROUND_BOND_DONE);
	ck_assert_int_eq(round_bond_state(ROUND_MEND, &none), ROUND_BOND_OPEN);
	ck_assert_int_eq(round_bond_state(ROUND_MEND, &seen), ROUND_BOND_PARTLY);
	ck_assert_int_eq(round_bond_state(ROUND_MEND, &partly), ROUND_BOND_PARTLY);
	ck_assert_int_eq(round_bond_state(ROUND_MEND, &proved), ROUND_BOND_DONE);
	ck_assert_int_eq(round_bond_state(ROUND_MEND, &repaired), ROUND_BOND_DONE);
	ck_assert_int_eq(round_bond_state(ROUND_MEND, &not_reached), ROUND_BOND_NOT_REACHED);
}
END_TEST

START_TEST(a_time_of_day_is_read_strictly)
{
	static const char *const wrong[] = { "", "24:00", "23:60", "3:40", "03:4", "03.40", "0a:40",
		"03:40 ", "-3:40", "03:40:00" };

	ck_assert_int_eq(round_time("00:00"), 0);
	ck_assert_int_eq(round_time("23:59"), 1439);
	ck_assert_int_eq(round_time("03:40"), 220);
	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		ck_assert_msg(round_time(wrong[i]) == -1, "%s", wrong[i]);
	}
}
END_TEST

START_TEST(a_shift_that_ends_before_it_begins_ends_on_the_next_day)
{
	ck_assert_int_eq(round_shift_minutes(23 * 60 + 40, 3 * 60 + 40), 240);
	ck_assert_int_eq(round_shift_minutes(8 * 60, 12 * 60), 240);
	ck_assert_int_eq(round_shift_minutes(60, 59), 1439);
	ck_assert_int_eq(round_shift_minutes(60, 61), 1);
	ck_assert_int_eq(round_shift_minutes(60, 60), 0);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_round_is_as_far_as_was_said_or_recorded,
		a_bond_is_done_by_a_complete_visit_and_for_mending_only_by_what_mends,
		a_time_of_day_is_read_strictly, a_shift_that_ends_before_it_begins_ends_on_the_next_day,
		NULL };

	return case_run("crew round", tests);
}
