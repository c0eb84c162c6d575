/*
 * Bonds that an import under way brought (store/record/import_begun.h). They are withdrawn until it
 * counts, and each is in this table until it is derived: the import's own rows find it there, and
 * its label is given to no other.
 */
#ifndef STORE_RECORD_BOND_COMING_H
#define STORE_RECORD_BOND_COMING_H

#include "store/record/bond.h"

struct bond_coming {
	int64_t bond_id, import_id;
};

/* The bond was registered by an import that does not count yet. */
bool store_bond_coming_put(struct store *store, const struct bond *bond, int64_t import_id,
	struct problem *why);

/* The one of a label, of an import that may still count; bond_id 0: there is none. */
bool store_bond_coming_find(struct store *store, int64_t line_id, const char *label,
	struct bond_coming *to, struct problem *why);

/* Whether a bond is of an import that does not count, or not yet. */
bool store_bond_is_coming(struct store *store, int64_t bond_id, bool *it_is, struct problem *why);

/* The import counts, and the bond is derived next: it is one like others. */
bool store_bond_arrived(struct store *store, int64_t bond_id, struct problem *why);

#endif
