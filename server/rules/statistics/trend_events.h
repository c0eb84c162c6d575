/*
 * Are the failures of one place coming closer together: Laplace's test of a trend in events.
 *
 * With n events at times t1 <= ... <= tn from the start of the observation, and its length T:
 *
 *     U = (mean of t - T / 2) / (T * sqrt(1 / (12 n)))
 *
 * which is close to a standard normal when the events come at a constant rate, whatever that rate
 * is. U above 0: they gather towards the end (getting worse). When the observation was ended by an
 * event, T is the time of the last one, and that one is dropped from n: keeping it would always
 * pull U up. Source: NIST Dataplot reference manual, "reliability trends test"; the rule of the
 * dropped event: documentation of the Python package "reliability", ROCOF.
 *
 * The normal form is good from two events on: for two the exact chance beyond 1.96 is 4 % where
 * the normal says 5 % (the sum of two uniform numbers, by hand).
 */
#ifndef RULES_STATISTICS_TREND_EVENTS_H
#define RULES_STATISTICS_TREND_EVENTS_H

#include <stddef.h>

#include "base/table.h"

enum truncation {
	TRUNCATED_BY_TIME,      /* watched up to a day: every event counts */
	TRUNCATED_BY_FAILURE    /* watched up to the last event */
};

enum trend_meaning {
	TREND_TOO_FEW,          /* fewer than two events that count, or no time in which they lie */
	TREND_NONE,             /* p above 0.05 */
	TREND_WORSE,
	TREND_BETTER
};
/* Titles are clauses: "no trend that could not be chance". */
extern const struct words trend_meaning_words;

struct trend_events {
	size_t counted;         /* events that count */
	double u;               /* NAN for TREND_TOO_FEW; likewise p */
	double p;               /* of a U at least as far from 0, either side, by chance */
	enum trend_meaning meaning;
};

/*
 * at   times of the events from the start of the observation, any unit, any order, none negative.
 * end  length of the observation in the same unit, at least the greatest of at; not used when
 *      TRUNCATED_BY_FAILURE.
 */
struct trend_events trend_events_compute(const double *at, size_t n, double end,
	enum truncation truncation);

#endif
