/*
 * A crew's round: the bonds that it visits in one shift, for inspecting or for mending. How far the
 * round is, and what became of each of its bonds, are never written down: both follow from what was
 * said of the round and from what was recorded in it, by the two rules here.
 */
#ifndef RULES_CREW_ROUND_H
#define RULES_CREW_ROUND_H

#include <stdbool.h>
#include <stddef.h>

#include "base/table.h"
#include "rules/terms.h"

enum round_work { ROUND_INSPECT, ROUND_MEND };
extern const struct words round_work_words;

/* What is said of a round after it was made. A wish is the planner's newer word to the crew. */
enum round_step { ROUND_STEP_TAKEN, ROUND_STEP_BEGUN, ROUND_STEP_DONE, ROUND_STEP_WITHDRAWN,
	ROUND_STEP_WISH };
extern const struct words round_step_words;

enum round_state { ROUND_PLANNED, ROUND_TAKEN, ROUND_UNDER_WAY, ROUND_DONE, ROUND_WITHDRAWN };
extern const struct words round_state_words;

struct round_facts {
	bool taken, begun, done, withdrawn;   /* said, by whomever */
	bool recorded;                        /* anything was recorded in it */
};

/* What a crew did counts for more than what a planner meant: a round that was withdrawn while the
 * tablet was out, and that the crew says it has done, is done. Work that came in tells that a round
 * is under way also where nobody said that it began. */
enum round_state round_state(const struct round_facts *facts);

/* What became of one bond of a round. */
enum round_bond_state { ROUND_BOND_OPEN, ROUND_BOND_DONE, ROUND_BOND_PARTLY,
	ROUND_BOND_NOT_REACHED };
extern const struct words round_bond_state_words;

struct round_bond_facts {
	bool complete;            /* a complete visit that counts, recorded in the round */
	bool proved;              /* one made at commissioning or after works */
	bool partly;              /* a visit that saw a part */
	bool repaired;            /* a failure of it was made good */
	bool not_reached;         /* it was said why it was not reached */
};

/* In a round for mending a bond that was only looked at is not done: it is still to be mended. */
enum round_bond_state round_bond_state(enum round_work work, const struct round_bond_facts *facts);

/* Minutes after midnight of "HH:MM"; -1: it is no time of day. */
enum { ROUND_TIME_LENGTH = 5 };
int round_time(const char *text);

/* How long a shift lasts: one that does not end after it begins ends on the next day. 0: it begins
 * and ends at the same time. */
int round_shift_minutes(int begins, int ends);

/*
 * Minutes at one bond, walking to it included, until the railway says its own. They stand in no
 * rulebook, because no verdict and no due day moves with them. Common practice: sixty inspections
 * fill a possession of four hours; what mending takes is an example.
 */
int round_usual_minutes(enum round_work work);

#endif
