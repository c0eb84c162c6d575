#include "service/act.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/derive.h"

bool act_begin(struct act *act, struct view *view, const struct origin *origin,
	struct problems *why)
{
	struct problem trouble = { 0 };

	*act = (struct act){ .view = view, .store = view->store, .origin = *origin };
	return view_rules(view, &trouble) || act_refuse(why, &trouble, NULL);
}

bool act_end(struct act *act, struct problems *why)
{
	struct problem trouble = { 0 };

	for (size_t i = 0; i < act->n_touched; i++) {
		if (!derive_repeat_places(act, &act->touched[i], &trouble)) {
			return act_refuse(why, &trouble, NULL);
		}
	}
	act->n_touched = 0;
	return true;
}

void act_release(struct act *act)
{
	free(act->touched);
	act->touched = NULL;
	act->n_touched = 0;
}

static bool same_group(const struct failure_group *a, const struct failure_group *b)
{
	return a->line_id == b->line_id && a->track_id == b->track_id && a->rail == b->rail;
}

bool act_touch(struct act *act, const struct failure_group *group, struct problems *why)
{
	/* newest first: rows of a file mostly come line by line */
	for (size_t i = act->n_touched; i-- > 0;) {
		if (same_group(&act->touched[i], group)) {
			return true;
		}
	}
	if ((act->n_touched & (act->n_touched - 1)) == 0) {
		size_t room = act->n_touched > 0 ? act->n_touched * 2 : 1;
		struct failure_group *more = realloc(act->touched, room * sizeof *more);

		if (more == NULL) {
			return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		act->touched = more;
	}
	act->touched[act->n_touched++] = *group;
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
