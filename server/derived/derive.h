/* What the rules make of the record, computed and kept beside it. rebuild and check use the same
 * functions, so what is kept is what they give. */
#ifndef DERIVED_DERIVE_H
#define DERIVED_DERIVE_H

#include "derived/act.h"
#include "store/record/bond.h"

/* Judges a bond and all its readings anew, and keeps what differs. A verdict that changes stays
 * readable (verdict_former). */
bool derive_bond(struct act *act, int64_t bond_id, struct problem *why);

/* The same after an entry dated new_day that replaces none: which inspections until that day were
 * on time stands as it is kept (derived/timely.h). */
bool derive_bond_since(struct act *act, int64_t bond_id, int32_t new_day, struct problem *why);

/* The same of all bonds from first_id to last_id, of which nothing is new on record: by other
 * rulebooks, or where they are marked to be made again. */
bool derive_range(struct act *act, int64_t first_id, int64_t last_id, struct problem *why);

/* The same, and nothing that is kept is taken on trust. The totals, of what is due and of visits,
 * are the caller's to count when all are done. */
bool derive_range_anew(struct act *act, int64_t first_id, int64_t last_id, struct problem *why);

/* Computes the repeat places of a group; *all (the caller's: free()) and which of the group's
 * failures belong to which: place_ids[i] is of the i-th of failures, 0 for none. */
struct derived_places {
	struct repeat_failure *failures;    /* of the group, by id */
	int64_t *place_ids;
	size_t n_failures;
	struct repeat_row *places;         /* by id */
	size_t n_places;
};
bool derive_places(struct view *view, const struct failure_group *group, struct derived_places *to,
	struct problem *why);
void derived_places_release(struct derived_places *places);

/* Computes them and keeps them, with the state of each failure of the group. */
bool derive_repeat_places(struct act *act, const struct failure_group *group,
	struct problem *why);

/* A bond that is withdrawn leaves all lists and totals. It is still judged when this is called. */
bool derive_forget(struct act *act, int64_t bond_id, struct problem *why);

#endif
