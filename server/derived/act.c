#include "derived/act.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"


bool act_begin(struct act *act, struct view *view, const struct origin *origin,
	struct problems *why)
{
	struct problem trouble = { 0 };

	*act = (struct act){ .view = view, .store = view->store, .origin = *origin };
	return view_rules(view, &trouble) || act_refuse(why, &trouble, NULL);
}

void act_release(struct act *act)
{
	free(act->bonds);
	free(act->groups);
	act->bonds = NULL;
	act->groups = NULL;
	act->n_bonds = act->n_groups = 0;
}

bool act_touch_bond_on(struct act *act, int64_t bond_id, int32_t new_day, struct problem *why)
{
	struct touched_bond *last = act->n_bonds > 0 ? &act->bonds[act->n_bonds - 1] : NULL;

	view_forget(act->view, bond_id);
	if (last != NULL && last->bond_id == bond_id) {
		last->new_day = new_day < last->new_day ? new_day : last->new_day;
		return true;
	}
	if (!array_grow((void **)&act->bonds, act->n_bonds, sizeof *act->bonds, why)) {
		return false;
	}
	act->bonds[act->n_bonds++] = (struct touched_bond){ bond_id, new_day };
	return true;
}

bool act_touch_bond(struct act *act, int64_t bond_id, struct problem *why)
{
	return act_touch_bond_on(act, bond_id, INT32_MIN, why);
}

static bool same_group(const struct failure_group *a, const struct failure_group *b)
{
	return a->line_id == b->line_id && a->track_id == b->track_id && a->rail == b->rail;
}

bool act_touch_group(struct act *act, const struct failure_group *group, struct problem *why)
{
	/* newest first: rows of a file mostly come line by line */
	for (size_t i = act->n_groups; i-- > 0;) {
		if (same_group(&act->groups[i], group)) {
			return true;
		}
	}
	if (!array_grow((void **)&act->groups, act->n_groups, sizeof *act->groups, why)) {
		return false;
	}
	act->groups[act->n_groups++] = *group;
	return true;
}

bool act_refuse(struct problems *why, const struct problem *one, const char *field)
{
	struct problem named = *one;

	if (field != NULL) {
		snprintf(named.field, sizeof named.field, "%s", field);
	}
	return problems_take(why, &named);
}
