/*
 * The grade of a bond, with its reasons, worst first. Which reasons hold is found by
 * rules/judge/judge.h; this says what they make of the bond.
 *
 *   act       something is to be mended, or was not shown to be mended
 *   unknown   what the rulebook wants as proof of this kind is not there, not of what is attached
 * now, or not fresh: what proves nothing does not make a bond sound watch     proved, and something
 * points the wrong way sound     proved, and nothing does
 *
 * A grade is of the record alone and does not change with the day, but for one thing: what is sound
 * or watched is unknown after evidence_until_day. Out of service: GRADE_NONE.
 */
#ifndef RULES_JUDGE_GRADE_H
#define RULES_JUDGE_GRADE_H

#include <stdbool.h>
#include <stdint.h>

#include "rules/judge/limit.h"
#include "rules/judge/verdict.h"
#include "rules/rulebook.h"

/* The numbers are stored: only add at the end. Compare with grade_worse, not by number. */
enum grade { GRADE_NONE, GRADE_UNKNOWN, GRADE_SOUND, GRADE_WATCH, GRADE_ACT };
extern const struct words grade_words;

/* Bit 1 << reason. The numbers are stored: only add at the end; grade_reason_at gives the order. */
enum grade_reason {
	REASON_FAILURE_OPEN,          /* act */
	REASON_OVER,                  /* act: over its limit, and not cleared */
	REASON_OPEN_CIRCUIT,          /* act */
	REASON_STRENGTH_FAILED,       /* act */
	REASON_NOT_ACCEPTED,          /* watch */
	REASON_CRITICAL_DEFECT,       /* act */
	REASON_UNPROVEN,              /* watch */
	REASON_NEAR_LIMIT,            /* watch */
	REASON_DEFECT,                /* watch */
	REASON_FORECAST,              /* watch */
	REASON_NEVER_INSPECTED,       /* unknown */
	REASON_NO_EVIDENCE,           /* unknown: of something that is wanted as proof */
	REASON_EVIDENCE_OLD,          /* unknown: only by the day, not stored */
	REASON_NO_LIMIT,              /* unknown: there is evidence, and no limit to judge it by */
	REASON_FAILURE_NOT_PROVED,    /* act: made good, and nothing has proved the bond since */
	REASON_NOT_ATTACHED,          /* act: an end whose attachment was ended has no other */
	REASON_CABLES_NOT_SEEN,       /* unknown: a reading cannot show that one of several is lost */
	REASON_NOT_SEEN_WHOLE,        /* unknown: cable and lugs were not seen whole */
	REASON_ASKED_OVER,            /* act: a reading that waits for an answer would be over */
	REASON_ASKED_WATCH,           /* watch: it would be unproven or close to the limit */
	REASON_ASKED,                 /* says that a reading waits for an answer; makes nothing worse */
	REASONS
};
extern const struct words grade_reason_words;
enum grade grade_of_reason(enum grade_reason reason);
/* Whether one of the reasons gives watch or act. */
bool grade_is_watched(unsigned reasons);
/* The reasons worst first, n from 0 to REASONS - 1. */
enum grade_reason grade_reason_at(int n);
/* The worst of some; REASONS when there is none. */
enum grade_reason grade_worst_reason(unsigned reasons);

enum { GRADE_QUANTITIES = 4 };    /* as many as quantity_words has */

/* The newest reading of one quantity that has a verdict, or an open circuit. */
struct grade_reading {
	bool there;
	int32_t day;
	double value, u95, limit;     /* R20; NAN */
	enum verdict verdict;
	bool open_circuit;            /* REMARK_TOO_LARGE: beyond anything measurable */
};

struct grade_facts {
	bool in_service;
	unsigned reasons;             /* found already: failures, defects, what lacks as proof ... */
	struct grade_reading last[GRADE_QUANTITIES]; /* by enum quantity */
	int32_t calendar_due_day;     /* with the unshortened interval; DAY_NONE */
	int32_t early_day;            /* earliest of the quantities' forecasts; DAY_NONE. A reason
	                                 strictly before the calendar's day */
	int32_t evidence_day;         /* the oldest part of the newest proof; DAY_NONE: none */
};

struct grade_result {
	enum grade grade;
	unsigned reasons;
	int32_t evidence_until_day;   /* last day on which the proof still counts; DAY_NONE: none */
};

void grade_compute(const struct rulebook *rulebook, const struct grade_facts *facts,
	struct grade_result *to);

/* What it is on a day. evidence_until_day itself still counts. */
enum grade grade_on(enum grade grade, int32_t evidence_until_day, int32_t today);

bool grade_worse(enum grade a, enum grade b);   /* act > unknown > watch > sound > none */

/* The reasons in words, worst first, with ";" between. */
enum { GRADE_REASONS_SIZE = 1200 };
void grade_sentence(unsigned reasons, char *to, size_t size);

#endif
