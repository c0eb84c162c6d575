/*
 * Asked before judged: a reading that can hardly be right gets no verdict and is no evidence until
 * it is answered (rules/judge/judge.h says by what). The factors are the rulebook's.
 *
 *   far below    end to end: under a share of the conductor's own resistance, other shares for rail
 *                joint bonds; a contact: under a share of its limit
 *   far above    over a multiple of the limit
 *   away         from the last evidence of the same attachments by more than a factor; a contact
 * also by more than a share of its limit directions   forward and reversed differ by more than a
 * share and by more than a thermal voltage same sign    with the current reversed the voltage has
 * the same sign thermal      a thermal voltage that no bond has that is not hot from brazing method
 * one that the instrument cannot do temperature  away from the median of two or more earlier
 * readings of the same round meter        the instrument was not to be believed on that day, and
 * the value would be over or unproven: it may not say anything good, but it is not passed over
 * either twice        two readings of one quantity in one visit do not agree
 *
 * What these cannot catch: a first reading of a joint that is ten times too low, a first contact
 * that is ten times too high, swapped digits within the factors, another meter in calibration.
 */
#ifndef RULES_JUDGE_ASKED_H
#define RULES_JUDGE_ASKED_H

#include <stdbool.h>

#include "rules/reading.h"
#include "rules/rulebook.h"
#include "rules/uncertainty.h"

/* Bits 1 << question. The numbers are stored: only add at the end. */
enum asked {
	ASKED_FAR_BELOW, ASKED_FAR_ABOVE, ASKED_AWAY, ASKED_DIRECTIONS, ASKED_SAME_SIGN,
	ASKED_THERMAL, ASKED_METHOD, ASKED_TEMPERATURE, ASKED_METER, ASKED_TWICE, ASKEDS
};
/* Each a sentence for the crew: what is odd, and what to look at. */
extern const struct words asked_words;

struct asked_facts {
	const struct reading_values *values;
	const struct reading *reading;
	bool is_joint;                /* a rail joint bond */
	double value;                 /* R20; added metres of a rail drop; NAN */
	double conductor_uohm;        /* of all cables together, without contacts; NAN */
	double limit;                 /* NAN */
	double last_value;            /* last evidence of the same attachments; NAN */
	double round_temp_c;          /* median of the round when it arrived; NAN */
	bool meter_cannot;            /* do this method */
};

/* All but the last two, which need a verdict and another reading. */
unsigned asked_of(const struct rulebook *rulebook, const struct asked_facts *facts);

/* Whether a further reading with the questions `other` answers those of a first: questions about
 * the size are answered by agreeing, others only by a reading that does not have them too. */
bool asked_answers(unsigned asked, unsigned other);

/* |a - b| <= sqrt(Ua² + Ub²), without what one meter has in common in both. NAN agrees with
 * nothing. */
bool asked_agree(double a, const struct uncertainty *ua, double b, const struct uncertainty *ub,
	bool same_meter);

#endif
