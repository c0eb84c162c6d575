/* What a rising line makes of the grade and of the due day. */
#include <math.h>

#include "case.h"
#include "rules/record.h"

/* 10 µΩ and 0.05 more each day, all but without scatter: 100.04 is reached 1800.8 days after the
 * first, and half a day before by the least that is believed, a ten-thousandth. */
static struct record *rising(enum quantity quantity, double start, double per_day)
{
	struct record *r = record();

	for (int k = 0; k < RULEBOOK_CRITICALITIES; k++) {
		r->rulebook.limits[BOND_RAIL_CROSS].absolute_uohm[k] = 100.04;
		r->rulebook.interval_months[BOND_RAIL_CROSS][k] = 36;
	}
	for (int i = 0; i < 4; i++) {
		visit(r, FIRST + 200 * i, PURPOSE_ROUTINE);
		reads(r, quantity, start + 200 * i * per_day)->meter.uohm = 0;
	}
	return r;
}

START_TEST(a_forecast_is_watched_and_may_move_the_due_day)
{
	struct record *r = rising(QUANTITY_END_TO_END, 10, 0.05);

	/* by the calendar 36 months, 1096 days, after day 600: before the forecast */
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.crosses_day, FIRST + 1801);
	ck_assert_int_eq(r->is.early_day, FIRST + 1801);
	expect_due(&r->is, DUE_AFTER_INSPECTION, FIRST + 600 + 1096);
	r->rulebook.forecast_lead_days = 106;
	expect_due(judged(r), DUE_FORECAST, FIRST + 1695);
	ck_assert_int_eq(r->is.due.counted_from_day, FIRST + 1801);
	/* 60 months end after it; 30, as it is watched, are 915 days: before the 106 ahead of it */
	for (int k = 0; k < RULEBOOK_CRITICALITIES; k++) {
		r->rulebook.interval_months[BOND_RAIL_CROSS][k] = 60;
		r->rulebook.evidence_months = 60;
	}
	expect(r, GRADE_WATCH, BECAUSE(FORECAST));
	ck_assert_int_eq(r->is.due.due_day, FIRST + 600 + 915);
	ck_assert(r->is.due.shortened);
}
END_TEST

/* 10, 10.1, 10.22 over steps of 100 days: by its error (0.22 / √2) / sigma, sigma a share of
 * 10: 3.11 with 0.5 %, 2.22 with 0.7 %, 3.2 at 0.4861 %. One meter's 5 µΩ do not count, another's
 * do. */
START_TEST(what_readings_scatter_by_is_the_rulebooks_and_the_meters)
{
	struct record *r = record();
	const struct trend *t = &r->is.trend[QUANTITY_END_TO_END];

	for (int i = 0; i < 3; i++) {
		measure(r, FIRST + 100 * i, i < 2 ? 10 + 0.1 * i : 10.22)->instrument_id = 3;
	}
	judged(r);
	ck_assert_int_eq(t->rise, TREND_RISING);
	r->rulebook.scatter_percent[BOND_RAIL_CROSS][SCATTER_END_TO_END] = 0.486;
	judged(r);
	ck_assert_int_eq(t->rise, TREND_RISING);
	r->rulebook.scatter_percent[BOND_RAIL_CROSS][SCATTER_END_TO_END] = 0.487;
	judged(r);
	ck_assert_int_eq(t->rise, TREND_PERHAPS);
	r->rulebook.scatter_percent[BOND_RAIL_CROSS][SCATTER_END_TO_END] = 0;
	r->rulebook.repeatability_percent = 0.974;
	judged(r);
	ck_assert_int_eq(t->rise, TREND_PERHAPS);
	/* half of 0.00393 / K times U_T */
	r->rulebook.repeatability_percent = 0;
	r->rulebook.temp_uncertainty_k = 2.47;
	judged(r);
	ck_assert_int_eq(t->rise, TREND_RISING);
	r->rulebook.temp_uncertainty_k = 2.48;
	judged(r);
	ck_assert_int_eq(t->rise, TREND_PERHAPS);
	r->rulebook.temp_uncertainty_k = 0;
	r->readings[2].instrument_id = 0;
	judged(r);
	ck_assert_int_eq(t->rise, TREND_NOT_RISING);
}
END_TEST

/* 2, 3 and 4 m of rail over the joint, 0.5 m of it between the contacts: 1 % of the first 2 m. */
START_TEST(a_joints_readings_scatter_by_the_first_ones_whole_length)
{
	struct record *r = record();

	r->rulebook.repeatability_percent = 2;
	for (int i = 0; i < 3; i++) {
		struct reading_values *v;

		visit(r, FIRST + 100 * i, PURPOSE_ROUTINE);
		v = &reads(r, QUANTITY_RAIL_DROP, NAN)->values;
		v->method = READING_VOLTAGE_DROP;
		v->forward_uv = 100 * (2 + i);
		v->reverse_uv = -v->forward_uv;
		v->rail_uv = 100;
		v->rail_m = 1;
		v->joint_m = 0.5;
	}
	judged(r);
	ck_assert_uint_eq(r->is.trend[QUANTITY_RAIL_DROP].n, 3);
	ck_assert_double_eq_tol(r->is.trend[QUANTITY_RAIL_DROP].sigma_next, 0.02, 1e-15);
}
END_TEST

/* End to end crosses on day 1801; a contact, 5 and 0.01 more each day, its 20.008 on day 1501. */
START_TEST(of_two_forecasts_the_earlier_moves_the_due_day)
{
	for (int way = 0; way < 2; way++) {
		struct record *r = rising(way == 0 ? QUANTITY_END_TO_END : QUANTITY_CONTACT_A,
			way == 0 ? 10 : 5, way == 0 ? 0.05 : 0.01);
		size_t n = r->facts.n_visits;

		r->rulebook.limits[BOND_RAIL_CROSS].contact_uohm = 20.008;
		r->rulebook.evidence_months = 60;
		r->rulebook.forecast_lead_days = 400;        /* before day 1149, when it is watched */
		r->facts.n_readings = 0;
		for (size_t i = 0; i < n; i++) {
			r->facts.n_visits = i + 1;
			reads(r, QUANTITY_END_TO_END, 10 + 10 * (double)i)->meter.uohm = 0;
			reads(r, way == 0 ? QUANTITY_CONTACT_A : QUANTITY_CONTACT_B,
				5 + 2 * (double)i)->meter.uohm = 0;
		}
		judged(r);
		ck_assert_int_eq(r->is.early_day, FIRST + 1501);
		ck_assert_int_eq(r->is.crosses_day, FIRST + 1501);
		expect_due(&r->is, DUE_FORECAST, FIRST + 1101);
	}
}
END_TEST

/* 10, 20 and 40 on days 0, 200 and 600, the last of them asked: 100.02 is reached on day 1801. */
START_TEST(what_shows_another_path_enters_no_line_while_it_waits_either)
{
	struct record *r = rising(QUANTITY_END_TO_END, 10, 0.05);

	r->facts.limit.cable_uohm_per_m = 12;
	r->facts.limit.length_m = 1;
	r->readings[2].values.shown_uohm = 3;                /* below 0.3 of 12, and in circuit */
	r->readings[3].meter.methods = 1 << READING_VOLTAGE_DROP;
	judged(r);
	ck_assert_int_eq(r->readings[2].status, STATUS_OPEN);
	ck_assert(r->readings[2].parallel);
	ck_assert_int_eq(r->is.early_day, FIRST + 1801);
	r->readings[2].values.shown_uohm = 30;
	ck_assert_int_eq(judged(r)->early_day, FIRST + 1801);
}
END_TEST

/* 10 and 20 on days 0 and 200; 40 on day 600 and 40 on day 800 are asked: with the first of them
 * alone 100.04 is reached on day 1801, and in one line with both it would be later. */
START_TEST(a_second_question_does_not_flatten_the_line_of_the_first)
{
	struct record *r = rising(QUANTITY_END_TO_END, 10, 0.05);

	r->readings[2].values.shown_uohm = 40;
	r->visits[2].day = FIRST + 600;
	r->visits[3].day = FIRST + 800;
	r->readings[2].meter.methods = r->readings[3].meter.methods = 1 << READING_VOLTAGE_DROP;
	judged(r);
	ck_assert_int_eq(r->readings[2].status, STATUS_OPEN);
	ck_assert_int_eq(r->readings[3].status, STATUS_OPEN);
	ck_assert_int_eq(r->is.early_day, FIRST + 1801);
}
END_TEST

/* 60 to 90 in 600 days, then 110: over 100.04. Inspected on day 800, it is not to be inspected
 * again after a fortnight; it is to be mended then. */
START_TEST(what_is_over_is_to_be_mended_and_has_no_forecast)
{
	struct record *r = rising(QUANTITY_END_TO_END, 60, 0.05);

	ck_assert_int_ne(judged(r)->early_day, DAY_NONE);
	visit(r, FIRST + 800, PURPOSE_ROUTINE);
	reads(r, QUANTITY_END_TO_END, 110)->meter.uohm = 0;
	expect(r, GRADE_ACT, BECAUSE(OVER));
	ck_assert_int_eq(r->is.early_day, DAY_NONE);
	ck_assert_int_eq(r->is.crosses_day, DAY_NONE);
	expect_due(&r->is, DUE_ACT, FIRST + 814);
	ck_assert_int_eq(r->is.due.inspect_day, day_add_months(FIRST + 800, 18));   /* half of 36 */
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_forecast_is_watched_and_may_move_the_due_day,
		what_readings_scatter_by_is_the_rulebooks_and_the_meters,
		a_joints_readings_scatter_by_the_first_ones_whole_length,
		of_two_forecasts_the_earlier_moves_the_due_day,
		what_shows_another_path_enters_no_line_while_it_waits_either,
		a_second_question_does_not_flatten_the_line_of_the_first,
		what_is_over_is_to_be_mended_and_has_no_forecast, NULL };

	return case_run("judge_forecast", tests);
}
