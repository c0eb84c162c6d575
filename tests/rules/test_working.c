#include <math.h>
#include <stdio.h>
#include <string.h>

#include "case.h"
#include "rules/judge/working.h"
#include "rules/record.h"

/* All that the working is made of. The rulebook: 5 K, 2 %, and for a joint bond all limits. */
struct bench {
	struct rulebook rulebook;
	struct reading_values values;
	struct meter meter;
	struct limit_facts limit_facts;
};

static struct bench bench(void)
{
	struct bench b = { .rulebook = rulebook_default(),
		.values = { .quantity = QUANTITY_END_TO_END, .method = READING_FOUR_WIRE,
			.material = MATERIAL_COPPER, .forward_uv = NAN, .reverse_uv = NAN, .current_a = NAN,
			.shown_uohm = NAN, .lead_uohm = NAN, .rail_uv = NAN, .rail_m = NAN, .joint_m = NAN,
			.temp_c = 20 },
		.meter = { METER_IN_CALIBRATION, 1, 0.5 },
		.limit_facts = { .kind = BOND_RAIL_JOINT, .criticality = CRITICALITY_NORMAL,
			.cable_uohm_per_m = 268, .length_m = 1.5, .cables = 1, .ends = 2, .baseline = 240,
			.rail_uohm_per_m = NAN, .rail_between_joints_m = NAN } };

	b.rulebook.temp_uncertainty_k = 5;
	b.rulebook.repeatability_percent = 2;
	b.rulebook.unknown_meter_percent = 5;
	b.rulebook.unknown_meter_uohm = 5;
	b.rulebook.limits[BOND_RAIL_JOINT] = (struct rulebook_limits){ 10, 10, 1.5, NAN, 5, 50,
		{ 500, 400, 300 } };
	return b;
}

/* Whole sentences, none of them cut. */
static void whole(const struct working *working)
{
	for (int i = 0; i < WORKING_STEPS; i++) {
		size_t len = strlen(working->step[i]);

		ck_assert_msg(len > 1 && len < WORKING_SIZE - 1 && working->step[i][len - 1] == '.', "%s: %s",
			working_step_words.code[i], working->step[i]);
	}
}

/* One reading by itself, with all opened that lies beside the bond. */
static struct working worked(struct bench *b)
{
	struct judge_visit visit = { .alone = true };
	struct judge_reading r = { .values = b->values, .meter = b->meter,
		.baseline = b->limit_facts.baseline };
	const struct judge_facts judged = { .limit = b->limit_facts, .visits = &visit, .n_visits = 1,
		.readings = &r, .n_readings = 1 };
	struct working working;
	double value;
	bool proves;

	b->limit_facts.quantity = b->values.quantity;
	reading_compute(&b->values, &r.reading);
	uncertainty_compute(&b->rulebook, &r.reading, b->values.quantity, b->values.material, &b->meter,
		&r.uncertainty);
	limit_form(&b->rulebook, &b->limit_facts, &r.limits);
	/* what is no evidence has no verdict */
	proves = r.reading.standing <= READING_WEAKER && meter_believed(b->meter.standing);
	value = b->values.quantity == QUANTITY_RAIL_DROP ? r.reading.added_m : r.reading.r20_uohm;
	r.value = r.judged = value;
	r.judged_u95 = r.uncertainty.u95_uohm;
	r.status = proves ? STATUS_EVIDENCE : STATUS_NONE;
	r.verdict = verdict_of(proves ? value : NAN, r.judged_u95, r.limits.limit);
	r.p_within = verdict_p_within(value, r.judged_u95, r.limits.limit);
	memset(&working, 0xA5, sizeof working);
	working_write(&b->rulebook, &judged, 0, &working);
	whole(&working);
	return working;
}

static void says(const struct working *working, const char *const expected[WORKING_STEPS])
{
	for (int i = 0; i < WORKING_STEPS; i++) {
		ck_assert_msg(strcmp(working->step[i], expected[i]) == 0, "%s: %s\nnot: %s",
			working_step_words.code[i], working->step[i], expected[i]);
	}
}

/* By hand, as the sentences show: 300 / 1.05895 = 283.299495, of which 2 % are 5.665990; f =
 * 0.944332; √(3.305161² + 5.256939² + 5.66599²) = 8.406125; (360 − 283.299495) / 4.203062
 * = 18.2487. */
START_TEST(shows_each_step_of_a_good_reading)
{
	static const char *const expected[WORKING_STEPS] = {
		"R = (3005 − (−2995)) µV / (2 × 10 A) = 300 µΩ.",
		"Four-wire: no leads are in it.",
		"(3005 + (−2995)) µV / 2 = 5 µV.",
		"R20 = 300 µΩ / (1 + 0.00393 × (35 − 20)) = 283.299 µΩ.",
		"Evidence; the instrument was in calibration on the day of the reading.",
		"(1 % × 300 µΩ + 0.5 µΩ) × 283.299 / 300 = 3.30516 µΩ.",
		"283.299 µΩ × 0.00393 × 5 K × 283.299 / 300 = 5.25694 µΩ.",
		"2 % × 283.299 µΩ = 5.66599 µΩ.",
		"U = √(3.30516² + 5.25694² + 5.66599²) = 8.40612 µΩ (k = 2), u = U / 2 = 4.20306 µΩ.",
		"(268 µΩ/m × 1.5 m / 1 cable + 2 × 10 µΩ) + 10 % = 464.2 µΩ.",
		"1.5 × 240 µΩ at commissioning = 360 µΩ.",
		"None: it says nothing of what was measured.",
		"None: it says nothing of what was measured.",
		"None: it says nothing of what was measured.",
		"The rulebook's figure = 500 µΩ.",
		"The lowest is that of the value at commissioning: 360 µΩ.",
		"Alone: what else joins the rails was opened.",
		"Judged by itself: no other reading of this visit has a say in it.",
		"Nothing is asked of it.",
		"Within the limit: 283.299 + 8.406 = 291.706 µΩ ≤ 360 µΩ.",
		("Φ((360 − 283.299) / 4.20306) = Φ(18.2487) = more than 99.99 % that the true value is within "
			"the limit."),
	};
	struct bench b = bench();
	struct working working;

	b.values.forward_uv = 3005;
	b.values.reverse_uv = -2995;
	b.values.current_a = 10;
	b.values.temp_c = 35;
	working = worked(&b);
	says(&working, expected);
}
END_TEST

/* The same with 160 µΩ at commissioning: (240 − 283.299495) / 4.203062 = −10.3019. */
START_TEST(writes_what_is_below_zero_with_its_sign_and_one_pair_of_brackets)
{
	struct bench b = bench();
	struct working w;

	b.values.forward_uv = 3005;
	b.values.reverse_uv = -2995;
	b.values.current_a = 10;
	b.values.temp_c = 35;
	b.limit_facts.baseline = 160;
	w = worked(&b);
	ck_assert_str_eq(w.step[WORKING_PROBABILITY], "Φ((240 − 283.299) / 4.20306) = Φ(−10.3019) = "
		"less than 0.01 % that the true value is within the limit.");
}
END_TEST

/* By hand: m = 2.5, adds 2, U = √((2 × 5 % × 2.5)² + (2 % × 2.5)²) = 0.254951; the limit is 5 % of
 * 45 m = 2.25; (2.25 − 2) / 0.1274755 = 1.961161, of which Φ is 0.97507 (a table has 0.9750 at
 * 1.96). */
START_TEST(shows_each_step_in_metres_of_rail)
{
	static const char *const expected[WORKING_STEPS] = {
		"m = (255 − (−245)) µV / (2 × 100 µV) × 1 m = 2.5 m of rail.",
		"Two voltages were compared: no leads are in them.",
		"(255 + (−245)) µV / 2 = 5 µV.",
		"The joint adds 2.5 m − 0.5 m = 2 m of rail.",
		"Not evidence: no instrument was recorded.",
		("2 × 5 % × 2.5 m = 0.25 m of rail, as two voltages were measured, by the rulebook's assumed "
			"figures."),
		"None: the value was not corrected for temperature.",
		"2 % × 2.5 m = 0.05 m of rail.",
		"U = √(0.25² + 0² + 0.05²) = 0.254951 m of rail (k = 2), u = U / 2 = 0.127475 m of rail.",
		"None: it says nothing of what was measured.",
		"None: it says nothing of what was measured.",
		"None: the rulebook does not use it for this kind of bond.",
		"5 % of 45 m of rail between joints = 2.25 m of rail.",
		"None: it says nothing of what was measured.",
		"None: it says nothing of what was measured.",
		"The lowest is that of the rail between joints: 2.25 m of rail.",
		"Alone: what else joins the rails was opened.",
		"Judged by itself: no other reading of this visit has a say in it.",
		"Nothing is asked of it.",
		"No verdict: there is no evidence.",
		"None without a verdict.",
	};
	struct bench b = bench();
	struct working working;

	b.values.quantity = QUANTITY_RAIL_DROP;
	b.values.method = READING_VOLTAGE_DROP;
	b.values.forward_uv = 255;
	b.values.reverse_uv = -245;
	b.values.rail_uv = 100;
	b.values.rail_m = 1;
	b.values.joint_m = 0.5;
	b.meter = (struct meter){ METER_NOT_RECORDED, NAN, NAN };
	b.limit_facts.baseline = NAN;
	b.limit_facts.rail_between_joints_m = 45;
	working = worked(&b);
	says(&working, expected);
	/* a meter of 5 % is as uncertain, and is evidence */
	b.meter = (struct meter){ METER_IN_CALIBRATION, 5, 5 };
	working = worked(&b);
	ck_assert_str_eq(working.step[WORKING_UNCERTAINTY], expected[WORKING_UNCERTAINTY]);
	ck_assert_str_eq(working.step[WORKING_VERDICT], "Unproven, measure again: 2 + 0.255 = 2.255 m of "
		"rail > 2.25 m of rail, but 2 − 0.255 = 1.745 m of rail ≤ 2.25 m of rail.");
	ck_assert_str_eq(working.step[WORKING_PROBABILITY], "Φ((2.25 − 2) / 0.127475) = Φ(1.96116) = "
		"97.51 % that the true value is within the limit.");
}
END_TEST

/* Two wires on a contact, one direction: 1000 - 90 = 910 µΩ; limit 10 + 10 %. */
START_TEST(shows_the_leads_and_what_is_weaker)
{
	struct bench b = bench();
	struct working w;

	b.values.quantity = QUANTITY_CONTACT_B;
	b.values.method = READING_TWO_WIRE;
	b.values.reverse_uv = -10000;
	b.values.current_a = 10;
	b.values.lead_uohm = 90;
	w = worked(&b);
	ck_assert_str_eq(w.step[WORKING_RESISTANCE], "R = −(−10000) µV / 10 A = 1000 µΩ.");
	ck_assert_str_eq(w.step[WORKING_LEADS], "1000 µΩ − 90 µΩ of leads = 910 µΩ; evidence when that "
		"is not below 10 × 90 µΩ = 900 µΩ.");
	ck_assert_str_eq(w.step[WORKING_THERMAL],
		"Not known, and still in the value: the current went one way only.");
	ck_assert_str_eq(w.step[WORKING_20_DEGREES],
		"R20 = R = 910 µΩ: a contact measured alone is not corrected.");
	ck_assert_str_eq(w.step[WORKING_EVIDENCE],
		"Weaker: measured with the current one way only, the thermal voltage is still in it; "
		"the instrument was in calibration on the day of the reading.");
	ck_assert_str_eq(w.step[WORKING_TEMPERATURE],
		"None: the value was not corrected for temperature.");
	/* U = √(9.6² + 18.2²) = 20.577 */
	ck_assert_str_eq(w.step[WORKING_VERDICT],
		"Over the limit: 910 − 20.577 = 889.423 µΩ > 11 µΩ.");
	b.values.lead_uohm = NAN;
	w = worked(&b);
	ck_assert_str_eq(w.step[WORKING_LEADS],
		"Two-wire, and the resistance of the leads was not recorded.");
	ck_assert_str_eq(w.step[WORKING_VERDICT], "No verdict: there is no evidence.");
}
END_TEST

START_TEST(says_why_a_reading_is_not_evidence)
{
	struct bench b = bench();
	struct working w;

	b.values.shown_uohm = 300;
	b.meter.standing = METER_OUT_OF_CALIBRATION;
	w = worked(&b);
	ck_assert_str_eq(w.step[WORKING_RESISTANCE], "R = 300 µΩ, as the instrument showed it.");
	ck_assert_str_eq(w.step[WORKING_EVIDENCE],
		"Not evidence: the instrument was out of calibration on the day of the reading.");
	/* what it may be off is shown all the same, to know whether it is asked */
	ck_assert_str_eq(w.step[WORKING_METER], "(1 % × 300 µΩ + 0.5 µΩ) × 300 / 300 = 3.5 µΩ.");
	ck_assert_str_eq(w.step[WORKING_VERDICT], "No verdict: there is no evidence.");
	ck_assert_str_eq(w.step[WORKING_PROBABILITY], "None without a verdict.");
	b.values.temp_c = NAN;   /* what is wrong with the reading itself comes first */
	ck_assert_str_eq(worked(&b).step[WORKING_EVIDENCE],
		"Not evidence: without the conductor's temperature there is no value at 20 °C.");
	b.values.shown_uohm = -1;
	w = worked(&b);
	ck_assert_str_eq(w.step[WORKING_RESISTANCE], "Nothing follows from what was written down.");
	ck_assert_str_eq(w.step[WORKING_20_DEGREES], "There is no value that could be judged.");
}
END_TEST

START_TEST(says_that_there_is_no_limit)
{
	struct bench b = bench();
	struct working w;

	b.values.shown_uohm = 300;
	b.rulebook.limits[BOND_RAIL_JOINT] = (struct rulebook_limits){ NAN, NAN, NAN, NAN, NAN, NAN,
		{ NAN, NAN, NAN } };
	w = worked(&b);
	ck_assert_str_eq(w.step[WORKING_LOWEST], "No limit could be formed.");
	ck_assert_str_eq(w.step[WORKING_VERDICT], "No verdict: there is no limit.");
}
END_TEST

/* A contact without instrument error: U = 2 % of 50 = 1, the limit beside 51. */
START_TEST(shows_as_many_decimals_as_decide)
{
	static const struct { double limit; const char *verdict; } rows[] = {
		{ 52, "Within the limit: 50 + 1 = 51 µΩ ≤ 52 µΩ." },
		{ 51, "Within the limit: 50 + 1 = 51 µΩ ≤ 51 µΩ." },
		{ 51.00004, "Within the limit: 50 + 1 = 51 µΩ ≤ 51.00004 µΩ." },
		{ 50.99996, "Unproven, measure again: 50 + 1 = 51 µΩ > 50.99996 µΩ, but 50 − 1 = 49 µΩ ≤ "
			"50.99996 µΩ." },
		{ 49, "Unproven, measure again: 50 + 1 = 51 µΩ > 49 µΩ, but 50 − 1 = 49 µΩ ≤ 49 µΩ." },
		{ 48.99996, "Over the limit: 50 − 1 = 49 µΩ > 48.99996 µΩ." },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct bench b = bench();

		b.values.quantity = QUANTITY_CONTACT_A;
		b.values.shown_uohm = 50;
		b.meter = (struct meter){ METER_IN_CALIBRATION, 0, 0 };
		b.limit_facts.baseline = NAN;
		b.rulebook.limits[BOND_RAIL_JOINT].contact_allowance_uohm = NAN;
		b.rulebook.limits[BOND_RAIL_JOINT].contact_uohm = rows[i].limit;
		ck_assert_str_eq(worked(&b).step[WORKING_VERDICT], rows[i].verdict);
	}
}
END_TEST

START_TEST(a_reading_without_uncertainty_is_certain)
{
	struct bench b = bench();
	struct working w;

	b.values.quantity = QUANTITY_CONTACT_A;
	b.values.shown_uohm = 50;
	b.meter = (struct meter){ METER_IN_CALIBRATION, 0, 0 };
	b.rulebook.repeatability_percent = 0;
	b.rulebook.limits[BOND_RAIL_JOINT].contact_allowance_uohm = NAN;
	w = worked(&b);
	ck_assert_str_eq(w.step[WORKING_VERDICT], "Within the limit: 50 + 0 = 50 µΩ ≤ 50 µΩ.");
	ck_assert_str_eq(w.step[WORKING_PROBABILITY],
		"100 % that the true value is within the limit.");
	b.values.shown_uohm = 51;
	ck_assert_str_eq(worked(&b).step[WORKING_PROBABILITY],
		"0 % that the true value is within the limit.");
}
END_TEST

/* The largest and the least figures that the forms take, in all combinations of quantity, method
 * and instrument: worked() finds a sentence that was cut. */
START_TEST(no_sentence_is_cut_whatever_was_measured)
{
	static const double figures[] = { NAN, -123456.789012, 0.000123456789, 98765.4321098,
		123456789.123 };
	enum { FIGURES = 5, ALL = 4 * 3 * 5 * FIGURES * FIGURES * FIGURES };

	for (int i = 0; i < ALL; i++) {
		struct bench b = bench();
		double one = figures[i / 60 % FIGURES], two = figures[i / 60 / FIGURES % FIGURES];
		double three = figures[i / 60 / FIGURES / FIGURES];

		b.values.quantity = (enum quantity)(i % 4);
		b.values.method = (enum reading_method)(i / 4 % 3);
		b.meter.standing = (enum meter_standing)(i / 12 % 5);
		b.meter.percent = b.meter.uohm = 12.3456789;
		b.values.forward_uv = b.values.shown_uohm = one;
		b.values.reverse_uv = b.values.rail_uv = two;
		b.values.lead_uohm = b.values.joint_m = three;
		b.values.current_a = b.values.rail_m = 987.654321;
		b.values.temp_c = -12.3456789;
		b.limit_facts.cable_uohm_per_m = b.limit_facts.length_m = b.limit_facts.baseline =
			b.limit_facts.rail_uohm_per_m = b.limit_facts.rail_between_joints_m = three;
		worked(&b);
	}
}
END_TEST

/* Of a whole judgement. The limit is 100 µΩ, and each meter's U 5 µΩ (rules/record.h). */
static const char *step_of(struct record *r, size_t reading, enum working_step step)
{
	static struct working working;

	judged(r);
	memset(&working, 0xA5, sizeof working);
	working_write(&r->rulebook, &r->facts, reading, &working);
	whole(&working);
	return working.step[step];
}

static struct record *of_conductor(enum bond_kind kind, double uohm)
{
	struct record *r = record_of(kind);

	attach_both(r, FIRST);
	r->facts.limit.cable_uohm_per_m = uohm;
	r->facts.limit.length_m = 1;
	return r;
}

static struct record *read_twice(double first, double second, int64_t second_meter)
{
	struct record *r = of_conductor(BOND_RAIL_CROSS, NAN);

	measure(r, FIRST + 10, first);
	reads(r, QUANTITY_END_TO_END, second)->instrument_id = second_meter;
	return r;
}

/* By hand: (80 + 84) / 2 = 82; √(5² + 5²) = 7.071068; (100 − 82) / 2.5 = 7.2. */
START_TEST(shows_the_mean_of_a_visit_and_that_its_readings_agree)
{
	for (size_t i = 0; i < 2; i++) {
		struct record *r = read_twice(80, 84, 2);

		ck_assert_str_eq(step_of(r, i, WORKING_VISIT), "Mean of 2 readings of this visit that agree: "
			"(80 + 84) µΩ / 2 = 82 µΩ, with the largest of their U, 5 µΩ. "
			"|84 − 80| = 4 ≤ √(5² + 5²) = 7.07107 µΩ.");
		ck_assert_str_eq(step_of(r, i, WORKING_VERDICT),
			"Within the limit: 82 + 5 = 87 µΩ ≤ 100 µΩ.");
		ck_assert_str_eq(step_of(r, i, WORKING_PROBABILITY), "Φ((100 − 82) / 2.5) = Φ(7.2) = more than "
			"99.99 % that the true value is within the limit.");
		ck_assert_str_eq(step_of(r, i, WORKING_ASKED), "Nothing is asked of it.");
	}
}
END_TEST

/* One meter: 2 % of 81 and of 80; √(1.62² + 1.6²) = √5.1844 = 2.276927, U = √(5² + 1.62²)
 * = 5.255888. */
START_TEST(leaves_out_of_the_agreement_what_one_meter_has_in_both)
{
	struct record *r = read_twice(80, 81, 1);

	r->rulebook.repeatability_percent = 2;
	ck_assert_str_eq(step_of(r, 0, WORKING_VISIT), "Mean of 2 readings of this visit that agree: "
		"(80 + 81) µΩ / 2 = 80.5 µΩ, with the largest of their U, 5.25589 µΩ. |81 − 80| = 1 ≤ "
		"√(1.62² + 1.6²) = 2.27693 µΩ, without the part of U that one meter has in both.");
}
END_TEST

START_TEST(shows_the_worst_of_a_visit_whose_readings_do_not_agree)
{
	for (size_t i = 0; i < 2; i++) {
		struct record *r = i == 0 ? read_twice(80, 96, 2) : read_twice(96, 80, 2);

		ck_assert_str_eq(step_of(r, 1, WORKING_VISIT), i == 0 ? "2 readings of this visit do not all "
			"agree: 80 ± 5 µΩ, 96 ± 5 µΩ. The worst is judged: 96 ± 5 µΩ. "
			"|96 − 80| = 16 > √(5² + 5²) = 7.07107 µΩ." : "2 readings of this visit do not all "
			"agree: 96 ± 5 µΩ, 80 ± 5 µΩ. The worst is judged: 96 ± 5 µΩ. "
			"|80 − 96| = 16 > √(5² + 5²) = 7.07107 µΩ.");
		ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "No verdict: it waits for an answer. If it "
			"counted: unproven, measure again: 96 + 5 = 101 µΩ > 100 µΩ, but 96 − 5 = 91 µΩ ≤ 100 µΩ.");
		ck_assert_str_eq(step_of(r, 0, WORKING_ASKED), "It waits for an answer. Asked: two readings of "
			"this visit do not agree: the worse one stands until it is known which is right.");
	}
}
END_TEST

START_TEST(a_reading_that_may_prove_nothing_has_no_say)
{
	struct record *r = read_twice(80, 84, 2);

	r->readings[1].meter.standing = METER_OUT_OF_CALIBRATION;
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "Within the limit: 80 + 5 = 85 µΩ ≤ 100 µΩ.");
	ck_assert_str_eq(step_of(r, 0, WORKING_VISIT),
		"Judged by itself: no other reading of this visit has a say in it.");
	ck_assert_str_eq(step_of(r, 1, WORKING_VISIT),
		"It has no say of its own: another reading of this visit is judged.");
	ck_assert_str_eq(step_of(r, 1, WORKING_VERDICT), "No verdict: there is no evidence.");
}
END_TEST

/* The first rulebook's share is 0.8: of a conductor of 100 µΩ 80, of one of 200 160. */
START_TEST(shows_the_parallel_path_and_what_follows)
{
	static const struct { double conductor, value; const char *beside, *verdict; } rows[] = {
		{ 100, 79, " 79 µΩ < 0.8 × 100 µΩ of the conductor alone = 80 µΩ: another path beside the bond "
			"shows. So read it is over its limit, or it says nothing.",
			"No verdict: 79 + 5 = 84 µΩ ≤ 100 µΩ, but another path beside the bond shows." },
		{ 100, 80, " 80 µΩ ≥ 0.8 × 100 µΩ of the conductor alone = 80 µΩ: no other path shows.",
			"Within the limit: 80 + 5 = 85 µΩ ≤ 100 µΩ." },
		{ 200, 98, " 98 µΩ < 0.8 × 200 µΩ of the conductor alone = 160 µΩ: another path beside the bond "
			"shows. So read it is over its limit, or it says nothing.",
			"No verdict: 98 + 5 = 103 µΩ > 100 µΩ, but 98 − 5 = 93 µΩ ≤ 100 µΩ, but another path "
			"beside the bond shows." },
		{ 200, 150, " 150 µΩ < 0.8 × 200 µΩ of the conductor alone = 160 µΩ: another path beside the "
			"bond shows. So read it is over its limit, or it says nothing.",
			"Over the limit: 150 − 5 = 145 µΩ > 100 µΩ." },
		{ NAN, 80, " What the bond has alone is not known, so nothing tells whether another path shows.",
			"Within the limit: 80 + 5 = 85 µΩ ≤ 100 µΩ." },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct record *r = of_conductor(BOND_RAIL_CROSS, rows[i].conductor);
		char expected[WORKING_SIZE];

		measure(r, FIRST + 10, rows[i].value);
		snprintf(expected, sizeof expected, "In circuit: nothing was opened, and what lies beside the "
			"bond was read with it.%s", rows[i].beside);
		ck_assert_str_eq(step_of(r, 0, WORKING_BESIDE), expected);
		ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), rows[i].verdict);
	}
}
END_TEST

/* Commissioned at 90 µΩ, the conductor not known: 0.8 × 90 = 72. */
START_TEST(compares_with_the_commissioning_where_the_conductor_is_not_known)
{
	struct record *r = of_conductor(BOND_RAIL_CROSS, NAN);

	commission(r, FIRST + 10, 90);
	measure(r, FIRST + 20, 71);
	ck_assert_ptr_nonnull(strstr(step_of(r, 1, WORKING_BESIDE), "71 µΩ < 0.8 × 90 µΩ of the value at "
		"commissioning = 72 µΩ: another path beside the bond shows."));
}
END_TEST

START_TEST(says_what_a_joint_in_circuit_can_show)
{
	struct record *r = of_conductor(BOND_RAIL_JOINT, NAN);

	measure(r, FIRST + 10, 60);
	ck_assert_ptr_nonnull(strstr(step_of(r, 0, WORKING_BESIDE),
		"read with it. Of a rail joint bond it can only show that it is over its limit."));
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "No verdict: 60 + 5 = 65 µΩ ≤ 100 µΩ, but so read "
		"it can only show that it is over its limit.");
	r->rulebook.proof[BOND_RAIL_JOINT] = PROOF_IN_CIRCUIT;
	ck_assert_ptr_nonnull(strstr(step_of(r, 0, WORKING_BESIDE),
		"read with it. The rulebook takes that for proof of a rail joint bond."));
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "Within the limit: 60 + 5 = 65 µΩ ≤ 100 µΩ.");
	r->rulebook.proof[BOND_RAIL_JOINT] = PROOF_CONTACTS;
	r->visits[0].alone = true;
	ck_assert_str_eq(step_of(r, 0, WORKING_BESIDE), "Alone: what else joins the rails was opened.");
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "Within the limit: 60 + 5 = 65 µΩ ≤ 100 µΩ.");
	r->visits[0].alone = false;
	r->readings[0].values.shown_uohm = 106;
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "Over the limit: 106 − 5 = 101 µΩ > 100 µΩ.");
}
END_TEST

START_TEST(says_where_a_contact_was_read)
{
	struct record *r = of_conductor(BOND_RAIL_JOINT, NAN);

	contacts(r, FIRST + 10, PURPOSE_ROUTINE, 6, 7);
	r->readings[1].values.is_lug_only = true;
	ck_assert_str_eq(step_of(r, 0, WORKING_BESIDE),
		"A contact is read by itself: nothing lies beside it.");
	ck_assert_str_eq(step_of(r, 1, WORKING_BESIDE), "Probed on the lug: the crimp is not in it, so it "
		"can only show that the contact is over its limit.");
	ck_assert_str_eq(step_of(r, 1, WORKING_VERDICT), "No verdict: 7 + 1 = 8 µΩ ≤ 20 µΩ, but so read it "
		"can only show that it is over its limit.");
}
END_TEST

/* Asked: below 0.3 × 100 µΩ, above 3 × 100 µΩ. A later 90 is evidence, and not asked. */
START_TEST(says_what_is_asked_and_what_became_of_it)
{
	struct record *r = of_conductor(BOND_RAIL_CROSS, 100);

	measure(r, FIRST + 10, 29);
	ck_assert_str_eq(step_of(r, 0, WORKING_ASKED), "It waits for an answer. Asked: far below what it "
		"can be: look at the unit and the decimal point, or at another path in parallel.");
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "No verdict: it waits for an answer. If it "
		"counted: within the limit: 29 + 5 = 34 µΩ ≤ 100 µΩ, but another path beside the bond shows.");
	measure(r, FIRST + 20, 90);
	ck_assert_ptr_nonnull(strstr(step_of(r, 0, WORKING_ASKED), "It was asked, and a later reading took "
		"its place: it never counts. Asked: far below what it can be"));
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT),
		"No verdict: was asked, and a later reading took its place.");

	r = of_conductor(BOND_RAIL_CROSS, 100);
	r->rulebook.limits[BOND_RAIL_CROSS] = (struct rulebook_limits){ NAN, NAN, NAN, NAN, NAN, NAN,
		{ NAN, NAN, NAN } };
	measure(r, FIRST + 10, 29);
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "No verdict: it waits for an answer.");

	r = of_conductor(BOND_RAIL_CROSS, 100);
	measure(r, FIRST + 10, 301);
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "No verdict: it waits for an answer. If it "
		"counted: over the limit: 301 − 5 = 296 µΩ > 100 µΩ.");
	measure(r, FIRST + 20, 90);
	ck_assert_ptr_nonnull(strstr(step_of(r, 0, WORKING_ASKED), "it would have been over its limit, and "
		"that stands until it is cleared. Asked: far above the limit"));

	r = of_conductor(BOND_RAIL_CROSS, 100);
	measure(r, FIRST + 10, 301);
	reads(r, QUANTITY_END_TO_END, 303)->instrument_id = 2;
	for (size_t i = 0; i < 2; i++) {
		ck_assert_ptr_nonnull(strstr(step_of(r, i, WORKING_ASKED), "It was asked, and answered by "
			"another reading that agrees. Asked: far above the limit"));
		ck_assert_str_eq(step_of(r, i, WORKING_VERDICT),
			"Over the limit: 302 − 5 = 297 µΩ > 100 µΩ.");
	}
}
END_TEST

/* (1000 + 500) / 20 = 75; the larger alone is 1000 / 10 = 100. */
START_TEST(shows_the_larger_direction_where_the_two_differ)
{
	struct record *r = of_conductor(BOND_RAIL_CROSS, NAN);
	struct judge_reading *one = measure(r, FIRST + 10, NAN);

	one->values.forward_uv = 1000;
	one->values.reverse_uv = -500;
	one->values.current_a = 10;
	ck_assert_str_eq(step_of(r, 0, WORKING_VERDICT), "No verdict: it waits for an answer. If it "
		"counted: unproven, measure again, by the larger of its directions: 100 + 5 = 105 µΩ > 100 µΩ, "
		"but 100 − 5 = 95 µΩ ≤ 100 µΩ.");
}
END_TEST

/* All figures of the largest kind, and more readings than are shown one by one. */
START_TEST(no_sentence_of_a_long_visit_is_cut)
{
	struct record *r = of_conductor(BOND_RAIL_CROSS, 123456.789);

	measure(r, FIRST + 10, 876543.219);
	for (int i = 0; i < 10; i++) {
		struct judge_reading *one = reads(r, QUANTITY_END_TO_END, 123456.789 + 1000.123 * i);

		one->values.forward_uv = 123456.789 + i;
		one->values.reverse_uv = 98765.4321;
		one->values.current_a = 0.123456;
		one->values.temp_c = 19.8765 + i;
		one->instrument_id = 2 + i;
		one->meter.methods = 2;
		one->round_temp_c = 90;
	}
	for (size_t i = 0; i < r->facts.n_readings; i++) {
		step_of(r, i, WORKING_VISIT);
	}
	r = of_conductor(BOND_RAIL_CROSS, 123456.789);
	measure(r, FIRST + 10, 876543.219);
	for (int i = 0; i < 10; i++) {
		reads(r, QUANTITY_END_TO_END, 123456.789 + 1000.123 * i)->instrument_id = 2 + i;
	}
	ck_assert_ptr_nonnull(strstr(step_of(r, 3, WORKING_VISIT), "11 readings of this visit do not all "
		"agree: 876543 ± 5 µΩ"));
}
END_TEST

START_TEST(each_step_has_its_words)
{
	for (int i = 0; i < WORKING_STEPS; i++) {
		ck_assert_ptr_nonnull(working_step_words.code[i]);
		ck_assert_ptr_nonnull(working_step_words.title[i]);
	}
	for (int i = 0; i < LIMITS; i++) {   /* limit_cable is of the limit cable */
		ck_assert_str_eq(working_step_words.code[WORKING_LIMIT + i] + strlen("limit_"),
			limit_kind_words.code[i]);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { shows_each_step_of_a_good_reading,
		writes_what_is_below_zero_with_its_sign_and_one_pair_of_brackets,
		shows_each_step_in_metres_of_rail, shows_the_leads_and_what_is_weaker,
		says_why_a_reading_is_not_evidence, says_that_there_is_no_limit,
		shows_as_many_decimals_as_decide, a_reading_without_uncertainty_is_certain,
		no_sentence_is_cut_whatever_was_measured,
		shows_the_mean_of_a_visit_and_that_its_readings_agree,
		leaves_out_of_the_agreement_what_one_meter_has_in_both,
		shows_the_worst_of_a_visit_whose_readings_do_not_agree,
		a_reading_that_may_prove_nothing_has_no_say, shows_the_parallel_path_and_what_follows,
		compares_with_the_commissioning_where_the_conductor_is_not_known,
		says_what_a_joint_in_circuit_can_show, says_where_a_contact_was_read,
		says_what_is_asked_and_what_became_of_it,
		shows_the_larger_direction_where_the_two_differ, no_sentence_of_a_long_visit_is_cut,
		each_step_has_its_words, NULL };

	return case_run("working", tests);
}
