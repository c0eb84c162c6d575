/*
 * Whether a reading proves that a bond is within its limit: guard band w = U on either side (JCGM
 * 106 and ILAC-G8:09/2019, guard band of the expanded uncertainty).
 *
 *   within     R20 + U <= limit
 *   over       R20 - U >  limit
 *   unproven   otherwise: measure again, with a better instrument or more current
 *
 * and always the probability that the true value is within, Phi((limit - R20) / u), u = U / 2.
 */
#ifndef RULES_JUDGE_VERDICT_H
#define RULES_JUDGE_VERDICT_H

#include "base/table.h"

/* The numbers are stored: only add at the end. NONE: no evidence, or no limit. */
enum verdict { VERDICT_NONE, VERDICT_WITHIN, VERDICT_UNPROVEN, VERDICT_OVER };
extern const struct words verdict_words;

/* Any of the three NAN or infinite, or u95 negative: VERDICT_NONE. u95 may be 0. */
enum verdict verdict_of(double value, double u95, double limit);

/* From 0 to 1; NAN when there is no verdict. With u95 = 0: 0 or 1. */
double verdict_p_within(double value, double u95, double limit);

#endif
