/* What is asked of a reading before it is judged, both sides of each factor of the first
 * rulebook. */
#include <math.h>

#include "case.h"
#include "rules/record.h"

static struct reading_values values;
static struct reading made;

/* A cross bond of 100 µΩ whose limit is 200, read as 100 with the current both ways at 10 A. */
static struct asked_facts plain(void)
{
	values = (struct reading_values){ .quantity = QUANTITY_END_TO_END,
		.method = READING_FOUR_WIRE, .forward_uv = 1000, .reverse_uv = -1000, .current_a = 10,
		.shown_uohm = NAN, .lead_uohm = NAN, .rail_uv = NAN, .rail_m = NAN, .joint_m = NAN,
		.temp_c = 20 };
	reading_compute(&values, &made);
	return (struct asked_facts){ .values = &values, .reading = &made, .value = 100,
		.conductor_uohm = 100, .limit = 200, .last_value = NAN, .round_temp_c = NAN };
}

static void expect_asked(int line, const struct asked_facts *facts, unsigned asked)
{
	struct rulebook rulebook = rulebook_default();
	unsigned is = asked_of(&rulebook, facts);

	ck_assert_msg(is == asked, "line %d: %x and not %x", line, is, asked);
}
#define NOT_ASKED 0u
#define ASKS(facts, asked) expect_asked(__LINE__, &(facts), asked)
#define ABOUT(question) (1u << ASKED_##question)

START_TEST(an_honest_reading_is_not_asked)
{
	struct asked_facts f = plain();

	ASKS(f, NOT_ASKED);
	f.last_value = 90;
	f.round_temp_c = 22;
	ASKS(f, NOT_ASKED);
	f.conductor_uohm = f.limit = f.last_value = f.round_temp_c = NAN;
	ASKS(f, NOT_ASKED);
}
END_TEST

/* 0.3 of the conductor of 100; of a joint 0.01; a contact 0.005 of its limit of 200. */
START_TEST(below_0_3_of_the_conductor_is_asked_of_a_joint_below_a_hundredth)
{
	struct asked_facts f = plain();

	f.value = 30;
	ASKS(f, NOT_ASKED);
	f.value = 29.999;
	ASKS(f, ABOUT(FAR_BELOW));
	f.is_joint = true;
	ASKS(f, NOT_ASKED);
	f.value = 1;
	ASKS(f, NOT_ASKED);
	f.value = 0.999;
	ASKS(f, ABOUT(FAR_BELOW));
	f.conductor_uohm = NAN;
	ASKS(f, NOT_ASKED);
}
END_TEST

START_TEST(a_contact_is_asked_below_0_005_of_its_limit_whatever_its_conductor)
{
	struct asked_facts f = plain();

	for (int q = QUANTITY_CONTACT_A; q <= QUANTITY_CONTACT_B; q++) {
		values.quantity = (enum quantity)q;
		f.value = 1;
		ASKS(f, NOT_ASKED);
		f.value = 0.999;
		ASKS(f, ABOUT(FAR_BELOW));
		f.limit = NAN;
		ASKS(f, NOT_ASKED);
		f.limit = 200;
	}
	values.quantity = QUANTITY_RAIL_DROP;      /* there is nothing to compare it with */
	ASKS(f, NOT_ASKED);
}
END_TEST

START_TEST(above_three_times_its_limit_is_asked)
{
	struct asked_facts f = plain();

	for (int q = QUANTITY_END_TO_END; q <= QUANTITY_RAIL_DROP; q++) {
		values.quantity = (enum quantity)q;
		f.value = 600;
		ASKS(f, NOT_ASKED);
		f.value = 600.001;
		ASKS(f, ABOUT(FAR_ABOVE));
	}
	f.limit = NAN;
	ASKS(f, NOT_ASKED);
}
END_TEST

START_TEST(twice_or_half_the_last_is_not_asked_and_more_is_of_a_joint_from_five_on)
{
	struct asked_facts f = plain();

	f.last_value = 50;
	ASKS(f, NOT_ASKED);
	f.last_value = 49.999;
	ASKS(f, ABOUT(AWAY));
	f.last_value = 200;
	ASKS(f, NOT_ASKED);
	f.last_value = 200.001;
	ASKS(f, ABOUT(AWAY));
	f.is_joint = true;
	ASKS(f, NOT_ASKED);
	f.last_value = 500;
	ASKS(f, NOT_ASKED);
	f.last_value = 500.001;
	ASKS(f, ABOUT(AWAY));
	f.last_value = 20;
	ASKS(f, NOT_ASKED);
	f.last_value = 19.999;
	ASKS(f, ABOUT(AWAY));
	values.quantity = QUANTITY_RAIL_DROP;
	ASKS(f, ABOUT(AWAY));
	f.last_value = -0.1;                       /* no factor follows */
	ASKS(f, NOT_ASKED);
}
END_TEST

/* Twice and more than a tenth of the limit of 200: 20. Of a joint's contacts the same. */
START_TEST(a_contact_is_away_by_a_factor_of_two_and_a_tenth_of_its_limit)
{
	struct asked_facts f = plain();

	for (int joint = 0; joint <= 1; joint++) {
		f.is_joint = joint == 1;
		values.quantity = QUANTITY_CONTACT_B;
		f.value = 30;
		f.last_value = 10;
		ASKS(f, NOT_ASKED);                /* three times, 20 more */
		f.value = 30.001;
		ASKS(f, ABOUT(AWAY));
		f.value = 10;
		f.last_value = 30.001;
		ASKS(f, ABOUT(AWAY));
		f.value = 100;
		f.last_value = 50;
		ASKS(f, NOT_ASKED);                /* 50 more, but twice */
		f.last_value = 49.999;
		ASKS(f, ABOUT(AWAY));
	}
	f.value = 30;
	f.last_value = 10;
	f.limit = NAN;                             /* then the factor alone counts */
	ASKS(f, ABOUT(AWAY));
}
END_TEST

static void directions(struct asked_facts *f, double forward_uv, double reverse_uv)
{
	values.forward_uv = forward_uv;
	values.reverse_uv = reverse_uv;
	reading_compute(&values, &made);
	f->value = f->conductor_uohm = made.r20_uohm;
	f->limit = 2 * made.r20_uohm;
}

/* 20 % of the mean of both, and 50 µV, half of the difference. */
START_TEST(directions_that_differ_by_20_percent_and_50_microvolts_are_asked)
{
	struct asked_facts f = plain();

	directions(&f, 1100, -900);                /* 200 of 1000; 100 µV */
	ASKS(f, NOT_ASKED);
	directions(&f, 1101, -900);                /* 201 of 1000.5 */
	ASKS(f, ABOUT(DIRECTIONS));
	directions(&f, 900, -1101);
	ASKS(f, ABOUT(DIRECTIONS));
	directions(&f, -1101, 900);                /* clips the wrong way round: no result at all */
	ASKS(f, NOT_ASKED);
	directions(&f, 200, -100);                 /* 67 %, but 50 µV */
	ASKS(f, NOT_ASKED);
	directions(&f, 200.1, -100);
	ASKS(f, ABOUT(DIRECTIONS));
	directions(&f, 10000, -9800);              /* 100 µV, but 2 % */
	ASKS(f, NOT_ASKED);
	directions(&f, 1000, NAN);
	ASKS(f, NOT_ASKED);
}
END_TEST

START_TEST(a_thermal_voltage_over_500_microvolts_is_asked)
{
	struct asked_facts f = plain();

	directions(&f, 20500, -19500);             /* 5 %, 500 µV */
	ASKS(f, NOT_ASKED);
	directions(&f, 20501, -19500);
	ASKS(f, ABOUT(THERMAL));
	directions(&f, 19500, -20501);
	ASKS(f, ABOUT(THERMAL));
	directions(&f, 1800, -200);                /* 160 %, 800 µV */
	ASKS(f, ABOUT(DIRECTIONS) | ABOUT(THERMAL));
}
END_TEST

START_TEST(the_same_sign_both_ways_is_asked)
{
	struct asked_facts f = plain();

	directions(&f, 1000, 1000);
	f.value = f.conductor_uohm = f.limit = NAN;
	ASKS(f, ABOUT(SAME_SIGN));
	directions(&f, -1000, -900);
	ASKS(f, ABOUT(SAME_SIGN));
	directions(&f, 1000, 0);
	ASKS(f, ABOUT(SAME_SIGN));
	/* a digit too many, and the sign is right: the difference tells */
	directions(&f, 90000, -9000);
	ASKS(f, ABOUT(DIRECTIONS) | ABOUT(THERMAL));
}
END_TEST

START_TEST(a_method_that_the_instrument_cannot_do_is_asked)
{
	struct asked_facts f = plain();

	f.meter_cannot = true;
	ASKS(f, ABOUT(METHOD));
}
END_TEST

START_TEST(a_temperature_15_kelvin_from_the_rounds_is_asked_of_an_end_to_end_reading)
{
	struct asked_facts f = plain();

	f.round_temp_c = 5;
	ASKS(f, NOT_ASKED);
	f.round_temp_c = 4.999;
	ASKS(f, ABOUT(TEMPERATURE));
	f.round_temp_c = 35;
	ASKS(f, NOT_ASKED);
	f.round_temp_c = 35.001;
	ASKS(f, ABOUT(TEMPERATURE));
	values.is_climate = true;                  /* none was noted */
	ASKS(f, NOT_ASKED);
	values.is_climate = false;
	values.quantity = QUANTITY_CONTACT_A;      /* nothing is corrected by it */
	ASKS(f, NOT_ASKED);
}
END_TEST

START_TEST(the_factors_are_the_rulebooks)
{
	struct rulebook rulebook = rulebook_default();
	struct asked_facts f = plain();

	rulebook.asked.least_share = 1.001;
	rulebook.asked.most_times = 0.499;
	rulebook.asked.away_times = 1.5;
	f.last_value = 60;
	ck_assert_uint_eq(asked_of(&rulebook, &f), ABOUT(FAR_BELOW) | ABOUT(FAR_ABOVE) | ABOUT(AWAY));
}
END_TEST

START_TEST(size_is_answered_by_agreeing_and_other_questions_by_one_that_has_them_not)
{
	const unsigned size = ABOUT(FAR_BELOW) | ABOUT(FAR_ABOVE) | ABOUT(AWAY) | ABOUT(TWICE);

	ck_assert(asked_answers(size, size));
	ck_assert(asked_answers(size, 0));
	ck_assert(asked_answers(0, ABOUT(METHOD)));
	for (int q = 0; q < ASKEDS; q++) {
		unsigned one = 1u << q;

		ck_assert(asked_answers(one, 0));
		ck_assert_int_eq(asked_answers(one, one), (one & size) != 0);
		ck_assert_int_eq(asked_answers(one | ABOUT(AWAY), one), (one & size) != 0);
	}
}
END_TEST

/* U of 3, 4 and 12 µΩ: meter, temperature, repeatability; all of them 13, without the meter
 * 12.65. */
START_TEST(two_values_agree_within_the_root_of_both_uncertainties)
{
	const struct uncertainty a = { 3, 4, 0, 5 }, b = { 12, 0, 0, 12 }, c = { 0, 0, 0, 0 };

	ck_assert(asked_agree(100, &a, 113, &b, false));        /* 5² + 12² = 13² */
	ck_assert(asked_agree(113, &a, 100, &b, false));
	ck_assert(!asked_agree(100, &a, 113.001, &b, false));
	/* one meter is off alike in both: 4 of the first is left */
	ck_assert(asked_agree(100, &a, 104, &b, true));
	ck_assert(!asked_agree(100, &a, 104.001, &b, true));
	ck_assert(asked_agree(100, &c, 100, &c, true));
	ck_assert(!asked_agree(NAN, &a, 100, &b, false));
	ck_assert(!asked_agree(100, &a, NAN, &b, false));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { an_honest_reading_is_not_asked,
		below_0_3_of_the_conductor_is_asked_of_a_joint_below_a_hundredth,
		a_contact_is_asked_below_0_005_of_its_limit_whatever_its_conductor,
		above_three_times_its_limit_is_asked,
		twice_or_half_the_last_is_not_asked_and_more_is_of_a_joint_from_five_on,
		a_contact_is_away_by_a_factor_of_two_and_a_tenth_of_its_limit,
		directions_that_differ_by_20_percent_and_50_microvolts_are_asked,
		a_thermal_voltage_over_500_microvolts_is_asked, the_same_sign_both_ways_is_asked,
		a_method_that_the_instrument_cannot_do_is_asked,
		a_temperature_15_kelvin_from_the_rounds_is_asked_of_an_end_to_end_reading,
		the_factors_are_the_rulebooks,
		size_is_answered_by_agreeing_and_other_questions_by_one_that_has_them_not,
		two_values_agree_within_the_root_of_both_uncertainties, NULL };

	return case_run("asked", tests);
}
