/*
 * The trend of one quantity of a bond since its newest attachment, and when its limit is crossed.
 *
 * Ordinary least squares of R20 over days (slope, its standard error, two-sided 95 % prediction
 * band with Student's t of n - 2) and the Theil-Sen slope beside it (theil_sen.h). At least 3
 * readings over at least 180 days.
 *
 * A forecast is given only when the slope is positive at 95 % (one-sided: slope / se >= t 0.95) and
 * the limit is not crossed yet: the day on which the fitted line crosses the limit, and the early
 * day, on which the upper prediction limit does.
 *
 * Of two bonds that differ in the last reading alone, the one with the higher is never the less
 * urgent: a higher last reading never gives a later early day, and never loses a forecast. Two
 * things stand in the way, since a last reading off the line of those before it adds scatter:
 *
 *   far above   the scatter can leave the slope unproven, just when it matters. The slope counts as
 *               proven when it would be with some lower last reading: the early day is still that
 *               of the upper prediction limit of the readings as they are.
 *   below       the scatter alone would bring the early day forward, and a reading a little higher,
 *               nearer to the line, would put it back. So the early day is taken from the lowest
 *               upper limit that this or any higher last reading would give. It is never later
 *               than the day on which the fitted line crosses, but with three readings it can be
 *               much later than the crossing of the band as drawn; from six on hardly.
 *
 * `held` says that one of them was needed: the forecast does not follow from the band alone. The
 * other numbers (slope, band, r2) are always those of the readings as they are. Of several readings
 * on the last day the highest is the last.
 *
 * Server only: uses GSL for Student's t. Checked against NIST StRD and an independent library.
 */
#ifndef RULES_TREND_H
#define RULES_TREND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/table.h"

enum {
	TREND_LEAST_POINTS = 3, TREND_LEAST_DAYS = 180,
	TREND_FAR_DAYS = 36525        /* a hundred years after the last day */
};

/* By day, oldest first; days may be equal. Whole days, and finite values. */
struct trend_point { double day, value; };

/* Why there is no forecast. The numbers are stored: only add at the end. */
enum trend_lack {
	TREND_COMPLETE,               /* there is one */
	TREND_FEW_READINGS,           /* fewer than 3 readings */
	TREND_TOO_SHORT,              /* over fewer than 180 days */
	TREND_NOT_RISING,             /* slope not positive at 95 % */
	TREND_NO_LIMIT,
	TREND_CROSSED,                /* the fitted line is at or over the limit on the last day */
	TREND_FAR                     /* the early day is later than a hundred years */
};
extern const struct words trend_lack_words;

struct trend {
	size_t n;
	int32_t first_day, last_day;  /* DAY_NONE when n is 0 */
	bool fitted;                  /* false: too few or too short, all below but lack is NAN */
	double slope_per_day, slope_se;
	double at_mean;               /* fitted value on mean_day */
	double mean_day;              /* mean of the days */
	double sxx;                   /* sum of squared deviations of the days */
	double s;                     /* residual standard deviation */
	double r2;                    /* NAN when all values are equal */
	double t95_two_sided;         /* Student's t, 0.975, n - 2 */
	double theil_sen_per_day, theil_sen_at_mean;
	enum trend_lack lack;
	/* The first day on which the fitted line is at or over the limit; DAY_NONE: no forecast, or
	 * later than a hundred years. */
	int32_t crosses_day;
	/* The first day after last_day on which the upper prediction limit is; DAY_NONE: no forecast. */
	int32_t early_day;
	bool held;
};

/* limit is NAN when there is none. Crossed is said of any slope, a lack of limit only of a rising
 * one. */
void trend_compute(const struct trend_point *points, size_t n, double limit, struct trend *to);

/* Least squares alone: what stands from slope_per_day to t95_two_sided, and n. At least 3 points,
 * not all on one day; here days need not be whole. */
void trend_fit(const struct trend_point *points, size_t n, struct trend *to);

/* Fitted value and half the width of the prediction band on a day; NAN unless fitted. */
double trend_at(const struct trend *trend, double day);
double trend_half_band(const struct trend *trend, double day);

#endif
