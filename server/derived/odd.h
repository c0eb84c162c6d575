/*
 * How many rows of data that look wrong (rules/odd.h) a bond gives: kept with its state, so that
 * the list walks those bonds only that have any, and the report adds them up.
 *
 * What a bond is registered as, and what stands beside it, changes with its version alone; its
 * readings are looked at each time that it is judged. Two bonds at one place are a row of the one
 * that comes first along the line: whoever registers, changes, moves or removes one has the
 * neighbours of its old and its new place counted anew.
 */
#ifndef DERIVED_ODD_H
#define DERIVED_ODD_H

#include "derived/judged.h"
#include "rules/odd.h"

/* Of the bond judged last, number i, as bond_state.odd has it. anew: what is kept of it is not
 * taken on trust. */
bool odd_of_bond(struct view *view, const struct judging *j, size_t i, bool anew, int64_t *odd,
	struct problem *why);

/* Its readings alone: rows of ODD_READING_FAR_OFF and ODD_READING_NO_EVIDENCE are set. */
bool odd_of_readings(const struct judging *j, int64_t rows[ODDS], struct problem *why);

#endif
