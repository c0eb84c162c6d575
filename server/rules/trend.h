/*
 * The trend of one quantity of a bond since its newest attachment, and when its limit is crossed.
 *
 * Ordinary least squares of R20 over days (slope, its standard error, two-sided 95 % prediction
 * band with Student's t of n - 2) and the Theil-Sen slope beside it (median of the slopes of all
 * pairs on different days; intercept median(y) - slope median(x)). At least 3 readings over at
 * least 180 days.
 *
 * A forecast is given only when the slope is positive at 95 % (one-sided: slope / se >= t 0.95) and
 * the limit is not crossed yet: the day on which the fitted line crosses the limit, and the early
 * day, on which the upper prediction limit does.
 *
 * A higher last reading never gives a later early day. Raised far above the line of those before
 * it, it would widen the band until the slope is not proven any more, and the forecast would be
 * lost just when it matters: then the early day is that of the highest last reading below it for
 * which the day still moves forward (`held`).
 *
 * Server only: uses GSL for Student's t. Checked against NIST StRD and an independent library.
 */
#ifndef RULES_TREND_H
#define RULES_TREND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/table.h"

enum { TREND_LEAST_POINTS = 3, TREND_LEAST_DAYS = 180 };

struct trend_point { int32_t day; double value; };   /* by day, oldest first; days may be equal */

/* Why there is no forecast. The numbers are stored: only add at the end. */
enum trend_lack {
	TREND_COMPLETE,               /* there is one */
	TREND_TOO_FEW,                /* fewer than 3 readings */
	TREND_TOO_SHORT,              /* over fewer than 180 days */
	TREND_NOT_RISING,             /* slope not positive at 95 % */
	TREND_NO_LIMIT,
	TREND_CROSSED,                /* the fitted line is at or over the limit on the last day */
	TREND_FAR                     /* later than a hundred years */
};
extern const struct words trend_lack_words;

struct trend {
	size_t n;
	int32_t first_day, last_day;
	bool fitted;                  /* false: too few or too short, all below but lack is NAN */
	double slope_per_day, slope_se;
	double at_mean;               /* fitted value on mean_day */
	double mean_day;              /* mean of the days */
	double sxx;                   /* sum of squared deviations of the days */
	double s;                     /* residual standard deviation */
	double r2;
	double t95_two_sided;         /* Student's t, 0.975, n - 2 */
	double theil_sen_per_day, theil_sen_intercept_at_mean;
	enum trend_lack lack;
	int32_t crosses_day;          /* of the fitted line; DAY_NONE */
	int32_t early_day;            /* of the upper prediction limit, after last_day; DAY_NONE */
	bool held;
};

void trend_compute(const struct trend_point *points, size_t n, double limit, struct trend *to);

/* Fitted value and prediction limits on a day; NAN unless fitted. */
double trend_at(const struct trend *trend, double day);
double trend_half_band(const struct trend *trend, double day);

#endif
