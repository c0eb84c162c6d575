/* What the pieces of rules/judge/working.h share: working.c has the steps of one reading by itself,
 * the limit and the verdict; working_visit.c those of what it is judged with. */
#ifndef RULES_JUDGE_WORKING_PARTS_H
#define RULES_JUDGE_WORKING_PARTS_H

#include "rules/judge/working.h"

struct work {
	const struct rulebook *rulebook;
	const struct judge_facts *judged;
	const struct judge_reading *one;
	const struct judge_reading *lead;   /* the one that is judged for all of its visit; often itself */
	const struct reading_values *values;   /* these of the one */
	const struct reading *reading;
	const struct meter *meter;
	const struct uncertainty *uncertainty;
	const struct limits *limits;
	struct limit_facts limit_facts;
};

/* Writes the pattern with a figure for each '#', below zero in brackets. */
void working_fill(struct sentence *s, const char *pattern, const double *figures);
#define FILL(s, pattern, ...) working_fill(s, pattern, (const double[]){ __VA_ARGS__ })

/* With a space before it. */
const char *working_unit(const struct work *w);

/* In parallel with what lies beside it, or alone; whether another path shows. */
void working_beside(const struct work *w, struct sentence *s);
/* Of several readings of a visit, what is judged: their mean, or the worst. */
void working_visit(const struct work *w, struct sentence *s);
/* What is asked, and whether it was answered. */
void working_asked(const struct work *w, struct sentence *s);

#endif
