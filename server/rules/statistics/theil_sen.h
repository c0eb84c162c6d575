/*
 * The line of Theil and Sen: the median of the slopes of all pairs of points on different days
 * (P. K. Sen, "Estimates of the regression coefficient based on Kendall's tau", 1968). One wild
 * reading hardly moves it.
 *
 * Of more than 64 points the newest 64 are taken. The median of an even number of slopes is the
 * mean of the middle two. The line goes through (median of the days, median of the values); the
 * other convention in use, median(value - slope * day), is not ours.
 */
#ifndef RULES_STATISTICS_THEIL_SEN_H
#define RULES_STATISTICS_THEIL_SEN_H

#include <stdbool.h>
#include <stddef.h>

enum { THEIL_SEN_MOST = 64 };

struct trend_point;

/* slope, and the line's value on a day. False: no two of the points are on different days. */
bool theil_sen(const struct trend_point *points, size_t n, double on_day, double *slope,
	double *value);

#endif
