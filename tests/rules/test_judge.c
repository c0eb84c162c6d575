#include <math.h>
#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/judge.h"

enum { MOST = 12, FIRST = 20000 };   /* day 20000 is 2024-10-04 */

/* A record that is written line by line, and judged. */
struct record {
	struct rulebook rulebook;
	struct judge_visit visits[MOST];
	struct judge_reading readings[MOST];
	struct judge_attachment attachments[MOST];
	struct judge_facts facts;
	struct judgement is;
};

/* The one limit is 100 µΩ and all uncertainty is the 5 µΩ of the meter, so that figures follow by
 * hand; every 12 months, watched every 6, 14 days to act, forecasts 90 days before. */
static struct record *record(void)
{
	static struct record r;

	memset(&r, 0, sizeof r);
	r.rulebook = rulebook_default();
	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		r.rulebook.limits[k] = (struct rulebook_limits){ NAN, 0, NAN, NAN, NAN, NAN,
			{ 100, 100, 100 } };
		for (int c = 0; c < RULEBOOK_CRITICALITIES; c++) {
			r.rulebook.interval_months[k][c] = 12;
		}
	}
	r.rulebook.watch_percent = 80;
	r.rulebook.temp_uncertainty_k = r.rulebook.repeatability_percent = 0;
	r.rulebook.unknown_meter_percent = 0;
	r.rulebook.unknown_meter_uohm = 5;
	r.facts = (struct judge_facts){ .due = { .kind = BOND_RAIL_CROSS, .in_service = true,
		.installed_day = FIRST, .inspected_day = DAY_NONE, .known_since_day = FIRST - 7,
		.deferred_until_day = DAY_NONE }, .limit = { .kind = BOND_RAIL_CROSS, .ends = 2,
		.cable_uohm_per_m = NAN, .length_m = NAN, .rail_uohm_per_m = NAN,
		.rail_between_joints_m = NAN }, .material = MATERIAL_COPPER,
		.failure_since_day = DAY_NONE, .visits = r.visits, .readings = r.readings,
		.attachments = r.attachments };
	return &r;
}

static void visit(struct record *r, int32_t day, enum purpose purpose)
{
	r->visits[r->facts.n_visits++] = (struct judge_visit){ .day = day, .purpose = purpose,
		.outcome = OUTCOME_COMPLETE, .seen_a = -1, .seen_b = -1 };
	r->facts.due.inspected_day = day;
}

static struct judge_reading *read(struct record *r, enum quantity quantity, double uohm)
{
	struct judge_reading *to = &r->readings[r->facts.n_readings++];

	*to = (struct judge_reading){ .visit = r->facts.n_visits - 1,
		.values = { .quantity = quantity, .method = READING_FOUR_WIRE, .material = -1,
		.forward_uv = NAN, .reverse_uv = NAN, .current_a = NAN, .shown_uohm = uohm,
		.lead_uohm = NAN, .rail_uv = NAN, .rail_m = NAN, .joint_m = NAN, .temp_c = 20 },
		.meter = { METER_NOT_RECORDED, NAN, NAN } };
	return to;
}

/* A visit with one reading from end to end. */
static struct judge_reading *measure(struct record *r, int32_t day, double uohm)
{
	visit(r, day, PURPOSE_ROUTINE);
	return read(r, QUANTITY_END_TO_END, uohm);
}

static struct judge_attachment *attach(struct record *r, enum bond_end end, int32_t day)
{
	struct judge_attachment *to = &r->attachments[r->facts.n_attachments++];

	for (struct judge_attachment *a = r->attachments; a < to; a++) {
		a->live = a->live && a->end != end;
	}
	*to = (struct judge_attachment){ .end = end, .made_day = day, .live = true,
		.accepted = ACCEPTANCE_OPEN };
	return to;
}

static const struct judgement *judged(struct record *r)
{
	struct trend_point scratch[MOST];

	memset(&r->is, 0x55, sizeof r->is);
	judge_bond(&r->rulebook, &r->facts, scratch, &r->is);
	return &r->is;
}

static void expect(struct record *r, enum grade grade, unsigned reasons)
{
	const struct judgement *is = judged(r);
	char told[GRADE_REASONS_SIZE];

	grade_sentence(is->grade.reasons, told, sizeof told);
	ck_assert_msg(is->grade.grade == grade && is->grade.reasons == reasons, "%s: %s",
		grade_words.code[is->grade.grade], told);
}

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

		ck_assert(reading->evidence);
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
		ck_assert_int_eq(is->live_since_day[QUANTITY_END_TO_END], DAY_NONE);
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
	expect(r, GRADE_UNKNOWN, 1u << REASON_NO_EVIDENCE);
	ck_assert_int_eq(reading->verdict, VERDICT_NONE);
}
END_TEST

START_TEST(a_bond_without_visits_is_unknown)
{
	struct record *r = record();
	const struct judgement *is;

	expect(r, GRADE_UNKNOWN, 1u << REASON_NEVER_INSPECTED);
	is = judged(r);
	ck_assert_int_eq(is->due.basis, DUE_AFTER_INSTALLATION);
	ck_assert_int_eq(is->due.due_day, FIRST + 365);
	ck_assert_int_eq(is->worst_quantity, -1);
	ck_assert_int_eq(is->trend[QUANTITY_CONTACT_B].lack, TREND_FEW_READINGS);
	ck_assert_int_eq(is->grade.evidence_until_day, DAY_NONE);
	visit(r, FIRST, PURPOSE_ROUTINE);
	r->visits[0].outcome = OUTCOME_NOT_REACHED;
	expect(r, GRADE_UNKNOWN, 1u << REASON_NEVER_INSPECTED);
	r->visits[0].outcome = OUTCOME_PARTLY;
	expect(r, GRADE_UNKNOWN, 1u << REASON_NO_EVIDENCE);
}
END_TEST

START_TEST(out_of_service_nothing_is_graded_or_due)
{
	struct record *r = record();
	struct judge_reading *reading = measure(r, FIRST, 500);

	r->facts.due.in_service = false;
	r->facts.failures_open = 1;
	expect(r, GRADE_NONE, 0);
	ck_assert_int_eq(reading->verdict, VERDICT_OVER);    /* a reading keeps its verdict */
	ck_assert_int_eq(r->is.act_since_day, DAY_NONE);
	ck_assert_int_eq(r->is.due.due_day, DAY_NONE);
}
END_TEST

/* Commissioned at 40 and 50: the mean is 45, and 1.5 times that 67.5. */
START_TEST(the_baseline_is_of_what_is_live_now_and_not_for_itself)
{
	struct record *r = record();
	struct judge_reading *old, *first, *second, *later, *contact;

	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		r->rulebook.limits[k].baseline_factor = 1.5;
	}
	visit(r, FIRST, PURPOSE_COMMISSIONING);
	old = read(r, QUANTITY_END_TO_END, 90);
	attach(r, END_A, FIRST);
	attach(r, END_B, FIRST + 100);
	visit(r, FIRST + 100, PURPOSE_COMMISSIONING);
	first = read(r, QUANTITY_END_TO_END, 40);
	second = read(r, QUANTITY_END_TO_END, 50);
	read(r, QUANTITY_END_TO_END, 60)->meter.standing = METER_OUT_OF_CALIBRATION;
	read(r, QUANTITY_CONTACT_A, 6);
	later = measure(r, FIRST + 200, 62);
	contact = read(r, QUANTITY_CONTACT_A, 4);
	judged(r);
	ck_assert_int_eq(r->is.live_since_day[QUANTITY_END_TO_END], FIRST + 100);
	ck_assert_double_eq(old->limits.limit, 100);
	ck_assert_double_eq(first->limits.limit, 100);
	ck_assert_double_eq(second->limits.limit, 100);
	ck_assert_int_eq(second->limits.absence[LIMIT_BASELINE], LIMIT_NO_BASELINE);
	ck_assert_double_eq(later->limits.limit, 67.5);
	ck_assert_double_eq(r->is.baseline[QUANTITY_END_TO_END], 45);
	ck_assert_double_eq(r->is.baseline[QUANTITY_CONTACT_A], 6);
	ck_assert(isnan(r->is.baseline[QUANTITY_CONTACT_B]));
	ck_assert_int_eq(later->limits.lowest, LIMIT_BASELINE);
	ck_assert_int_eq(later->verdict, VERDICT_WITHIN);    /* 62 + 5 */
	ck_assert_double_eq(contact->limits.limit, 9);       /* of its own quantity */
	ck_assert_int_eq(contact->verdict, VERDICT_WITHIN);  /* 4 + 5 */
	/* without what was made at end B the first visit is the commissioning too: (90+40+50) / 3 */
	r->facts.n_attachments = 1;
	judged(r);
	ck_assert_double_eq(later->limits.limit, 90);
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].limit, 90);
}
END_TEST

START_TEST(readings_before_the_newest_attachment_keep_their_verdict_and_count_no_more)
{
	struct record *r = record();
	struct judge_reading *before = measure(r, FIRST, 500);

	attach(r, END_A, FIRST - 1);
	attach(r, END_B, FIRST);
	expect(r, GRADE_ACT, 1u << REASON_OVER);             /* on that day itself it counts */
	attach(r, END_B, FIRST + 1);
	expect(r, GRADE_UNKNOWN, 1u << REASON_NO_EVIDENCE);
	ck_assert_int_eq(before->verdict, VERDICT_OVER);
	ck_assert_int_eq(r->is.trend[QUANTITY_END_TO_END].n, 0);
	measure(r, FIRST + 1, 50);
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.trend[QUANTITY_END_TO_END].n, 1);
}
END_TEST

START_TEST(what_one_night_finds_attaches_anew_and_commissions_is_good_at_its_end)
{
	struct record *r = record();
	struct judge_reading *found = measure(r, FIRST, 500);

	r->visits[0].seen_a = SEEN_MISSING;
	attach(r, END_A, FIRST);
	attach(r, END_B, FIRST);
	expect(r, GRADE_ACT, 1u << REASON_OVER | 1u << REASON_CRITICAL_DEFECT);
	visit(r, FIRST, PURPOSE_COMMISSIONING);
	read(r, QUANTITY_END_TO_END, 50);
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(found->verdict, VERDICT_OVER);
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 50);
	ck_assert_int_eq(r->is.trend[QUANTITY_END_TO_END].n, 1);
	/* a commissioning that did not reach the bond shows nothing */
	r->visits[1].outcome = OUTCOME_NOT_REACHED;
	expect(r, GRADE_ACT, 1u << REASON_OVER | 1u << REASON_CRITICAL_DEFECT);
	r->visits[1].outcome = OUTCOME_COMPLETE;
	/* what is found after it is of what was attached */
	measure(r, FIRST, 200);
	expect(r, GRADE_ACT, 1u << REASON_OVER);
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 200);
}
END_TEST

START_TEST(what_is_attached_anew_at_one_end_mends_nothing_at_the_other)
{
	struct record *r = record();

	r->rulebook.limits[BOND_RAIL_CROSS].contact_uohm = 100;
	visit(r, FIRST, PURPOSE_ROUTINE);
	read(r, QUANTITY_CONTACT_A, 300);
	read(r, QUANTITY_CONTACT_B, 300);
	attach(r, END_A, FIRST + 1);
	visit(r, FIRST + 1, PURPOSE_COMMISSIONING);
	read(r, QUANTITY_CONTACT_A, 50);
	expect(r, GRADE_ACT, 1u << REASON_OVER);
	ck_assert_double_eq(r->is.last[QUANTITY_CONTACT_A].value, 50);
	ck_assert_double_eq(r->is.last[QUANTITY_CONTACT_B].value, 300);
	ck_assert_int_eq(r->is.act_since_day, FIRST);
	ck_assert_int_eq(r->is.live_since_day[QUANTITY_CONTACT_A], FIRST + 1);
	ck_assert_int_eq(r->is.live_since_day[QUANTITY_CONTACT_B], DAY_NONE);
	ck_assert_int_eq(r->is.live_since_day[QUANTITY_END_TO_END], FIRST + 1);
	attach(r, END_B, FIRST + 2);
	visit(r, FIRST + 2, PURPOSE_COMMISSIONING);
	read(r, QUANTITY_CONTACT_B, 60);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(the_newest_evidence_counts_and_of_one_day_the_worse)
{
	struct record *r = record();

	measure(r, FIRST, 500);
	measure(r, FIRST + 1, 50);
	expect(r, GRADE_SOUND, 0);
	measure(r, FIRST + 2, 120);
	measure(r, FIRST + 2, 60);
	expect(r, GRADE_ACT, 1u << REASON_OVER);
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 120);
	/* a meter that is not to be believed puts nothing in its place */
	measure(r, FIRST + 3, 20)->meter.standing = METER_OUT_OF_CALIBRATION;
	measure(r, FIRST + 4, 20)->meter.standing = METER_NEVER_CALIBRATED;
	measure(r, FIRST + 5, 20)->values.temp_c = NAN;
	expect(r, GRADE_ACT, 1u << REASON_OVER);
	ck_assert_int_eq(r->is.last[QUANTITY_END_TO_END].day, FIRST + 2);
	ck_assert(!r->readings[4].evidence && !r->readings[5].evidence && !r->readings[6].evidence);
	ck_assert_int_eq(r->readings[4].verdict, VERDICT_NONE);
	/* of one day the one that proves less, though its value is lower */
	measure(r, FIRST + 6, 90)->meter = (struct meter){ METER_IN_CALIBRATION, 0, 20 };
	measure(r, FIRST + 6, 94)->meter = (struct meter){ METER_IN_CALIBRATION, 0, 1 };
	expect(r, GRADE_WATCH, 1u << REASON_UNPROVEN);
	ck_assert_double_eq(r->is.last[QUANTITY_END_TO_END].value, 90);
}
END_TEST

START_TEST(an_open_circuit_is_acted_on_unless_the_meter_is_not_believed)
{
	struct record *r = record();
	struct judge_reading *open;

	measure(r, FIRST, 50);
	open = measure(r, FIRST + 9, 1.1e9);
	expect(r, GRADE_ACT, 1u << REASON_OPEN_CIRCUIT);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 9);
	ck_assert_int_eq(open->verdict, VERDICT_NONE);
	ck_assert_int_eq(r->is.worst_quantity, QUANTITY_END_TO_END);
	open->meter.standing = METER_OUT_OF_CALIBRATION;
	expect(r, GRADE_SOUND, 0);
	open->meter.standing = METER_NOT_RECORDED;
	measure(r, FIRST + 9, 99);                           /* of one day the worse */
	expect(r, GRADE_ACT, 1u << REASON_OPEN_CIRCUIT);
	measure(r, FIRST + 10, 60);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(evidence_that_no_limit_is_for_makes_nothing_sound)
{
	struct record *r = record();

	visit(r, FIRST, PURPOSE_ROUTINE);
	read(r, QUANTITY_CONTACT_A, 5);
	expect(r, GRADE_UNKNOWN, 1u << REASON_NO_LIMIT);
	ck_assert_int_eq(r->is.worst_quantity, -1);
}
END_TEST

START_TEST(each_end_is_as_the_newest_visit_that_saw_it_found_it)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	r->visits[0].seen_a = SEEN_MISSING;
	r->visits[0].seen_b = SEEN_GOOD;
	expect(r, GRADE_ACT, 1u << REASON_CRITICAL_DEFECT);
	ck_assert_int_eq(r->is.act_since_day, FIRST);
	measure(r, FIRST + 1, 50);                           /* nobody saw end A, or got there */
	r->visits[1].seen_a = SEEN_NOT_VISIBLE;
	r->visits[1].seen_b = SEEN_CORRODED;
	visit(r, FIRST + 2, PURPOSE_ROUTINE);
	r->visits[2].outcome = OUTCOME_NOT_REACHED;
	r->visits[2].seen_a = r->visits[2].seen_b = SEEN_GOOD;
	expect(r, GRADE_ACT, 1u << REASON_CRITICAL_DEFECT);
	ck_assert_int_eq(r->is.act_since_day, FIRST);
	visit(r, FIRST + 3, PURPOSE_ROUTINE);                /* corroded at B is a lesser defect */
	r->visits[3].outcome = OUTCOME_PARTLY;
	r->visits[3].seen_a = SEEN_GOOD;
	expect(r, GRADE_WATCH, 1u << REASON_DEFECT);
	r->visits[3].seen_b = SEEN_GOOD;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(what_was_seen_of_a_former_attachment_counts_no_more)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	r->visits[0].seen_a = SEEN_LOOSE;
	attach(r, END_B, FIRST - 1);
	attach(r, END_A, FIRST);
	expect(r, GRADE_ACT, 1u << REASON_CRITICAL_DEFECT);  /* which came first is not known */
	attach(r, END_A, FIRST + 1);
	measure(r, FIRST + 2, 50);
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(only_live_attachments_count)
{
	struct record *r = record();
	struct judge_attachment *first;

	measure(r, FIRST + 10, 50);
	first = attach(r, END_A, FIRST);
	first->strength_failed = true;
	first->accepted = NOT_ACCEPTED;
	expect(r, GRADE_ACT, 1u << REASON_STRENGTH_FAILED);
	ck_assert_int_eq(r->is.act_since_day, FIRST);
	ck_assert_int_eq(r->is.due.due_day, FIRST + 14);
	first->strength_failed = false;
	expect(r, GRADE_ACT, 1u << REASON_NOT_ACCEPTED);
	first->made_day = DAY_NONE;      /* not known: since the bond is known */
	expect(r, GRADE_ACT, 1u << REASON_NOT_ACCEPTED);
	ck_assert_int_eq(r->is.act_since_day, FIRST - 7);
	attach(r, END_A, FIRST + 5)->accepted = ACCEPTED;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(it_acts_since_the_earliest_of_what_makes_it_act)
{
	struct record *r = record();

	measure(r, FIRST + 50, 120);
	r->visits[0].seen_a = SEEN_GOOD;
	visit(r, FIRST + 60, PURPOSE_ROUTINE);
	r->visits[1].seen_a = SEEN_MISSING;
	judged(r);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 50);
	r->facts.failures_open = 1;
	r->facts.failure_since_day = FIRST + 70;
	judged(r);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 50);
	r->facts.failure_since_day = FIRST + 49;
	expect(r, GRADE_ACT, 1u << REASON_FAILURE_OPEN | 1u << REASON_OVER |
		1u << REASON_CRITICAL_DEFECT);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 49);
	ck_assert_int_eq(r->is.due.due_day, FIRST + 63);
	ck_assert_int_eq(due_state_on(&r->is.due, FIRST + 63 + (int32_t)r->rulebook.grace_days + 1),
		DUE_OVERDUE);
}
END_TEST

/* Two weeks to act from FIRST: found again on each of these days it is due as before. */
START_TEST(finding_the_same_again_puts_off_nothing)
{
	struct record *r = record();

	for (int i = 0; i < 4; i++) {                        /* 106 - 5 > 100; missing */
		measure(r, FIRST + 10 * i, 106 + i);
		r->visits[i].seen_b = SEEN_MISSING;
		expect(r, GRADE_ACT, 1u << REASON_OVER | 1u << REASON_CRITICAL_DEFECT);
		ck_assert_int_eq(r->is.due.due_day, FIRST + 14);
	}
	r->visits[2].seen_b = SEEN_GOOD;                     /* seen good between: missing since the last */
	r->readings[2].values.shown_uohm = 50;               /* within between: over since the last */
	expect(r, GRADE_ACT, 1u << REASON_OVER | 1u << REASON_CRITICAL_DEFECT);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 30);
	read(r, QUANTITY_END_TO_END, 50);                    /* of one day the worse, whichever comes last */
	judged(r);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 30);
	r->readings[2].values.shown_uohm = 102;              /* unproven between is not over */
	judged(r);
	ck_assert_int_eq(r->is.act_since_day, FIRST + 30);
	r->readings[2].values.shown_uohm = 107;
	judged(r);
	ck_assert_int_eq(r->is.act_since_day, FIRST);
}
END_TEST

/* 36 months after 2024-10-04 is 2027-10-04: 365 x 3 days. */
START_TEST(evidence_is_remembered_through_a_last_day)
{
	struct record *r = record();

	measure(r, FIRST - 100, 50);
	measure(r, FIRST, 50);
	visit(r, FIRST + 50, PURPOSE_ROUTINE);
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.grade.evidence_until_day, FIRST + 1095);
	ck_assert_int_eq(grade_on(GRADE_SOUND, r->is.grade.evidence_until_day, FIRST + 1095),
		GRADE_SOUND);
	ck_assert_int_eq(grade_on(GRADE_SOUND, r->is.grade.evidence_until_day, FIRST + 1096),
		GRADE_UNKNOWN);
}
END_TEST

/* 10 µΩ and 0.05 more each day, all but without scatter: 104.92 is reached 1898.4 days after the
 * first, and 98 days before by what the meter may be off, 1.96 times half of 5 µΩ. */
START_TEST(a_forecast_is_watched_and_may_move_the_due_day)
{
	struct record *r = record();

	for (int k = 0; k < RULEBOOK_CRITICALITIES; k++) {
		r->rulebook.limits[BOND_RAIL_CROSS].absolute_uohm[k] = 104.92;
		r->rulebook.interval_months[BOND_RAIL_CROSS][k] = 36;
	}
	for (int i = 0; i < 4; i++) {
		measure(r, FIRST + 200 * i, 10 + 10 * i);
	}
	/* by the calendar 36 months, 1096 days, after day 600: before the forecast */
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.crosses_day, FIRST + 1899);
	ck_assert_int_eq(r->is.early_day, FIRST + 1801);
	ck_assert_int_eq(r->is.due.due_day, FIRST + 600 + 1096);
	ck_assert_int_eq(r->is.due.basis, DUE_AFTER_INSPECTION);
	r->rulebook.forecast_lead_days = 106;
	judged(r);
	ck_assert_int_eq(r->is.due.due_day, FIRST + 1695);
	ck_assert_int_eq(r->is.due.basis, DUE_FORECAST);
	ck_assert_int_eq(r->is.due.counted_from_day, FIRST + 1801);
	/* 60 months end after it; 30, as it is watched, are 915 days: before the 106 ahead of it */
	for (int k = 0; k < RULEBOOK_CRITICALITIES; k++) {
		r->rulebook.interval_months[BOND_RAIL_CROSS][k] = 60;
	}
	expect(r, GRADE_WATCH, 1u << REASON_FORECAST);
	ck_assert_int_eq(r->is.due.due_day, FIRST + 600 + 915);
	ck_assert(r->is.due.shortened);
}
END_TEST

/* 10, 10.1, 10.22 over steps of 100 days: by its error (0.22 / √2) / sigma, sigma a share of 10: 3.11
 * with 0.5 %, 2.22 with 0.7 %, 3.2 at 0.4861 %. One meter's 5 µΩ do not count, another's do. */
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
		v = &read(r, QUANTITY_RAIL_DROP, NAN)->values;
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

START_TEST(a_rising_line_over_the_limit_is_a_forecast_for_the_next_day)
{
	struct record *r = record();

	/* the line ends at 69.3 + 89 / 2 = 113.8 */
	measure(r, FIRST, 10);
	measure(r, FIRST + 300, 99);
	measure(r, FIRST + 600, 99)->meter = (struct meter){ METER_IN_CALIBRATION, 0, 1 };
	expect(r, GRADE_WATCH, 1u << REASON_NEAR_LIMIT | 1u << REASON_FORECAST);
	ck_assert_int_eq(r->is.early_day, FIRST + 601);
	ck_assert_int_eq(r->is.due.basis, DUE_FORECAST);
	ck_assert_int_eq(r->is.due.due_day, FIRST + 614);
	/* a falling one is none: it ends at 169.3 - 50.5 = 118.8, the newest reading is under it */
	r->readings[0].values.shown_uohm = 200;
	r->readings[1].values.shown_uohm = 209;
	expect(r, GRADE_WATCH, 1u << REASON_NEAR_LIMIT);
	ck_assert_int_eq(r->is.trend[QUANTITY_END_TO_END].lack, TREND_NO_RISE);
	ck_assert_int_eq(r->is.early_day, DAY_NONE);
}
END_TEST

START_TEST(the_quantity_that_uses_most_of_its_limit_is_the_worst)
{
	struct record *r = record();

	r->rulebook.limits[BOND_RAIL_CROSS].contact_uohm = 20;
	visit(r, FIRST, PURPOSE_ROUTINE);
	read(r, QUANTITY_END_TO_END, 50);
	read(r, QUANTITY_CONTACT_B, 9);
	judged(r);
	ck_assert_int_eq(r->is.worst_quantity, QUANTITY_END_TO_END);
	read(r, QUANTITY_CONTACT_A, 10.5);
	judged(r);
	ck_assert_int_eq(r->is.worst_quantity, QUANTITY_CONTACT_A);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_reading_gives_verdict_grade_and_due_day,
		the_temperature_is_taken_out_with_the_material_of_the_bond,
		a_bond_without_visits_is_unknown, out_of_service_nothing_is_graded_or_due,
		the_baseline_is_of_what_is_live_now_and_not_for_itself,
		readings_before_the_newest_attachment_keep_their_verdict_and_count_no_more,
		what_one_night_finds_attaches_anew_and_commissions_is_good_at_its_end,
		what_is_attached_anew_at_one_end_mends_nothing_at_the_other,
		the_newest_evidence_counts_and_of_one_day_the_worse,
		an_open_circuit_is_acted_on_unless_the_meter_is_not_believed,
		evidence_that_no_limit_is_for_makes_nothing_sound,
		each_end_is_as_the_newest_visit_that_saw_it_found_it,
		what_was_seen_of_a_former_attachment_counts_no_more, only_live_attachments_count,
		it_acts_since_the_earliest_of_what_makes_it_act, finding_the_same_again_puts_off_nothing,
		evidence_is_remembered_through_a_last_day,
		a_forecast_is_watched_and_may_move_the_due_day,
		what_readings_scatter_by_is_the_rulebooks_and_the_meters,
		a_joints_readings_scatter_by_the_first_ones_whole_length,
		a_rising_line_over_the_limit_is_a_forecast_for_the_next_day,
		the_quantity_that_uses_most_of_its_limit_is_the_worst, NULL };

	return case_run("judge", tests);
}
