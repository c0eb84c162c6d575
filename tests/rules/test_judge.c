/* The judgement of a bond from its record: verdicts, limits, what is over and what clears it. What
 * is seen and attached is in test_judge_state.c. */
#include <math.h>

#include "case.h"
#include "rules/record.h"

/* Limit 100, U = 5, watched above 80. Within: R + 5 <= 100. Over: R - 5 > 100. */
static const struct {
	double uohm;
	enum verdict verdict;
	enum grade grade;
	int due_after;               /* days; 6 and 12 months after 2024-10-04 are 182 and 365 */
} steps[] = {
	{ 80, VERDICT_WITHIN, GRADE_SOUND, 365 }, { 80.001, VERDICT_WITHIN, GRADE_WATCH, 182 },
	{ 95, VERDICT_WITHIN, GRADE_WATCH, 182 }, { 95.001, VERDICT_UNPROVEN, GRADE_WATCH, 182 },
	{ 105, VERDICT_UNPROVEN, GRADE_WATCH, 182 }, { 105.001, VERDICT_OVER, GRADE_ACT, 14 },
};

START_TEST(a_reading_gives_verdict_grade_and_due_day)
{
	for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
		struct record *r = record();
		struct judge_reading *reading = measure(r, FIRST, steps[i].uohm);
		const struct judgement *is = judged(r);

		ck_assert_int_eq(reading->status, STATUS_EVIDENCE);
		ck_assert_double_eq(reading->value, steps[i].uohm);
		ck_assert_double_eq(reading->uncertainty.u95_uohm, 5);
		ck_assert_double_eq(reading->limits.limit, 100);
		ck_assert_int_eq(reading->limits.lowest, LIMIT_ABSOLUTE);
		ck_assert_msg(reading->verdict == steps[i].verdict, "%g", steps[i].uohm);
		ck_assert_msg(is->grade.grade == steps[i].grade, "%g", steps[i].uohm);
		ck_assert_int_eq(is->due.due_day, FIRST + steps[i].due_after);
		ck_assert_int_eq(is->due.basis, steps[i].grade == GRADE_ACT ? DUE_ACT :
			DUE_AFTER_INSPECTION);
		ck_assert_int_eq(is->act_since_day, steps[i].grade == GRADE_ACT ? FIRST : DAY_NONE);
		ck_assert_int_eq(is->worst_quantity, QUANTITY_END_TO_END);
		ck_assert(!is->judged_again);
	}
}
END_TEST

START_TEST(the_temperature_is_taken_out_with_the_material_of_the_bond)
{
	struct record *r = record();
	struct judge_reading *reading = measure(r, FIRST, 50);

	reading->values.temp_c = 40;     /* 50 / (1 + 0.00403 x 20) for aluminium */
	r->facts.material = MATERIAL_ALUMINIUM;
	judged(r);
	ck_assert_double_eq_tol(reading->value, 46.2706, 0.0001);
	r->facts.material = -1;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	ck_assert_int_eq(reading->verdict, VERDICT_NONE);
}
END_TEST

START_TEST(a_bond_without_visits_is_unknown)
{
	struct record *r = record();

	expect(r, GRADE_UNKNOWN, BECAUSE(NEVER_INSPECTED) | BECAUSE(NO_EVIDENCE));
	expect_due(&r->is, DUE_AFTER_INSTALLATION, FIRST + 365);
	ck_assert_int_eq(r->is.worst_quantity, -1);
	ck_assert_int_eq(r->is.trend[QUANTITY_CONTACT_B].lack, TREND_FEW_READINGS);
	ck_assert_int_eq(r->is.grade.evidence_until_day, DAY_NONE);
	visit(r, FIRST, PURPOSE_ROUTINE)->outcome = OUTCOME_NOT_REACHED;
	expect(r, GRADE_UNKNOWN, BECAUSE(NEVER_INSPECTED) | BECAUSE(NO_EVIDENCE));
	r->visits[0].outcome = OUTCOME_PARTLY;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
}
END_TEST

START_TEST(out_of_service_nothing_is_graded_or_due)
{
	struct record *r = record();
	struct judge_reading *reading = measure(r, FIRST, 250);

	r->facts.due.in_service = false;
	failed(r, FAILURE_BURNT, -1, FIRST, DAY_NONE);
	expect(r, GRADE_NONE, 0);
	ck_assert_int_eq(reading->verdict, VERDICT_OVER);    /* a reading keeps its verdict */
	ck_assert_int_eq(r->is.act_since_day, DAY_NONE);
	ck_assert_int_eq(r->is.due.due_day, DAY_NONE);
}
END_TEST

START_TEST(evidence_that_no_limit_is_for_makes_nothing_sound)
{
	struct record *r = record();
	double *limit = r->rulebook.limits[BOND_RAIL_CROSS].absolute_uohm;

	limit[0] = limit[1] = limit[2] = NAN;
	measure(r, FIRST, 5);
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_LIMIT));
	ck_assert_int_eq(r->is.worst_quantity, -1);
}
END_TEST

/* Commissioned at 40: 60 is allowed of what was attached then, by 1.5. */
static struct record *commissioned(void)
{
	struct record *r = record();

	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		r->rulebook.limits[k].baseline_factor = 1.5;
	}
	attach_both(r, FIRST - 1);
	commission(r, FIRST, 40);
	return r;
}

static double limit_of(struct record *r, size_t n)
{
	judged(r);
	return r->readings[n].limits.limit;
}

START_TEST(a_baseline_is_for_what_is_read_later_and_not_for_itself)
{
	struct record *r = commissioned();

	measure(r, FIRST + 10, 50);
	ck_assert_double_eq(limit_of(r, 0), 100);
	ck_assert_int_eq(r->readings[0].limits.absence[LIMIT_BASELINE], LIMIT_NO_BASELINE);
	ck_assert_double_eq(limit_of(r, 1), 60);
	ck_assert_double_eq(r->readings[1].baseline, 40);
	ck_assert_double_eq(r->is.baseline[QUANTITY_END_TO_END], 40);
	r->visits[0].purpose = PURPOSE_AFTER_WORKS;
	ck_assert_double_eq(limit_of(r, 1), 100);
	ck_assert(isnan(r->is.baseline[QUANTITY_END_TO_END]));
}
END_TEST

/* 48 at a second "commissioning" would allow 72. */
START_TEST(a_second_commissioning_of_the_same_is_an_ordinary_reading)
{
	struct record *r = commissioned();

	commission(r, FIRST + 10, 48);
	measure(r, FIRST + 20, 66);
	ck_assert_double_eq(limit_of(r, 1), 60);
	ck_assert_double_eq(limit_of(r, 2), 60);
	expect(r, GRADE_ACT, BECAUSE(OVER));
	ck_assert_double_eq(r->is.baseline[QUANTITY_END_TO_END], 40);
	/* a first one that was asked, or by no meter, is none */
	r->readings[0].meter.methods = 1 << READING_VOLTAGE_DROP;
	ck_assert_double_eq(limit_of(r, 2), 72);
	r->readings[0].meter.methods = 0;
	r->readings[0].meter.standing = METER_NEVER_CALIBRATED;
	ck_assert_double_eq(limit_of(r, 2), 72);
	r->readings[0].meter.standing = METER_IN_CALIBRATION;
	r->readings[0].meter.methods = 1 << READING_VOLTAGE_DROP;                  /* answered, it counts as the first */
	r->readings[1].values.shown_uohm = 40;
	r->visits[1].purpose = PURPOSE_ROUTINE;
	ck_assert_double_eq(limit_of(r, 2), 60);
	r->visits[1].purpose = PURPOSE_COMMISSIONING;
	r->readings[0].meter.methods = 0;
	r->readings[1].values.shown_uohm = 48;
	r->readings[0].meter.standing = METER_NEVER_CALIBRATED;
	r->visits[0].outcome = OUTCOME_PARTLY;               /* a complete one is not asked for */
	r->readings[0].meter.standing = METER_IN_CALIBRATION;
	ck_assert_double_eq(limit_of(r, 2), 60);
}
END_TEST

START_TEST(what_is_attached_later_makes_no_former_verdict_another)
{
	struct record *r = commissioned();

	measure(r, FIRST + 10, 66);                          /* over 60 */
	expect(r, GRADE_ACT, BECAUSE(OVER));
	ck_assert_double_eq(r->is.compared[QUANTITY_END_TO_END], 66);
	attach_both(r, FIRST + 20);
	judged(r);
	ck_assert(isnan(r->is.compared[QUANTITY_END_TO_END]));
	commission(r, FIRST + 20, 50);                       /* another cable: 75 from now on */
	measure(r, FIRST + 30, 66);
	ck_assert_double_eq(limit_of(r, 1), 60);
	ck_assert_int_eq(r->readings[1].verdict, VERDICT_OVER);
	ck_assert_double_eq(limit_of(r, 2), 100);
	ck_assert_double_eq(limit_of(r, 3), 75);
	ck_assert_int_eq(r->readings[3].verdict, VERDICT_WITHIN);
	ck_assert_int_eq(r->readings[1].attached_a, 0);
	ck_assert_int_eq(r->readings[3].attached_a, 1);
	expect(r, GRADE_WATCH, BECAUSE(NEAR_LIMIT));         /* above 60 of 75 */
}
END_TEST

START_TEST(one_end_renewed_on_the_same_cable_allows_no_more_than_before)
{
	struct record *r = commissioned();

	attach(r, END_B, FIRST + 20);
	commission(r, FIRST + 20, 50);
	measure(r, FIRST + 30, 50);
	ck_assert_double_eq(limit_of(r, 1), 60);             /* before its own, the former one holds */
	ck_assert_double_eq(limit_of(r, 2), 60);
	r->readings[1].values.shown_uohm = 34;               /* a lower one does */
	ck_assert_double_eq(limit_of(r, 2), 51);
	r->readings[1].values.shown_uohm = 31;               /* below 80 %: of something beside it */
	ck_assert_double_eq(limit_of(r, 2), 60);
	/* both ends, but on two days: still the cable that it was */
	r->readings[1].values.shown_uohm = 50;
	attach(r, END_A, FIRST + 19);
	ck_assert_double_eq(limit_of(r, 2), 60);
	r->attachments[3].made_day = FIRST + 20;             /* on one day: another */
	ck_assert_double_eq(limit_of(r, 1), 100);
	ck_assert_double_eq(limit_of(r, 2), 75);
}
END_TEST

START_TEST(a_contact_contains_its_own_end_alone)
{
	struct record *r = record();

	contacts(r, FIRST, PURPOSE_ROUTINE, 30, 30);
	attach(r, END_A, FIRST + 1);
	visit(r, FIRST + 1, PURPOSE_COMMISSIONING);
	reads(r, QUANTITY_CONTACT_A, 5);
	reads(r, QUANTITY_END_TO_END, 50);
	expect(r, GRADE_ACT, BECAUSE(OVER));
	ck_assert_double_eq(r->is.last[QUANTITY_CONTACT_A].value, 5);
	ck_assert_double_eq(r->is.last[QUANTITY_CONTACT_B].value, 30);
	ck_assert_int_eq(r->is.over_since_day[QUANTITY_CONTACT_A], DAY_NONE);
	ck_assert_int_eq(r->is.over_since_day[QUANTITY_CONTACT_B], FIRST);
	ck_assert_int_eq((int)r->is.n_items, 1);
	ck_assert_int_eq(r->is.items[0].key, ACT_OVER + QUANTITY_CONTACT_B);
	attach(r, END_B, FIRST + 2);
	visit(r, FIRST + 2, PURPOSE_COMMISSIONING);
	reads(r, QUANTITY_CONTACT_B, 6);
	reads(r, QUANTITY_END_TO_END, 50);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

/* Over on the first day; within on a later one, with what stands between. */
START_TEST(an_over_is_cleared_by_a_later_within_with_work_between)
{
	struct record *r = record();

	measure(r, FIRST, 110);
	measure(r, FIRST + 10, 60);
	expect(r, GRADE_ACT, BECAUSE(OVER));                 /* nobody did anything */
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 60);
	r->visits[1].purpose = PURPOSE_AFTER_WORKS;
	expect(r, GRADE_SOUND, 0);
	r->visits[1].purpose = PURPOSE_AFTER_FAILURE;
	expect(r, GRADE_SOUND, 0);
	r->visits[1].purpose = PURPOSE_COMMISSIONING;        /* of what was not attached anew */
	expect(r, GRADE_ACT, BECAUSE(OVER));
	r->visits[1].purpose = PURPOSE_AFTER_WORKS;
	r->readings[1].values.shown_uohm = 96;               /* unproven clears nothing */
	expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(UNPROVEN));
	r->readings[1].values.shown_uohm = 60;
	r->visits[1].day = FIRST;                            /* nor does the same shift */
	expect(r, GRADE_ACT, BECAUSE(OVER));
}
END_TEST

START_TEST(work_between_is_a_repair_or_an_engineers_word_too)
{
	struct record *r = record();
	struct judge_failure *f;

	measure(r, FIRST, 110);
	measure(r, FIRST + 10, 60);
	f = failed(r, FAILURE_HIGH_RESISTANCE, -1, FIRST - 5, FIRST);
	expect(r, GRADE_SOUND, 0);
	f->repaired_day = FIRST - 1;
	expect(r, GRADE_ACT, BECAUSE(OVER));
	f->repaired_day = FIRST + 11;                        /* after both: nothing proves it, either */
	expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE));
	r->facts.n_failures = 0;
	r->clearings[r->facts.n_clearings++] = (struct judge_clearing){ QUANTITY_END_TO_END, FIRST };
	expect(r, GRADE_SOUND, 0);
	r->clearings[0].day = FIRST - 1;
	expect(r, GRADE_ACT, BECAUSE(OVER));
	r->clearings[0] = (struct judge_clearing){ QUANTITY_CONTACT_A, FIRST + 5 };
	expect(r, GRADE_ACT, BECAUSE(OVER));
	r->clearings[0].quantity = QUANTITY_END_TO_END;
	measure(r, FIRST + 20, 110);                         /* over again: that word was of the former */
	measure(r, FIRST + 30, 60);
	expect(r, GRADE_ACT, BECAUSE(OVER));
	ck_assert_int_eq(r->is.act_since_day, FIRST + 20);
}
END_TEST

START_TEST(another_quantity_clears_nothing_of_what_was_over)
{
	struct record *r = record();

	measure(r, FIRST, 110);
	contacts(r, FIRST + 10, PURPOSE_AFTER_WORKS, 5, 5);
	expect(r, GRADE_ACT, BECAUSE(OVER));
	visit(r, FIRST + 20, PURPOSE_AFTER_WORKS);
	reads(r, QUANTITY_END_TO_END, 60)->meter.standing = METER_OUT_OF_CALIBRATION;
	expect(r, GRADE_ACT, BECAUSE(OVER));                 /* nor what is no evidence */
}
END_TEST

START_TEST(an_over_of_what_was_replaced_is_cleared_by_the_commissioning_within)
{
	struct record *r = record();

	attach_both(r, FIRST - 10);
	measure(r, FIRST, 110);
	attach(r, END_A, FIRST);
	expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(NO_EVIDENCE));
	commission(r, FIRST, 96);
	expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(UNPROVEN));
	ck_assert_int_eq(r->is.act_since_day, FIRST);
	r->readings[1].values.shown_uohm = 60;
	expect(r, GRADE_SOUND, 0);
	r->visits[1].purpose = PURPOSE_AFTER_WORKS;
	expect(r, GRADE_ACT, BECAUSE(OVER));
	r->facts.n_readings = 1;                             /* contacts alone prove no cross bond */
	r->facts.n_visits = 1;
	contacts(r, FIRST, PURPOSE_COMMISSIONING, 5, 5);
	expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(NO_EVIDENCE));
}
END_TEST

START_TEST(of_one_day_the_worse_stands)
{
	struct record *r = record();

	measure(r, FIRST, 120);
	measure(r, FIRST, 61);
	expect(r, GRADE_ACT, BECAUSE(OVER));
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 120);
	/* the one that proves less, though its value is lower */
	r->readings[0].values.shown_uohm = 90;
	r->readings[0].meter.uohm = 20;
	r->readings[1].values.shown_uohm = 94;
	r->readings[1].meter.uohm = 1;
	expect(r, GRADE_WATCH, BECAUSE(UNPROVEN));
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 90);
}
END_TEST

/* Beyond 1,000 Ω there is no value, whatever meter showed it. */
START_TEST(an_open_circuit_is_acted_on_until_it_is_cleared)
{
	struct record *r = record();
	struct judge_reading *open;

	measure(r, FIRST, 50);
	open = measure(r, FIRST + 9, 1.1e9);
	expect(r, GRADE_ACT, BECAUSE(OPEN_CIRCUIT));
	ck_assert_int_eq(r->is.act_since_day, FIRST + 9);
	ck_assert_int_eq(open->verdict, VERDICT_NONE);
	ck_assert_int_eq(r->is.items[0].key, ACT_OPEN_CIRCUIT + QUANTITY_END_TO_END);
	ck_assert_int_eq(r->is.worst_quantity, QUANTITY_END_TO_END);
	open->meter.standing = METER_OUT_OF_CALIBRATION;
	expect(r, GRADE_ACT, BECAUSE(OPEN_CIRCUIT));
	measure(r, FIRST + 10, 50);
	expect(r, GRADE_ACT, BECAUSE(OPEN_CIRCUIT));
	r->visits[2].purpose = PURPOSE_AFTER_WORKS;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

/* Two weeks to mend from the first day: found again on each of these days it is due as before. */
START_TEST(finding_the_same_again_puts_off_nothing)
{
	struct record *r = record();

	for (int i = 0; i < 4; i++) {                        /* 106 - 5 > 100; missing */
		measure(r, FIRST + 10 * i, 106 + i);
		r->visits[i].seen_b = SEEN_MISSING;
		expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(CRITICAL_DEFECT));
		expect_due(&r->is, DUE_ACT, FIRST + 14);
	}
	r->visits[2].seen_b = SEEN_GOOD;                     /* good, and within, with nothing done */
	r->readings[2].values.shown_uohm = 60;
	judged(r);
	ck_assert_int_eq(r->is.over_since_day[QUANTITY_END_TO_END], FIRST);
	r->visits[2].purpose = PURPOSE_AFTER_WORKS;          /* mended, and over anew */
	expect(r, GRADE_ACT, BECAUSE(OVER) | BECAUSE(CRITICAL_DEFECT));
	ck_assert_int_eq(r->is.act_since_day, FIRST + 30);
}
END_TEST

START_TEST(the_quantity_that_uses_most_of_its_limit_is_the_worst)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	reads(r, QUANTITY_CONTACT_B, 9);
	judged(r);
	ck_assert_int_eq(r->is.worst_quantity, QUANTITY_END_TO_END);
	reads(r, QUANTITY_CONTACT_A, 10.5);
	judged(r);
	ck_assert_int_eq(r->is.worst_quantity, QUANTITY_CONTACT_A);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_reading_gives_verdict_grade_and_due_day,
		the_temperature_is_taken_out_with_the_material_of_the_bond,
		a_bond_without_visits_is_unknown, out_of_service_nothing_is_graded_or_due,
		evidence_that_no_limit_is_for_makes_nothing_sound,
		a_baseline_is_for_what_is_read_later_and_not_for_itself,
		a_second_commissioning_of_the_same_is_an_ordinary_reading,
		what_is_attached_later_makes_no_former_verdict_another,
		one_end_renewed_on_the_same_cable_allows_no_more_than_before,
		a_contact_contains_its_own_end_alone,
		an_over_is_cleared_by_a_later_within_with_work_between,
		work_between_is_a_repair_or_an_engineers_word_too,
		another_quantity_clears_nothing_of_what_was_over,
		an_over_of_what_was_replaced_is_cleared_by_the_commissioning_within,
		of_one_day_the_worse_stands, an_open_circuit_is_acted_on_until_it_is_cleared,
		finding_the_same_again_puts_off_nothing,
		the_quantity_that_uses_most_of_its_limit_is_the_worst, NULL };

	return case_run("judge", tests);
}
