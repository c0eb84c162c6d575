/*
 * Prints made series and what trend.c says of them, one JSON object a line, for trend_outside.py to
 * compute by other means.
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>

#include "base/day.h"
#include "rules/statistics/trend.h"

enum { SERIES = 1000, MOST = 64 };

static uint64_t state = 314159;

static double uniform(double from, double to)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return from + (to - from) * (double)(state >> 11) / 9007199254740992.0;
}

static void print_day(const char *name, int32_t day)
{
	if (day == DAY_NONE) {
		printf(", \"%s\": null", name);
	} else {
		printf(", \"%s\": %d", name, day);
	}
}

static void print_points(const struct trend_point *points, size_t n)
{
	printf(", \"points\": [");
	for (size_t i = 0; i < n; i++) {
		printf("%s[%d, %.17g, %d, %.17g, %.17g, %.17g]", i > 0 ? ", " : "", points[i].day,
			points[i].value, (int)points[i].meter, points[i].meter_percent, points[i].meter_uohm,
			points[i].extra_share);
	}
	printf("]}\n");
}

static void print(const struct trend_facts *facts, struct trend_point *points, size_t n)
{
	struct trend t;

	trend_compute(facts, points, n, &t);
	printf("{\"rise\": \"%s\", \"lack\": \"%s\", \"drop\": %d, \"limit\": %.17g, \"first_m\": %.17g, "
		"\"temp\": %.17g, \"repeat\": %.17g, \"scatter\": %.17g, \"theil_sen\": %.17g, "
		"\"theil_sen_at_mean\": %.17g, \"sigma_next\": %.17g", trend_rise_words.code[t.rise],
		trend_lack_words.code[t.lack], facts->quantity == QUANTITY_RAIL_DROP, facts->limit,
		facts->first_equivalent_m, facts->temp_share, facts->repeat_share, facts->scatter_share,
		t.theil_sen_per_day, t.theil_sen_at_mean, t.sigma_next);
	print_day("crosses", t.crosses_day);
	print_day("early", t.early_day);
	print_day("low", t.crosses_low_day);
	print_day("high", t.crosses_high_day);
	printf(", \"crosses_line\": %d, \"lines\": [", (int)t.crosses_line);
	for (int i = 0; i < t.lines; i++) {
		const struct trend_line *line = &t.line[i];

		printf("%s[%zu, %.17g, %.17g, %.17g, %.17g, %.17g, %.17g]", i > 0 ? ", " : "", line->n,
			line->mean_day, line->level, line->slope_per_day, line->var_level, line->cov,
			line->var_slope);
	}
	printf("]");
	print_points(points, n);
}

int main(void)
{
	for (int i = 0; i < SERIES; i++) {
		struct trend_point points[MOST];
		/* most bonds have few readings, some have many */
		size_t n = 3 + (size_t)(uniform(0, 1) < 0.8 ? uniform(0, 12) : uniform(0, MOST - 2));
		double slope = uniform(-0.01, 0.05), scatter = exp(uniform(-4, 2.5));
		struct trend_facts facts = { .quantity = i % 3 == 0 ? QUANTITY_RAIL_DROP :
			QUANTITY_END_TO_END, .limit = uniform(100, 300), .first_equivalent_m = uniform(60, 140),
			.temp_share = uniform(0, 0.02), .repeat_share = uniform(0, 0.03),
			.scatter_share = uniform(-0.01, 0.02) };
		int32_t first = (int32_t)uniform(0, 20000), day = first;

		for (size_t k = 0; k < n; k++) {
			points[k] = (struct trend_point){ .day = day, .value = 100 + scatter * uniform(-1, 1) +
				slope * (day - first), .meter = (int64_t)uniform(0, 3),
				.meter_percent = uniform(0, 1), .meter_uohm = uniform(0, 2),
				.extra_share = uniform(0, 1) < 0.3 ? uniform(0, 0.1) : 0 };
			day += k > 0 && uniform(0, 1) < 0.1 ? 0 : (int32_t)uniform(180, 500);
		}
		facts.scatter_share = fmax(facts.scatter_share, 0);
		print(&facts, points, n);
	}
	return 0;
}
