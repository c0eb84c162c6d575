/*
 * What is due of a bond, and when: its next inspection, and its mending when it is graded act. The
 * two are days of their own; the earlier one is what is due first, and that is said.
 *
 * Inspection, the earliest of
 *   calendar       last complete inspection + interval
 *                  never inspected: installation day + interval
 *                  never inspected, no such day: on the day since which the bond is known, a fixed
 *                  day, so that the days over count up
 *   commissioning  what was made after the register began, and lacks the proof of its kind: the day
 *                  on which it was made
 *   proof          where the rulebook wants a reading: the oldest part of the newest proof +
 *                  memory; without any the day of the attachment or repair that lacks it, but not
 *                  later than what was proved before would be too old; and where it never was
 *                  proved the first due day that passed without it. No visit without evidence moves
 *                  it
 *   forecast       the early day on which a limit may be crossed - forecast_lead_days, but not
 *                  before the day after the last complete inspection, nor sooner than act_days
 *                  after the newest reading that it rests on: what may come is not more urgent than
 *                  what is there
 *
 * Mending, graded act: the day since which it is + act_days. Nothing but what mends it moves that
 * day.
 *
 * Of equal days mending comes first, then calendar, commissioning, proof, forecast. Out of service:
 * never.
 *
 * The interval is the rulebook's for the kind and criticality, in calendar months, clamped to the
 * end of the month and always counted from the original day. Where anything makes the bond watch or
 * act it is shortened to watch_interval_percent of its months, rounded down, at least one, so that
 * a bond that gets worse is never due later. A last inspection counts
 * even when it lies before the installation day: that gives the earlier due day.
 *
 * States on a given day, without a deferral:
 *
 *       later      |       soon       |        due          | overdue
 *       -----------+------------------+---------------------+----------
 *            soon_from_day         due_day          overdue_from_day
 *
 * soon_from_day is due_day - notice (the due day itself when due at once); due lasts from due_day
 * through due_day + grace; overdue_from_day is the day after that. Each state begins on its day.
 */
#ifndef RULES_JUDGE_DUE_H
#define RULES_JUDGE_DUE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "rules/judge/grade.h"
#include "rules/rulebook.h"
#include "rules/terms.h"

/* The numbers are stored: only add at the end. */
enum due_basis {
	DUE_AFTER_INSPECTION, DUE_AFTER_INSTALLATION, DUE_AT_ONCE, DUE_OUT_OF_SERVICE, DUE_ACT,
	DUE_FORECAST, DUE_COMMISSIONING, DUE_PROOF_OLD, DUE_PROOF_LACKS
};
extern const struct words due_basis_words;

/* What is due. The numbers are stored: only add at the end. */
enum due_what { DUE_INSPECTION, DUE_MENDING };
extern const struct words due_what_words;
enum due_what due_what_of(enum due_basis basis);

/* What the register knows of one bond. */
struct due_facts {
	enum bond_kind kind;
	enum criticality criticality;
	bool in_service;
	int32_t installed_day;       /* DAY_NONE: not known */
	int32_t inspected_day;       /* of the last complete inspection; DAY_NONE: never */
	int32_t commissioning_day;   /* of what was made after the register began and lacks its proof;
	                                DAY_NONE */
	bool wants_reading;          /* the rulebook wants one as proof of this kind */
	int32_t evidence_until_day;  /* of the newest proof; DAY_NONE: none */
	bool ever_proved;            /* it was, once */
	int32_t lacks_since_day;     /* the attachment or repair that has none since, or the end of the
	                                memory of a former one; DAY_NONE */
	int32_t known_since_day;     /* when the bond was registered; always a day */
	int32_t deferred_until_day;  /* of the deferral that holds (rules/judge/deferral.h); DAY_NONE: none */
	bool is_judged;              /* false: the members below do not count, nor does the proof */
	bool is_watched;             /* a reason of watch or act holds */
	int32_t act_since_day;       /* of the earliest that makes it act; DAY_NONE: it is not */
	int32_t early_day;           /* of a forecast; DAY_NONE */
	int32_t early_from_day;      /* the newest reading that it rests on; DAY_NONE: not known */
};

/* All days are DAY_NONE when out of service. */
struct due {
	enum due_basis basis;
	int32_t counted_from_day;    /* inspection, installation, known since, act since, early day,
	                                made, proof until, lacking since */
	int64_t interval_months;     /* 0 unless due by the calendar after one of the first two */
	int32_t due_day;             /* a deferral does not move it */
	int32_t soon_from_day;
	int32_t overdue_from_day;    /* first day after the grace */
	int32_t deferred_until_day;  /* DAY_NONE also when that day is not after due_day: then nothing
	                                is deferred */
	bool shortened;              /* the interval, for the grade */
	int32_t inspect_day;         /* when the next inspection is due */
	int32_t mend_day;            /* DAY_NONE: nothing is to be mended */
	int32_t notice_days;         /* each of the two is soon so many days before */
	int64_t own_months;          /* the bond's interval as it is now, shortened or not */
};

/* One of the two alone, with its own states and deferral: due_day is its day. All days are DAY_NONE
 * where it is not due. The basis is that of the earlier, and DUE_ACT for what is to be mended. */
void due_alone(const struct due *due, enum due_what what, struct due *to);

/* The earlier of two due days in each of what is due, with its basis, and the shorter interval; of
 * what both are deferred to the earlier too. Never later than either. */
void due_take_earlier(struct due *due, const struct due *other);

/* By the calendar alone, with the whole interval; DAY_NONE out of service. */
int32_t due_calendar_day(const struct rulebook *rulebook, const struct due_facts *facts);

/* The day that a forecast of these facts asks for; they have one. */
int32_t due_forecast_day(const struct rulebook *rulebook, const struct due_facts *facts);

void due_compute(const struct rulebook *rulebook, const struct due_facts *facts, struct due *due);

/* DUE_DEFERRED through deferred_until_day, from the next day on again what it is without. */
enum due_state due_state_on(const struct due *due, int32_t today);

/* Days since due_day: 0 on it, negative before. 0 also when out of service: ask the basis first. */
int32_t due_days_over(const struct due *due, int32_t today);

/* Any reason fits into this many bytes, with the closing NUL. */
enum { DUE_REASON_SIZE = 160 };

/* One sentence: "Last complete inspection 2025-03-31, interval 12 months, due 2026-03-31"; "Graded
 * act since 2026-03-01, due 14 days later, 2026-03-15".
 * A deferral stands at its end ("; deferred until 2026-05-31"). */
void due_reason(const struct due *due, char *to, size_t size);

/* Whether a forecast of this day or later (DAY_NONE: there is none) may move the due day, or be a
 * reason of the grade, under the rulebook. facts have no forecast of their own. False is
 * certain. */
bool due_forecast_matters(const struct rulebook *rulebook, const struct due_facts *facts,
	int32_t early_day);

#endif
