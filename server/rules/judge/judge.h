/*
 * The judgement of one bond from its whole record: each reading's value, uncertainty, questions,
 * limits and verdict, the trend of each quantity, the grade with its reasons, and the due day. The
 * service reads the record, this function judges, the store keeps what it says; check and rebuild
 * do the same again.
 *
 * Server only. The tablet uses reading, uncertainty, asked, limit, verdict and grade themselves.
 * The pieces: judge_read.c (values, verdicts), judge_walk.c (questions), judge_over.c (what is
 * over, and what clears it), judge_proof.c (whether the bond is proved), judge_state.c (all else
 * that is to be mended).
 *
 * Order. Things go by the shift's day, and on one day by the instant where both have one. Else on
 * one day routine readings come first, then failures, then attachments and repairs, then readings
 * of any other purpose (commissioning, after works, after a failure): visits are given in that
 * order (judge_visit_is_before). What is corrected or withdrawn is left out by the
 * caller.
 *
 *   contains        what was attached when it was read: of each end the newest attachment before
 *                   it. A contact contains its own end's. Readings are compared, and limits by a
 *                   commissioning value hold, only while what they contain is the same
 *   baseline        of a reading: the first commissioning evidence, end to end, of what it
 *                   contains, made before it; where only one end was renewed, no higher than the
 *                   one before. A later "commissioning" of the same is an ordinary reading
 *   asked           a reading with a question (rules/judge/asked.h) has no verdict and is no
 * evidence. It is answered by a second reading of the same visit that agrees (their mean is
 *                   judged), by a later one that agrees (both count), or by a later one that is
 *                   evidence: then it never counts, but what would have been over is over until
 *                   that is cleared. What lies in circuit or shows a parallel path answers nothing
 *                   that could be good. Readings of a visit that do not agree are asked, and the
 *                   worst of them stands; an open circuit and a slipped sign agree with nothing,
 *                   but a sign with what it would be without the slip. What was probed on the lug
 *                   is another thing than what was probed to the strands
 *   in circuit      a rail joint bond unless the visit says what was opened: then no reading end to
 *                   end or over the joint is evidence for within, whatever its value; it is for
 *                   over
 *   parallel path   end to end, not opened, below the rulebook's share of the conductor alone, or
 *                   of the commissioning value: no verdict, no baseline, no trend
 *   over            stands until (a) a later shift reads it within, of the same attachments, with
 *                   work recorded between or an engineer's word, or (b) the successor of what was
 *                   over is commissioned within, or proved as its kind is. Also what a rulebook
 *                   since then, that was not withdrawn, called over
 *   last            the newest of a quantity with a verdict, of what is attached now
 *   proof           as the rulebook wants it for the kind, of what is attached now and later than
 *                   the last failure and its repair; its day is that of its oldest part. A failure
 *                   made good, what was replaced, a strength test and a defect end with a proof of
 *                   which all that was read is within
 *   act since       the earliest day of all that makes the bond act: what is added to it later does
 *                   not give it more time. A day that is not known is that since which the bond is
 *                   known
 *   told            the verdict under the rulebook that held on the reading's day
 *   forecast        the earliest of the quantities whose newest evidence is not over: an excess
 *                   gets none, and its mending is due no later
 *
 * A question, and an attachment without its proof, never make a bond better: where there is one,
 * the bond is judged without and with it (as the last evidence found it attached, and as the last
 * question did), and has the worst grade, the reasons of all, and the earliest due day.
 */
#ifndef RULES_JUDGE_JUDGE_H
#define RULES_JUDGE_JUDGE_H

#include "rules/in_force.h"
#include "rules/judge/acceptance.h"
#include "rules/judge/asked.h"
#include "rules/judge/deferral.h"
#include "rules/judge/due.h"
#include "rules/judge/grade.h"
#include "rules/statistics/trend.h"
#include "rules/uncertainty.h"

struct judge_visit {
	int32_t day;                  /* of the shift */
	int64_t at_ms;                /* when it was, UTC; 0: not noted. So below */
	int32_t counted_day;          /* for due days: not after it arrived; DAY_NONE: day */
	int64_t arrived_at_ms;
	enum purpose purpose;
	enum outcome outcome;
	int seen_a, seen_b;           /* enum seen; -1: not recorded */
	int64_t cables_whole;         /* seen whole; -1: not recorded */
	int strength_a, strength_b;   /* a strength test passed 1, failed 0; -1: none */
	bool alone;                   /* what else joins the rails was opened */
};

/* The order in which visits of one bond are given. */
bool judge_visit_is_before(const struct judge_visit *a, const struct judge_visit *b);

enum judge_status {
	STATUS_NONE,                  /* no value, or no evidence: speaks for nothing */
	STATUS_EVIDENCE,
	STATUS_OPEN,                  /* waits for an answer */
	STATUS_DROPPED,               /* was asked, and a later reading took its place: never counts */
	STATUS_DROPPED_OVER           /* so too, but it would have been over */
};
extern const struct words judge_status_words;

struct judge_reading {
	/* given */
	size_t visit;                 /* index */
	struct reading_values values; /* material and temperature taken are set by this function */
	struct meter meter;
	int64_t instrument_id;        /* 0: not recorded */
	double round_temp_c;          /* NAN */
	/* made */
	struct reading reading;
	bool in_trend;                /* one of those that the trend rests on */
	struct uncertainty uncertainty;
	double value;                 /* R20; added metres of a rail drop; NAN */
	size_t leads;                 /* the reading that stands for all of this visit and quantity that
	                                 were probed alike; what has no number stands for itself */
	int attached_a, attached_b;   /* index of what it contains; -1: none on record */
	unsigned asked;               /* bits of enum asked that were raised */
	enum judge_status status;
	bool only_over;               /* in circuit, or on the lug: evidence for over alone */
	bool parallel;                /* shows another path beside the bond */
	bool over_once;               /* a rulebook since then, not in force any more, calls it over */
	int32_t over_from_day;        /* from which the first that does was in force */
	double baseline;              /* commissioning value that it was judged by; NAN */
	struct limits limits;
	enum verdict verdict, told;
	int64_t told_version;
	double p_within;
	/* of the one that leads: what is judged for all, and what it would be if it counted */
	double judged, judged_u95, worst;
	enum verdict would;
};

/* Whether it says something about the bond: its verdict, and the trend, rest on it. */
bool judge_is_evidence(const struct judge_reading *r);

struct judge_attachment {
	enum bond_end end;
	int32_t made_day;
	int64_t at_ms;
	int32_t ended_day;            /* without another: came off, rail renewed; DAY_NONE */
	int64_t ended_at_ms;          /* when that arrived */
	int64_t arrived_at_ms;
	int accepted;                 /* enum accepted, by acceptance_compute */
	bool accepted_anyway;         /* by a named engineer, with a reason */
	bool strength_failed;         /* hammer test not passed, whatever the method */
};

struct judge_failure {
	int end;                      /* enum bond_end; -1: the bond as a whole */
	enum failure_mode mode;
	int32_t found_day;
	int64_t arrived_at_ms;
	int32_t repaired_day;         /* DAY_NONE: open */
	int64_t repaired_at_ms;
};

/* An engineer's word that what was over may be taken as cleared by the later reading within. */
struct judge_clearing {
	enum quantity quantity;
	int32_t day;
};

/* What was there before the first visit given, where the record is not whole (a tablet's). By enum
 * quantity; NAN: none. */
struct judge_start {
	double baseline[GRADE_QUANTITIES], compared[GRADE_QUANTITIES];
};

struct judge_facts {
	struct due_facts due;         /* what follows from the judgement is set by this function */
	struct limit_facts limit;     /* quantity and baseline are set by this function */
	int material;                 /* enum material; -1 */
	int32_t register_began_day;   /* DAY_NONE: not known, then nothing is due for commissioning */
	const struct rulebook_span *spans;   /* those in force until today, oldest first; may be none */
	size_t n_spans;
	struct judge_visit *visits;
	size_t n_visits;
	struct judge_reading *readings;      /* visit by visit */
	size_t n_readings;
	const struct judge_attachment *attachments;   /* end by end, oldest first */
	size_t n_attachments;
	const struct judge_failure *failures;
	size_t n_failures;
	const struct judge_clearing *clearings;
	size_t n_clearings;
	struct deferral_fact deferral;
	const struct judge_start *start;     /* NULL: the record is whole */
};

enum { JUDGE_ITEMS = 48 };        /* of reasons to act: one for each key */

struct judgement {
	struct trend trend[GRADE_QUANTITIES];  /* by enum quantity */
	double baseline[GRADE_QUANTITIES];  /* that a next reading is judged by; NAN */
	double compared[GRADE_QUANTITIES];  /* last evidence that a next reading is compared with; NAN */
	int worst_quantity;           /* of last readings: nearest to or furthest over its limit; -1 */
	struct grade_reading last[GRADE_QUANTITIES];
	int32_t over_since_day[GRADE_QUANTITIES];  /* of what is over and not cleared; DAY_NONE */
	int64_t asked;                /* readings that wait for an answer */
	struct act_item items[JUDGE_ITEMS];    /* what makes it act */
	size_t n_items;
	struct grade_result grade;
	int32_t act_since_day;        /* DAY_NONE unless graded act */
	int32_t crosses_day, early_day;   /* earliest of the quantities; DAY_NONE */
	int32_t proof_day;            /* DAY_NONE: not proved */
	int32_t lacks_since_day, commissioning_day;   /* as in struct due_facts */
	bool wants_reading, ever_proved, is_watched;
	bool judged_again;            /* without or with something: the day does not follow from these */
	bool deferral_holds;
	struct due due;
};

/* scratch has room for n_readings points. */
void judge_bond(const struct rulebook *rulebook, struct judge_facts *facts,
	struct trend_point *scratch, struct judgement *to);

#endif
