/*
 * How sure is a mean time between failures: its exact interval when failures come at a constant
 * rate, from the chi-square distribution. With r failures in a total time S:
 *
 *     from  2 S / chi2((1 + c) / 2, 2 r + 2)   to  2 S / chi2((1 - c) / 2, 2 r)   ended by time
 *     from  2 S / chi2((1 + c) / 2, 2 r)       to  the same                       by a failure
 *
 * Source: NIST/SEMATECH e-Handbook 8.4.5.1. Ended by time with no failure there is no upper end.
 *
 * Uses GSL, so it is for the server alone and not among the rules of the tablet.
 */
#ifndef RULES_STATISTICS_MEAN_TIME_H
#define RULES_STATISTICS_MEAN_TIME_H

#include <stdbool.h>
#include <stddef.h>

enum truncation {
	TRUNCATED_BY_TIME,      /* watched up to a day: every failure counts */
	TRUNCATED_BY_FAILURE    /* watched up to the last failure */
};

struct mean_time {
	double mean;            /* S / r; INFINITY for no failure; unit of the total */
	double lower, upper;    /* upper may be INFINITY */
};

/* confidence: 0.95 for 95 %, two-sided. False, nothing set: no time at all, or ended by a failure
 * that is not there. */
bool mean_time_between(size_t failures, double total, enum truncation truncation,
	double confidence, struct mean_time *to);

#endif
