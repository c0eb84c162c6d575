#include "derived/derived.h"

#include <stdlib.h>

#include "derived/derive.h"

/* (of a bond that stands twice the earliest day first) */
static int by_number(const void *a, const void *b)
{
	const struct touched_bond *one = a, *other = b;

	return one->bond_id != other->bond_id ? (one->bond_id < other->bond_id ? -1 : 1) :
		one->new_day < other->new_day ? -1 : one->new_day > other->new_day;
}

bool derived_bonds(struct act *act, struct problems *why)
{
	struct problem trouble = { 0 };
	bool ok = true;

	if (act->n_bonds > 1) {
		qsort(act->bonds, act->n_bonds, sizeof *act->bonds, by_number);
	}
	for (size_t i = 0; ok && i < act->n_bonds; i++) {
		if (i == 0 || act->bonds[i].bond_id != act->bonds[i - 1].bond_id) {
			ok = derive_bond_since(act, act->bonds[i].bond_id, act->bonds[i].new_day, &trouble);
			act->n_derived++;
		}
	}
	act->n_bonds = 0;
	return ok || act_refuse(why, &trouble, NULL);
}

bool derived_end(struct act *act, struct problems *why)
{
	struct problem trouble = { 0 };
	bool ok = derived_bonds(act, why);

	for (size_t i = 0; ok && i < act->n_groups; i++) {
		ok = derive_repeat_places(act, &act->groups[i], &trouble) ||
			act_refuse(why, &trouble, NULL);
	}
	act->n_derived += act->n_groups;
	act->n_groups = 0;
	return ok;
}
