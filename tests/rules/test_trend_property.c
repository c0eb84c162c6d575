/*
 * What trend.h promises of a last reading, over made series of up to three meters and of readings
 * that scatter unequally: raised step by step, no day is later or lost and no rise is less. And
 * what the days mean, by looking at the days beside them.
 */
#include <math.h>

#include "base/day.h"
#include "case.h"
#include "rules/statistics/trend.h"

enum { SERIES = 100000, STEPS = 6, MOST = 14 };

static uint64_t state = 20261130;

static double uniform(double from, double to)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return from + (to - from) * (double)(state >> 11) / 9007199254740992.0;
}

static bool one_in(int n)
{
	return uniform(0, n) < 1;
}

static struct trend_facts facts_make(void)
{
	return (struct trend_facts){ .quantity = one_in(4) ? QUANTITY_RAIL_DROP : one_in(2) ?
		QUANTITY_CONTACT_A : QUANTITY_END_TO_END, .first_equivalent_m = uniform(50, 200),
		.temp_share = one_in(2) ? 0 : uniform(0, 0.03), .repeat_share = one_in(9) ? 0 :
		uniform(0, 0.05), .scatter_share = one_in(2) ? 0 : uniform(0, 0.03) };
}

/* Flat or rising, or flat and then rising; some readings share a day. */
static size_t series_make(struct trend_point *to)
{
	size_t n = 3 + (size_t)uniform(0, MOST - 2);
	double slope = uniform(-0.01, 0.05), scatter = one_in(9) ? 0 : exp(uniform(-4, 2.5));
	double bend = one_in(2) ? uniform(0, 4000) : 0;
	int32_t day = 0;

	for (size_t i = 0; i < n; i++) {
		to[i] = (struct trend_point){ .day = 15000 + day, .meter = (int64_t)uniform(0, 3),
			.value = 100 + slope * fmax(0, day - bend) + scatter * uniform(-1, 1),
			.meter_percent = uniform(0, 3), .meter_uohm = one_in(2) ? 0 : uniform(0, 3),
			.extra_share = one_in(3) ? uniform(0, 0.2) : 0 };
		day += one_in(8) ? 0 : (int32_t)uniform(1, 700);
	}
	return n;
}

static double upper(const struct trend *t, int32_t day)
{
	const struct trend_line *line = &t->line[t->early_line];

	return trend_line_at(line, day) + trend_line_half_band(line, t->sigma_next, day);
}

/* What is wrong with the days of one series; NULL. Check notes every assertion that passes in a
 * file: too slow for so many. */
static const char *wrong_days(const struct trend *t, double limit)
{
	const struct trend_line *line = &t->line[t->crosses_line];

	if (t->early_day != DAY_NONE && (t->rise != TREND_RISING || t->early_day <= t->last_day ||
		t->early_day > t->last_day + TREND_FAR_DAYS || upper(t, t->early_day) < limit ||
		(t->early_day > t->last_day + 1 && upper(t, t->early_day - 1) >= limit))) {
		return "not the first day on which it may cross";
	}
	if (t->crosses_day == DAY_NONE) {
		return NULL;
	}
	if (trend_line_at(line, t->crosses_day) < limit || t->crosses_day <= t->last_day ||
		(t->crosses_day > t->last_day + 1 && trend_line_at(line, t->crosses_day - 1) >= limit)) {
		return "not the first day on which it crosses";
	}
	if (t->early_day == DAY_NONE || t->early_day > t->crosses_day) {
		return "crosses before it may";
	}
	return t->crosses_low_day <= t->last_day || t->crosses_low_day > t->crosses_day ||
		(t->crosses_high_day != DAY_NONE && t->crosses_high_day < t->crosses_day) ?
		"bounds do not hold the day" : NULL;
}

static bool is_later(int32_t day, int32_t before)
{
	return before != DAY_NONE && (day == DAY_NONE || day > before);
}

static const char *wrong_when_raised(const struct trend *before, const struct trend *t)
{
	for (int i = 0; i < t->lines; i++) {
		if (trend_rise_of(&t->line[i]) < trend_rise_of(&before->line[i])) {
			return "a line is less rising";
		}
	}
	return t->rise < before->rise ? "less rising" :
		is_later(t->early_day, before->early_day) ? "may cross later" :
		is_later(t->crosses_day, before->crosses_day) ? "crosses later" :
		before->lack == TREND_OVER && t->lack != TREND_OVER ? "over no more" : NULL;
}

START_TEST(a_higher_last_reading_is_never_less_urgent)
{
	size_t given = 0, moved = 0, risen = 0, over = 0, newest = 0;

	for (int i = 0; i < SERIES; i++) {
		struct trend_point points[MOST];
		struct trend before = { 0 }, t;
		struct trend_facts facts = facts_make();
		double step = exp(uniform(-4, 3));
		size_t n = series_make(points), last = n - 1;

		facts.limit = points[last].value + uniform(-5, 120);
		points[last].value -= step * 3;
		for (int raised = 0; raised < STEPS; raised++) {
			const char *wrong;

			trend_compute(&facts, points, n, &t);
			wrong = wrong_days(&t, facts.limit);
			if (wrong == NULL && raised > 0) {
				wrong = wrong_when_raised(&before, &t);
			}
			if (wrong != NULL) {
				ck_abort_msg("series %d of %zu, step %d: %s", i, n, raised, wrong);
			}
			if (raised > 0) {
				moved += before.early_day != DAY_NONE && t.early_day < before.early_day;
				risen += t.rise > before.rise;
			}
			given += t.lack == TREND_COMPLETE;
			over += t.lack == TREND_OVER;
			newest += t.lack == TREND_COMPLETE && t.early_line == TREND_OF_NEWEST;
			before = t;
			/* an ulp or so, or much */
			points[last].value += one_in(5) ? 1e-13 : one_in(20) ? 1e6 : step * uniform(0, 2);
		}
	}
	/* it has looked at something */
	ck_assert_msg(given > 100000 && moved > 50000 && risen > 15000 && over > 10000 &&
		newest > 10000, "%zu given, %zu moved, %zu risen, %zu over, %zu by the newest", given,
		moved, risen, over, newest);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_higher_last_reading_is_never_less_urgent, NULL };

	return case_run("trend_property", tests);
}
