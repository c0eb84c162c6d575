/*
 * What trend.h promises of the last reading, on made series: raised step by step, the early day is
 * never later and a forecast is never lost. And what the days mean, by looking at the days beside
 * them.
 */
#include <math.h>
#include <stdio.h>

#include "base/day.h"
#include "case.h"
#include "rules/trend.h"

enum { SERIES = 20000, STEPS = 8, MOST = 14 };

static uint64_t state;

static double uniform(double from, double to)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return from + (to - from) * (double)(state >> 11) / 9007199254740992.0;
}

/* Rising a little, with scatter; some readings share a day, some series are in line exactly. */
static size_t series_make(struct trend_point *to, double *limit)
{
	size_t n = 3 + (size_t)uniform(0, MOST - 3 + 1);
	double day = floor(uniform(0, 20000)), slope = uniform(-0.01, 0.05);
	double scatter = uniform(0, 1) < 0.1 ? 0 : exp(uniform(-4, 2.5));

	for (size_t i = 0; i < n; i++) {
		to[i].day = day;
		to[i].value = 100 + slope * (day - to[0].day) + scatter * uniform(-1, 1);
		if (uniform(0, 1) < 0.5) {
			to[i].value = round(to[i].value * 10) / 10;
		}
		day += uniform(0, 1) < 0.15 ? 0 : floor(uniform(1, 700));
	}
	*limit = to[n - 1].value + uniform(-5, 120);
	return n;
}

static double upper(const struct trend *t, double day)
{
	return trend_at(t, day) + trend_half_band(t, day);
}

static void check_days(const struct trend *t, double limit)
{
	ck_assert_int_ne(t->early_day, DAY_NONE);
	ck_assert_int_gt(t->early_day, t->last_day);
	ck_assert_int_le(t->early_day, t->last_day + TREND_FAR_DAYS);
	ck_assert(t->slope_per_day > 0);
	ck_assert(upper(t, t->early_day) >= limit);
	ck_assert(t->held || t->early_day == t->last_day + 1 ||
		upper(t, t->early_day - 1) < limit);
	if (t->crosses_day != DAY_NONE) {
		ck_assert_int_le(t->early_day, t->crosses_day);
		ck_assert(trend_at(t, t->crosses_day) >= limit);
		ck_assert(trend_at(t, t->crosses_day - 1) < limit);
	} else {
		ck_assert(trend_at(t, t->last_day + TREND_FAR_DAYS) < limit);
	}
}

static void check_raised(const struct trend *before, const struct trend *t, const char *where)
{
	bool was_given = before->lack == TREND_COMPLETE;

	if (before->lack == TREND_CROSSED) {
		ck_assert_msg(t->lack == TREND_CROSSED, "%s: under the limit again", where);
	}
	if (before->lack == TREND_FAR) {
		ck_assert_msg(t->lack != TREND_NOT_RISING, "%s: lost", where);
	}
	if (was_given && t->lack != TREND_CROSSED) {
		ck_assert_msg(t->lack == TREND_COMPLETE, "%s: lost (%s)", where,
			trend_lack_words.code[t->lack]);
		ck_assert_msg(t->early_day <= before->early_day, "%s: early %d after %d", where,
			t->early_day, before->early_day);
		ck_assert_msg(before->crosses_day == DAY_NONE || (t->crosses_day != DAY_NONE &&
			t->crosses_day <= before->crosses_day), "%s: crosses later", where);
	}
}

START_TEST(a_higher_last_reading_is_never_less_urgent)
{
	size_t given = 0, crossed = 0, held = 0, moved = 0;

	state = 20240229;
	for (int i = 0; i < SERIES; i++) {
		struct trend_point points[MOST];
		struct trend before = { .lack = TREND_FEW_READINGS }, t;
		double limit, step = exp(uniform(-4, 3));
		size_t n = series_make(points, &limit);
		char where[80];

		points[n - 1].value -= step * 4;
		for (size_t j = n - 1; j > 0 && points[j - 1].day == points[n - 1].day; j--) {
			points[n - 1].value = fmax(points[n - 1].value, points[j - 1].value);
		}
		for (int raised = 0; raised < STEPS; raised++) {
			snprintf(where, sizeof where, "series %d of %zu, step %d", i, n, raised);
			trend_compute(points, n, limit, &t);
			if (raised > 0) {
				check_raised(&before, &t, where);
			}
			if (t.lack == TREND_COMPLETE) {
				check_days(&t, limit);
			}
			given += t.lack == TREND_COMPLETE;
			crossed += t.lack == TREND_CROSSED;
			held += t.held;
			moved += before.lack == TREND_COMPLETE && t.early_day < before.early_day;
			before = t;
			points[n - 1].value += uniform(0, 1) < 0.2 ? 1e-9 : step * uniform(0, 2);
		}
	}
	/* it has looked at something */
	ck_assert_msg(given > 20000 && crossed > 5000 && held > 2000 && moved > 10000,
		"%zu given, %zu crossed, %zu held, %zu moved", given, crossed, held, moved);
}
END_TEST

/* The day of the upper limit alone, without any rule for the last reading; at most `most`. */
static int32_t plain_day(struct trend_point *points, size_t n, double value, double limit,
	int32_t most)
{
	struct trend t;
	int32_t below, middle;

	points[n - 1].value = value;
	trend_compute(points, n, limit, &t);
	below = t.last_day;
	while (most - below > 1) {
		middle = below + (most - below) / 2;
		if (upper(&t, middle) < limit) {
			below = middle;
		} else {
			most = middle;
		}
	}
	return most;
}

/* "the lowest upper limit that this or any higher last reading would give": tried out, ever finer
 * about the best */
START_TEST(a_held_day_is_one_that_a_higher_reading_gives)
{
	size_t tried = 0;

	state = 7;
	while (tried < 200) {
		struct trend_point points[MOST];
		struct trend t;
		int32_t latest = 0;
		double limit, best, low;
		size_t n = series_make(points, &limit);

		trend_compute(points, n, limit, &t);
		if (t.lack != TREND_COMPLETE || !t.held || t.early_day == t.last_day + 1 ||
			points[n - 2].day == points[n - 1].day) {
			continue;
		}
		tried++;
		low = best = points[n - 1].value;
		for (double step = 1; step > 1e-7; step /= 10) {
			double from = fmax(low, best - 20 * step);

			for (int i = 0; i <= 40; i++) {
				int32_t day = plain_day(points, n, from + i * step, limit, t.early_day + 10);

				if (day > latest) {
					latest = day;
					best = from + i * step;
				}
			}
		}
		ck_assert_msg(abs(latest - t.early_day) <= 1, "%d, but %d by trying", t.early_day, latest);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_higher_last_reading_is_never_less_urgent,
		a_held_day_is_one_that_a_higher_reading_gives, NULL };

	return case_run("trend_property", tests);
}
