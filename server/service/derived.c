#include "service/derived.h"

#include <stdlib.h>

#include "service/derive.h"

static int by_number(const void *a, const void *b)
{
	const int64_t one = *(const int64_t *)a, other = *(const int64_t *)b;

	return one < other ? -1 : one > other;
}

bool derived_bonds(struct act *act, struct problems *why)
{
	struct problem trouble = { 0 };
	bool ok = true;

	if (act->n_bonds > 1) {
		qsort(act->bonds, act->n_bonds, sizeof *act->bonds, by_number);
	}
	for (size_t i = 0; ok && i < act->n_bonds; i++) {
		ok = (i > 0 && act->bonds[i] == act->bonds[i - 1]) ||
			derive_bond(act, act->bonds[i], &trouble);
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
	act->n_groups = 0;
	return ok;
}
