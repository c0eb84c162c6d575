#include "derived/former.h"

#include <stdlib.h>

#include "store/kept/judgement.h"
#include "store/record/correction.h"

/* As lists show it today. */
static struct grade_former said(const struct act *act, const struct bond_state *s)
{
	struct grade_former was = { .grade = grade_on(s->grade.grade, s->grade.evidence_until_day,
		act->view->today), .reasons = s->grade.reasons,
		.rulebook_version = llabs(s->rulebook_version), .edition = s->edition, .replaced_at_ms = act->origin.now_ms };

	if (was.grade != s->grade.grade) {
		was.reasons |= 1u << REASON_EVIDENCE_OLD;
	}
	return was;
}

/* (version 0: made stale by an entry that many bonds are judged by) */
bool former_keep_grade(struct act *act, int64_t bond_id, const struct bond_state *kept,
	const struct bond_state *now, struct problem *why)
{
	struct grade_former was;

	if (kept == NULL || (kept->edition == now->edition && (kept->rulebook_version == 0 ||
		kept->rulebook_version == now->rulebook_version))) {
		return true;
	}
	was = said(act, kept);
	return was.grade == said(act, now).grade ||
		store_grade_former_insert(act->store, bond_id, &was, why);
}

bool former_tell_better(struct act *act, int64_t bond_id, const struct bond_state *kept,
	const struct bond_state *now, struct problem *why)
{
	return kept == NULL || store_better_told(act->store, bond_id, now->grade.grade,
		act->origin.now_ms, why);
}
