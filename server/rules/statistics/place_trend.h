/*
 * Is a place getting worse or better: do its events come sooner or later than a steady rate would
 * bring them.
 *
 * With n events at times t within the place's span, from the beginning of the record to today, T:
 *
 *     U = (mean of t - T / 2) / (T * sqrt(1 / (12 n)))
 *
 * (Laplace's test; source of the formula: NIST Dataplot reference manual, "reliability trends
 * test".) A place is listed because some of its events lie within one period, wherever that was:
 * that leaves U centred but makes it too wide. So its chance is reckoned given what picked the
 * place: n times at random in T, kept only when `least` of them lie within one period, and of those
 * how many have a U as far from 0. It is simulated, with the caller's seed. Where any n times would
 * be kept (more than `least` - 1 for each period that T holds), it is the exact chance of a mean of
 * n uniform numbers (Irwin and Hall), and from 20 events on the normal one.
 *
 * Uses GSL, so it is for the server alone and not among the rules of the tablet.
 */
#ifndef RULES_STATISTICS_PLACE_TREND_H
#define RULES_STATISTICS_PLACE_TREND_H

#include <stdbool.h>
#include <stddef.h>

#include "base/table.h"

/* Fewer events, and nothing is said. */
enum { PLACE_TREND_LEAST = 3 };

enum trend_meaning {
	TREND_TOO_FEW,          /* too few events, or no time in which they lie, or too rare a place */
	TREND_NONE,             /* p above 0.05 */
	TREND_WORSE,
	TREND_BETTER
};
/* Titles are clauses: "no trend that could not be chance". */
extern const struct words trend_meaning_words;

struct place_trend {
	size_t events;
	double u, p;            /* NAN where they are not known */
	enum trend_meaning meaning;
};

/* at: from the beginning of the record, none negative nor above total; total, period: the same
 * unit. */
struct place_trend place_trend_compute(const double *at, size_t n, double total, double period,
	size_t least, unsigned long seed);

/* The chance that the mean of n uniform numbers lies as far from one half as this, either side. */
double place_mean_chance(size_t n, double mean);

#endif
