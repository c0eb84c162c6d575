#include "service/act.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/derive.h"
#include "service/judged.h"
#include "store/rulebook.h"

/* Before the first that counts, that one: a day of which nothing is said is not without rules. */
bool act_rules(struct act *act, struct problem *why)
{
	const struct rulebooks *all = store_rulebooks(act->store, why);
	size_t n;

	if (all == NULL) {
		return false;
	}
	if (all->n_spans == 0) {
		store_rulebooks_release(all);
		return problem_set(why, PROBLEM_RULE, NULL,
			"This register has no rulebook yet: start the server once to have one recorded.");
	}
	n = rulebook_spans_until(all->spans, all->n_spans, act->today);
	act->rulebooks = all;
	act->in_force = all->spans;
	act->n_in_force = n > 0 ? n : 1;
	act->rulebook = *all->spans[act->n_in_force - 1].rulebook;
	return true;
}

bool act_was_in_force(const struct act *act, int64_t version)
{
	for (size_t i = act->n_in_force; i-- > 0;) {
		if (act->in_force[i].rulebook->version == version) {
			return true;
		}
	}
	return false;
}

bool act_begin(struct act *act, struct store *store, const struct origin *origin, int32_t today,
	struct problems *why)
{
	struct problem trouble = { 0 };

	*act = (struct act){ .store = store, .origin = *origin, .today = today };
	return act_rules(act, &trouble) || act_refuse(why, &trouble, NULL);
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
	store_rulebooks_release(act->rulebooks);
	act->rulebooks = NULL;
	act->in_force = NULL;
	act->n_in_force = 0;
	judging_free(act->judging);
	act->judging = NULL;
	act->judged_id = 0;
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
