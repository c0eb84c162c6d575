/*
 * A straight line through readings whose scatter is known beforehand, and how well it is known.
 *
 *   w = 1/sigma², W = Σw, mean day = Σwt / W, S = Σw (t - mean)²; h = w/W, g = w (t - mean)/S
 *   level on the mean day = Σhy, slope = Σgy
 *   Cov(p, q) = Σ p q sigma² + Σ over meters (Σ p common)(Σ q common):
 *   var_level = Cov(h, h), cov = Cov(h, g), var_slope = Cov(g, g)
 *
 * Weighted least squares (ISO/TS 28037:2010, clause 6). What is common to all readings of one meter
 * is no scatter about the line: it moves them together. With one meter it falls out of var_slope
 * and stands once in var_level; where the meter changed, it is in var_slope.
 *
 * Level and slope are sums with weights that no value enters, and the newest readings' weights are
 * positive: of two series that differ in a last reading alone, the one with the higher has no lower
 * line on any day after it, and an equal band. In floating point too: the sums are formed so that
 * rounding keeps the order.
 */
#ifndef RULES_STATISTICS_TREND_LINE_H
#define RULES_STATISTICS_TREND_LINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TREND_FAR_DAYS = 36525 };      /* a hundred years after the last day: no farther */

/* By day, oldest first; days may be equal. */
struct trend_point {
	int32_t day;
	double value;
	int64_t meter;                /* the instrument's number; 0, not known, is one meter of its own */
	double meter_percent, meter_uohm;  /* of the meter on that day: a % of the reading + b, k = 2 */
	double extra_share;           /* of U, by which this entry scatters besides, k = 2; 0: nothing */
	/* made by trend_compute, in the unit of the value, one standard deviation */
	double sigma;                 /* more than 0 */
	double common;                /* shared with the meter's other readings */
};

struct trend_line {
	size_t n;
	int32_t first_day, last_day;
	double mean_day, level;       /* days since 1970-01-01; the line's value on that day */
	double slope_per_day;
	double var_level, cov, var_slope;
};

/* At least 2 points, not all on one day, with sigma and common. */
void trend_line_fit(const struct trend_point *points, size_t n, struct trend_line *to);

/* The line's value on a day, and half the width of the band in which a further reading of standard
 * deviation sigma_next is expected, 95 %; with 0 that of the line itself. */
double trend_line_at(const struct trend_line *line, double day);
double trend_line_half_band(const struct trend_line *line, double sigma_next, double day);

/* The first day after the last on which the line, or with a sigma_next that is no NAN the upper end
 * of its band, is at or over the limit. DAY_NONE: later than a hundred years, or no limit (NAN). Of
 * a line whose slope is over 1.96 of its errors: both rise then with every day. */
int32_t trend_line_reaches(const struct trend_line *line, double limit, double sigma_next);

/* Fieller's bounds, 95 %, of the day on which the true line is at the limit: the roots of
 * (line - limit)² = 1.96² var(line). Of a slope over 1.96 of its errors, or false: no bounds. */
bool trend_line_fieller(const struct trend_line *line, double limit, double *low, double *high);

#endif
