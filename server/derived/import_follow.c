#include "derived/import_follow.h"

#include <stdlib.h>

#include "base/clock.h"
#include "derived/derive.h"
#include "derived/derived.h"
#include "store/record/bond_coming.h"
#include "store/record/import_begun.h"
#include "store/record/renewal.h"

static const char mark[] = "import";

bool import_follow_begin(struct act *act, int64_t id, struct problem *why)
{
	return store_mark_put(act->store, mark, id, why);
}

bool import_follow_open(struct store *store, int64_t *id, struct problem *why)
{
	return store_mark_get(store, mark, id, why);
}

bool import_follow_end(struct act *act, struct problem *why)
{
	return store_mark_put(act->store, mark, 0, why);
}

/* A rail renewal took its ends off, too, if it is one that the import brought: by whose word it
 * stands there. */
static bool arrive(struct act *act, const struct import_follow *at, int64_t bond_id,
	struct problem *why)
{
	struct origin origin = act->origin;

	origin.person_id = at->person_id;
	return store_bond_arrived(act->store, bond_id, why) &&
		store_renewals_take_off(act->store, bond_id, &origin, why);
}

static bool next_bond(struct act *act, struct import_follow *at, struct problems *why)
{
	struct problem one = { 0 };
	int64_t bond_id = 0;

	if (!store_import_next_bond(act->store, at->id, at->after_bond, &bond_id, &one)) {
		return act_refuse(why, &one, NULL);
	}
	at->bonds_done = bond_id == 0;
	at->after_bond = bond_id;
	return at->bonds_done || ((act_touch_bond(act, bond_id, &one) &&
		store_import_tidy(act->store, at->id, bond_id, &one) && arrive(act, at, bond_id, &one)) ||
		act_refuse(why, &one, NULL));
}

bool import_follow_line(struct act *act, int64_t id, int64_t *after_line, bool *more,
	struct problems *why)
{
	struct failure_group *groups = NULL;
	struct problem one = { 0 };
	size_t count = 0;
	bool ok = store_import_next_line(act->store, id, *after_line, after_line, &one);

	*more = *after_line != 0;
	ok = ok && (!*more || store_failure_groups(act->store, *after_line, &groups, &count, &one));
	for (size_t i = 0; ok && i < count; i++) {
		ok = derive_repeat_places(act, &groups[i], &one);
	}
	free(groups);
	return ok || act_refuse(why, &one, NULL);
}

bool import_follow_piece(struct act *act, struct import_follow *at, int64_t until_ms, bool *more,
	struct problems *why)
{
	struct problem one = { 0 };
	int64_t id = 0;
	bool ok = import_follow_open(act->store, &id, &one) || act_refuse(why, &one, NULL);

	if (id != at->id) {
		*at = (struct import_follow){ .id = id };
		ok = ok && (store_import_person(act->store, id, &at->person_id, &one) ||
			act_refuse(why, &one, NULL));
	}
	*more = id != 0;
	if (!ok || !*more) {
		return ok;
	}
	while (ok && !at->bonds_done) {
		ok = next_bond(act, at, why) && derived_bonds(act, why);
		if (clock_monotonic_ms() >= until_ms) {
			return ok;
		}
	}
	return ok && import_follow_line(act, at->id, &at->after_line, more, why) && (*more ||
		import_follow_end(act, &one) || act_refuse(why, &one, NULL));
}
