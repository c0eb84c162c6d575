/* The ends of a bond in words, with the chainages of the line. */
#ifndef SERVICE_RECORD_ENDS_H
#define SERVICE_RECORD_ENDS_H

#include "rules/end_words.h"
#include "store/record/bond.h"

/* Of what is said of a bond in the version that is given: its id, version, kind, line and the
 * places of its ends. */
bool ends_of_bond(struct store *store, const struct bond *bond, struct end_words *to,
	struct problem *why);

#endif
