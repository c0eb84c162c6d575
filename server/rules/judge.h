/*
 * The judgement of one bond from its whole record: each reading's value, uncertainty, limits and
 * verdict, the trend of each quantity, the grade with its reasons, and the due day. The service
 * reads the record, this function judges, the store keeps what it says; check and rebuild do the
 * same again.
 *
 * Server only. The tablet uses reading, uncertainty, limit, verdict and grade
 * themselves.
 *
 * Rules of order: readings belong to visits, both oldest first (day, then order of recording).
 * Corrected visits, attachments and failures are left out by the caller.
 *
 *   live since      the newest attachment (its day): of either end, for a contact of its own end,
 *                   since attaching one end anew mends nothing at the other. Earlier readings do
 *                   not count for trend, grade and baseline; they keep verdicts of their own. Of
 *                   that day itself counts what was recorded from the first commissioning on, or
 *                   else all: found, attached anew and commissioned in one night is one day
 *   baseline        mean R20 of the evidence of a quantity from visits of purpose commissioning on
 *                   or after live since; without one the limit is not formed. A commissioning
 *                   reading itself is not judged by it
 *   last            the newest evidence of a quantity since live since, or open circuit; of one day
 *                   the worse
 *   seen            at an end by the newest visit that saw it, since its own live attachment
 *   act since       the earliest day of all that makes the bond act: what is added to it later does
 *                   not give it more time. A day that is not known is that since which it is known
 */
#ifndef RULES_JUDGE_H
#define RULES_JUDGE_H

#include "rules/acceptance.h"
#include "rules/due.h"
#include "rules/grade.h"
#include "rules/trend.h"
#include "rules/uncertainty.h"

struct judge_visit {
	int32_t day;
	enum purpose purpose;
	enum outcome outcome;
	int seen_a, seen_b;           /* enum seen; -1: not recorded */
};

struct judge_reading {
	/* given */
	size_t visit;                 /* index */
	struct reading_values values; /* the material is set by this function */
	struct meter meter;
	int64_t instrument_id;        /* 0: not recorded */
	/* made */
	struct reading reading;
	bool evidence;                /* standing and meter */
	bool in_trend;                /* one of those that the trend rests on */
	struct uncertainty uncertainty;
	struct limits limits;
	enum verdict verdict;
	double p_within;
	double value;                 /* R20; added metres of a rail drop; NAN */
};

struct judge_attachment {
	enum bond_end end;
	int32_t made_day;
	bool live;                    /* the newest of its end */
	int accepted;                 /* enum accepted, by acceptance_compute */
	bool strength_failed;         /* hammer test not passed */
};

struct judge_facts {
	struct due_facts due;         /* its grade and forecast members are set by this function */
	struct limit_facts limit;     /* quantity and baseline are set by this function */
	int material;                 /* enum material; -1 */
	int64_t failures_open;
	int32_t failure_since_day;    /* the oldest open one was found; DAY_NONE */
	const struct judge_visit *visits;
	size_t n_visits;
	struct judge_reading *readings;
	size_t n_readings;
	const struct judge_attachment *attachments;
	size_t n_attachments;
};

struct judgement {
	int32_t live_since_day[GRADE_QUANTITIES];  /* DAY_NONE: no attachment on record, all count */
	struct trend trend[GRADE_QUANTITIES];  /* by enum quantity */
	double baseline[GRADE_QUANTITIES];  /* at commissioning of what is live; NAN */
	int worst_quantity;           /* of last readings: nearest to or furthest over its limit; -1 */
	struct grade_reading last[GRADE_QUANTITIES];
	int32_t over_since_day[GRADE_QUANTITIES];  /* first of the days without a break on which it was
	                               * over (or open circuit) up to the last; DAY_NONE: it is not */
	struct grade_result grade;
	int32_t act_since_day;        /* DAY_NONE unless graded act */
	int32_t crosses_day, early_day;   /* earliest of the quantities; DAY_NONE */
	struct due due;
};

/* scratch has room for n_readings points. */
void judge_bond(const struct rulebook *rulebook, struct judge_facts *facts,
	struct trend_point *scratch, struct judgement *to);

#endif
