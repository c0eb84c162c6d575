/*
 * What the resistance of a bond may be: the lowest of the limits that the rulebook names for its
 * kind. A limit that cannot be formed says why, and the others hold.
 *
 *   cable      (R'20 L / n + ends x contact allowance) x (1 + tolerance)
 *   baseline   factor x R20 at commissioning of what was attached when it was read
 *   rail       equivalent metres of rail
 *   joint      share x rail length between joints: the 5 % rule of EN 50122-2 for a joint bond (the
 *              clause was not seen; the share is the rulebook's)
 *   contact    contact allowance x (1 + tolerance)
 *   absolute   the railway's own figure: end to end for kind and criticality, of one contact for
 * kind
 *
 * Each belongs to one quantity. End to end: cable, baseline, absolute. A contact: contact,
 * absolute. Rail drop, in metres of rail that the joint adds: rail, joint; it judges the joint, not
 * the bond.
 */
#ifndef RULES_JUDGE_LIMIT_H
#define RULES_JUDGE_LIMIT_H

#include "rules/rulebook.h"
#include "rules/sentence.h"

/* The numbers are stored: only add at the end. */
enum limit_kind {
	LIMIT_CABLE, LIMIT_BASELINE, LIMIT_RAIL, LIMIT_JOINT, LIMIT_CONTACT, LIMIT_ABSOLUTE, LIMITS
};
extern const struct words limit_kind_words;

/* Why a limit is not there. */
enum limit_absence {
	LIMIT_FORMED,
	LIMIT_NOT_FOR_QUANTITY,       /* says nothing of this quantity */
	LIMIT_NOT_USED,               /* the rulebook does not name it for this kind */
	LIMIT_NO_CONDUCTOR,           /* material, class or cross-section not known or not in a table */
	LIMIT_NO_LENGTH,
	LIMIT_NO_CABLES,
	LIMIT_NO_BASELINE,            /* no commissioning reading of what was attached */
	LIMIT_NO_RAIL,                /* of former registers: no limit stands on the rail's profile now */
	LIMIT_NO_JOINTS,              /* length of rail between joints not known (welded rail) */
	LIMIT_BASELINE_NOT_POSITIVE   /* a joint that added no rail: a factor of it is no limit */
};
extern const struct words limit_absence_words;

/* What the register knows. NAN, 0 and what is negative or infinite: not known. A kind or
 * criticality outside the terms has the row of BOND_KIND_NOT_KNOWN, the figure of
 * CRITICALITY_SAFETY. */
struct limit_facts {
	enum bond_kind kind;
	enum criticality criticality;
	enum quantity quantity;
	double cable_uohm_per_m;      /* of one cable at 20 °C */
	double length_m;              /* of one cable */
	int64_t cables;               /* in parallel */
	int ends;                     /* contacts in series: 2 */
	double baseline;              /* R20 in µΩ at commissioning */
	double rail_uohm_per_m;       /* told beside a drop against the rail; no limit stands on it */
	double rail_between_joints_m;
};

/* All in µΩ, for QUANTITY_RAIL_DROP in metres of rail. */
struct limits {
	double of[LIMITS];            /* NAN: see absence */
	enum limit_absence absence[LIMITS];
	int lowest;                   /* enum limit_kind; of equal ones the first. -1: none formed */
	double limit;                 /* of the lowest; NAN when there is none */
};

void limit_form(const struct rulebook *rulebook, const struct limit_facts *facts,
	struct limits *limits);

/* How one limit was made, for an engineer to check: "(268 µΩ/m × 1.5 m / 1 cable + 2 × 10 µΩ) + 10
 * % = 464.2 µΩ"; or why it was not, in the words of its absence. Figures in six places, results in
 * five; never more than LIMIT_WORKING_SIZE - 1 bytes. */
enum { LIMIT_WORKING_SIZE = 180 };
void limit_working(const struct rulebook *rulebook, const struct limit_facts *facts,
	const struct limits *limits, enum limit_kind kind, struct sentence *s);

#endif
