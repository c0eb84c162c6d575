/*
 * How the verdict of one reading was made, step by step, one sentence each, for an engineer who
 * checks it with a pencil.
 *
 *     R = (505 − (-495)) µV / (2 × 10 A) = 50 µΩ.
 *     R20 = 50 µΩ / (1 + 0.00393 × (35 − 20)) = 47.2166 µΩ.
 *     Mean of 2 readings of this visit that agree: (47.2166 + 47.6) µΩ / 2 = 47.4083 µΩ ...
 *
 * Nothing is judged here: the sentences repeat what judge.h made. Each step has a sentence whatever
 * is missing; then it says what is. What cannot be worked again from the figures of this reading
 * and its visit is said without figures.
 */
#ifndef RULES_JUDGE_WORKING_H
#define RULES_JUDGE_WORKING_H

#include "rules/judge/judge.h"

enum working_step {
	WORKING_RESISTANCE, WORKING_LEADS, WORKING_THERMAL, WORKING_20_DEGREES, WORKING_EVIDENCE,
	WORKING_METER, WORKING_TEMPERATURE, WORKING_REPEATABILITY, WORKING_UNCERTAINTY,
	WORKING_LIMIT,                                /* + enum limit_kind, one for each */
	WORKING_LOWEST = WORKING_LIMIT + LIMITS, WORKING_BESIDE, WORKING_VISIT, WORKING_ASKED,
	WORKING_VERDICT, WORKING_PROBABILITY, WORKING_STEPS
};
extern const struct words working_step_words;

enum { WORKING_SIZE = 1200 };   /* holds all questions at once, or the readings of a long visit */
struct working {
	char step[WORKING_STEPS][WORKING_SIZE];
};

/* judged: as judge_bond left it; reading: an index of its readings. */
void working_write(const struct rulebook *rulebook, const struct judge_facts *judged,
	size_t reading, struct working *to);

#endif
