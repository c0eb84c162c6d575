/*
 * What the readings of one kind and quantity scatter by, as the register proposes it for the
 * rulebook (scatter_percent): from each bond's readings about its own unweighted line.
 *
 *   of a bond    v = SSE / (y1² q): y1 the first value (of a rail drop e1), q the median of
 *                chi-square with n - 2 degrees of freedom
 *   of all       s² = the median of v, each bond weighted by its n - 2: a few bonds whose line
 * bends would spoil a mean. Of fewer than 30 degrees of freedom in all nothing is proposed
 *
 * s is too small where the errors of a bond's readings go together and its series are short (in
 * simulation 0.85 of the true one for a correlation of 0.3, 0.63 for 0.6). So the correlation of
 * neighbouring residuals stands beside it, and what independent errors would show there, which is
 * below 0: a line takes its own part of them away. Much above that: round up.
 */
#ifndef RULES_STATISTICS_SCATTER_H
#define RULES_STATISTICS_SCATTER_H

#include "rules/statistics/trend_line.h"

enum { SCATTER_LEAST_FREEDOM = 30 };

struct scatter_bond {
	size_t freedom;               /* n - 2 */
	double sse_share;             /* SSE / y1² */
	/* sums over neighbouring residuals, by the bond's own variance; as found, and as expected of
	 * independent errors */
	double lag, lag_independent;
	double v;                     /* made by scatter_propose */
};

/* What one bond tells: its evidence since the newest attachment, by day, oldest first. size: y1, or
 * e1. False: fewer than 3 readings, or over fewer than 180 days. */
bool scatter_of(const struct trend_point *points, size_t n, double size, struct scatter_bond *to);

struct scatter {
	size_t bonds, freedom;
	double share;                 /* s; 0: nothing is proposed */
	double lag_one, lag_one_independent;   /* correlations; NAN without a bond */
};

/* Sorts the bonds. */
void scatter_propose(struct scatter_bond *bonds, size_t n, struct scatter *to);

#endif
