#include "derived/rulebook_trial.h"

#include <stdlib.h>
#include <string.h>

#include "derived/derive.h"
#include "derived/judged.h"
#include "rules/rulebook_walk.h"

enum { BONDS_OF_PIECE = 2000, BONDS_OF_READ = 500 };

/* What one thread needs. */
struct hand {
	struct rulebook_trial *trial;
	struct view now;              /* reads the record, and judges under the rulebook in force */
	struct view then;             /* judges under the one that is tried */
	struct judging judging;
	struct rulebook_span *spans;  /* of `then` */
	struct due_kept *kept;
	struct trial_count *count;
};

/* Those in force until today, and the one that is tried from today on: it clears nothing that was
 * over under these. */
static bool begin_hand(struct hand *h, struct problem *why)
{
	const struct rulebook_trial *t = h->trial;
	size_t n;

	h->kept = calloc(BONDS_OF_PIECE, sizeof *h->kept);
	if (!view_rules(&h->now, why)) {
		return false;
	}
	n = h->now.n_in_force;
	h->spans = calloc(n + 1, sizeof *h->spans);
	if (h->kept == NULL || h->spans == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	memcpy(h->spans, h->now.in_force, n * sizeof *h->spans);
	h->spans[n - 1].to_day = t->today;
	h->spans[n] = (struct rulebook_span){ t->today, INT32_MAX, &t->then };
	h->now.rulebook = &t->now;
	h->then.in_force = h->spans;
	h->then.n_in_force = n + 1;
	return true;
}

static void end_hand(struct hand *h)
{
	judging_release(&h->judging);
	view_release(&h->now);
	view_release(&h->then);
	free(h->spans);
	free(h->kept);
}

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
	trial->alike = rulebook_judges_alike(&trial->now, &trial->then);
	atomic_store(&progress->of, trial->last_id);
	return true;
}

static bool add(struct hand *h, const struct trial_bond *b, struct problem *why)
{
	return trial_count_add(h->count, b) ||
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static struct trial_side side_of(const struct hand *h, const struct due *due,
	const struct grade_result *grade)
{
	struct due inspection, mending;

	due_alone(due, DUE_INSPECTION, &inspection);
	due_alone(due, DUE_MENDING, &mending);
	return (struct trial_side){ .state = due_state_on(due, h->trial->today),
		.of = { due_state_on(&inspection, h->trial->today), due_state_on(&mending, h->trial->today) },
		.due_day = due->due_day, .grade = grade_on(grade->grade, grade->evidence_until_day,
		h->trial->today), .verdict = { -1, -1, -1, -1 } };
}

/* Only due days differ, and nothing of the record has to be asked for. */
static bool count_light(struct hand *h, const struct due_kept *kept, struct problem *why)
{
	const struct grade_result grade = { .grade = kept->grade,
		.evidence_until_day = kept->evidence_until_day };
	struct trial_bond b = { .bond_id = kept->bond_id, .line_id = kept->line_id };
	struct due now, then;

	due_compute(&h->trial->now, &kept->facts, &now);
	due_compute(&h->trial->then, &kept->facts, &then);
	b.before = side_of(h, &now, &grade);
	b.after = side_of(h, &then, &grade);
	return add(h, &b, why);
}

/* The verdict of the last evidence of each quantity. */
static void verdicts_of(const struct judging *j, struct trial_side *to)
{
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		const struct grade_reading *last = &j->judgement.last[q];

		to->verdict[q] = last->there && !last->open_circuit ? (int)last->verdict : -1;
	}
}

static bool judge(struct hand *h, struct view *under, size_t i, struct trial_side *to,
	struct problem *why)
{
	struct judging *j = &h->judging;

	if (!judging_bond(under, j, i, why)) {
		return false;
	}
	*to = side_of(h, &j->judgement.due, &j->judgement.grade);
	if (!h->trial->alike) {   /* else they are the same, and most are not asked for */
		verdicts_of(j, to);
	}
	return true;
}

/* Both judgements of the bonds of a range, from their whole record. */
static bool count_whole(struct hand *h, int64_t first, int64_t last, struct problem *why)
{
	struct judging *j = &h->judging;
	bool ok = judging_read(&h->now, j, first, last, why);

	for (size_t i = 0; ok && i < j->records.n_bonds; i++) {
		const struct bond *bond = &j->records.bonds[i].bond;
		struct trial_bond b = { .bond_id = bond->id, .line_id = bond->line_id };

		ok = bond->status != BOND_IN_SERVICE || (judge(h, &h->now, i, &b.before, why) &&
			judge(h, &h->then, i, &b.after, why) && add(h, &b, why));
	}
	return ok;
}

static bool light_piece(struct hand *h, int64_t first, struct problem *why)
{
	size_t n = 0;
	bool ok = store_dues_after(h->now.store, first - 1, first + BONDS_OF_PIECE - 1, -1, h->kept,
		BONDS_OF_PIECE, &n, why);

	for (size_t i = 0; ok && i < n; i++) {
		const struct due_kept *kept = &h->kept[i];

		/* what is kept under another version than the one in force is still being made again */
		ok = !kept->facts.in_service ||
			(kept->is_whole || kept->version != h->trial->now.version ||
			due_forecast_matters(&h->trial->now, &kept->facts, kept->early_day) ||
			due_forecast_matters(&h->trial->then, &kept->facts, kept->early_day) ?
			count_whole(h, kept->bond_id, kept->bond_id, why) : count_light(h, kept, why));
	}
	return ok;
}

static bool whole_piece(struct hand *h, int64_t first, struct problem *why)
{
	bool ok = true;

	for (int64_t id = first; ok && id < first + BONDS_OF_PIECE && id <= h->trial->last_id;
		id += BONDS_OF_READ) {
		ok = count_whole(h, id, id + BONDS_OF_READ - 1, why);
	}
	return ok;
}

bool rulebook_trial_work(struct rulebook_trial *trial, struct store *store,
	struct trial_count *count, struct problem *why)
{
	struct hand h = { .trial = trial, .count = count,
		.now = { .store = store, .today = trial->today },
		.then = { .store = store, .today = trial->today, .rulebook = &trial->then },
		.judging.records.without_states = true };
	bool ok = begin_hand(&h, why);

	while (ok) {
		int64_t first = atomic_fetch_add(&trial->next_id, BONDS_OF_PIECE);

		if (first > trial->last_id) {
			break;
		}
		ok = (trial->alike ? light_piece(&h, first, why) : whole_piece(&h, first, why)) &&
			(!atomic_load(&trial->progress->stop) ||
			problem_set(why, PROBLEM_BUSY, NULL, "The trial was ended before it was done."));
		atomic_fetch_add(&trial->progress->done, BONDS_OF_PIECE);
	}
	end_hand(&h);
	return ok;
}

static bool count_places(struct store *store, const struct rulebook *rulebook,
	const struct failure_group *group, int64_t *count, struct problem *why)
{
	struct view view = { .store = store, .rulebook = rulebook };
	struct derived_places found;
	bool ok = derive_places(&view, group, &found, why);

	*count += ok ? (int64_t)found.n_places : 0;
	derived_places_release(&found);
	return ok;
}

bool rulebook_trial_places(struct rulebook_trial *trial, struct store *store, int64_t *before,
	int64_t *after, struct problem *why)
{
	const struct rulebook *a = &trial->now, *b = &trial->then;
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
		ok = count_places(store, a, &groups[i], before, why) &&
			count_places(store, b, &groups[i], after, why);
	}
	free(groups);
	return ok;
}
