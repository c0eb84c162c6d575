/*
 * The grade of a bond, with its reasons, worst first.
 *
 *   act       the last reading of a quantity over its limit, or an open circuit; a failed strength
 *             test; a failure not made good; a defect that the rulebook calls critical; an
 *             attachment that was not accepted
 *   watch     a last reading unproven, or above the watch fraction of its limit; a lesser defect; a
 *             forecast that crosses the limit before the next inspection by the calendar
 *   sound     inspected, with evidence, and none of these
 *   unknown   never inspected, or no evidence within the rulebook's memory, or no limit to judge it
 *             by: what proves nothing does not make a bond sound
 *
 * A grade is of the record alone and does not change with the day, but for one thing: what is sound
 * is unknown after evidence_until_day. Out of service: GRADE_NONE.
 */
#ifndef RULES_GRADE_H
#define RULES_GRADE_H

#include <stdbool.h>
#include <stdint.h>

#include "rules/limit.h"
#include "rules/rulebook.h"
#include "rules/verdict.h"

/* The numbers are stored: only add at the end. Compare with grade_worse, not by number. */
enum grade { GRADE_NONE, GRADE_UNKNOWN, GRADE_SOUND, GRADE_WATCH, GRADE_ACT };
extern const struct words grade_words;

/* Worst first: bit 1 << reason. The numbers are stored: only add at the end. */
enum grade_reason {
	REASON_FAILURE_OPEN,          /* act from here */
	REASON_OVER,
	REASON_OPEN_CIRCUIT,
	REASON_STRENGTH_FAILED,
	REASON_NOT_ACCEPTED,
	REASON_CRITICAL_DEFECT,
	REASON_UNPROVEN,              /* watch from here */
	REASON_NEAR_LIMIT,
	REASON_DEFECT,
	REASON_FORECAST,
	REASON_NEVER_INSPECTED,       /* unknown from here */
	REASON_NO_EVIDENCE,
	REASON_EVIDENCE_OLD,          /* only by the day: not stored */
	REASON_NO_LIMIT,              /* there is evidence, and no limit to judge it by */
	REASONS
};
extern const struct words grade_reason_words;
enum grade grade_of_reason(enum grade_reason reason);

enum { GRADE_QUANTITIES = 4 };    /* as many as quantity_words has */

/* The last evidence of one quantity, or an open circuit after it. */
struct grade_reading {
	bool there;
	int32_t day;
	double value, u95, limit;     /* R20; NAN */
	enum verdict verdict;
	bool open_circuit;            /* REMARK_TOO_LARGE: beyond anything measurable */
};

struct grade_facts {
	bool in_service;
	bool inspected;               /* at least one visit that reached the bond */
	bool strength_failed;         /* hammer or pull test of a live attachment */
	bool not_accepted;            /* acceptance of a live attachment, other than strength */
	int64_t failures_open;
	int worst_seen;               /* enum severity of what was last seen at either end */
	struct grade_reading last[GRADE_QUANTITIES]; /* by enum quantity */
	int32_t calendar_due_day;     /* with the unshortened interval; DAY_NONE */
	int32_t early_day;            /* earliest of the quantities' forecasts; DAY_NONE. A reason
	                                 strictly before the calendar's day */
};

struct grade_result {
	enum grade grade;
	unsigned reasons;
	int32_t evidence_until_day;   /* last day on which the newest evidence still counts; DAY_NONE */
};

void grade_compute(const struct rulebook *rulebook, const struct grade_facts *facts,
	struct grade_result *to);

/* What it is on a day. evidence_until_day itself still counts. */
enum grade grade_on(enum grade grade, int32_t evidence_until_day, int32_t today);

bool grade_worse(enum grade a, enum grade b);   /* act > watch > unknown > sound > none */

/* The reasons in words, worst first, with ";" between. */
enum { GRADE_REASONS_SIZE = 800 };
void grade_sentence(unsigned reasons, char *to, size_t size);

#endif
