#include <math.h>
#include <string.h>

#include "case.h"
#include "rules/judge/verdict.h"
#include "rules/uncertainty.h"

/* Temperature 5 K, repeatability 2 %, no instrument: 5 % + 5 µΩ; all k = 2. */
static struct rulebook book(void)
{
	struct rulebook rulebook = rulebook_default();

	rulebook.temp_uncertainty_k = 5;
	rulebook.repeatability_percent = 2;
	rulebook.unknown_meter_percent = 5;
	rulebook.unknown_meter_uohm = 5;
	return rulebook;
}

/* As the meter showed it, by four wires on copper; of the rail drop 1 m over the joint. */
static struct reading read_as(enum quantity quantity, double shown_uohm, double temp_c)
{
	bool drop = quantity == QUANTITY_RAIL_DROP;
	const struct reading_values values = {
		.quantity = quantity, .method = drop ? READING_VOLTAGE_DROP : READING_FOUR_WIRE,
		.material = MATERIAL_COPPER, .forward_uv = drop ? 250 : NAN,
		.reverse_uv = drop ? -250 : NAN, .current_a = NAN, .shown_uohm = shown_uohm,
		.lead_uohm = NAN, .rail_uv = 100, .rail_m = 1, .joint_m = 1, .temp_c = temp_c,
	};
	struct reading reading;

	reading_compute(&values, &reading);
	return reading;
}

static const struct meter good = { METER_IN_CALIBRATION, 1, 0.5 };
static const struct meter none = { METER_NOT_RECORDED, NAN, NAN };

/* By hand from U² = ((a R + b) f)² + (R20 alpha20 U_T f)² + (repeatability)², f = R20 / R. alpha20:
 * IEC 60287-1-1 table 1.
 * 300 µΩ of copper at 20 °C: meter 3 + 0.5; temperature 300 x 0.00393 x 5 = 5.895; repeat 6.
 * At 70 °C f = 1 / 1.1965, R20 = 250.731303; at -10 °C f = 1 / 0.8821, R20 = 340.097495.
 * Aluminium 300 x 0.00403 x 5 = 6.045. */
static const struct {
	const char *label;
	enum quantity quantity;
	double shown_uohm, temp_c;
	int material;
	const struct meter *meter;
	double meter_uohm, temp_uohm, repeat_uohm, u95_uohm;
} parts[] = {
	{ "end to end", QUANTITY_END_TO_END, 300, 20, MATERIAL_COPPER, &good, 3.5, 5.895, 6,
		9.110490 },
	{ "hot", QUANTITY_END_TO_END, 300, 70, MATERIAL_COPPER, &good, 2.925198, 4.117735, 5.014626,
		7.117514 },
	{ "cold", QUANTITY_END_TO_END, 300, -10, MATERIAL_COPPER, &good, 3.967804, 7.576143, 6.801950,
		10.927394 },
	{ "aluminium", QUANTITY_END_TO_END, 300, 20, MATERIAL_ALUMINIUM, &good, 3.5, 6.045, 6,
		9.208259 },
	{ "a contact has no temperature", QUANTITY_CONTACT_A, 300, 20, MATERIAL_COPPER, &good, 3.5, 0,
		6, 6.946222 },
	{ "nor needs it a material", QUANTITY_CONTACT_B, 300, 20, -1, &good, 3.5, 0, 6, 6.946222 },
	{ "no instrument recorded: 5 % and 5 µΩ", QUANTITY_CONTACT_A, 300, 20, -1, &none, 20, 0, 6,
		20.880613 },
	/* 2.5 m: 2 x 1 % and 2 % of it */
	{ "metres of rail", QUANTITY_RAIL_DROP, NAN, 20, -1, &good, 0.05, 0, 0.05, 0.070711 },
	{ "metres of rail, no instrument", QUANTITY_RAIL_DROP, NAN, NAN, -1, &none, 0.25, 0, 0.05,
		0.254951 },
};

START_TEST(adds_its_parts_as_squares)
{
	const struct rulebook rulebook = book();

	for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
		struct reading reading = read_as(parts[i].quantity, parts[i].shown_uohm, parts[i].temp_c);
		struct uncertainty u;

		uncertainty_compute(&rulebook, &reading, parts[i].quantity, parts[i].material,
			parts[i].meter, &u);
		ck_assert_msg(fabs(u.meter_uohm - parts[i].meter_uohm) <= 1e-6 &&
			fabs(u.temp_uohm - parts[i].temp_uohm) <= 1e-6 &&
			fabs(u.repeat_uohm - parts[i].repeat_uohm) <= 1e-6 &&
			fabs(u.u95_uohm - parts[i].u95_uohm) <= 1e-6, "%s: %.9g %.9g %.9g %.9g", parts[i].label,
			u.meter_uohm, u.temp_uohm, u.repeat_uohm, u.u95_uohm);
	}
}
END_TEST

static bool has_none(const struct reading *reading, enum quantity quantity, int material,
	struct meter meter)
{
	const struct rulebook rulebook = book();
	struct uncertainty u;

	uncertainty_compute(&rulebook, reading, quantity, material, &meter, &u);
	return isnan(u.meter_uohm) && isnan(u.temp_uohm) && isnan(u.repeat_uohm) && isnan(u.u95_uohm);
}

START_TEST(what_has_no_value_or_no_figures_has_none)
{
	struct reading reading = read_as(QUANTITY_END_TO_END, 300, 20);
	const struct reading cold = read_as(QUANTITY_END_TO_END, 300, NAN);
	const struct reading open = read_as(QUANTITY_END_TO_END, 2e9, 20);
	struct reading drop = read_as(QUANTITY_RAIL_DROP, NAN, 20);
	const int cu = MATERIAL_COPPER;

	ck_assert(!has_none(&reading, QUANTITY_END_TO_END, cu, good));
	ck_assert(has_none(&reading, QUANTITY_END_TO_END, cu,
		(struct meter){ METER_IN_CALIBRATION, NAN, 0.5 }));
	ck_assert(has_none(&reading, QUANTITY_END_TO_END, cu,
		(struct meter){ METER_IN_CALIBRATION, 1, NAN }));
	ck_assert(has_none(&reading, QUANTITY_END_TO_END, cu,
		(struct meter){ METER_IN_CALIBRATION, -1, 0.5 }));
	ck_assert(has_none(&reading, QUANTITY_END_TO_END, -1, good));
	ck_assert(has_none(&reading, QUANTITY_RAIL_DROP, cu, good));  /* has no metres */
	ck_assert(has_none(&cold, QUANTITY_END_TO_END, cu, good));
	ck_assert(has_none(&open, QUANTITY_END_TO_END, cu, good));
	ck_assert(has_none(&drop, QUANTITY_END_TO_END, cu, good));    /* has no resistance */
	drop.added_m = NAN;
	ck_assert(has_none(&drop, QUANTITY_RAIL_DROP, cu, good));
}
END_TEST

/* 3 + 0.5 by its own figures; 5 % and 5 µΩ, 20, where it has none. */
START_TEST(an_instrument_that_is_not_believed_is_off_all_the_same)
{
	static const struct { struct meter meter; double meter_uohm; } rows[] = {
		{ { METER_STATED, 1, 0.5 }, 3.5 }, { { METER_OUT_OF_CALIBRATION, 1, 0.5 }, 3.5 },
		{ { METER_OUT_OF_CALIBRATION, NAN, NAN }, 20 },
		{ { METER_NEVER_CALIBRATED, NAN, NAN }, 20 }, { { METER_NOT_RECORDED, NAN, NAN }, 20 },
	};
	const struct rulebook rulebook = book();
	struct reading reading = read_as(QUANTITY_END_TO_END, 300, 20);

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct uncertainty u;

		uncertainty_compute(&rulebook, &reading, QUANTITY_END_TO_END, MATERIAL_COPPER,
			&rows[i].meter, &u);
		ck_assert_double_eq_tol(u.meter_uohm, rows[i].meter_uohm, 1e-9);
	}
}
END_TEST

/* January -20 to 15: -2.5 ± 17.5; July 5 to 60: 32.5 ± 27.5. */
START_TEST(a_temperature_is_as_noted_carried_or_of_the_month)
{
	static const struct {
		enum quantity quantity;
		double noted_c;
		bool carried;
		int month;
		double temp_c, temp_u_k;
		bool is_climate;
	} rows[] = {
		{ QUANTITY_END_TO_END, 12, false, 1, 12, 5, false },
		{ QUANTITY_END_TO_END, 12, true, 1, 12, 8, false },
		{ QUANTITY_END_TO_END, NAN, false, 1, -2.5, 17.5, true },
		{ QUANTITY_END_TO_END, NAN, false, 7, 32.5, 27.5, true },
		{ QUANTITY_END_TO_END, NAN, false, 12, 2.5, 17.5, true },
		{ QUANTITY_END_TO_END, NAN, false, 0, NAN, 5, false },
		{ QUANTITY_END_TO_END, NAN, false, 13, NAN, 5, false },
		{ QUANTITY_CONTACT_A, NAN, false, 1, NAN, 5, false },
		{ QUANTITY_RAIL_DROP, NAN, true, 1, NAN, 5, false },
	};
	struct rulebook rulebook = book();

	rulebook.carried_temp_k = 8;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct reading_values v = { .quantity = rows[i].quantity, .temp_c = rows[i].noted_c,
			.is_carried = rows[i].carried };

		temperature_take(&rulebook, rows[i].month, &v);
		ck_assert(isnan(rows[i].temp_c) ? isnan(v.temp_c) : fabs(v.temp_c - rows[i].temp_c) < 1e-9);
		ck_assert_double_eq_tol(v.temp_u_k, rows[i].temp_u_k, 1e-9);
		ck_assert(v.is_climate == rows[i].is_climate);
	}
	/* what was carried is no better than what was noted */
	rulebook.carried_temp_k = 3;
	struct reading_values carried = { .temp_c = 12, .is_carried = true };

	temperature_take(&rulebook, 1, &carried);
	ck_assert_double_eq(carried.temp_u_k, 5);
}
END_TEST

/* The reading's own figure counts: 300 x 0.00393 x 17.5 = 20.6325, and 0 is the rulebook's 5 K. */
START_TEST(the_temperature_is_off_by_what_the_reading_says)
{
	const struct rulebook rulebook = book();
	struct reading reading = read_as(QUANTITY_END_TO_END, 300, 20);
	struct uncertainty u;

	reading.temp_u_k = 17.5;
	uncertainty_compute(&rulebook, &reading, QUANTITY_END_TO_END, MATERIAL_COPPER, &good, &u);
	ck_assert_double_eq_tol(u.temp_uohm, 20.6325, 1e-9);
	reading.temp_u_k = 0;
	uncertainty_compute(&rulebook, &reading, QUANTITY_END_TO_END, MATERIAL_COPPER, &good, &u);
	ck_assert_double_eq_tol(u.temp_uohm, 5.895, 1e-9);
}
END_TEST

/* Two calibrations on one day: the second corrects the first. */
static const struct calibration history[] = {
	{ 1000, 1365, 3, 0 }, { 1400, 1765, 1, 0.1 }, { 1400, 1766, 2, 0.2 }, { 1300, 1340, 4, 0 },
};
static const struct { int32_t day; enum meter_standing standing; double percent; } days[] = {
	{ 999, METER_NEVER_CALIBRATED, NAN }, { 1000, METER_IN_CALIBRATION, 3 },
	{ 1299, METER_IN_CALIBRATION, 3 },
	{ 1340, METER_IN_CALIBRATION, 4 }, { 1341, METER_OUT_OF_CALIBRATION, 4 },
	{ 1399, METER_OUT_OF_CALIBRATION, 4 }, { 1400, METER_IN_CALIBRATION, 2 },
	{ 1766, METER_IN_CALIBRATION, 2 }, { 1767, METER_OUT_OF_CALIBRATION, 2 },
	{ INT32_MAX, METER_OUT_OF_CALIBRATION, 2 }, { INT32_MIN, METER_NEVER_CALIBRATED, NAN },
};

START_TEST(an_instrument_counts_from_its_calibration_to_its_due_day)
{
	struct meter meter;

	for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
		meter_on(history, sizeof history / sizeof history[0], days[i].day, &meter);
		ck_assert_msg(meter.standing == days[i].standing, "day %d: %s", (int)days[i].day,
			meter_standing_words.code[meter.standing]);
		ck_assert(isnan(days[i].percent) ? isnan(meter.percent) :
			meter.percent == days[i].percent);
	}
	meter_on(NULL, 0, 1000, &meter);
	ck_assert_int_eq(meter.standing, METER_NEVER_CALIBRATED);
	ck_assert(isnan(meter.percent) && isnan(meter.uohm));
}
END_TEST

/* Calibrated on the days 1000, 1400 and 1800; out of its limits as the second found it, which is
 * recorded again on the day 1800 with the third. */
static const struct { int32_t day; enum meter_standing standing; } found[] = {
	{ 999, METER_NEVER_CALIBRATED }, { 1000, METER_FOUND_OUT }, { 1399, METER_FOUND_OUT },
	{ 1400, METER_FOUND_OUT },    /* perhaps before it went to be calibrated */
	{ 1401, METER_IN_CALIBRATION }, { 1799, METER_IN_CALIBRATION }, { 1800, METER_IN_CALIBRATION },
};

START_TEST(found_out_of_its_limits_it_is_not_believed_since_the_calibration_before)
{
	struct calibration all[] = { { 1000, 1365, 1, 0, AS_FOUND_NOT_STATED },
		{ 1400, 1900, 1, 0, AS_FOUND_OUT }, { 1800, 2200, 1, 0, AS_FOUND_OUT },
		{ 1800, 2200, 1, 0, AS_FOUND_WITHIN } };
	struct meter meter;

	for (size_t i = 0; i < sizeof found / sizeof found[0]; i++) {
		meter_on(all, 4, found[i].day, &meter);
		ck_assert_msg(meter.standing == found[i].standing, "day %d: %s", (int)found[i].day,
			meter_standing_words.code[meter.standing]);
		ck_assert(meter_believed(meter.standing) == (meter.standing == METER_IN_CALIBRATION));
	}
	/* in any order; and said of one, it is said of no other */
	all[3] = all[0];
	all[0] = (struct calibration){ 1800, 2200, 1, 0, AS_FOUND_WITHIN };
	meter_on(all, 4, 1100, &meter);
	ck_assert_int_eq(meter.standing, METER_FOUND_OUT);
	all[1].as_found = AS_FOUND_WITHIN;
	meter_on(all, 4, 1100, &meter);
	ck_assert_int_eq(meter.standing, METER_IN_CALIBRATION);
}
END_TEST

/* JCGM 100, 4.3.7: of bounds alone, u = a / √3; U = 2 u = 1.154701 a. */
START_TEST(a_limit_is_no_expanded_uncertainty)
{
	ck_assert_double_eq(calibration_u95(0.6, FIGURE_EXPANDED), 0.6);
	ck_assert_double_eq_tol(calibration_u95(1, FIGURE_LIMIT), 1.154701, 5e-7);
	ck_assert_double_eq_tol(calibration_u95(3, FIGURE_LIMIT), 3.464102, 5e-7);
	ck_assert_double_eq(calibration_u95(0, FIGURE_LIMIT), 0);
}
END_TEST

START_TEST(an_instrument_can_do_what_is_said_of_it_or_everything)
{
	const struct meter four = { .methods = 1 << READING_FOUR_WIRE };

	for (int m = READING_FOUR_WIRE; m <= READING_VOLTAGE_DROP; m++) {
		ck_assert(meter_can(&good, (enum reading_method)m));
		ck_assert(meter_can(&four, (enum reading_method)m) == (m == READING_FOUR_WIRE));
	}
}
END_TEST

START_TEST(says_in_words_whether_the_instrument_is_believed)
{
	ck_assert_int_eq(meter_standing_words.n, METER_STATED + 1);
	for (int i = 0; i < meter_standing_words.n; i++) {
		bool refused = strncmp(meter_standing_words.title[i], "not evidence: ", 14) == 0;

		ck_assert(meter_believed((enum meter_standing)i) == !refused);
	}
}
END_TEST

START_TEST(a_higher_reading_of_the_same_bond_is_never_judged_better)
{
	static const struct meter meters[] = {
		{ METER_IN_CALIBRATION, 0, 0 }, { METER_IN_CALIBRATION, 0.25, 0.2 },
		{ METER_IN_CALIBRATION, 20, 5 }, { METER_NOT_RECORDED, NAN, NAN },
	};
	const struct rulebook rulebook = book();

	for (size_t m = 0; m < sizeof meters / sizeof meters[0]; m++) {
		for (double temp_c = -20; temp_c <= 80; temp_c += 20) {
			enum verdict last = VERDICT_WITHIN;
			double last_p = 1;

			for (double uohm = 1; uohm < 1200; uohm += 1) {
				struct reading reading = read_as(QUANTITY_END_TO_END, uohm, temp_c);
				struct uncertainty u;
				enum verdict verdict;
				double p;

				uncertainty_compute(&rulebook, &reading, QUANTITY_END_TO_END, MATERIAL_COPPER,
					&meters[m], &u);
				verdict = verdict_of(reading.r20_uohm, u.u95_uohm, 400);
				p = verdict_p_within(reading.r20_uohm, u.u95_uohm, 400);
				ck_assert_int_ge(verdict, last);
				ck_assert_double_le(p, last_p);
				last = verdict;
				last_p = p;
			}
			ck_assert_int_eq(last, VERDICT_OVER);
		}
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { adds_its_parts_as_squares, what_has_no_value_or_no_figures_has_none,
		an_instrument_that_is_not_believed_is_off_all_the_same,
		a_temperature_is_as_noted_carried_or_of_the_month,
		the_temperature_is_off_by_what_the_reading_says,
		an_instrument_counts_from_its_calibration_to_its_due_day,
		found_out_of_its_limits_it_is_not_believed_since_the_calibration_before,
		a_limit_is_no_expanded_uncertainty,
		an_instrument_can_do_what_is_said_of_it_or_everything,
		says_in_words_whether_the_instrument_is_believed,
		a_higher_reading_of_the_same_bond_is_never_judged_better, NULL };

	return case_run("uncertainty", tests);
}
