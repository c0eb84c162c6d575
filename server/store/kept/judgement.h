/* What the rules make of readings and bonds, as it is kept (reading_state, bond_state). */
#ifndef STORE_KEPT_JUDGEMENT_H
#define STORE_KEPT_JUDGEMENT_H

#include "rules/judge/limit.h"
#include "rules/judge/verdict.h"
#include "rules/reading.h"
#include "rules/uncertainty.h"
#include "store/record/bond.h"

/* Of one reading. Figures in µΩ, of a rail drop in metres of rail; NAN: none. */
struct reading_state {
	double r_uohm, r20_uohm, thermal_uv, equivalent_m;
	double limit, u95, p_within;
	int remark;                     /* enum reading_remark */
	int meter;                      /* enum meter_standing */
	int verdict;                    /* enum verdict */
	int limit_kind;                 /* enum limit_kind; -1: none formed */
	int asked;                      /* bits of enum asked */
	int status;                     /* enum judge_status */
	int parallel;                   /* 1: another path is shown */
	int told;                       /* enum verdict under the rulebook of its day, and */
	int64_t told_version;           /* which that was; 0: never judged */
	int64_t rulebook_version;       /* under which it first came out like this; 0: never judged */
};

/*
 * The same as a row has it: judging reads all of a register, and each column of a row costs it as
 * much as the verdict. So the words stand in one number, whose bits are columns of the schema by
 * the names above, and the versions and figures in bytes, out of which statements take them one by
 * one: figure(s.figures, 'u95').
 */
enum { READING_VERSION_BYTES = 4, READING_FIGURES = 7,
	READING_BYTES = 2 * READING_VERSION_BYTES + 1 + 8 * READING_FIGURES };
struct reading_kept {
	int64_t said;
	size_t len;
	unsigned char figures[READING_BYTES];
};
void reading_state_write(const struct reading_state *state, struct reading_kept *to);
void reading_state_read(const struct reading_kept *kept, struct reading_state *to);
#define FIGURE(name) "figure(s.figures, '" name "')"

/* True when both say the same, whatever rulebook they came out under. */
bool reading_kept_same(const struct reading_kept *a, const struct reading_kept *b);
int64_t reading_kept_version(const struct reading_kept *kept);
void reading_kept_put_version(struct reading_kept *kept, int64_t version);

bool store_reading_state_put(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_kept *kept, struct problem *why);

/* A verdict that is about to be replaced: kept for ever. value: what was compared (R20; added
 * metres of a rail drop). edition: of the rules by which it was said. */
bool store_verdict_former_insert(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_state *former, double value, int64_t edition, int64_t now_ms,
	struct problem *why);

/* The verdicts of one reading before the one kept, oldest first; *all is the caller's: free(). */
struct verdict_former {
	int64_t rulebook_version;
	int verdict, limit_kind;
	double limit, value, u95;
	int64_t edition;
	int64_t replaced_at_ms;
};
bool store_verdicts_former(struct store *store, int64_t inspection_id, int64_t n,
	struct verdict_former **all, size_t *count, struct problem *why);

/* A grade that a bond had before the one kept, by another rulebook or edition of the rules; so kept
 * and asked for likewise. */
struct grade_former {
	enum grade grade;               /* as it was on that day */
	unsigned reasons;
	int64_t rulebook_version;       /* 0: not known */
	int64_t edition;
	int64_t replaced_at_ms;
};
bool store_grade_former_insert(struct store *store, int64_t bond_id,
	const struct grade_former *former, struct problem *why);
bool store_grades_former(struct store *store, int64_t bond_id, struct grade_former **all,
	size_t *count, struct problem *why);

#endif
