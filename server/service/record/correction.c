#include "service/record/correction.h"

#include "derived/derived.h"
#include "derived/made_from.h"
#include "store/record/correction.h"
#include "store/record/failure.h"

bool correction_begin(struct act *act, struct correction *c, struct problems *why)
{
	struct bond_state state;
	struct sent former = { 0 };
	struct problem trouble = { 0 };

	c->bond_id = 0;
	if (c->corrects[0] == '\0') {
		return true;
	}
	if (!derived_bonds(act, why)) {
		return false;
	}
	if (!store_sent_find(act->store, c->noun, c->corrects, &former, &trouble) ||
		!store_sent_author(act->store, c->noun, former.id, &c->author_id, &trouble) ||
		!store_bond_state_get(act->store, former.bond_id, &state, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	c->bond_id = former.bond_id;
	c->before = state.grade.grade;
	return true;
}

/* Now that it does not count yet. */
static bool touch_waiting(struct act *act, const struct correction *c, struct problem *trouble)
{
	return changed_of_bond(act, (int)c->noun, c->to_bond_id, trouble) &&
		changed_of_bond(act, (int)c->noun, c->bond_id, trouble);
}

bool correction_end(struct act *act, struct correction *c, struct problems *why)
{
	struct bond_state state;
	struct problem trouble = { 0 };
	struct correction_better better = { .noun = c->noun, .row_id = c->row_id,
		.bond_id = c->bond_id, .grade_before = c->before, .reason = c->reason,
		.waits = c->author_id != act->origin.person_id };

	if (c->bond_id == 0) {
		return true;
	}
	if (!derived_bonds(act, why)) {
		return false;
	}
	if (!store_bond_state_get(act->store, c->bond_id, &state, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	better.grade_after = state.grade.grade;
	if (!grade_worse(c->before, state.grade.grade)) {
		return true;
	}
	if (c->reason == NULL) {
		return problems_add(why, PROBLEM_RULE, "reason", "This correction makes the bond %s instead "
			"of %s: it needs a reason.", grade_words.title[state.grade.grade],
			grade_words.title[c->before]);
	}
	c->waits = better.waits;
	return (store_correction_better(act->store, &better, &act->origin, &trouble) &&
		(!better.waits || touch_waiting(act, c, &trouble))) ||
		act_refuse(why, &trouble, NULL);
}

bool correction_touch_places(struct act *act, const char *uuid, struct problems *why)
{
	char former[UUID_TEXT_SIZE];
	struct problem trouble = { 0 };
	const char *of[] = { uuid, former };

	if (!store_sent_former(act->store, SENT_FAILURE, uuid, former, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	for (int i = 0; i < 2 && of[i][0] != '\0'; i++) {
		struct sent sent = { 0 };
		struct failure f;

		if (!store_sent_find(act->store, SENT_FAILURE, of[i], &sent, &trouble) ||
			!store_failure_get(act->store, sent.id, &f, &trouble) ||
			!changed_of_group(act, SENT_FAILURE, &(struct failure_group){ f.line_id, f.track_id,
			f.rail }, &trouble)) {
			return act_refuse(why, &trouble, NULL);
		}
	}
	return true;
}
