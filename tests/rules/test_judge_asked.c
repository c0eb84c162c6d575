/*
 * What a question does to a bond, and what answers it. Limit 100, U = 5: readings of two meters
 * agree within 7.07, of one meter only when they are equal (there is nothing else that they may be
 * off by).
 */
#include <math.h>

#include "case.h"
#include "rules/record.h"

static struct judge_reading *by(struct judge_reading *r, int64_t instrument_id)
{
	r->instrument_id = instrument_id;
	return r;
}

/* The status, the question and the verdict of the reading number n. */
static void expect_reading(int line, const struct record *r, size_t n, enum judge_status status,
	unsigned asked, enum verdict verdict)
{
	const struct judge_reading *is = &r->readings[n];

	ck_assert_msg(is->status == status && is->asked == asked && is->verdict == verdict,
		"line %d: %s, asked %x, %s", line, judge_status_words.code[is->status], is->asked,
		verdict_words.code[is->verdict]);
}
#define READING(r, n, status, asked, verdict) \
	expect_reading(__LINE__, r, n, STATUS_##status, asked, VERDICT_##verdict)
#define ABOUT(question) (1u << ASKED_##question)

START_TEST(a_question_that_would_be_good_changes_nothing_but_that_it_is_told)
{
	struct record *r = record();
	const struct judgement *is;

	measure(r, FIRST, 50);
	measure(r, FIRST + 100, 24);               /* less than half of 50 */
	is = expect(r, GRADE_SOUND, BECAUSE(ASKED));
	READING(r, 0, EVIDENCE, 0, WITHIN);
	READING(r, 1, OPEN, ABOUT(AWAY), NONE);
	ck_assert_int_eq(is->asked, 1);
	ck_assert_int_eq(is->proof_day, FIRST);    /* and proves nothing */
	ck_assert_double_eq(is->compared[QUANTITY_END_TO_END], 50);
	r->readings[1].values.shown_uohm = 25;     /* half is not asked */
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.proof_day, FIRST + 100);
}
END_TEST

START_TEST(the_only_reading_being_asked_the_bond_is_unknown_and_never_proved)
{
	struct record *r = record();

	measure(r, FIRST, 50)->meter.methods = 1 << READING_VOLTAGE_DROP;
	expect(r, GRADE_UNKNOWN, BECAUSE(ASKED) | BECAUSE(NO_EVIDENCE));
	ck_assert_int_eq(r->is.proof_day, DAY_NONE);
	ck_assert(!r->is.ever_proved);
}
END_TEST

/* 102 is asked (twice 50) and would be unproven: watched, every 6 months. 110 would be over:
 * act. */
START_TEST(a_question_has_the_worse_grade_and_the_earlier_day)
{
	struct record *r = record();
	const struct judgement *is;

	measure(r, FIRST, 50);
	measure(r, FIRST + 100, 102);
	is = expect(r, GRADE_WATCH, BECAUSE(ASKED) | BECAUSE(ASKED_WATCH));
	expect_due(is, DUE_AFTER_INSPECTION, day_add_months(FIRST + 100, 6));
	r->readings[1].values.shown_uohm = 110;
	is = expect(r, GRADE_ACT, BECAUSE(ASKED) | BECAUSE(ASKED_OVER));
	expect_due(is, DUE_ACT, FIRST + 114);
	ck_assert_int_eq(is->act_since_day, FIRST + 100);
	ck_assert_int_eq(is->items[0].key, ACT_ASKED + QUANTITY_END_TO_END);
	READING(r, 1, OPEN, ABOUT(AWAY), NONE);
	ck_assert_int_eq(r->readings[1].would, VERDICT_OVER);
	r->facts.due.in_service = false;
	expect(r, GRADE_NONE, 0);
}
END_TEST

START_TEST(what_was_act_before_a_low_question_stays_act)
{
	struct record *r = record();

	measure(r, FIRST, 120);
	visit(r, FIRST + 10, PURPOSE_AFTER_WORKS);
	reads(r, QUANTITY_END_TO_END, 4.8);        /* 48 of the other unit */
	expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(ASKED));
	expect_due(&r->is, DUE_ACT, FIRST + 14);
}
END_TEST

START_TEST(a_second_low_question_does_not_hide_the_first)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	measure(r, FIRST + 10, 102);
	measure(r, FIRST + 20, 1);
	expect(r, GRADE_WATCH, BECAUSE(ASKED) | BECAUSE(ASKED_WATCH));
	ck_assert_int_eq(r->is.asked, 2);
}
END_TEST

START_TEST(a_second_reading_of_the_visit_that_agrees_answers)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	by(measure(r, FIRST + 100, 102), 1);
	by(reads(r, QUANTITY_END_TO_END, 107), 2);
	expect(r, GRADE_WATCH, BECAUSE(UNPROVEN)); /* the mean, 104.5; 107 alone is over */
	READING(r, 1, EVIDENCE, 0, UNPROVEN);
	READING(r, 2, EVIDENCE, ABOUT(AWAY), UNPROVEN);
	ck_assert_uint_eq(r->readings[2].leads, 1);
	ck_assert_double_eq(r->readings[1].judged, 104.5);
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 104.5);
}
END_TEST

START_TEST(two_readings_of_a_visit_that_do_not_agree_are_asked_and_the_worse_stands)
{
	for (int way = 0; way < 2; way++) {
		struct record *r = record();

		by(measure(r, FIRST, way == 0 ? 60 : 68), 1);
		by(reads(r, QUANTITY_END_TO_END, way == 0 ? 68 : 60), 2);
		expect(r, GRADE_UNKNOWN, BECAUSE(ASKED) | BECAUSE(NO_EVIDENCE));
		READING(r, 0, OPEN, ABOUT(TWICE), NONE);
		READING(r, 1, OPEN, 0, NONE);
		ck_assert_double_eq(r->readings[0].judged, 68);
		/* 7.07 apart they agree */
		r->readings[way == 0 ? 1 : 0].values.shown_uohm = 67.07;
		expect(r, GRADE_SOUND, 0);
		ck_assert_double_eq(r->readings[0].judged, 63.535);
		r->readings[way == 0 ? 1 : 0].values.shown_uohm = 67.08;
		expect(r, GRADE_UNKNOWN, BECAUSE(ASKED) | BECAUSE(NO_EVIDENCE));
	}
}
END_TEST

START_TEST(what_one_meter_is_off_by_in_both_readings_explains_no_difference)
{
	struct record *r = record();

	measure(r, FIRST, 60);
	reads(r, QUANTITY_END_TO_END, 60.01);
	expect(r, GRADE_UNKNOWN, BECAUSE(ASKED) | BECAUSE(NO_EVIDENCE));
	/* 2 % of 60 and of 61: √(1.2² + 1.22²) = 1.711 */
	r->rulebook.repeatability_percent = 2;
	r->readings[1].values.shown_uohm = 61;
	expect(r, GRADE_SOUND, 0);
	r->readings[1].values.shown_uohm = 62;     /* √(1.2² + 1.24²) = 1.726 */
	expect(r, GRADE_UNKNOWN, BECAUSE(ASKED) | BECAUSE(NO_EVIDENCE));
	by(&r->readings[1], 2);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(of_three_readings_one_that_does_not_agree_is_enough_in_any_order)
{
	const double uohm[3][3] = { { 60, 90, 60 }, { 60, 60, 90 }, { 90, 60, 60 } };

	for (int i = 0; i < 3; i++) {
		struct record *r = record();

		measure(r, FIRST, uohm[i][0]);
		reads(r, QUANTITY_END_TO_END, uohm[i][1]);
		reads(r, QUANTITY_END_TO_END, uohm[i][2]);
		expect(r, GRADE_UNKNOWN, BECAUSE(ASKED) | BECAUSE(NO_EVIDENCE) | BECAUSE(ASKED_WATCH));
		ck_assert_double_eq(r->readings[0].judged, 90);
		ck_assert_double_eq(r->readings[0].worst, 90);
	}
}
END_TEST

START_TEST(of_two_that_do_not_agree_the_one_that_is_over_is_over)
{
	for (int way = 0; way < 2; way++) {
		struct record *r = record();
		int over = way, other = 1 - way;

		measure(r, FIRST, NAN);
		reads(r, QUANTITY_END_TO_END, NAN)->instrument_id = 2;
		r->readings[over].values.shown_uohm = 102;       /* ± 1 */
		r->readings[over].meter.uohm = 1;
		r->readings[other].values.shown_uohm = 90;
		r->readings[other].meter.uohm = 9;
		expect(r, GRADE_ACT, BECAUSE(ASKED) | BECAUSE(ASKED_OVER) | BECAUSE(NO_EVIDENCE));
		ck_assert_double_eq(r->readings[0].judged, 102);
		ck_assert_double_eq(r->readings[0].judged_u95, 1);
		/* and when the same is read again, both count as what they were */
		by(measure(r, FIRST + 10, 102), r->readings[0].instrument_id)->meter.uohm = 1;
		if (way == 0) {
			expect(r, GRADE_ACT, BECAUSE(OVER));
			READING(r, 0, EVIDENCE, ABOUT(TWICE), OVER);
		}
	}
}
END_TEST

/* Within by a meter that is not believed says nothing, and hides nothing that is. */
START_TEST(the_reading_that_can_prove_something_leads_its_visit)
{
	struct record *r = record();

	measure(r, FIRST, 60)->meter.standing = METER_NEVER_CALIBRATED;
	reads(r, QUANTITY_END_TO_END, 61);
	expect(r, GRADE_SOUND, 0);
	ck_assert_uint_eq(r->readings[0].leads, 1);
	READING(r, 0, NONE, 0, NONE);
	READING(r, 1, EVIDENCE, 0, WITHIN);
	ck_assert_double_eq(r->readings[1].judged, 61);
}
END_TEST

START_TEST(an_open_circuit_is_not_lost_beside_a_good_reading)
{
	for (int first = 0; first < 2; first++) {
		struct record *r = record();

		measure(r, FIRST, first == 0 ? 50 : 2e9);
		reads(r, QUANTITY_END_TO_END, first == 0 ? 2e9 : 50);
		expect(r, GRADE_ACT, BECAUSE(OPEN_CIRCUIT) | BECAUSE(ASKED) | BECAUSE(NO_EVIDENCE));
		READING(r, (size_t)first, OPEN, ABOUT(TWICE), NONE);
	}
}
END_TEST

/* 9000 / +9000 µV at 100 A: without its minus it is 90 µΩ. */
START_TEST(a_slipped_sign_is_answered_by_a_reading_that_agrees_with_it)
{
	struct record *r = record();
	struct judge_reading *slipped;

	measure(r, FIRST, 90);
	slipped = by(reads(r, QUANTITY_END_TO_END, NAN), 2);
	slipped->values.forward_uv = slipped->values.reverse_uv = 9000;
	slipped->values.current_a = 100;
	expect(r, GRADE_WATCH, BECAUSE(NEAR_LIMIT));
	READING(r, 1, EVIDENCE, ABOUT(SAME_SIGN), NONE);
	/* 90000 and 9000: 900 at worst, and nothing agrees with it */
	slipped->values.reverse_uv = 90000;
	expect(r, GRADE_ACT, BECAUSE(ASKED) | BECAUSE(ASKED_OVER) | BECAUSE(NO_EVIDENCE));
	ck_assert_double_eq(slipped->worst, 900);
	READING(r, 0, OPEN, ABOUT(TWICE), NONE);
}
END_TEST

START_TEST(a_slipped_sign_alone_is_as_bad_as_it_may_be)
{
	struct record *r = record();
	struct judge_reading *slipped;

	measure(r, FIRST, 60);
	slipped = measure(r, FIRST + 10, NAN);
	slipped->values.forward_uv = 1000;
	slipped->values.reverse_uv = 10000;
	slipped->values.current_a = 100;           /* 100 at worst, and no U is known */
	expect(r, GRADE_WATCH, BECAUSE(ASKED) | BECAUSE(ASKED_WATCH));
	slipped->values.reverse_uv = 10001;
	expect(r, GRADE_ACT, BECAUSE(ASKED) | BECAUSE(ASKED_OVER));
	ck_assert_int_eq(r->is.proof_day, FIRST);
}
END_TEST

START_TEST(a_later_reading_that_agrees_answers_and_both_count)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	by(measure(r, FIRST + 10, 108), 1);
	by(measure(r, FIRST + 20, 114), 2);
	expect(r, GRADE_ACT, BECAUSE(OVER));
	READING(r, 1, EVIDENCE, ABOUT(AWAY), OVER);
	READING(r, 2, EVIDENCE, ABOUT(AWAY), OVER);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 10);
	/* the same by one that is 7.08 away: two questions */
	r->readings[2].values.shown_uohm = 115.08;
	expect(r, GRADE_ACT, BECAUSE(ASKED) | BECAUSE(ASKED_OVER));
	ck_assert_int_eq(r->is.asked, 2);
}
END_TEST

START_TEST(a_later_reading_that_is_evidence_takes_the_place_of_the_asked_one)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	measure(r, FIRST + 10, 102);
	measure(r, FIRST + 20, 51);
	expect(r, GRADE_SOUND, 0);
	READING(r, 1, DROPPED, ABOUT(AWAY), NONE);
	ck_assert_int_eq(r->is.asked, 0);
}
END_TEST

/* What would have been over stays so until what clears an over: work, or an engineer's word. */
START_TEST(what_would_have_been_over_is_over_though_its_place_is_taken)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	measure(r, FIRST + 10, 110);
	measure(r, FIRST + 20, 51);
	expect(r, GRADE_ACT, BECAUSE(OVER));
	READING(r, 1, DROPPED_OVER, ABOUT(AWAY), NONE);
	expect_due(&r->is, DUE_ACT, FIRST + 24);
	visit(r, FIRST + 30, PURPOSE_AFTER_WORKS);
	reads(r, QUANTITY_END_TO_END, 52);
	expect(r, GRADE_SOUND, 0);
	r->visits[3].purpose = PURPOSE_ROUTINE;
	expect(r, GRADE_ACT, BECAUSE(OVER));
	r->clearings[r->facts.n_clearings++] = (struct judge_clearing){ QUANTITY_END_TO_END, FIRST + 30 };
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(what_shows_another_path_neither_answers_nor_confirms)
{
	struct record *r = record();

	r->facts.limit.cable_uohm_per_m = 60;
	r->facts.limit.length_m = 1;
	measure(r, FIRST, 55);
	measure(r, FIRST + 10, 111)->meter.uohm = 20;
	measure(r, FIRST + 20, 40);                /* below 0.8 of 60, and not opened */
	expect(r, GRADE_WATCH, BECAUSE(ASKED) | BECAUSE(ASKED_WATCH));
	ck_assert(r->readings[2].parallel);
	r->readings[1] = r->readings[2];           /* 17 with all else opened is asked; 17 beside it */
	r->readings[1].visit = 1;
	r->readings[1].values.shown_uohm = r->readings[2].values.shown_uohm = 17;
	r->visits[1].alone = true;
	expect(r, GRADE_SOUND, BECAUSE(ASKED));
	READING(r, 1, OPEN, ABOUT(FAR_BELOW) | ABOUT(AWAY), NONE);
	ck_assert_int_eq(r->is.proof_day, FIRST);
}
END_TEST

START_TEST(what_was_attached_before_answers_nothing_of_what_is_attached_now)
{
	struct record *r = record();

	attach_both(r, FIRST - 1);
	measure(r, FIRST, 50);
	measure(r, FIRST + 10, 110);
	attach(r, END_A, FIRST + 15);
	measure(r, FIRST + 16, 50);
	expect(r, GRADE_ACT, BECAUSE(ASKED) | BECAUSE(ASKED_OVER));
	READING(r, 1, OPEN, ABOUT(AWAY), NONE);
	r->visits[2].purpose = PURPOSE_COMMISSIONING;   /* which clears it, answered or not */
	expect(r, GRADE_SOUND, BECAUSE(ASKED));
}
END_TEST

/* A meter two days out of calibration: within says nothing, over and unproven are asked. */
START_TEST(a_meter_that_is_not_believed_is_asked_when_it_shows_something_bad)
{
	const enum meter_standing not_believed[] = { METER_NOT_RECORDED, METER_OUT_OF_CALIBRATION,
		METER_NEVER_CALIBRATED };

	for (int i = 0; i < 3; i++) {
		struct record *r = record();
		struct judge_reading *one;

		measure(r, FIRST, 94);
		one = measure(r, FIRST + 10, 95);
		one->meter = (struct meter){ not_believed[i], 0, 5 };
		expect(r, GRADE_WATCH, BECAUSE(NEAR_LIMIT));
		READING(r, 1, NONE, 0, NONE);
		ck_assert_int_eq(r->is.proof_day, FIRST);
		one->values.shown_uohm = 95.001;
		expect(r, GRADE_WATCH, BECAUSE(NEAR_LIMIT) | BECAUSE(ASKED) | BECAUSE(ASKED_WATCH));
		READING(r, 1, OPEN, ABOUT(METER), NONE);
		one->values.shown_uohm = 105.001;
		expect(r, GRADE_ACT, BECAUSE(NEAR_LIMIT) | BECAUSE(ASKED) | BECAUSE(ASKED_OVER));
		/* one without figures is taken for as poor as the rulebook says: 5 % and 5 µΩ */
		one->meter = (struct meter){ not_believed[i], NAN, NAN };
		expect(r, GRADE_WATCH, BECAUSE(NEAR_LIMIT) | BECAUSE(ASKED) | BECAUSE(ASKED_WATCH));
	}
}
END_TEST

START_TEST(a_reading_of_5000_by_a_meter_out_of_calibration_is_asked_and_not_passed_over)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	measure(r, FIRST + 10, 5000)->meter.standing = METER_OUT_OF_CALIBRATION;
	expect(r, GRADE_ACT, BECAUSE(ASKED) | BECAUSE(ASKED_OVER));
	READING(r, 1, OPEN, ABOUT(METER) | ABOUT(FAR_ABOVE) | ABOUT(AWAY), NONE);
}
END_TEST

START_TEST(leads_unknown_zero_or_over_a_tenth_are_never_evidence_and_not_asked)
{
	const double leads[] = { NAN, 0, 5.001 };

	for (int i = 0; i < 3; i++) {
		struct record *r = record();
		struct judge_reading *one = measure(r, FIRST, i == 2 ? 55 : 50);

		one->values.method = READING_TWO_WIRE;
		one->values.lead_uohm = leads[i];
		expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
		READING(r, 0, NONE, 0, NONE);
		one->values.lead_uohm = 5;         /* 55 less 5: ten times */
		one->values.shown_uohm = 55;
		expect(r, GRADE_SOUND, 0);
	}
}
END_TEST

START_TEST(a_contact_on_the_lug_is_another_thing_than_to_the_strands)
{
	for (int lug = 0; lug < 2; lug++) {
		struct record *r = record();

		measure(r, FIRST, 50);
		reads(r, QUANTITY_CONTACT_A, lug == 0 ? 1 : 9)->values.is_lug_only = lug == 0;
		reads(r, QUANTITY_CONTACT_A, lug == 0 ? 9 : 1)->values.is_lug_only = lug == 1;
		expect(r, GRADE_SOUND, 0);
		ck_assert_double_eq(r->is.last[QUANTITY_CONTACT_A].value, 9);
		ck_assert_double_eq(r->is.compared[QUANTITY_CONTACT_A], 9);
		/* nor is a later one on the lug compared with the strands */
		visit(r, FIRST + 10, PURPOSE_ROUTINE);
		reads(r, QUANTITY_CONTACT_A, 1)->values.is_lug_only = true;
		expect(r, GRADE_SOUND, 0);
		READING(r, 3, EVIDENCE, 0, NONE);
		/* a slip there asks nothing of the strands */
		r->readings[3].values.shown_uohm = NAN;
		r->readings[3].values.forward_uv = r->readings[3].values.reverse_uv = 10;
		r->readings[3].values.current_a = 10;
		reads(r, QUANTITY_CONTACT_A, 9);
		expect(r, GRADE_SOUND, BECAUSE(ASKED));
		READING(r, 4, EVIDENCE, 0, WITHIN);
		r->facts.n_readings = 3;
		r->facts.n_visits = 1;
		/* on the lug it is evidence of over alone */
		r->readings[lug == 0 ? 1 : 2].values.shown_uohm = 22;
		expect(r, GRADE_ACT, BECAUSE(OVER));
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_question_that_would_be_good_changes_nothing_but_that_it_is_told,
		the_only_reading_being_asked_the_bond_is_unknown_and_never_proved,
		a_question_has_the_worse_grade_and_the_earlier_day,
		what_was_act_before_a_low_question_stays_act,
		a_second_low_question_does_not_hide_the_first,
		a_second_reading_of_the_visit_that_agrees_answers,
		two_readings_of_a_visit_that_do_not_agree_are_asked_and_the_worse_stands,
		what_one_meter_is_off_by_in_both_readings_explains_no_difference,
		of_three_readings_one_that_does_not_agree_is_enough_in_any_order,
		of_two_that_do_not_agree_the_one_that_is_over_is_over,
		the_reading_that_can_prove_something_leads_its_visit,
		an_open_circuit_is_not_lost_beside_a_good_reading,
		a_slipped_sign_is_answered_by_a_reading_that_agrees_with_it,
		a_slipped_sign_alone_is_as_bad_as_it_may_be,
		a_later_reading_that_agrees_answers_and_both_count,
		a_later_reading_that_is_evidence_takes_the_place_of_the_asked_one,
		what_would_have_been_over_is_over_though_its_place_is_taken,
		what_shows_another_path_neither_answers_nor_confirms,
		what_was_attached_before_answers_nothing_of_what_is_attached_now,
		a_meter_that_is_not_believed_is_asked_when_it_shows_something_bad,
		a_reading_of_5000_by_a_meter_out_of_calibration_is_asked_and_not_passed_over,
		leads_unknown_zero_or_over_a_tenth_are_never_evidence_and_not_asked,
		a_contact_on_the_lug_is_another_thing_than_to_the_strands, NULL };

	return case_run("judge_asked", tests);
}
