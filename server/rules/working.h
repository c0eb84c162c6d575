/*
 * How the verdict of one reading was made, step by step, one sentence each, for an engineer who
 * checks it with a pencil.
 *
 *     R = (505 − (-495)) µV / (2 × 10 A) = 50 µΩ.
 *     R20 = 50 µΩ / (1 + 0.00393 × (35 − 20)) = 47.2166 µΩ.
 *
 * Nothing is judged here: the sentences repeat what reading.h, uncertainty.h, limit.h and verdict.h
 * made. Each step has a sentence whatever is missing; then it says what is.
 */
#ifndef RULES_WORKING_H
#define RULES_WORKING_H

#include "rules/limit.h"
#include "rules/uncertainty.h"
#include "rules/verdict.h"

enum working_step {
	WORKING_RESISTANCE, WORKING_LEADS, WORKING_THERMAL, WORKING_20_DEGREES, WORKING_EVIDENCE,
	WORKING_METER, WORKING_TEMPERATURE, WORKING_REPEATABILITY, WORKING_UNCERTAINTY,
	WORKING_LIMIT,                                /* + enum limit_kind, one for each */
	WORKING_LOWEST = WORKING_LIMIT + LIMITS, WORKING_VERDICT, WORKING_PROBABILITY, WORKING_STEPS
};
extern const struct words working_step_words;

/* What was written down and what was made of it, all of one reading. */
struct working_facts {
	const struct rulebook *rulebook;
	const struct reading_values *values;
	const struct reading *reading;
	const struct meter *meter;
	const struct uncertainty *uncertainty;
	const struct limit_facts *limit_facts;
	const struct limits *limits;
	enum verdict verdict;
	double p_within;
	const char *because;          /* why there is no verdict, beside want of evidence or limit; NULL */
};

enum { WORKING_SIZE = 240 };   /* no sentence of figures that can be measured is longer */
struct working {
	char step[WORKING_STEPS][WORKING_SIZE];
};

void working_write(const struct working_facts *facts, struct working *to);

#endif
