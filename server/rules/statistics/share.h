/*
 * What the failures of a place have in common, against the rest of the line: is a kit (a batch, a
 * mode ...) involved more often here than elsewhere, by more than chance.
 *
 * Fisher's exact test, one side: were the failures with it spread by chance over all, the chance
 * that as many or more of them are here (hypergeometric). Failures of which it is not recorded
 * count nowhere.
 *
 * Uses GSL, so it is for the server alone and not among the rules of the tablet.
 */
#ifndef RULES_STATISTICS_SHARE_H
#define RULES_STATISTICS_SHARE_H

#include <stdint.h>

#include "base/table.h"

/* Fewer than these, and nothing is said. */
enum { SHARE_LEAST_HERE = 3, SHARE_LEAST_ELSEWHERE = 10 };

enum share_meaning {
	SHARE_TOO_FEW,
	SHARE_CHANCE,
	/* p is 0.01 or less. Not 0.05: many kits, batches, people are looked at, and by chance one of
	 * twenty would be told wrongly. */
	SHARE_TELLING
};
extern const struct words share_meaning_words;

struct share {
	int64_t here, of_here;              /* failures with it, of those where it is recorded */
	int64_t elsewhere, of_elsewhere;    /* the same of the line's other failures */
};

/* *p is the chance described above, NAN for SHARE_TOO_FEW. */
enum share_meaning share_judge(const struct share *share, double *p);

#endif
