/* Whether a place gets worse or better: published figures, exact chances, and what is claimed at
 * places that chance alone made. */
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "case.h"
#include "reference.h"
#include "rules/rulebook.h"
#include "rules/statistics/place_trend.h"
#include "rules/statistics/repeat.h"

static void assert_near(double is, double wanted, double within)
{
	ck_assert_msg(fabs(is - wanted) <= within, "%.9g is within %g of %.9g", is, within, wanted);
}

START_TEST(agrees_with_the_nist_repair_data)
{
	/* U computed from the formula of the NIST Dataplot manual; its normal P(Z < U) is 0.092263, and
	 * of ten uniform numbers the exact one is near it */
	struct reference data;
	struct place_trend trend;
	double at[REFERENCE_ROWS];

	reference_read("trend_repair_nist.csv", &data);
	ck_assert_uint_eq(data.rows, 10);
	for (size_t i = 0; i < data.rows; i++) {
		at[i] = data.cell[i][1];
	}
	trend = place_trend_compute(at, data.rows, 1500, 1500, 2, 1);
	assert_near(trend.u, -1.326949, 1e-6);
	assert_near(trend.p, 2 * 0.092263, 0.004);
	ck_assert_int_eq(trend.meaning, TREND_NONE);
}
END_TEST

START_TEST(agrees_with_the_data_of_rocof)
{
	/* documentation of "reliability", ROCOF: U 2.685168 with the last of 30 counted, by time */
	struct reference data;
	double at[REFERENCE_ROWS], sum = 0;

	reference_read("trend_rocof.csv", &data);
	for (size_t i = 0; i < data.rows; i++) {
		sum += data.cell[i][1];
		at[i] = sum;
	}
	assert_near(place_trend_compute(at, data.rows, sum, sum, 2, 1).u, 2.685168, 1e-6);
	ck_assert_int_eq(place_trend_compute(at, data.rows, sum, sum, 2, 1).meaning, TREND_WORSE);
}
END_TEST

/* Days of 3,652; U by the formula, computed apart. */
static const struct { double at[5]; size_t n; double u; } u_rows[] = {
	{ { 1000, 2000, 3500, 3600 }, 4, 1.326071757 }, { { 10, 20, 30 }, 3, -2.967141292 },
	{ { 3000, 3300, 3500, 3600, 3640 }, 5, 3.355454356 },
};

START_TEST(reckons_to_today_and_not_to_the_last_event)
{
	for (size_t i = 0; i < sizeof u_rows / sizeof u_rows[0]; i++) {
		assert_near(place_trend_compute(u_rows[i].at, u_rows[i].n, 3652, 3652, 2, 1).u, u_rows[i].u,
			1e-9);
	}
}
END_TEST

START_TEST(knows_the_exact_chance_of_a_mean)
{
	/* 2 P(mean <= m) in exact fractions (Irwin and Hall) */
	assert_near(place_mean_chance(2, 0.2), 4.0 / 25, 1e-14);
	assert_near(place_mean_chance(2, 0.8), 4.0 / 25, 1e-14);
	assert_near(place_mean_chance(4, 0.25), 1.0 / 12, 1e-14);
	assert_near(place_mean_chance(5, 0.3), 119.0 / 960, 1e-14);
	assert_near(place_mean_chance(5, 0.5), 1, 1e-14);
	/* from 20 to 21 the normal form takes over: 1.96 sd of a mean of 21 numbers are 5 % */
	assert_near(place_mean_chance(21, 0.5 + 1.959964 / sqrt(12 * 21)), 0.05, 1e-6);
	assert_near(place_mean_chance(20, 0.5 + 1.959964 / sqrt(12 * 20)), 0.05, 5e-4);
}
END_TEST

START_TEST(takes_the_chance_given_what_picked_the_place)
{
	/* two events within a quarter of the time, their mean so far from the middle: by geometry,
	 * exact; without the condition 4/25, 1/25, 1/100 */
	static const struct { double mean, p; } rows[] = { { 0.2, 11.0 / 35 }, { 0.9, 16.0 / 175 },
		{ 0.95, 4.0 / 175 } };

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const double at[] = { rows[i].mean - 0.01, rows[i].mean + 0.01 };
		struct place_trend t = place_trend_compute(at, 2, 1, 0.25, 2, i + 1);

		assert_near(t.p, rows[i].p, 3 * sqrt(rows[i].p / 9999) + 1e-4);
		ck_assert_int_eq(t.meaning, TREND_TOO_FEW);   /* of two events nothing is said */
	}
}
END_TEST

START_TEST(says_nothing_of_what_is_too_few_or_too_rare)
{
	const double one[] = { 1 }, five[] = { 990, 991, 992, 993, 994 };

	ck_assert_int_eq(place_trend_compute(one, 1, 10, 5, 2, 1).meaning, TREND_TOO_FEW);
	ck_assert_int_eq(place_trend_compute(five, 3, 0, 5, 2, 1).meaning, TREND_TOO_FEW);
	/* five within a thousandth of the time: hardly one of 10^11 draws would be kept */
	ck_assert(isnan(place_trend_compute(five, 5, 1000, 1, 5, 1).p));
	ck_assert_int_eq(place_trend_compute(five, 5, 1000, 1, 5, 1).meaning, TREND_TOO_FEW);
	/* half and just more than half of the bound where nothing is rejected: 2 periods, least 3 */
	ck_assert_int_eq(place_trend_compute(five, 5, 1000, 500, 3, 1).meaning, TREND_WORSE);
}
END_TEST

enum { EVENTS = 80, YEARS = 20, RAILS = 60 };

/* Failures at random ends and days of a rail of 500 joints. */
static void any_rail(gsl_rng *random, struct repeat_failure *failures)
{
	for (int64_t i = 0; i < EVENTS; i++) {
		failures[i] = (struct repeat_failure){ .id = i,
			.day = (int32_t)gsl_rng_uniform_int(random, YEARS * 365),
			.distance_mm = 40000 * (int64_t)gsl_rng_uniform_int(random, 500) };
	}
}

/* All events of the rail within the span of the place, not those alone that make it one. */
static bool is_told(const struct repeat_failure *failures, const struct repeat_place *place,
	unsigned long seed, bool *counts)
{
	double at[EVENTS];
	size_t n = 0;
	struct place_trend t;

	for (size_t i = 0; i < EVENTS; i++) {
		if (failures[i].distance_mm >= place->from_mm && failures[i].distance_mm <= place->to_mm) {
			at[n++] = failures[i].day;
		}
	}
	t = place_trend_compute(at, n, YEARS * 365, 5 * 365.25, 2, seed);
	*counts = !isnan(t.p);
	return t.p <= 0.05;
}

/* Of places that chance made no more than one of twenty is told to get worse or better. (By the
 * normal form, without the condition, it was one of nine.) */
START_TEST(claims_no_more_than_one_of_twenty_where_there_is_nothing)
{
	struct rulebook rulebook = rulebook_default();
	gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
	struct repeat_failure failures[EVENTS];
	size_t told = 0, all = 0;

	rulebook.repeat_period_months = 60;
	rulebook.repeat_least_count = 2;
	gsl_rng_set(random, 5);
	for (int rail = 0; rail < RAILS; rail++) {
		struct repeat_places places;

		any_rail(random, failures);
		ck_assert(repeat_find(failures, EVENTS, &rulebook, &places));
		for (size_t i = 0; i < places.count; i++) {
			bool counts;

			told += is_told(failures, &places.places[i], all + 1, &counts);
			all += counts;
		}
		repeat_places_release(&places);
	}
	gsl_rng_free(random);
	printf("told of %zu places that chance made: %zu (%.1f %%)\n", all, told,
		100 * (double)told / (double)all);
	ck_assert_uint_gt(all, 100);
	ck_assert_msg((double)told <= (double)all * 0.05 + 3 * sqrt((double)all * 0.05 * 0.95),
		"%zu of %zu", told, all);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_the_nist_repair_data, agrees_with_the_data_of_rocof,
		reckons_to_today_and_not_to_the_last_event, knows_the_exact_chance_of_a_mean,
		takes_the_chance_given_what_picked_the_place, says_nothing_of_what_is_too_few_or_too_rare,
		claims_no_more_than_one_of_twenty_where_there_is_nothing, NULL };

	return case_run("place_trend", tests);
}
