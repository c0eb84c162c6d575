/* What would change, counted bond by bond: by state, grade and verdict, by line, and which. */
#ifndef DERIVED_TRIAL_COUNT_H
#define DERIVED_TRIAL_COUNT_H

#include "rules/judge/due.h"
#include "rules/judge/grade.h"
#include "rules/judge/verdict.h"

enum { TRIAL_STATES = DUE_NOT + 1, TRIAL_GRADES = GRADE_ACT + 1, TRIAL_VERDICTS = VERDICT_OVER + 1,
	TRIAL_LISTED = 1000, TRIAL_STEPS = 6 };

/* A due day moves by at most so many days; the last step is all that is more. */
extern const int32_t trial_step_days[TRIAL_STEPS];

/* What a bond is today under one rulebook. */
struct trial_side {
	enum due_state state;                /* of what is due first */
	enum due_state of[2];                /* of each, by enum due_what */
	int32_t due_day;                     /* DAY_NONE: never */
	enum grade grade;
	/* of the last evidence of each quantity; -1: none, or not judged anew */
	int verdict[GRADE_QUANTITIES];
};

struct trial_bond {
	int64_t bond_id, line_id;
	struct trial_side before, after;
};

/* The bonds of lowest number; of them all there are `all`. */
struct trial_list {
	struct trial_bond *bonds;            /* owned; room for TRIAL_LISTED */
	size_t count;
	int64_t all;
};

struct trial_line {
	int64_t bonds, overdue_before, overdue_after, grades, verdicts;
};

struct trial_count {
	int64_t bonds;
	/* [before][after] */
	int64_t due[TRIAL_STATES][TRIAL_STATES];
	int64_t due_of[2][TRIAL_STATES][TRIAL_STATES];     /* by enum due_what; DUE_NOT: it is not due */
	int64_t grade[TRIAL_GRADES][TRIAL_GRADES];
	int64_t verdict[TRIAL_VERDICTS][TRIAL_VERDICTS];   /* readings */
	int64_t earlier[TRIAL_STEPS], later[TRIAL_STEPS];  /* due days, bonds */
	struct trial_list overdue, grades, verdicts;       /* newly overdue, another grade, verdict */
	struct trial_line *lines;            /* owned; by the line's number */
	size_t n_lines;
};

/* Counts one; bonds come in the order of their numbers. False: out of memory. */
bool trial_count_add(struct trial_count *count, const struct trial_bond *bond);

/* Adds what was counted apart. False: out of memory. */
bool trial_count_join(struct trial_count *to, const struct trial_count *from);

void trial_count_release(struct trial_count *count);

#endif
