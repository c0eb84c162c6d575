#include <math.h>

#include "base/day.h"
#include "case.h"
#include "rules/statistics/trend.h"

enum { MOST = 16 };

/*
 * A rail drop whose first reading was 100 m long before the joint's own was taken off, repeated to
 * 2 % with k = 2: sigma is 1 m for every reading, a further one too. The meter has 0.5 %: 0.5 m are
 * common to its readings.
 */
struct bench {
	struct trend_facts facts;
	struct trend_point points[MOST];
	size_t n;
	struct trend is;
};

static struct bench drop(double limit)
{
	return (struct bench){ .facts = { .quantity = QUANTITY_RAIL_DROP, .limit = limit,
		.first_equivalent_m = 100, .repeat_share = 0.02 } };
}

/* The same scatter of a contact of 100 µΩ, and a meter without an error. */
static struct bench contact(double limit)
{
	return (struct bench){ .facts = { .quantity = QUANTITY_CONTACT_A, .limit = limit,
		.repeat_share = 0.02 } };
}

static struct trend_point *add(struct bench *b, int32_t day, double value)
{
	struct trend_point *p = &b->points[b->n++];

	*p = (struct trend_point){ .day = day, .value = value, .meter = 1, .meter_percent = 0.5 };
	return p;
}

static const struct trend *compute(struct bench *b)
{
	trend_compute(&b->facts, b->points, b->n, &b->is);
	return &b->is;
}

static void add_all(struct bench *b, const int32_t *days, const double *values, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		add(b, days[i], values[i]);
	}
}

static const int32_t bend_days[] = { 0, 365, 730, 1095, 1461, 1826, 2191, 2556 };
static const double bend[] = { 100, 100, 101, 100, 100, 106, 112, 118 };

/* Case F of trend_lines.csv, cases 12 and 13: computed in exact fractions. */
START_TEST(after_a_bend_the_line_of_the_newest_foretells)
{
	struct bench b = drop(150);
	const struct trend *t;

	add_all(&b, bend_days, bend, 8);
	t = compute(&b);
	ck_assert_int_eq(t->lines, 2);
	ck_assert_uint_eq(t->line[TREND_OF_ALL].n, 8);
	ck_assert_uint_eq(t->line[TREND_OF_NEWEST].n, 4);
	ck_assert_int_eq(t->line[TREND_OF_NEWEST].first_day, 1461);
	ck_assert_int_eq(t->rise, TREND_RISING);
	ck_assert_int_eq(t->lack, TREND_COMPLETE);
	/* by all alone 7359 */
	ck_assert_int_eq(t->early_day, 4157);
	ck_assert_int_eq(t->crosses_day, 4503);
	ck_assert_int_eq(t->early_line, TREND_OF_NEWEST);
	ck_assert_int_eq(t->crosses_line, TREND_OF_NEWEST);
	ck_assert_int_eq(t->crosses_low_day, 4175);
	/* 1947 days after the last reading, the newest four span 1095 */
	ck_assert(!t->crosses_is_far && !t->early_is_far);
	/* both lines are over 110 on the next day: the newest are named */
	b.facts.limit = 110;
	t = compute(&b);
	ck_assert(t->lack == TREND_OVER && t->early_day == 2557 && t->crosses_day == 2557);
	ck_assert(t->early_line == TREND_OF_NEWEST && t->crosses_line == TREND_OF_NEWEST);
	ck_assert(t->crosses_low_day == 2557 && t->crosses_high_day == 2557);
}
END_TEST

/* Over equal steps of 90 days the slope by its error is (last - first) / √2: 3.2 at 4.52548, 2 at
 * 2.82843. With the last by another meter of 0.5 in common it is (last - first) / √2.5: 3.2 at
 * 5.05964. Whatever the middle one is. */
static const struct {
	double last;
	int64_t meter;
	enum trend_rise rise;
	enum trend_lack lack;
} steps[] = {
	{ 90, 1, TREND_NOT_RISING, TREND_NO_RISE }, { 100, 1, TREND_NOT_RISING, TREND_NO_RISE },
	{ 102.8284, 1, TREND_NOT_RISING, TREND_NO_RISE },
	{ 102.8285, 1, TREND_PERHAPS, TREND_NO_PROOF },
	{ 104.5254, 1, TREND_PERHAPS, TREND_NO_PROOF },
	{ 104.5256, 1, TREND_RISING, TREND_COMPLETE },
	{ 104.6, 2, TREND_PERHAPS, TREND_NO_PROOF },
	{ 105.0596, 2, TREND_PERHAPS, TREND_NO_PROOF },
	{ 105.0597, 2, TREND_RISING, TREND_COMPLETE },
	{ 104.6, 0, TREND_PERHAPS, TREND_NO_PROOF },   /* not known: another meter than the first */
};

START_TEST(rising_is_over_3_2_errors_and_perhaps_over_2)
{
	for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
		struct bench b = drop(200);

		add(&b, 0, 100);
		add(&b, 90, i % 2 == 0 ? 104 : 99);
		add(&b, 180, steps[i].last)->meter = steps[i].meter;
		compute(&b);
		ck_assert_msg(b.is.rise == steps[i].rise, "%g: %s", steps[i].last,
			trend_rise_words.code[b.is.rise]);
		ck_assert_msg(b.is.lack == steps[i].lack, "%g: %s", steps[i].last,
			trend_lack_words.code[b.is.lack]);
		ck_assert((b.is.early_day != DAY_NONE) == (steps[i].rise == TREND_RISING));
		ck_assert((b.is.crosses_day != DAY_NONE) == (steps[i].rise == TREND_RISING));
	}
}
END_TEST

START_TEST(meters_that_are_not_known_are_one)
{
	struct bench b = drop(200);

	add(&b, 0, 100)->meter = 0;
	add(&b, 90, 102)->meter = 0;
	add(&b, 180, 104.6)->meter = 0;
	compute(&b);
	ck_assert_int_eq(b.is.rise, TREND_RISING);
}
END_TEST

START_TEST(needs_three_readings_over_180_days)
{
	struct bench b = drop(150);

	compute(&b);
	ck_assert(b.is.lack == TREND_FEW_READINGS && b.is.first_day == DAY_NONE && !b.is.fitted);
	add(&b, 1, 100);
	add(&b, 1000, 140);
	compute(&b);
	ck_assert(b.is.lack == TREND_FEW_READINGS && b.is.last_day == 1000 && b.is.lines == 0);
	b = drop(150);
	add(&b, 1, 100);
	add(&b, 90, 120);
	add(&b, 180, 140);
	compute(&b);
	ck_assert(b.is.lack == TREND_TOO_SHORT && !b.is.fitted && b.is.early_day == DAY_NONE);
	b.points[0].day = 0;
	compute(&b);
	ck_assert(b.is.lack == TREND_COMPLETE && b.is.fitted && b.is.lines == 1);
}
END_TEST

static size_t newest_of(const int32_t *days, size_t n)
{
	struct bench b = drop(150);

	for (size_t i = 0; i < n; i++) {
		add(&b, days[i], 100);
	}
	compute(&b);
	return b.is.line[b.is.lines - 1].n;
}

/* 900 - 180 = 720 and 900 - 90 = 810: ten */
START_TEST(the_newest_are_at_least_four_over_730_days)
{
	static const int32_t quarters[] = { 0, 90, 180, 270, 360, 450, 540, 630, 720, 810, 900 };
	int32_t days[] = { 0, 270, 500, 750, 1000 };

	ck_assert_uint_eq(newest_of(bend_days, 8), 4);
	ck_assert_uint_eq(newest_of(quarters, 11), 10);
	ck_assert_uint_eq(newest_of(days, 5), 4);
	days[1] = 271;
	ck_assert_uint_eq(newest_of(days, 5), 5);
	/* three over ten years are not enough: all four */
	ck_assert_uint_eq(newest_of((int32_t[]){ 0, 1000, 2000, 4000 }, 4), 4);
	ck_assert_uint_eq(newest_of((int32_t[]){ 0, 100, 200, 300, 400 }, 5), 5);
}
END_TEST

/* A climb that only the newest show: the line of all is not rising (2, 0, -2 and then up). */
START_TEST(either_line_that_rises_is_enough)
{
	struct bench b = drop(150);

	add_all(&b, bend_days, (const double[]){ 118, 112, 106, 100, 100, 102, 104, 107 }, 8);
	compute(&b);
	ck_assert_int_eq(trend_rise_of(&b.is.line[TREND_OF_ALL]), TREND_NOT_RISING);
	ck_assert_int_eq(b.is.rise, TREND_RISING);
	ck_assert_int_eq(b.is.early_line, TREND_OF_NEWEST);
	ck_assert_int_eq(b.is.lack, TREND_COMPLETE);
	/* and the other way round: it has risen, and for three years no more */
	b.n = 0;
	add_all(&b, bend_days, (const double[]){ 100, 104, 108, 112, 115, 115, 115, 115 }, 8);
	compute(&b);
	ck_assert_int_eq(trend_rise_of(&b.is.line[TREND_OF_NEWEST]), TREND_NOT_RISING);
	ck_assert_int_eq(b.is.rise, TREND_RISING);
	ck_assert_int_eq(b.is.early_line, TREND_OF_ALL);
}
END_TEST

/* By hand: r = 1/2 √(temperature² + repeatability² + entry²), and the larger of it and s, of
 * 100. */
static const struct {
	double temp, repeat, extra, scatter, sigma;
} scatters[] = {
	{ 0, 0.02, 0, 0, 1 }, { 0, 0.02, 0, 0.0099, 1 }, { 0, 0.02, 0, 0.0101, 1.01 },
	{ 0.03, 0.04, 0, 0, 2.5 }, { 0, 0.04, 0.03, 0, 2.5 }, { 0.02, 0.02, 0.01, 0, 1.5 },
	{ 0.02, 0.02, 0.01, 0.02, 2 }, { 0, 0, 0, 0, 0.01 }, { 0, 0.0002, 0, 0, 0.01 },
	{ 0, 0.0003, 0, 0, 0.015 },
};

START_TEST(scatter_is_the_larger_of_what_the_meter_repeats_to_and_the_rulebooks)
{
	for (size_t i = 0; i < sizeof scatters / sizeof scatters[0]; i++) {
		struct bench b = contact(NAN);

		b.facts.temp_share = scatters[i].temp;
		b.facts.repeat_share = scatters[i].repeat;
		b.facts.scatter_share = scatters[i].scatter;
		add(&b, 0, 100);
		add(&b, 100, 300)->extra_share = scatters[i].extra;
		add(&b, 200, 900);
		compute(&b);
		ck_assert_msg(fabs(b.points[1].sigma - scatters[i].sigma) < 1e-13, "%zu: %.15g", i,
			b.points[1].sigma);
	}
}
END_TEST

/* The first value is 100, whatever the others are. */
START_TEST(scatter_and_meter_are_of_the_first_value)
{
	struct bench b = contact(130);

	add(&b, 0, 100)->meter_uohm = 2;
	add(&b, 100, 110)->meter_uohm = 3;
	add(&b, 200, 900)->meter_uohm = 2;
	compute(&b);
	ck_assert_double_eq_tol(b.points[2].sigma, 1, 1e-14);
	ck_assert_double_eq_tol(b.points[0].common, (0.5 + 2) / 2, 1e-14);
	ck_assert_double_eq_tol(b.points[1].common, (0.5 + 3) / 2, 1e-14);
	ck_assert_double_eq_tol(b.points[2].common, (0.5 + 2) / 2, 1e-14);
	/* of a further reading: at the limit, if that is more */
	ck_assert_double_eq_tol(b.is.sigma_next, 1.3, 1e-14);
	b.facts.limit = 90;
	compute(&b);
	ck_assert_double_eq_tol(b.is.sigma_next, 1, 1e-14);
	b.facts.limit = NAN;
	compute(&b);
	ck_assert_double_eq_tol(b.is.sigma_next, 1, 1e-14);
}
END_TEST

/* Two voltages: the meter's share counts twice, and no µΩ. The joint's own length is taken off the
 * value, not off what it scatters by. */
START_TEST(a_rail_drop_scatters_by_its_whole_length)
{
	struct bench b = drop(7);

	add(&b, 0, 5)->meter_uohm = 30;
	add(&b, 100, 5.5);
	add(&b, 200, 6);
	compute(&b);
	ck_assert_double_eq_tol(b.points[2].sigma, 1, 1e-14);
	ck_assert_double_eq_tol(b.points[0].common, 0.5, 1e-14);
	ck_assert_double_eq_tol(b.is.sigma_next, 1, 1e-14);
}
END_TEST

/* 100, 110, 120 over steps of 100 days, sigma 1: level 110 on day 100, A 1/3, C 1/20000. To 200,
 * sigma of a further reading 2: crosses at x = 900; 110 + 0.1 x + 1.96 √(1/3 + x²/20000 + 4) is 200
 * at x = 783.94 (0.00980792 x² - 18 x + 8083.353 = 0). */
static struct bench straight(double limit)
{
	struct bench b = contact(limit);

	for (int i = 0; i < 3; i++) {
		add(&b, 100 * i, 100 + 10 * i)->meter_percent = 0;
	}
	return b;
}

START_TEST(a_day_by_hand)
{
	struct bench b = straight(200);

	compute(&b);
	ck_assert_int_eq(b.is.crosses_day, 1000);
	ck_assert_int_eq(b.is.early_day, 884);
	ck_assert_double_eq_tol(b.is.theil_sen_per_day, 0.1, 1e-14);
	ck_assert_double_eq_tol(b.is.theil_sen_at_mean, 110, 1e-12);
}
END_TEST

/* Read over 200 days: 600 days on is day 800, where the line is at 180. */
START_TEST(beyond_three_times_the_days_read_is_far)
{
	struct bench b = straight(179.95);

	compute(&b);
	ck_assert_int_eq(b.is.crosses_day, 800);
	ck_assert(!b.is.crosses_is_far && !b.is.early_is_far);
	b = straight(180.05);
	compute(&b);
	ck_assert_int_eq(b.is.crosses_day, 801);
	ck_assert(b.is.crosses_is_far && !b.is.early_is_far);
	b = straight(200);
	compute(&b);
	ck_assert(b.is.crosses_is_far && b.is.early_is_far);
}
END_TEST

/* The 36525th day after the last is x = 36625: the line is at 3772.5. A further reading's band
 * there is 1.96 √(1/3 + x²/20000 + (limit / 100)²): 514.2 for 4200, 517.0 for 5000. */
START_TEST(no_day_is_foretold_beyond_a_hundred_years)
{
	struct bench b = straight(3772.49);

	compute(&b);
	ck_assert(b.is.crosses_day == 36725 && b.is.lack == TREND_COMPLETE);
	b = straight(3772.51);
	compute(&b);
	ck_assert(b.is.crosses_day == DAY_NONE && b.is.crosses_low_day == DAY_NONE);
	ck_assert(b.is.early_day != DAY_NONE && b.is.lack == TREND_COMPLETE);
	b = straight(4200);
	compute(&b);
	ck_assert(b.is.early_day != DAY_NONE && b.is.lack == TREND_COMPLETE);
	b = straight(5000);
	compute(&b);
	ck_assert(b.is.early_day == DAY_NONE && b.is.lack == TREND_FAR && b.is.rise == TREND_RISING);
}
END_TEST

START_TEST(says_why_none_is_foretold)
{
	struct bench b = straight(NAN);

	compute(&b);
	ck_assert(b.is.lack == TREND_NO_LIMIT && b.is.rise == TREND_RISING);
	ck_assert(b.is.early_day == DAY_NONE && b.is.crosses_day == DAY_NONE);
	/* an excess is there: nothing is foretold, but what followed from it does not go away */
	b = straight(120);
	compute(&b);
	ck_assert(b.is.lack == TREND_OVER && b.is.early_day == 201 && b.is.crosses_day == 201);
	b = straight(120.001);
	compute(&b);
	ck_assert(b.is.lack == TREND_COMPLETE && b.is.early_day == 201 && b.is.crosses_day == 201);
	/* of a falling bond too, and by whichever reading of the last day */
	b = straight(130);
	b.points[0].value = 150;
	add(&b, 200, 100);
	b.points[2].value = 131;
	compute(&b);
	ck_assert(b.is.lack == TREND_OVER && b.is.early_day == DAY_NONE);
	b.points[2].value = 129;
	compute(&b);
	ck_assert(b.is.lack == TREND_NO_RISE && b.is.rise == TREND_NOT_RISING);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { after_a_bend_the_line_of_the_newest_foretells,
		rising_is_over_3_2_errors_and_perhaps_over_2,
		meters_that_are_not_known_are_one, needs_three_readings_over_180_days,
		the_newest_are_at_least_four_over_730_days, either_line_that_rises_is_enough,
		scatter_is_the_larger_of_what_the_meter_repeats_to_and_the_rulebooks,
		scatter_and_meter_are_of_the_first_value, a_rail_drop_scatters_by_its_whole_length,
		a_day_by_hand, beyond_three_times_the_days_read_is_far,
		no_day_is_foretold_beyond_a_hundred_years, says_why_none_is_foretold, NULL };

	return case_run("trend", tests);
}
