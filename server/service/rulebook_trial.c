#include "service/rulebook_trial.h"

#include <stdlib.h>

#include "service/derive.h"
#include "service/judged.h"
#include "service/rulebook.h"

enum { BONDS_OF_PIECE = 2000 };

bool rulebook_trial_begin(struct store *store, int32_t today, const struct rulebook *then,
	struct progress *progress, struct rulebook_trial *trial, struct problem *why)
{
	trial->then = *then;
	trial->today = today;
	trial->progress = progress;
	trial->last_id = 0;
	atomic_store(&trial->next_id, 1);
	if (!rulebook_in_force(store, today, &trial->now, why) ||
		!store_bond_last(store, &trial->last_id, why)) {
		return false;
	}
	atomic_store(&progress->of, trial->last_id);
	return true;
}

static bool side_of(struct act *act, struct judging *j, size_t i, const struct rulebook *rulebook,
	struct trial_side *to, struct problem *why)
{
	const struct judgement *m = &j->judgement;

	act->rulebook = *rulebook;
	if (!judging_bond(act, j, i, why)) {
		return false;
	}
	*to = (struct trial_side){ due_state_on(&m->due, act->today), m->due.due_day,
		grade_on(m->grade.grade, m->grade.evidence_until_day, act->today), { 0 } };
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		to->verdict[q] = m->last[q].there ? (int)m->last[q].verdict : -1;
	}
	return true;
}

static bool count_bond(const struct rulebook_trial *trial, struct act *act, struct judging *j,
	size_t i, struct trial_count *count, struct problem *why)
{
	const struct bond *bond = &j->records.bonds[i].bond;
	struct trial_bond b = { .bond_id = bond->id, .line_id = bond->line_id };

	if (bond->status != BOND_IN_SERVICE) {
		return true;
	}
	return side_of(act, j, i, &trial->now, &b.before, why) &&
		side_of(act, j, i, &trial->then, &b.after, why) && (trial_count_add(count, &b) ||
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory."));
}

/* By numbers, some of which may be missing. */
static bool piece(const struct rulebook_trial *trial, struct act *act, int64_t first,
	struct judging *j, struct trial_count *count, struct problem *why)
{
	bool ok = judging_read(act, j, first, first + BONDS_OF_PIECE - 1, why);

	for (size_t i = 0; ok && i < j->records.n_bonds; i++) {
		ok = count_bond(trial, act, j, i, count, why);
	}
	return ok;
}

bool rulebook_trial_work(struct rulebook_trial *trial, struct store *store,
	struct trial_count *count, struct problem *why)
{
	struct act act = { .store = store, .today = trial->today };
	struct judging j = { 0 };
	bool ok = true;

	while (ok) {
		int64_t first = atomic_fetch_add(&trial->next_id, BONDS_OF_PIECE);

		if (first > trial->last_id) {
			break;
		}
		ok = piece(trial, &act, first, &j, count, why) &&
			(!atomic_load(&trial->progress->stop) ||
			problem_set(why, PROBLEM_BUSY, NULL, "The trial was ended before it was done."));
		atomic_fetch_add(&trial->progress->done, BONDS_OF_PIECE);
	}
	judging_release(&j);
	act_release(&act);
	return ok;
}

static bool count_places(struct act *act, const struct rulebook *rulebook,
	const struct failure_group *group, int64_t *count, struct problem *why)
{
	struct derived_places found;
	bool ok;

	act->rulebook = *rulebook;
	ok = derive_places(act, group, &found, why);
	*count += ok ? (int64_t)found.n_places : 0;
	derived_places_release(&found);
	return ok;
}

bool rulebook_trial_places(struct rulebook_trial *trial, struct store *store, int64_t *before,
	int64_t *after, struct problem *why)
{
	const struct rulebook *a = &trial->now, *b = &trial->then;
	struct act act = { .store = store, .today = trial->today };
	struct failure_group *groups = NULL;
	size_t n = 0;
	bool ok;

	*before = *after = -1;
	if (a->repeat_window_mm == b->repeat_window_mm &&
		a->repeat_period_months == b->repeat_period_months &&
		a->repeat_least_count == b->repeat_least_count) {
		return true;
	}
	*before = *after = 0;
	ok = store_failure_groups(store, 0, &groups, &n, why);
	for (size_t i = 0; ok && i < n; i++) {
		ok = count_places(&act, a, &groups[i], before, why) &&
			count_places(&act, b, &groups[i], after, why);
	}
	free(groups);
	act_release(&act);
	return ok;
}
