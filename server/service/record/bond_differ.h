/*
 * What somebody says otherwise of a bond than the register does, member by member of its form, and
 * the taking of some of it. What the form leaves out says nothing: it differs from nothing and
 * stays.
 */
#ifndef SERVICE_RECORD_BOND_DIFFER_H
#define SERVICE_RECORD_BOND_DIFFER_H

#include "service/record/bond.h"

enum { BOND_MEMBERS = 32, BOND_VALUE_SIZE = 100 };

struct bond_difference {
	const struct member *member;          /* of bond_form; borrowed */
	char known[BOND_VALUE_SIZE];          /* in words, with its unit; "not known" */
	char said[BOND_VALUE_SIZE];
};

/* Those of a bond, at most BOND_MEMBERS, in the order of the form. False: the form is wrong. */
bool bond_differences(struct act *act, int64_t bond_id, const struct bond_new *form,
	struct bond_difference *to, size_t *count, struct problems *why);

/* A further version of the bond in which these members are as the form says, and all else is as it
 * was: by all that bond_change asks. */
bool bond_take(struct act *act, int64_t bond_id, const struct bond_new *form,
	const struct bond_difference *const *taken, size_t count, const char *reason,
	struct problems *why);

#endif
