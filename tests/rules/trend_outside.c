/*
 * Prints made series and what trend.c says of them, one JSON object a line, for trend_outside.py to
 * compare with another library.
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>

#include "rules/student.h"
#include "rules/trend.h"

enum { SERIES = 1000, MOST = 64 };

static uint64_t state = 314159;

static double uniform(double from, double to)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return from + (to - from) * (double)(state >> 11) / 9007199254740992.0;
}

static void number(const char *name, double value)
{
	if (isnan(value)) {
		printf(", \"%s\": null", name);
	} else {
		printf(", \"%s\": %.17g", name, value);
	}
}

static void print(const struct trend_point *points, size_t n, double limit)
{
	struct trend t;

	trend_compute(points, n, limit, &t);
	printf("{\"lack\": \"%s\", \"held\": %d, \"crosses_day\": %d, \"early_day\": %d",
		trend_lack_words.code[t.lack], t.held, t.crosses_day, t.early_day);
	number("limit", limit);
	number("slope", t.slope_per_day);
	number("se", t.slope_se);
	number("s", t.s);
	number("r2", t.r2);
	number("t975", t.t95_two_sided);
	number("t95", student_t_95(n - 2));
	number("theil_sen", t.theil_sen_per_day);
	number("mean_day", t.mean_day);
	number("theil_sen_at_mean", t.theil_sen_at_mean);
	printf(", \"bands\": [");
	for (int i = 0; i < 4; i++) {
		double day = t.first_day + i * 700;

		printf("%s[%.17g, %.17g, %.17g]", i > 0 ? ", " : "", day, trend_at(&t, day),
			trend_half_band(&t, day));
	}
	printf("], \"x\": [");
	for (size_t i = 0; i < n; i++) {
		printf("%s%.17g", i > 0 ? ", " : "", points[i].day);
	}
	printf("], \"y\": [");
	for (size_t i = 0; i < n; i++) {
		printf("%s%.17g", i > 0 ? ", " : "", points[i].value);
	}
	printf("]}\n");
}

int main(void)
{
	for (int i = 0; i < SERIES; i++) {
		struct trend_point points[MOST];
		/* most bonds have few readings, some have many */
		size_t n = 3 + (size_t)(uniform(0, 1) < 0.8 ? uniform(0, 12) : uniform(0, MOST - 2));
		double day = floor(uniform(0, 20000)), slope = uniform(-0.01, 0.05);
		double scatter = exp(uniform(-4, 2.5)), limit = uniform(100, 300);

		for (size_t k = 0; k < n; k++) {
			points[k] = (struct trend_point){ day, 100 + scatter * uniform(-1, 1) +
				(k > 0 ? slope * (day - points[0].day) : 0) };
			day += k > 0 && uniform(0, 1) < 0.1 ? 0 : floor(uniform(180, 500));
		}
		print(points, n, limit);
	}
	return 0;
}
