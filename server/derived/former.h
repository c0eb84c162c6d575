/* What was said of a bond by other rules, when it is about to be replaced. */
#ifndef DERIVED_FORMER_H
#define DERIVED_FORMER_H

#include "derived/act.h"
#include "store/record/bond.h"

/*
 * Keeps the grade of a kept state where `now` has another and was made under another rulebook or by
 * another edition of the rules. What an entry changed is in the record, and not kept here. kept may
 * be NULL.
 */
bool former_keep_grade(struct act *act, int64_t bond_id, const struct bond_state *kept,
	const struct bond_state *now, struct problem *why);

/* Lists as better by correction what a withdrawal of something that many bonds are judged by (or of
 * an import) has made better, now that the bond is judged again. kept may be NULL. */
bool former_tell_better(struct act *act, int64_t bond_id, const struct bond_state *kept,
	const struct bond_state *now, struct problem *why);

#endif
