#include <math.h>
#include <string.h>

#include "case.h"
#include "rules/reading.h"

/* Nothing measured yet, end to end by four wires on copper. */
static struct reading_values blank(void)
{
	return (struct reading_values){
		.quantity = QUANTITY_END_TO_END, .method = READING_FOUR_WIRE, .material = MATERIAL_COPPER,
		.forward_uv = NAN, .reverse_uv = NAN, .current_a = NAN, .shown_uohm = NAN,
		.lead_uohm = NAN, .rail_uv = NAN, .rail_m = NAN, .joint_m = NAN, .temp_c = NAN,
	};
}

static struct reading computed(const struct reading_values *values)
{
	struct reading reading;

	memset(&reading, 0xA5, sizeof reading);
	reading_compute(values, &reading);
	return reading;
}

static bool near(double value, double expected, double tolerance)
{
	return fabs(value - expected) <= tolerance;
}

/* A: the manual of a resistance meter, appendix 2, on the effect of thermal e.m.f.
 * B: that of another, appendix 5. C: the formula of a milliohm meter's manual, figures by hand. */
static const struct {
	const char *source;
	double forward_uv, reverse_uv, current_a, r_uohm, thermal_uv;
} four_wire[] = {
	{ "A: 1 ohm, 10 mA, 10 uV", 10010, NAN, 0.01, 1001000, NAN },
	{ "B: 1 milliohm, 1 A, 10 uV: 1 % error", 1010, NAN, 1, 1010, NAN },
	{ "B, by hand: 1 milliohm, 100 mA, 10 uV: 10 % error", 110, NAN, 0.1, 1100, NAN },
	{ "A reversed", 10010, -9990, 0.01, 1000000, 10 },
	{ "B reversed", 1010, -990, 1, 1000, 10 },
	{ "C: 50 microohm, 10 A, 5 uV", 505, -495, 10, 50, 5 },
	{ "C, one way", 505, NAN, 10, 50.5, NAN },
	{ "C, the other way", NAN, -495, 10, 49.5, NAN },
	{ "C: 50 microohm, 100 A, 5 uV", 5005, -4995, 100, 50, 5 },
	{ "C: 100 A, one way", 5005, NAN, 100, 50.05, NAN },
	{ "C, colder at the other side", 495, -505, 10, 50, -5 },
};

START_TEST(takes_the_thermal_voltage_out_by_reversing)
{
	for (size_t i = 0; i < sizeof four_wire / sizeof four_wire[0]; i++) {
		struct reading_values v = blank();
		struct reading r;
		bool both = !isnan(four_wire[i].forward_uv) && !isnan(four_wire[i].reverse_uv);

		v.quantity = QUANTITY_CONTACT_A;
		v.forward_uv = four_wire[i].forward_uv;
		v.reverse_uv = four_wire[i].reverse_uv;
		v.current_a = four_wire[i].current_a;
		r = computed(&v);
		ck_assert_msg(near(r.r_uohm, four_wire[i].r_uohm, 1e-9 * four_wire[i].r_uohm), "%s: %.12g",
			four_wire[i].source, r.r_uohm);
		ck_assert_msg(both ? near(r.thermal_uv, four_wire[i].thermal_uv, 1e-9) :
			isnan(r.thermal_uv), "%s", four_wire[i].source);
		ck_assert_int_eq(r.remark, both ? REMARK_NONE : REMARK_ONE_DIRECTION);
		ck_assert_int_eq(r.standing, both ? READING_EVIDENCE : READING_WEAKER);
		ck_assert(isnan(r.equivalent_m) && isnan(r.added_m));
	}
}
END_TEST

/* 20-degree factors 1 / (1 + alpha20 (t - 20)), worked out with exact fractions to 6 decimals
 * from alpha20 copper 0.00393 and aluminium 0.00403 (IEC 60287-1-1 table 1), and the one factor for
 * both as it is published
 * (www.uecables.com/471-power-copper-conductors-according-to-iec-60228.html), which is from an
 * alpha20 of about 0.004, to three decimals: within 0.2 % of either up to 50 degrees, within 0.5 %
 * above. */
static const struct { double temp_c, copper, aluminium, published; } factors[] = {
	{ 5, 1.062643, 1.064339, 1.064 }, { 10, 1.040908, 1.041992, 1.042 },
	{ 15, 1.020044, 1.020564, 1.020 }, { 20, 1.000000, 1.000000, 1.000 },
	{ 25, 0.980729, 0.980248, 0.980 }, { 30, 0.962186, 0.961261, 0.962 },
	{ 35, 0.944332, 0.942996, 0.943 }, { 40, 0.927128, 0.925412, 0.926 },
	{ 45, 0.910539, 0.908471, 0.909 }, { 50, 0.894534, 0.892140, 0.893 },
	{ 55, 0.879082, 0.876386, 0.877 }, { 60, 0.864155, 0.861178, 0.862 },
	{ 65, 0.849726, 0.846489, 0.847 }, { 70, 0.835771, 0.832293, 0.833 },
	{ 75, 0.822267, 0.818565, 0.820 }, { 80, 0.809192, 0.805283, 0.806 },
	{ 85, 0.796527, 0.792424, 0.794 }, { 90, 0.784252, 0.779970, 0.781 },
	{ 95, 0.772350, 0.767902, 0.769 }, { 100, 0.760803, 0.756201, 0.758 },
};

START_TEST(brings_the_conductor_to_20_degrees)
{
	for (size_t i = 0; i < sizeof factors / sizeof factors[0]; i++) {
		struct reading_values v = blank();
		double apart = factors[i].temp_c <= 50 ? 0.002 : 0.005;

		v.shown_uohm = 100;
		v.temp_c = factors[i].temp_c;
		ck_assert_msg(near(computed(&v).r20_uohm, 100 * factors[i].copper, 1e-4), "copper, %g",
			v.temp_c);
		v.material = MATERIAL_ALUMINIUM;
		ck_assert_msg(near(computed(&v).r20_uohm, 100 * factors[i].aluminium, 1e-4),
			"aluminium, %g", v.temp_c);
		ck_assert_msg(near(factors[i].copper / factors[i].published, 1, apart) &&
			near(factors[i].aluminium / factors[i].published, 1, apart), "published, %g", v.temp_c);
	}
}
END_TEST

/* 1.5 m of cable at the IEC 60228 class 2 maximum, milliohm, worked out by hand from
 * R = R20 (1 + alpha20 (t - 20)), rounded to 6 decimals. */
static const struct { enum material material; double temp_c, at_temp_mohm, r20_mohm; } cables[] = {
	{ MATERIAL_COPPER, -10, 0.354604, 0.402 }, { MATERIAL_COPPER, 0, 0.370403, 0.402 },
	{ MATERIAL_COPPER, 35, 0.425698, 0.402 }, { MATERIAL_COPPER, 50, 0.449396, 0.402 },
	{ MATERIAL_COPPER, -10, 0.202442, 0.2295 }, { MATERIAL_COPPER, 0, 0.211461, 0.2295 },
	{ MATERIAL_COPPER, 35, 0.243029, 0.2295 }, { MATERIAL_COPPER, 50, 0.256558, 0.2295 },
	{ MATERIAL_ALUMINIUM, -10, 0.333618, 0.3795 }, { MATERIAL_ALUMINIUM, 0, 0.348912, 0.3795 },
	{ MATERIAL_ALUMINIUM, 35, 0.402441, 0.3795 }, { MATERIAL_ALUMINIUM, 50, 0.425382, 0.3795 },
};

START_TEST(gives_the_cable_table_back_at_any_temperature)
{
	for (size_t i = 0; i < sizeof cables / sizeof cables[0]; i++) {
		struct reading_values v = blank();
		struct reading r;

		v.material = (int)cables[i].material;
		v.temp_c = cables[i].temp_c;
		v.shown_uohm = cables[i].at_temp_mohm * 1000;
		r = computed(&v);
		ck_assert_msg(near(r.r20_uohm / 1000, cables[i].r20_mohm, 1e-6), "row %zu: %.9g", i,
			r.r20_uohm);
		ck_assert_double_eq(r.r_uohm, v.shown_uohm);  /* as the meter showed it */
		ck_assert_int_eq(r.remark, REMARK_NONE);
	}
}
END_TEST

START_TEST(does_not_correct_a_contact_measured_alone)
{
	struct reading_values v = blank();
	struct reading r;

	v.shown_uohm = 12;
	for (int q = QUANTITY_CONTACT_A; q <= QUANTITY_CONTACT_B; q++) {
		v.quantity = (enum quantity)q;
		v.temp_c = 50;
		v.material = MATERIAL_COPPER;
		ck_assert_double_eq(computed(&v).r20_uohm, 12);
		v.temp_c = NAN;
		v.material = -1;
		r = computed(&v);
		ck_assert_double_eq(r.r20_uohm, 12);
		ck_assert_int_eq(r.standing, READING_EVIDENCE);
	}
}
END_TEST

/* m by the definition V_joint / V_rail x l_rail. "Six feet": the comparison of 3 ft over the joint
 * with 3 ft of rail as a newspaper article of 1915 explains it (Evening Republican, 13 September
 * 1915, "Testing rail bonds"), in metres: twice the voltage is twice 0.9144 m. 60E1 and 54E1: a
 * joint of 100 microohm beside rail of 0.22 microohm m over 76.70 and 69.77 cm2, 1 A through
 * both. */
static const struct {
	const char *label;
	double forward_uv, reverse_uv, rail_uv, rail_m, joint_m, m, added_m;
	enum reading_remark remark;
} drops[] = {
	{ "six feet", 200, NAN, 100, 0.9144, 0.9144, 1.8288, 0.9144, REMARK_ONE_DIRECTION },
	{ "60E1", 100, NAN, 22.0 / 0.7670, 1, NAN, 3.486364, NAN, REMARK_NO_JOINT_LENGTH },
	{ "54E1", 100, NAN, 22.0 / 0.6977, 1, NAN, 3.171364, NAN, REMARK_NO_JOINT_LENGTH },
	{ "reversed", 205, -195, 100, 1, 0.5, 2, 1.5, REMARK_NONE },
	{ "the leads the other way about", -200, NAN, -100, 1, 0.5, 2, 1.5, REMARK_ONE_DIRECTION },
	{ "better than rail", 90, NAN, 100, 1, 1, 0.9, -0.1, REMARK_ONE_DIRECTION },
};

START_TEST(gives_a_voltage_drop_as_metres_of_rail)
{
	for (size_t i = 0; i < sizeof drops / sizeof drops[0]; i++) {
		struct reading_values v = blank();
		struct reading r;

		v.quantity = QUANTITY_RAIL_DROP;
		v.method = READING_VOLTAGE_DROP;
		v.forward_uv = drops[i].forward_uv;
		v.reverse_uv = drops[i].reverse_uv;
		v.rail_uv = drops[i].rail_uv;
		v.rail_m = drops[i].rail_m;
		v.joint_m = drops[i].joint_m;
		r = computed(&v);
		ck_assert_msg(near(r.equivalent_m, drops[i].m, 1e-6), "%s: %.9g", drops[i].label,
			r.equivalent_m);
		ck_assert_msg(isnan(drops[i].added_m) ? isnan(r.added_m) :
			near(r.added_m, drops[i].added_m, 1e-6), "%s", drops[i].label);
		ck_assert_msg(r.remark == drops[i].remark, "%s", drops[i].label);
		ck_assert(isnan(r.r_uohm) && isnan(r.r20_uohm));
	}
}
END_TEST

/* By hand. A two-wire value V with leads L gives V - L. */
static const struct { double shown_uohm, lead_uohm, r_uohm; enum reading_remark remark; } leads[] = {
	{ 1100, 100, 1000, REMARK_NONE },             /* what is left is ten times, not below */
	{ 1099.9, 100, 999.9, REMARK_LEADS_TOO_LARGE },
	{ 1100, 100.1, 999.9, REMARK_LEADS_TOO_LARGE },
	{ 1000, 100, 900, REMARK_LEADS_TOO_LARGE },   /* with them it is ten times */
	{ 1000, 0, 1000, REMARK_LEADS_ZERO },
	{ 1000, NAN, 1000, REMARK_LEADS_NOT_RECORDED },
	{ 1000, 1000, NAN, REMARK_NOT_POSITIVE },
	{ 1000, 999.5, 0.5, REMARK_LEADS_TOO_LARGE },
	{ 1000, -1, NAN, REMARK_LEADS_NEGATIVE },
};

START_TEST(takes_the_leads_off_a_two_wire_value)
{
	for (size_t i = 0; i < sizeof leads / sizeof leads[0]; i++) {
		struct reading_values v = blank();
		struct reading r;

		v.quantity = QUANTITY_CONTACT_B;
		v.method = READING_TWO_WIRE;
		v.shown_uohm = leads[i].shown_uohm;
		v.lead_uohm = leads[i].lead_uohm;
		r = computed(&v);
		ck_assert_msg(isnan(leads[i].r_uohm) ? isnan(r.r_uohm) :
			near(r.r_uohm, leads[i].r_uohm, 1e-9), "row %zu: %.12g", i, r.r_uohm);
		ck_assert_msg(r.remark == leads[i].remark, "row %zu: %s", i,
			reading_remark_words.code[r.remark]);
	}
}
END_TEST

START_TEST(four_wires_carry_no_leads)
{
	struct reading_values v = blank();

	v.quantity = QUANTITY_CONTACT_A;
	v.shown_uohm = 50;
	v.lead_uohm = 40;
	ck_assert_double_eq(computed(&v).r_uohm, 50);
	ck_assert_int_eq(computed(&v).remark, REMARK_NONE);
}
END_TEST

/* Each row changes one or two values of a good reading: 505 and -495 uV at 10 A, 20 degrees. */
static const struct {
	const char *label;
	size_t at;
	double value;
	size_t at_too;
	double value_too;
	enum reading_remark remark;
} limits[] = {
#define AT(member) offsetof(struct reading_values, member)
#define ALONE AT(joint_m), NAN
	{ "as it is", ALONE, ALONE, REMARK_NONE },
	{ "no current", AT(current_a), NAN, ALONE, REMARK_NO_CURRENT },
	{ "current of zero", AT(current_a), 0, ALONE, REMARK_CURRENT_ABSURD },
	{ "negative current", AT(current_a), -10, ALONE, REMARK_CURRENT_ABSURD },
	{ "tiny current: above 1,000 ohm", AT(current_a), 1e-9, ALONE, REMARK_TOO_LARGE },
	{ "10,000 A", AT(current_a), 10000, ALONE, REMARK_NONE },
	{ "more", AT(current_a), 10000.1, ALONE, REMARK_CURRENT_ABSURD },
	{ "infinite current", AT(current_a), INFINITY, ALONE, REMARK_NOT_FINITE },
	{ "infinite voltage", AT(reverse_uv), -INFINITY, ALONE, REMARK_NOT_FINITE },
	{ "infinity where it is not used", AT(rail_m), INFINITY, ALONE, REMARK_NOT_FINITE },
	{ "sign of the reverse one lost", AT(reverse_uv), 495, ALONE, REMARK_SAME_SIGN },
	{ "both negative", AT(forward_uv), -505, ALONE, REMARK_SAME_SIGN },
	{ "reverse voltage of zero", AT(reverse_uv), 0, ALONE, REMARK_SAME_SIGN },
	{ "just on the other side", AT(reverse_uv), -0.001, ALONE, REMARK_NONE },
	{ "forward voltage of zero", AT(forward_uv), 0, ALONE, REMARK_SAME_SIGN },
	{ "both zero", AT(forward_uv), 0, AT(reverse_uv), 0, REMARK_NOT_POSITIVE },
	{ "leads swapped", AT(forward_uv), -495, AT(reverse_uv), 505, REMARK_NOT_POSITIVE },
	{ "one way, zero", AT(forward_uv), 0, AT(reverse_uv), NAN, REMARK_NOT_POSITIVE },
	{ "one way, negative", AT(forward_uv), -1, AT(reverse_uv), NAN, REMARK_NOT_POSITIVE },
	{ "no voltage at all", AT(forward_uv), NAN, AT(reverse_uv), NAN, REMARK_NOTHING_MEASURED },
	{ "coldest", AT(temp_c), -60, ALONE, REMARK_NONE },
	{ "colder", AT(temp_c), -60.1, ALONE, REMARK_TEMPERATURE_ABSURD },
	{ "hottest", AT(temp_c), 120, ALONE, REMARK_NONE },
	{ "hotter", AT(temp_c), 120.1, ALONE, REMARK_TEMPERATURE_ABSURD },
	{ "no temperature", AT(temp_c), NAN, ALONE, REMARK_NO_TEMPERATURE },
	{ "1,000 ohm", AT(forward_uv), 1e10, AT(reverse_uv), -1e10, REMARK_NONE },
	{ "more", AT(forward_uv), 1.0001e10, AT(reverse_uv), -1.0001e10, REMARK_TOO_LARGE },
	{ "0.001 microohm", AT(forward_uv), 0.01, AT(reverse_uv), -0.01, REMARK_NONE },
	{ "less", AT(forward_uv), 0.0099, AT(reverse_uv), -0.0099, REMARK_TOO_SMALL },
	{ "the largest doubles", AT(forward_uv), 1.7e308, AT(reverse_uv), -1.7e308, REMARK_TOO_LARGE },
#undef ALONE
};

START_TEST(gives_no_result_for_what_cannot_be)
{
	for (size_t i = 0; i < sizeof limits / sizeof limits[0]; i++) {
		struct reading_values v = blank();
		struct reading r;
		bool result;

		v.forward_uv = 505;
		v.reverse_uv = -495;
		v.current_a = 10;
		v.temp_c = 20;
		memcpy((char *)&v + limits[i].at, &limits[i].value, sizeof(double));
		memcpy((char *)&v + limits[i].at_too, &limits[i].value_too, sizeof(double));
		r = computed(&v);
		ck_assert_msg(r.remark == limits[i].remark, "%s: %s", limits[i].label,
			reading_remark_words.code[r.remark]);
		ck_assert_int_eq(r.standing, reading_standing_of(r.remark));
		result = r.standing != READING_NO_RESULT;
		ck_assert_msg(result == (isfinite(r.r_uohm) != 0), "%s", limits[i].label);
		ck_assert_msg(result || (isnan(r.r20_uohm) && isnan(r.thermal_uv)), "%s",
			limits[i].label);
	}
}
END_TEST

static const struct { const char *label; size_t at; double value; enum reading_remark remark; }
rail_limits[] = {
	{ "as it is", AT(temp_c), NAN, REMARK_NONE },
	{ "no rail voltage", AT(rail_uv), NAN, REMARK_NO_RAIL },
	{ "no rail length", AT(rail_m), NAN, REMARK_NO_RAIL },
	{ "rail voltage of zero", AT(rail_uv), 0, REMARK_RAIL_ABSURD },
	{ "rail voltage the other way", AT(rail_uv), -100, REMARK_RAIL_OPPOSED },
	{ "rail length of zero", AT(rail_m), 0, REMARK_RAIL_ABSURD },
	{ "1,000 m of rail", AT(rail_m), 1000, REMARK_NONE },
	{ "more", AT(rail_m), 1000.1, REMARK_RAIL_ABSURD },
	{ "no rail over the joint", AT(joint_m), 0, REMARK_NONE },
	{ "nobody knows how much", AT(joint_m), NAN, REMARK_NO_JOINT_LENGTH },
	{ "less than none", AT(joint_m), -0.1, REMARK_RAIL_ABSURD },
	{ "1,000 m over the joint", AT(joint_m), 1000, REMARK_NONE },
	{ "more", AT(joint_m), 1000.1, REMARK_RAIL_ABSURD },
	{ "1,000 km come out", AT(rail_uv), 2e-4, REMARK_NONE },
	{ "more come out", AT(rail_uv), 1.99e-4, REMARK_TOO_LARGE },
	{ "no current is needed", AT(current_a), NAN, REMARK_NONE },
#undef AT
};

START_TEST(gives_no_metres_for_what_cannot_be)
{
	for (size_t i = 0; i < sizeof rail_limits / sizeof rail_limits[0]; i++) {
		struct reading_values v = blank();
		struct reading r;

		v.quantity = QUANTITY_RAIL_DROP;
		v.method = READING_VOLTAGE_DROP;
		v.forward_uv = 205;
		v.reverse_uv = -195;
		v.rail_uv = 100;
		v.rail_m = 1;
		v.joint_m = 0.5;
		memcpy((char *)&v + rail_limits[i].at, &rail_limits[i].value, sizeof(double));
		r = computed(&v);
		ck_assert_msg(r.remark == rail_limits[i].remark, "%s: %s", rail_limits[i].label,
			reading_remark_words.code[r.remark]);
		ck_assert_msg((r.standing != READING_NO_RESULT) == (isfinite(r.equivalent_m) != 0), "%s",
			rail_limits[i].label);
	}
}
END_TEST

START_TEST(a_drop_against_the_rail_needs_its_method)
{
	struct reading_values v = blank();

	v.quantity = QUANTITY_RAIL_DROP;
	v.shown_uohm = 50;
	ck_assert_int_eq(computed(&v).remark, REMARK_OTHER_METHOD);
	v.method = READING_VOLTAGE_DROP;  /* and a resistance shown is no voltage */
	ck_assert_int_eq(computed(&v).remark, REMARK_NOTHING_MEASURED);
}
END_TEST

START_TEST(a_voltage_drop_is_no_evidence_of_a_resistance)
{
	struct reading_values v = blank();

	v.method = READING_VOLTAGE_DROP;
	v.forward_uv = 205;
	v.reverse_uv = -195;
	v.rail_uv = 100;
	v.rail_m = 1;
	v.joint_m = 0.5;
	for (int q = QUANTITY_END_TO_END; q <= QUANTITY_CONTACT_B; q++) {
		struct reading r;

		v.quantity = (enum quantity)q;
		r = computed(&v);
		ck_assert_int_eq(r.remark, REMARK_OTHER_QUANTITY);
		ck_assert_int_eq(r.standing, READING_NOT_EVIDENCE);
		ck_assert_double_eq(r.equivalent_m, 2);
		ck_assert(isnan(r.r_uohm) && isnan(r.r20_uohm));
	}
}
END_TEST

/* All evidence has a value that can be judged; what has no result has none. */
START_TEST(all_evidence_has_a_value)
{
	static const double some[] = { NAN, 0, 0.5, -495, 505, 1000 };
	enum { SOME = 6, ALL = 4 * 3 * SOME * SOME * SOME * SOME };

	for (int i = 0; i < ALL; i++) {
		struct reading_values v = blank();
		struct reading r;
		double value;

		v.quantity = (enum quantity)(i % 4);
		v.method = (enum reading_method)(i / 4 % 3);
		v.forward_uv = some[i / 12 % SOME];
		v.reverse_uv = some[i / 12 / SOME % SOME];
		v.shown_uohm = v.lead_uohm = v.rail_uv = some[i / 12 / SOME / SOME % SOME];
		v.temp_c = v.current_a = v.rail_m = v.joint_m = some[i / 12 / SOME / SOME / SOME % SOME];
		r = computed(&v);
		value = v.quantity == QUANTITY_RAIL_DROP ? r.added_m : r.r20_uohm;
		ck_assert_msg(r.standing > READING_WEAKER || isfinite(value), "%d: %s", i,
			reading_remark_words.code[r.remark]);
		ck_assert_msg(r.standing != READING_NO_RESULT || isnan(value), "%d: %s", i,
			reading_remark_words.code[r.remark]);
	}
}
END_TEST

START_TEST(keeps_all_remarks_and_names_the_worst)
{
	struct reading_values v = blank();
	struct reading r;

	v.forward_uv = 505;
	v.current_a = 10;
	v.material = -1;
	r = computed(&v);
	ck_assert_uint_eq(r.remarks,
		1u << REMARK_ONE_DIRECTION | 1u << REMARK_NO_TEMPERATURE | 1u << REMARK_NO_MATERIAL);
	ck_assert_int_eq(r.remark, REMARK_NO_TEMPERATURE);
	ck_assert_int_eq(r.standing, READING_NOT_EVIDENCE);
	ck_assert_double_eq(r.r_uohm, 50.5);
	ck_assert(isnan(r.r20_uohm));
}
END_TEST

START_TEST(voltages_come_before_what_the_meter_showed)
{
	struct reading_values v = blank();

	v.quantity = QUANTITY_CONTACT_A;
	v.forward_uv = 505;
	v.reverse_uv = -495;
	v.current_a = 10;
	v.shown_uohm = 77;
	ck_assert_double_eq(computed(&v).r_uohm, 50);
}
END_TEST

START_TEST(each_remark_begins_with_what_it_makes_of_the_reading)
{
	ck_assert_int_eq(reading_remark_words.n, REMARKS);
	for (int i = REMARK_NONE + 1; i < REMARKS; i++) {
		const char *standing = reading_standing_words.title[
			reading_standing_of((enum reading_remark)i)];
		const char *title = reading_remark_words.title[i];

		ck_assert_ptr_nonnull(reading_remark_words.code[i]);
		ck_assert_msg(strncmp(title, standing, strlen(standing)) == 0, "%s: %s", standing, title);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		takes_the_thermal_voltage_out_by_reversing, brings_the_conductor_to_20_degrees,
		gives_the_cable_table_back_at_any_temperature, does_not_correct_a_contact_measured_alone,
		gives_a_voltage_drop_as_metres_of_rail, takes_the_leads_off_a_two_wire_value,
		four_wires_carry_no_leads, gives_no_result_for_what_cannot_be,
		gives_no_metres_for_what_cannot_be, a_drop_against_the_rail_needs_its_method,
		a_voltage_drop_is_no_evidence_of_a_resistance, all_evidence_has_a_value,
		keeps_all_remarks_and_names_the_worst, voltages_come_before_what_the_meter_showed,
		each_remark_begins_with_what_it_makes_of_the_reading, NULL };

	return case_run("reading", tests);
}
