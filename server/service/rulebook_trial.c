#include "service/rulebook_trial.h"

#include <stdlib.h>

#include "service/derive.h"
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

static void side_of(const struct rulebook_trial *trial, const struct rulebook *rulebook,
	const struct due_facts *facts, struct trial_side *to)
{
	struct due due;

	due_compute(rulebook, facts, &due);
	*to = (struct trial_side){ due_state_on(&due, trial->today), due.due_day, GRADE_NONE,
		{ -1, -1, -1, -1 } };
}

static bool count_bond(const struct rulebook_trial *trial, struct store *store,
	const struct due_kept *kept, struct trial_count *count, struct problem *why)
{
	struct bond bond;
	struct bond_history history = { .due = kept->facts };
	struct trial_bond b = { .bond_id = kept->bond_id, .line_id = kept->line_id };

	if (!kept->facts.in_service) {
		return true;
	}
	if (kept->has_deferral && (!store_bond_get(store, kept->bond_id, &bond, why) ||
		!store_bond_history(store, &bond, &history, why))) {
		return false;
	}
	side_of(trial, &trial->now, &history.due, &b.before);
	side_of(trial, &trial->then, &history.due, &b.after);
	return trial_count_add(count, &b) ||
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static bool piece(const struct rulebook_trial *trial, struct store *store, int64_t first,
	struct due_kept *kept, struct trial_count *count, struct problem *why)
{
	size_t n = 0;
	bool ok = store_dues_after(store, first - 1, -1, kept, BONDS_OF_PIECE, &n, why);

	/* numbers may be missing: what is beyond the piece is of another */
	for (size_t i = 0; ok && i < n && kept[i].bond_id < first + BONDS_OF_PIECE; i++) {
		ok = count_bond(trial, store, &kept[i], count, why);
	}
	return ok;
}

bool rulebook_trial_work(struct rulebook_trial *trial, struct store *store,
	struct trial_count *count, struct problem *why)
{
	struct due_kept *kept = calloc(BONDS_OF_PIECE, sizeof *kept);
	bool ok = kept != NULL || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	while (ok) {
		int64_t first = atomic_fetch_add(&trial->next_id, BONDS_OF_PIECE);

		if (first > trial->last_id) {
			break;
		}
		ok = piece(trial, store, first, kept, count, why) &&
			(!atomic_load(&trial->progress->stop) ||
			problem_set(why, PROBLEM_BUSY, NULL, "The trial was ended before it was done."));
		atomic_fetch_add(&trial->progress->done, BONDS_OF_PIECE);
	}
	free(kept);
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
