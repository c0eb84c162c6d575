/* Whether a deferral still holds: by what arrived at the register after it was decided. */
#include <string.h>

#include "case.h"
#include "rules/record.h"

#define NAMED(key) ((uint64_t)1 << (key))

static bool holds(const struct deferral_fact *deferral, enum act_key key, int64_t arrived_at_ms)
{
	const struct act_item item = { key, FIRST, arrived_at_ms, arrived_at_ms };

	return deferral_holds(deferral, &item, 1, 0);
}

START_TEST(it_holds_until_a_reason_arrives_that_it_did_not_name)
{
	const struct deferral_fact none_named = { 1, FIRST + 300, 1000, 0, true };

	ck_assert(deferral_holds(&none_named, NULL, 0, 0));
	ck_assert(holds(&none_named, ACT_OVER, 999));        /* was there, and was known */
	ck_assert(!holds(&none_named, ACT_OVER, 1000));
	ck_assert(!holds(&none_named, ACT_OVER, 1001));
}
END_TEST

START_TEST(the_same_reason_again_does_not_end_it_and_another_does)
{
	const struct deferral_fact named = { 1, FIRST + 300, 1000, NAMED(ACT_OVER), true };

	ck_assert(holds(&named, ACT_OVER, 5000));
	for (int key = ACT_OVER + 1; key < ACT_KEYS; key++) {
		ck_assert(!holds(&named, (enum act_key)key, 5000));
	}
}
END_TEST

START_TEST(one_of_several_reasons_not_named_is_enough)
{
	const struct act_item items[] = { { ACT_OVER, FIRST, 10, 10 }, { ACT_DEFECT, FIRST, 5000, 5000 },
		{ ACT_NOT_PROVED, FIRST, 20, 20 } };
	struct deferral_fact f = { 1, FIRST + 300, 1000, NAMED(ACT_OVER) | NAMED(ACT_NOT_PROVED), true };

	ck_assert(!deferral_holds(&f, items, 3, 0));
	f.named |= NAMED(ACT_DEFECT);
	ck_assert(deferral_holds(&f, items, 3, 0));
	ck_assert_uint_eq(deferral_unnamed(f.named, items, 3), 0);
	ck_assert_uint_eq(deferral_unnamed(0, items, 3),
		NAMED(ACT_OVER) | NAMED(ACT_DEFECT) | NAMED(ACT_NOT_PROVED));
	ck_assert_uint_eq(deferral_unnamed(NAMED(ACT_OVER), items, 2), NAMED(ACT_DEFECT));
}
END_TEST

START_TEST(one_of_before_they_were_named_names_what_had_arrived)
{
	const struct deferral_fact old = { 1, FIRST + 300, 1000, 0, false };
	const struct act_item items[] = { { ACT_OVER, FIRST, 1000, 1000 },
		{ ACT_OVER + 1, FIRST, 1001, 1001 } };

	ck_assert(deferral_holds(&old, items, 1, 0));
	ck_assert(!deferral_holds(&old, items, 2, 0));
}
END_TEST

START_TEST(a_complete_inspection_that_arrives_later_ends_it)
{
	const struct deferral_fact f = { 1, FIRST + 300, 1000, NAMED(ACT_OVER), true };
	const struct deferral_fact none = { 0 };

	ck_assert(deferral_holds(&f, NULL, 0, 1000));
	ck_assert(!deferral_holds(&f, NULL, 0, 1001));
	ck_assert(!deferral_holds(&none, NULL, 0, 0));
}
END_TEST

START_TEST(each_reason_has_a_bit_and_words_of_its_own)
{
	char words[ACT_KEYS][120];

	ck_assert_int_le(ACT_KEYS, 64);
	ck_assert_int_le(ACT_KEYS, JUDGE_ITEMS);
	for (int key = 0; key < ACT_KEYS; key++) {
		act_key_words((enum act_key)key, NULL, words[key], sizeof words[key]);
		ck_assert_uint_gt(strlen(words[key]), 8);
		for (int other = 0; other < key; other++) {
			ck_assert_msg(strcmp(words[key], words[other]) != 0, "%s", words[key]);
		}
	}
	ck_assert_str_eq(words[ACT_STRENGTH + END_B], "failed strength test at end B");
	ck_assert_str_eq(words[ACT_CABLE_LOST], "a cable is not whole");
	ck_assert_ptr_nonnull(strstr(words[ACT_FAILURE + 3 * FAILURE_CABLE_BROKEN], "failure: "));
}
END_TEST

/* Of a bond: deferred at noon of day 50 for a year. */
static struct record *deferred(uint64_t named)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	defer(r, FIRST + 500, noon_ms(FIRST + 50), named);
	return r;
}

/* The cable broke on day 40, ten days before it was deferred, and nobody told until day 60. */
START_TEST(a_broken_cable_told_of_late_ends_it_though_it_broke_before)
{
	struct record *r = deferred(0);
	struct judge_failure *broken;
	const struct judgement *is = judged(r);

	ck_assert(is->deferral_holds);
	ck_assert_int_eq(due_state_on(&is->due, FIRST + 450), DUE_DEFERRED);
	broken = failed(r, FAILURE_CABLE_BROKEN, -1, FIRST + 40, DAY_NONE);
	broken->arrived_at_ms = noon_ms(FIRST + 60);
	is = judged(r);
	ck_assert(!is->deferral_holds);
	ck_assert_int_eq(is->due.deferred_until_day, DAY_NONE);
	expect_due(is, DUE_ACT, FIRST + 54);
	ck_assert_int_eq(due_state_on(&is->due, FIRST + 450), DUE_OVERDUE);
	/* whoever wants to put that off too, names it */
	defer(r, FIRST + 500, noon_ms(FIRST + 61), NAMED(ACT_FAILURE + 3 * FAILURE_CABLE_BROKEN));
	is = judged(r);
	ck_assert(is->deferral_holds);
	ck_assert_int_eq(is->grade.grade, GRADE_ACT);
	ck_assert_int_eq(is->due.due_day, FIRST + 54);
	ck_assert_int_eq(is->due.deferred_until_day, FIRST + 500);
	ck_assert_int_eq(due_state_on(&is->due, FIRST + 500), DUE_DEFERRED);
	ck_assert_int_eq(due_state_on(&is->due, FIRST + 501), DUE_OVERDUE);
}
END_TEST

START_TEST(the_same_failure_at_another_end_is_another_reason)
{
	struct record *r = deferred(NAMED(ACT_FAILURE + 3 * FAILURE_DETACHED + END_A + 1));

	failed(r, FAILURE_DETACHED, END_A, FIRST + 60, DAY_NONE);
	ck_assert(judged(r)->deferral_holds);
	failed(r, FAILURE_DETACHED, END_B, FIRST + 60, DAY_NONE);
	ck_assert(!judged(r)->deferral_holds);
}
END_TEST

START_TEST(an_older_visit_that_arrives_late_and_shows_over_ends_it)
{
	struct record *r = deferred(0);
	struct judge_visit *late;

	r->facts.n_visits = r->facts.n_readings = 0;
	late = visit(r, FIRST - 10, PURPOSE_ROUTINE);
	reads(r, QUANTITY_END_TO_END, 150);
	late->outcome = OUTCOME_PARTLY;
	late->arrived_at_ms = noon_ms(FIRST + 51);
	ck_assert(!judged(r)->deferral_holds);
	late->arrived_at_ms = noon_ms(FIRST + 49);
	ck_assert(judged(r)->deferral_holds);
}
END_TEST

/* Found over on day 1, decided on day 50 without a word of it; on day 60 it is told again. */
START_TEST(what_it_did_not_name_ends_it_when_it_is_told_again)
{
	struct record *r = deferred(0);
	struct judge_visit *again;

	r->facts.n_visits = r->facts.n_readings = 0;
	visit(r, FIRST + 1, PURPOSE_ROUTINE)->outcome = OUTCOME_PARTLY;
	reads(r, QUANTITY_END_TO_END, 150);
	ck_assert(judged(r)->deferral_holds);
	again = visit(r, FIRST + 60, PURPOSE_ROUTINE);
	again->outcome = OUTCOME_PARTLY;
	reads(r, QUANTITY_END_TO_END, 150);
	ck_assert(!judged(r)->deferral_holds);
	defer(r, FIRST + 500, noon_ms(FIRST + 50), NAMED(ACT_OVER + QUANTITY_END_TO_END));
	ck_assert(judged(r)->deferral_holds);
	/* and so with a defect that is seen again */
	r->facts.n_readings = 0;
	r->visits[0].seen_a = SEEN_MISSING;
	again->seen_a = SEEN_MISSING;
	ck_assert(!judged(r)->deferral_holds);
	again->outcome = OUTCOME_NOT_REACHED;
	ck_assert(judged(r)->deferral_holds);
}
END_TEST

START_TEST(a_complete_inspection_of_an_older_day_that_arrives_late_ends_it)
{
	struct record *r = deferred(0);

	visit(r, FIRST + 10, PURPOSE_ROUTINE)->arrived_at_ms = noon_ms(FIRST + 50) + 1;
	ck_assert(!judged(r)->deferral_holds);
	r->visits[1].outcome = OUTCOME_PARTLY;
	ck_assert(judged(r)->deferral_holds);
}
END_TEST

START_TEST(a_question_that_would_be_over_ends_it)
{
	struct record *r = deferred(0);

	measure(r, FIRST + 60, 110);
	r->visits[1].outcome = OUTCOME_PARTLY;
	ck_assert(!judged(r)->deferral_holds);
	r->readings[1].values.shown_uohm = 102;    /* would be unproven: no reason to act */
	ck_assert(judged(r)->deferral_holds);
}
END_TEST

START_TEST(a_deferral_until_before_the_due_day_defers_nothing)
{
	struct record *r = deferred(0);

	r->facts.deferral.until_day = day_add_months(FIRST, 12);
	ck_assert_int_eq(judged(r)->due.deferred_until_day, DAY_NONE);
	r->facts.deferral.until_day++;
	ck_assert_int_eq(judged(r)->due.deferred_until_day, day_add_months(FIRST, 12) + 1);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { it_holds_until_a_reason_arrives_that_it_did_not_name,
		the_same_reason_again_does_not_end_it_and_another_does,
		one_of_several_reasons_not_named_is_enough,
		one_of_before_they_were_named_names_what_had_arrived,
		a_complete_inspection_that_arrives_later_ends_it,
		each_reason_has_a_bit_and_words_of_its_own,
		a_broken_cable_told_of_late_ends_it_though_it_broke_before,
		the_same_failure_at_another_end_is_another_reason,
		an_older_visit_that_arrives_late_and_shows_over_ends_it,
		what_it_did_not_name_ends_it_when_it_is_told_again,
		a_complete_inspection_of_an_older_day_that_arrives_late_ends_it,
		a_question_that_would_be_over_ends_it,
		a_deferral_until_before_the_due_day_defers_nothing, NULL };

	return case_run("deferral", tests);
}
