/* What is to be mended beside what was measured: failures, strength tests, defects, ends that are
 * not attached, attachments that were not accepted; since when it is act, and what ends each. */
#include "case.h"
#include "rules/record.h"

/* Both ends attached the day before, read within on the first day. */
static struct record *attached(void)
{
	struct record *r = record();

	attach_both(r, FIRST - 1);
	measure(r, FIRST, 50);
	return r;
}

START_TEST(each_end_is_as_the_newest_visit_that_saw_it_found_it)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	r->visits[0].seen_b = SEEN_CORRODED;
	expect(r, GRADE_WATCH, BECAUSE(DEFECT));
	visit(r, FIRST + 1, PURPOSE_ROUTINE)->outcome = OUTCOME_NOT_REACHED;
	expect(r, GRADE_WATCH, BECAUSE(DEFECT));             /* who did not get there saw nothing */
	r->visits[1].outcome = OUTCOME_PARTLY;
	expect(r, GRADE_SOUND, 0);
	r->visits[1].seen_b = SEEN_NOT_VISIBLE;
	expect(r, GRADE_WATCH, BECAUSE(DEFECT));
	r->visits[1].seen_b = -1;
	expect(r, GRADE_WATCH, BECAUSE(DEFECT));
}
END_TEST

/* Loose, strands broken and missing are critical in the first rulebook. */
START_TEST(a_critical_defect_is_ended_by_a_complete_visit_that_finds_that_end_good)
{
	static const enum seen critical[] = { SEEN_LOOSE, SEEN_STRANDS_BROKEN, SEEN_MISSING };

	for (size_t i = 0; i < 3; i++) {
		struct record *r = record();
		struct judge_visit *later;

		measure(r, FIRST, 50);
		r->visits[0].seen_a = critical[i];
		expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
		expect_due(&r->is, DUE_ACT, FIRST + 14);
		ck_assert_int_eq(r->is.items[0].key, ACT_DEFECT + END_A);
		later = visit(r, FIRST + 10, PURPOSE_ROUTINE);
		later->outcome = OUTCOME_PARTLY;
		expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
		later->outcome = OUTCOME_COMPLETE;
		expect(r, GRADE_SOUND, 0);
		later->seen_a = SEEN_CORRODED;               /* better is not good */
		expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
		later->seen_a = SEEN_NOT_VISIBLE;
		expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
		later->seen_a = SEEN_GOOD;
		later->seen_b = SEEN_LOOSE;                  /* the other end */
		expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
		expect_due(&r->is, DUE_ACT, FIRST + 24);
		ck_assert_int_eq(r->is.items[0].key, ACT_DEFECT + END_B);
	}
}
END_TEST

START_TEST(a_critical_defect_is_ended_by_a_repair_of_its_end_that_is_proved)
{
	struct record *r = record();
	struct judge_failure *f;

	measure(r, FIRST, 50);
	r->visits[0].seen_a = SEEN_LOOSE;
	f = failed(r, FAILURE_DETACHED, END_B, FIRST, FIRST + 5);
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT) | BECAUSE(FAILURE_NOT_PROVED) |
		BECAUSE(NO_EVIDENCE));
	f->end = END_A;
	expect(r, GRADE_ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE));
	measure(r, FIRST + 6, 51);
	r->visits[1].seen_a = -1;
	expect(r, GRADE_SOUND, 0);
	f->end = END_B;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
	f->end = -1;
	expect(r, GRADE_SOUND, 0);
	f->repaired_day = FIRST - 1;                         /* and it was loose after that */
	f->found_day = FIRST - 2;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
}
END_TEST

START_TEST(what_was_seen_of_a_former_attachment_counts_until_the_new_one_is_shown_to_be_good)
{
	struct record *r = attached();

	r->visits[0].seen_a = SEEN_LOOSE;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
	attach(r, END_B, FIRST + 1);
	commission(r, FIRST + 1, 50);
	r->visits[1].seen_a = -1;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));      /* the other end */
	attach(r, END_A, FIRST + 2);
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT) | BECAUSE(NO_EVIDENCE));
	commission(r, FIRST + 2, 97);
	r->visits[2].seen_a = -1;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT) | BECAUSE(UNPROVEN));
	r->readings[2].values.shown_uohm = 60;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(a_lost_cable_is_found_until_a_complete_visit_counts_all)
{
	struct record *r = record();
	struct judge_visit *later;

	r->facts.limit.cables = 3;
	measure(r, FIRST, 50);
	r->visits[0].cables_whole = 2;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT) | BECAUSE(CABLES_NOT_SEEN));
	ck_assert_int_eq(r->is.items[0].key, ACT_CABLE_LOST);
	later = visit(r, FIRST + 1, PURPOSE_ROUTINE);
	later->cables_whole = -1;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT) | BECAUSE(CABLES_NOT_SEEN));
	later->cables_whole = 3;
	expect(r, GRADE_SOUND, 0);
	later->outcome = OUTCOME_PARTLY;
	expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT));
}
END_TEST

/* Whatever the method: nothing here knows how it was attached. */
START_TEST(a_failed_strength_test_is_act_until_reattachment_or_a_later_test_passed)
{
	struct record *r = attached();
	struct judge_attachment *first = &r->attachments[0];

	first->strength_failed = true;
	first->accepted = NOT_ACCEPTED;
	expect(r, GRADE_ACT, BECAUSE(STRENGTH_FAILED));
	expect_due(&r->is, DUE_ACT, FIRST - 1 + 14);
	ck_assert_int_eq(r->is.items[0].key, ACT_STRENGTH + END_A);
	r->visits[0].strength_b = 1;                         /* the other end */
	expect(r, GRADE_ACT, BECAUSE(STRENGTH_FAILED));
	r->visits[0].strength_a = 1;
	expect(r, GRADE_SOUND, 0);
	r->visits[0].strength_a = -1;
	first->made_day = DAY_NONE;                          /* not known: since the bond is known */
	expect(r, GRADE_ACT, BECAUSE(STRENGTH_FAILED));
	ck_assert_int_eq(r->is.act_since_day, FIRST - 7);
	r->attachments[2] = r->attachments[1];
	r->attachments[1] = (struct judge_attachment){ .end = END_A, .made_day = FIRST + 1,
		.ended_day = DAY_NONE, .arrived_at_ms = noon_ms(FIRST + 1), .accepted = ACCEPTED };
	r->facts.n_attachments = 3;
	expect(r, GRADE_ACT, BECAUSE(STRENGTH_FAILED) | BECAUSE(NO_EVIDENCE));
	measure(r, FIRST + 2, 50);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(a_strength_test_of_a_visit_counts_too)
{
	struct record *r = attached();
	struct judge_visit *later;

	r->visits[0].strength_b = 0;
	expect(r, GRADE_ACT, BECAUSE(STRENGTH_FAILED));
	expect_due(&r->is, DUE_ACT, FIRST + 14);
	ck_assert_int_eq(r->is.items[0].key, ACT_STRENGTH + END_B);
	later = visit(r, FIRST + 3, PURPOSE_ROUTINE);
	later->strength_a = 1;
	expect(r, GRADE_ACT, BECAUSE(STRENGTH_FAILED));
	later->strength_b = 1;
	expect(r, GRADE_SOUND, 0);
	visit(r, FIRST + 4, PURPOSE_ROUTINE)->strength_b = 0;
	expect(r, GRADE_ACT, BECAUSE(STRENGTH_FAILED));
	attach(r, END_B, FIRST + 5);
	commission(r, FIRST + 5, 50);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(an_attachment_not_accepted_is_watched_until_mended_or_accepted)
{
	struct record *r = attached();
	struct judge_attachment *first = &r->attachments[0];

	first->accepted = NOT_ACCEPTED;
	expect(r, GRADE_WATCH, BECAUSE(NOT_ACCEPTED));
	first->accepted_anyway = true;
	expect(r, GRADE_SOUND, 0);
	first->accepted_anyway = false;
	first->accepted = ACCEPTANCE_OPEN;
	expect(r, GRADE_SOUND, 0);
	first->accepted = NOT_ACCEPTED;
	attach(r, END_A, FIRST + 5);
	expect(r, GRADE_UNKNOWN, BECAUSE(NOT_ACCEPTED) | BECAUSE(NO_EVIDENCE));
	commission(r, FIRST + 5, 50);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(an_end_that_came_off_is_act_until_another_is_shown_to_be_good)
{
	struct record *r = attached();

	r->attachments[1].ended_day = FIRST + 50;
	r->attachments[1].ended_at_ms = noon_ms(FIRST + 50);
	expect(r, GRADE_ACT, BECAUSE(NOT_ATTACHED));
	expect_due(&r->is, DUE_ACT, FIRST + 64);
	ck_assert_int_eq(r->is.items[0].key, ACT_NOT_ATTACHED + END_B);
	ck_assert_int_eq((int)(r->is.items[0].arrived_at_ms / 86400000), FIRST + 50);
	attach(r, END_B, FIRST + 51);
	expect(r, GRADE_ACT, BECAUSE(NOT_ATTACHED) | BECAUSE(NO_EVIDENCE));
	commission(r, FIRST + 51, 97);
	expect(r, GRADE_ACT, BECAUSE(NOT_ATTACHED) | BECAUSE(UNPROVEN));
	r->readings[1].values.shown_uohm = 60;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(a_failure_is_act_while_it_is_open_and_each_has_a_key)
{
	struct record *r = attached();

	failed(r, FAILURE_BURNT, END_B, FIRST + 40, DAY_NONE);
	expect(r, GRADE_ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(NO_EVIDENCE));
	expect_due(&r->is, DUE_ACT, FIRST + 54);
	ck_assert_int_eq(r->is.items[0].key, ACT_FAILURE + 3 * FAILURE_BURNT + 2);
	failed(r, FAILURE_BURNT, END_B, FIRST + 30, DAY_NONE);
	judged(r);
	ck_assert_int_eq((int)r->is.n_items, 1);             /* one reason, since the earlier */
	ck_assert_int_eq(r->is.items[0].since_day, FIRST + 30);
	measure(r, FIRST + 60, 50);                          /* reading it good makes nothing good */
	expect(r, GRADE_ACT, BECAUSE(FAILURE_OPEN));
}
END_TEST

START_TEST(it_acts_since_the_earliest_of_what_makes_it_act)
{
	struct record *r = record();
	struct judge_failure *f;

	measure(r, FIRST + 50, 120);
	visit(r, FIRST + 60, PURPOSE_ROUTINE)->seen_a = SEEN_MISSING;
	judged(r);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 50);
	f = failed(r, FAILURE_MISSING, END_A, FIRST + 70, DAY_NONE);
	judged(r);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 50);
	f->found_day = FIRST + 49;
	expect(r, GRADE_ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(OVER) | BECAUSE(CRITICAL_DEFECT));
	ck_assert_int_eq(r->is.act_since_day, FIRST + 49);
	expect_due(&r->is, DUE_ACT, FIRST + 63);
	ck_assert_int_eq(due_state_on(&r->is.due, FIRST + 63 + (int32_t)r->rulebook.grace_days + 1),
		DUE_OVERDUE);
	/* no visit moves it, but what is mended first leaves the rest */
	f->repaired_day = FIRST + 80;
	measure(r, FIRST + 81, 60);
	r->visits[2].seen_a = -1;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

/* An attachment that nothing was read of: what was known of the former one still holds. */
START_TEST(attaching_anew_hides_nothing_until_it_is_read)
{
	struct record *r = attached();

	r->readings[0].values.shown_uohm = 97;
	expect(r, GRADE_WATCH, BECAUSE(UNPROVEN));
	attach(r, END_A, FIRST + 30);
	expect(r, GRADE_UNKNOWN, BECAUSE(UNPROVEN) | BECAUSE(NO_EVIDENCE));
	ck_assert(r->is.judged_again);
	ck_assert_int_eq(r->is.due.inspect_day, day_add_months(FIRST, 6));
	r->readings[0].meter.methods = 1 << READING_VOLTAGE_DROP;                  /* nor a question */
	expect(r, GRADE_UNKNOWN, BECAUSE(ASKED_WATCH) | BECAUSE(NO_EVIDENCE) | BECAUSE(ASKED));
	r->readings[0].meter.methods = 0;                 /* nor what waits at the new one */
	measure(r, FIRST + 40, 20)->meter.methods = 1 << READING_VOLTAGE_DROP;
	expect(r, GRADE_UNKNOWN, BECAUSE(UNPROVEN) | BECAUSE(NO_EVIDENCE) | BECAUSE(ASKED));
	r->facts.n_visits = r->facts.n_readings = 1;
	r->rulebook.proof[BOND_RAIL_CROSS] = PROOF_SEEN;
	expect(r, GRADE_UNKNOWN, BECAUSE(UNPROVEN) | BECAUSE(NO_EVIDENCE));
}
END_TEST

START_TEST(an_attachment_of_unknown_day_is_older_than_all_else)
{
	struct record *r = record();

	attach(r, END_A, DAY_NONE);
	measure(r, 0, 50);                                   /* 1970 */
	judged(r);
	ck_assert_int_eq(r->readings[0].attached_a, 0);
	ck_assert_int_eq(r->readings[0].attached_b, -1);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { each_end_is_as_the_newest_visit_that_saw_it_found_it,
		a_critical_defect_is_ended_by_a_complete_visit_that_finds_that_end_good,
		a_critical_defect_is_ended_by_a_repair_of_its_end_that_is_proved,
		what_was_seen_of_a_former_attachment_counts_until_the_new_one_is_shown_to_be_good,
		a_lost_cable_is_found_until_a_complete_visit_counts_all,
		a_failed_strength_test_is_act_until_reattachment_or_a_later_test_passed,
		a_strength_test_of_a_visit_counts_too,
		an_attachment_not_accepted_is_watched_until_mended_or_accepted,
		an_end_that_came_off_is_act_until_another_is_shown_to_be_good,
		a_failure_is_act_while_it_is_open_and_each_has_a_key,
		it_acts_since_the_earliest_of_what_makes_it_act,
		attaching_anew_hides_nothing_until_it_is_read,
		an_attachment_of_unknown_day_is_older_than_all_else, NULL };

	return case_run("judge_state", tests);
}
