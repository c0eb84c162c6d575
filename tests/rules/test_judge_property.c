/*
 * Making a record worse never improves a verdict or a grade, and never postpones a due day: over
 * random bonds.
 *
 * Of the readings it is the newest of a quantity that is raised. An earlier one may rightly make
 * the newest look better: what was measured at commissioning is a limit of those that follow, and a
 * higher reading in the middle or at the beginning flattens a trend.
 */
#include <math.h>
#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/judge.h"

enum { BONDS = 20000, VISITS = 8, READINGS = 8, ATTACHMENTS = 4, FIRST = 19000 };

static uint64_t seed;

static uint64_t any(uint64_t below)
{
	seed ^= seed << 13;
	seed ^= seed >> 7;
	seed ^= seed << 17;
	return (seed >> 11) % below;
}

static bool one_in(uint64_t n)
{
	return any(n) == 0;
}

static double between(double least, double most)
{
	return least + (most - least) * (double)any(1u << 30) / (1u << 30);
}

struct record {
	struct rulebook rulebook;
	struct judge_visit visits[VISITS];
	struct judge_reading readings[READINGS];
	struct judge_attachment attachments[ATTACHMENTS];
	struct judge_facts facts;
};

static void any_rulebook(struct rulebook *r)
{
	*r = rulebook_default();
	r->watch_interval_percent = 1 + (int64_t)any(100);
	r->act_days = (int64_t)any(60);
	r->forecast_lead_days = (int64_t)any(400);
	r->watch_percent = between(50, 100);
	r->unknown_meter_percent = between(0, 20);
	r->repeatability_percent = between(0, 10);
	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		for (int c = 0; c < RULEBOOK_CRITICALITIES; c++) {
			r->limits[k].absolute_uohm[c] = one_in(2) ? between(60, 200) : NAN;
			r->interval_months[k][c] = 1 + (int64_t)any(40);
		}
	}
}

static void any_visits(struct record *r)
{
	int32_t day = FIRST;

	r->facts.n_visits = any(VISITS + 1);
	for (size_t i = 0; i < r->facts.n_visits; i++) {
		struct judge_visit *v = &r->visits[i];

		day += 1 + (int32_t)any(one_in(3) ? 20 : 400);
		*v = (struct judge_visit){ .day = day, .outcome = one_in(4) ? OUTCOME_PARTLY :
			one_in(8) ? OUTCOME_NOT_REACHED : OUTCOME_COMPLETE,
			.purpose = i == 0 || one_in(6) ? PURPOSE_COMMISSIONING : PURPOSE_ROUTINE,
			.seen_a = (int)any(2 + SEEN_NOT_VISIBLE) - 1, .seen_b = one_in(3) ? -1 : SEEN_GOOD };
		v->seen_a = one_in(8) ? v->seen_a : SEEN_GOOD;
		if (v->outcome == OUTCOME_COMPLETE) {
			r->facts.due.inspected_day = day;
		}
	}
}

static const enum quantity any_quantity[] = { QUANTITY_END_TO_END, QUANTITY_END_TO_END,
	QUANTITY_END_TO_END, QUANTITY_CONTACT_A, QUANTITY_CONTACT_B, QUANTITY_RAIL_DROP };

/* Most bonds have one trend that rises, so that forecasts are met. */
static void any_readings(struct record *r)
{
	double start = between(5, 120), slope = between(-0.01, 0.1);
	enum quantity main_one = any_quantity[any(6)];
	size_t n = 0;

	for (size_t visit = 0; visit < r->facts.n_visits && n < READINGS; visit++) {
		enum quantity q = one_in(4) ? any_quantity[any(6)] : main_one;
		bool drop = q == QUANTITY_RAIL_DROP;
		double value = start + slope * (r->visits[visit].day - FIRST) +
			between(0, one_in(2) ? 1 : 30);

		if (one_in(8)) {
			continue;
		}
		r->readings[n++] = (struct judge_reading){ .visit = visit, .values = { .quantity = q,
			.method = drop ? READING_VOLTAGE_DROP : one_in(6) ? READING_TWO_WIRE :
			READING_FOUR_WIRE,
			.forward_uv = drop ? value * 10 : NAN, .reverse_uv = NAN, .current_a = NAN,
			.shown_uohm = drop ? NAN : one_in(40) ? 2e9 : value, .lead_uohm = between(0, 3),
			.rail_uv = drop ? 500 : NAN, .rail_m = drop ? 1 : NAN, .joint_m = drop ? 0.5 : NAN,
			.temp_c = one_in(20) ? NAN : between(-10, 40) },
			.meter = one_in(3) ? (struct meter){ METER_NOT_RECORDED, NAN, NAN } : one_in(10) ?
			(struct meter){ METER_OUT_OF_CALIBRATION, NAN, NAN } :
			(struct meter){ METER_IN_CALIBRATION, between(0, 3), between(0, 3) } };
	}
	r->facts.n_readings = n;
}

static void any_attachments(struct record *r)
{
	r->facts.n_attachments = any(3) == 0 ? any(ATTACHMENTS + 1) : 0;
	for (size_t i = 0; i < r->facts.n_attachments; i++) {
		r->attachments[i] = (struct judge_attachment){ .end = (enum bond_end)(i % 2),
			.made_day = one_in(6) ? DAY_NONE : FIRST - 300 + (int32_t)any(1000), .live = i < 2,
			.accepted = one_in(8) ? NOT_ACCEPTED : ACCEPTED };
	}
}

static void any_bond(struct record *r)
{
	enum bond_kind kind = (enum bond_kind)any(RULEBOOK_KINDS);
	enum criticality criticality = (enum criticality)any(RULEBOOK_CRITICALITIES);

	memset(r, 0, sizeof *r);
	any_rulebook(&r->rulebook);
	r->facts = (struct judge_facts){ .due = { .kind = kind, .criticality = criticality,
		.in_service = true, .installed_day = one_in(3) ? DAY_NONE : FIRST - (int32_t)any(100),
		.inspected_day = DAY_NONE, .known_since_day = FIRST + (int32_t)any(2000),
		.deferred_until_day = DAY_NONE }, .limit = { .kind = kind, .criticality = criticality,
		.cable_uohm_per_m = one_in(2) ? NAN : between(20, 300), .length_m = between(0.3, 3),
		.cables = 1 + (int64_t)any(2), .ends = 2, .rail_uohm_per_m = one_in(2) ? NAN : 30,
		.rail_between_joints_m = one_in(2) ? NAN : 18 }, .material = MATERIAL_COPPER,
		.failure_since_day = DAY_NONE, .visits = r->visits, .readings = r->readings,
		.attachments = r->attachments };
	if (one_in(20)) {
		r->facts.failures_open = 1;
		r->facts.failure_since_day = FIRST + (int32_t)any(2000);
	}
	any_visits(r);
	any_readings(r);
	any_attachments(r);
}

static void judge(struct record *r, struct judgement *to)
{
	struct trend_point scratch[READINGS];

	judge_bond(&r->rulebook, &r->facts, scratch, to);
}

static void refuse_better(const char *what, int bond, const struct judgement *before,
	const struct judgement *after)
{
	ck_assert_msg(!grade_worse(before->grade.grade, after->grade.grade), "bond %d, %s: %s to %s",
		bond, what, grade_words.code[before->grade.grade], grade_words.code[after->grade.grade]);
	ck_assert_msg(after->due.due_day <= before->due.due_day &&
		after->due.overdue_from_day <= before->due.overdue_from_day,
		"bond %d, %s: due %d days later, by %s after %s", bond, what,
		after->due.due_day - before->due.due_day, due_basis_words.code[after->due.basis],
		due_basis_words.code[before->due.basis]);
	/* nor on any later day, when evidence has become too old */
	for (int32_t day = FIRST; day < FIRST + 6000; day += 97) {
		ck_assert(!grade_worse(
			grade_on(before->grade.grade, before->grade.evidence_until_day, day),
			grade_on(after->grade.grade, after->grade.evidence_until_day, day)));
	}
}

/* The newest reading of a quantity that is evidence of what is live; NULL. A visit has one at most
 * of each quantity here. An open circuit cannot get worse. */
static struct judge_reading *newest(struct record *r, enum quantity q, const struct judgement *is)
{
	for (size_t i = r->facts.n_readings; i-- > 0;) {
		struct judge_reading *one = &r->readings[i];

		if (one->values.quantity == q && is->last[q].there && !is->last[q].open_circuit &&
			r->visits[one->visit].day == is->last[q].day) {
			return one;
		}
	}
	return NULL;
}

static void raise(struct judge_reading *r, double factor)
{
	r->values.shown_uohm *= factor;
	r->values.forward_uv *= factor;
}

START_TEST(a_higher_newest_reading_is_never_better)
{
	int raised = 0, moved[DUE_FORECAST + 1] = { 0 };

	seed = 0x9e3779b97f4a7c15;
	for (int bond = 0; bond < BONDS; bond++) {
		struct record r;
		struct judgement before, after;
		enum quantity q = any_quantity[any(6)];
		struct judge_reading *one;
		enum verdict verdict;
		double p_within;

		any_bond(&r);
		judge(&r, &before);
		one = newest(&r, q, &before);
		if (one == NULL) {
			continue;
		}
		verdict = one->verdict;
		p_within = one->p_within;
		raise(one, one_in(3) ? between(1, 1.05) : one_in(10) ? 1e9 : between(1, 4));
		judge(&r, &after);
		raised++;
		moved[after.due.basis] += after.due.due_day < before.due.due_day;
		ck_assert_msg(one->verdict >= verdict || after.last[q].open_circuit, "bond %d", bond);
		/* in the last digits the two may round apart */
		ck_assert(!(one->p_within > p_within + 1e-12));
		refuse_better("raised", bond, &before, &after);
	}
	/* what was meant to be met was met */
	ck_assert_int_gt(raised, BONDS / 3);
	ck_assert_int_gt(moved[DUE_AFTER_INSPECTION], 100);
	ck_assert_int_gt(moved[DUE_ACT], 100);
	ck_assert_int_gt(moved[DUE_FORECAST], 50);
}
END_TEST

static const char *worsen(struct record *r)
{
	size_t i;

	switch (any(3)) {
	case 0:
		for (i = 0; i < r->facts.n_visits; i++) {
			if (r->visits[i].seen_a == SEEN_GOOD && one_in(2)) {
				r->visits[i].seen_a = SEEN_MISSING;
				return "seen missing instead of good";
			}
		}
		return NULL;
	case 1:
		for (i = 0; i < r->facts.n_attachments; i++) {
			if (one_in(2)) {
				r->attachments[i].strength_failed = true;
				r->attachments[i].accepted = NOT_ACCEPTED;
				return "hammer test failed instead of passed";
			}
		}
		return NULL;
	default:
		r->facts.failure_since_day = r->facts.failures_open++ == 0 ? FIRST + (int32_t)any(3000) :
			r->facts.failure_since_day;
		return "a further failure";
	}
}

START_TEST(a_defect_a_failed_test_or_a_failure_is_never_better)
{
	int worsened = 0;

	seed = 0x2545f4914f6cdd1d;
	for (int bond = 0; bond < BONDS; bond++) {
		struct record r;
		struct judgement before, after;
		const char *what;

		any_bond(&r);
		judge(&r, &before);
		what = worsen(&r);
		if (what != NULL) {
			judge(&r, &after);
			refuse_better(what, bond, &before, &after);
			worsened++;
		}
	}
	ck_assert_int_gt(worsened, BONDS / 3);
}
END_TEST

/* One µΩ after another from half of the limit to twice it. */
START_TEST(no_step_of_a_microohm_is_better)
{
	seed = 0xd1342543de82ef95;
	for (int bond = 0; bond < 60; bond++) {
		struct record r;
		struct judgement before, after;
		struct judge_reading *one;
		double limit;

		any_bond(&r);
		judge(&r, &before);
		one = newest(&r, QUANTITY_END_TO_END, &before);
		if (one == NULL || isnan(one->limits.limit)) {
			continue;
		}
		limit = one->limits.limit;
		one->values.method = READING_FOUR_WIRE;
		one->values.shown_uohm = floor(limit / 2);
		judge(&r, &before);
		while (one->values.shown_uohm < 2 * limit) {
			enum verdict verdict = one->verdict;

			one->values.shown_uohm += 1;
			judge(&r, &after);
			ck_assert_int_ge(one->verdict, verdict);
			refuse_better("a step", bond, &before, &after);
			before = after;
		}
	}
}
END_TEST

/* The last visit once more, some days later: the same seen, the same shown. */
static void find_again(struct record *r)
{
	size_t last = r->facts.n_visits - 1, n = r->facts.n_readings;

	r->visits[last + 1] = r->visits[last];
	r->visits[last + 1].day += 1 + (int32_t)any(60);
	r->facts.n_visits++;
	for (size_t i = 0; i < n; i++) {
		if (r->readings[i].visit == last) {
			r->readings[r->facts.n_readings] = r->readings[i];
			r->readings[r->facts.n_readings++].visit = last + 1;
		}
	}
	if (r->visits[last].outcome == OUTCOME_COMPLETE) {
		r->facts.due.inspected_day = r->visits[last + 1].day;
	}
}

START_TEST(finding_the_same_again_does_not_put_off_what_is_to_be_done)
{
	int acted = 0;

	seed = 0x94d049bb133111eb;
	for (int bond = 0; bond < BONDS; bond++) {
		struct record r;
		struct judgement before, after;

		any_bond(&r);
		judge(&r, &before);
		if (before.grade.grade != GRADE_ACT || r.facts.n_visits == 0 ||
			r.facts.n_visits == VISITS || r.facts.n_readings == READINGS) {
			continue;
		}
		find_again(&r);
		judge(&r, &after);
		acted++;
		ck_assert_msg(after.grade.grade == GRADE_ACT && after.act_since_day <= before.act_since_day,
			"bond %d: %s, since %d and not %d", bond, grade_words.code[after.grade.grade],
			after.act_since_day, before.act_since_day);
	}
	ck_assert_int_gt(acted, 1000);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_higher_newest_reading_is_never_better,
		a_defect_a_failed_test_or_a_failure_is_never_better, no_step_of_a_microohm_is_better,
		finding_the_same_again_does_not_put_off_what_is_to_be_done, NULL };

	return case_run("judge_property", tests);
}
