/*
 * What the failed work of a place has in common, against the rest of the line: is a kit (a batch, a
 * method ...) involved more often here than chance would bring.
 *
 * The unit is the job: what was attached at one place on one day. A crew does a whole site in a
 * night with one kit and one batch, so its attachments are not independent: counting them one by
 * one tells something at nearly every place. Of M jobs of the line M_v had the value v, of the n
 * that failed here x: were the failed ones drawn from all by chance, so many or more of them would
 * have it with the hypergeometric chance (Fisher's exact test, one side).
 *
 * Every value that the line's jobs have is asked about, not only those met here; what is told is
 * told at a false discovery rate of 5 % (Benjamini and Hochberg 1995).
 *
 * Uses GSL, so it is for the server alone and not among the rules of the tablet.
 */
#ifndef RULES_STATISTICS_SHARE_H
#define RULES_STATISTICS_SHARE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/table.h"

enum share_meaning {
	SHARE_CHANCE,
	SHARE_TELLING         /* q is 0.05 or less */
};
extern const struct words share_meaning_words;

struct share {
	int64_t here, of_here;        /* failed jobs of the place with it, and all: x, n */
	int64_t line, of_line;        /* jobs of the line with it, and all: M_v, M */
	double p, q;                  /* q: after the allowance for all that is asked about */
	enum share_meaning meaning;
};

/* Sets p, q and the meaning of each, of which the rest is given: all values of one population.
 * False: out of memory. */
bool shares_judge(struct share *shares, size_t n);

/* The chance of x or more of n, with v of all having it. */
double share_chance(int64_t x, int64_t n, int64_t v, int64_t all);

/* Benjamini and Hochberg: *q of each p, in their order. False: out of memory. */
bool false_discovery(const double *p, size_t n, double *q);

#endif
