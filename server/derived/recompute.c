#include "derived/recompute.h"

#include <stdlib.h>

#include "derived/derive.h"
#include "derived/import_follow.h"
#include "derived/timely.h"
#include "rules/edition.h"
#include "rules/rulebook_walk.h"
#include "store/record/book.h"
#include "store/record/record.h"
#include "store/record/rulebook.h"
#include "store/record/withdrawal_begun.h"

/* Small enough for a crew's result not to wait longer than it notices. */
enum { BONDS_OF_PIECE = 5000, WHOLE_OF_PIECE = 500, LINES_OF_PIECE = 5 };

/* Nor is it looked longer in one piece for the few of a large register that need it. */
enum { NUMBERS_OF_PIECE = 20000 };

/* Bonds of one piece: as they are kept, what of them moves, and how the totals change. */
struct piece {
	struct due_kept kept[BONDS_OF_PIECE];
	struct due_moved moved[BONDS_OF_PIECE];
	struct due_cell cells[2 * DUE_CELLS * BONDS_OF_PIECE];
	size_t n_kept, n_moved, n_cells;
};

/* Whether a version judges as all those do that came into force after it: what it called over, and
 * what one between called over, is over all the same. */
static bool judged_alike_since(const struct act *act, int64_t version)
{
	const struct rulebook_span *of = NULL;

	for (size_t i = 0; i < act->view->n_in_force; i++) {
		const struct rulebook_span *span = &act->view->in_force[i];

		if (of != NULL && !rulebook_judges_alike(of->rulebook, span->rulebook)) {
			return false;
		}
		of = span->rulebook->version == version ? span : of;
	}
	return of != NULL;
}

/* Whether the due day is all that is to be made again of a bond that is kept under a version. */
static bool is_light(const struct act *act, struct recompute *at, int64_t version)
{
	if (version > 0 && version != at->compared) {
		at->compared = version;
		at->alike = judged_alike_since(act, version);
		at->stands_until_day = timely_stands_under(act->view, version);
	}
	return version > 0 && at->alike;
}

static void recompute_due(const struct act *act, const struct due_kept *kept, struct piece *p)
{
	struct bond_state state = { .line_id = kept->line_id, .kind = kept->facts.kind,
		.criticality = kept->facts.criticality, .surveyed = kept->surveyed, .due = kept->due,
		.grade = { .grade = kept->grade, .evidence_until_day = kept->evidence_until_day } };

	p->n_cells += due_cells_of(&state, -1, &p->cells[p->n_cells]);
	due_compute(act->view->rulebook, &kept->facts, &state.due);
	p->n_cells += due_cells_of(&state, 1, &p->cells[p->n_cells]);
	p->moved[p->n_moved++] = (struct due_moved){ kept->bond_id, state.due };
}

/* From the first of the piece that needs it on, whole records: as many as are read at one go. */
static bool whole_piece(struct act *act, struct recompute *at, int64_t first_id, struct problem *why)
{
	int64_t first, last;

	if (!store_record_range(act->store, first_id - 1, act->view->rulebook->version, WHOLE_OF_PIECE,
		&first, &last, why) || !derive_range(act, first, last, why)) {
		return false;
	}
	at->after_bond = last;
	return true;
}

static bool keep_moved(struct act *act, struct piece *p, struct problem *why)
{
	return store_dues_write(act->store, p->moved, p->n_moved, act->view->rulebook->version,
		why) &&
		store_due_cells_add(act->store, p->cells, p->n_cells, why);
}

static bool light_piece(struct act *act, struct recompute *at, struct piece *p,
	struct problem *why)
{
	bool ok = true;

	for (size_t i = 0; ok && i < p->n_kept; i++) {
		const struct due_kept *kept = &p->kept[i];

		if (!is_light(act, at, kept->version)) {
			/* when all of them are, a piece of its own is quicker */
			return (i > 0 || whole_piece(act, at, kept->bond_id, why)) && keep_moved(act, p, why);
		}
		if (kept->is_whole ||
			due_forecast_matters(act->view->rulebook, &kept->facts, kept->early_day) ||
			kept->last_visit_day > at->stands_until_day) {
			ok = derive_range(act, kept->bond_id, kept->bond_id, why);
		} else {
			recompute_due(act, kept, p);
		}
		at->after_bond = kept->bond_id;
	}
	return ok && keep_moved(act, p, why);
}

static bool bonds_piece(struct act *act, struct recompute *at, struct problem *why)
{
	struct piece *p = calloc(1, sizeof *p);
	int64_t until = at->after_bond + NUMBERS_OF_PIECE, last = 0;
	bool ok = p != NULL || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	ok = ok && store_bond_last(act->store, &last, why) && store_dues_after(act->store,
		at->after_bond, until, act->view->rulebook->version, p->kept, BONDS_OF_PIECE, &p->n_kept,
		why) && light_piece(act, at, p, why);
	if (ok && p->n_kept == 0) {
		at->after_bond = until;
		at->bonds_done = until >= last;
	}
	free(p);
	return ok && store_mark_put(act->store, "recomputed", at->after_bond, why);
}

/* The repeat places of one line. */
static bool line_places(struct act *act, int64_t line_id, struct problem *why)
{
	struct failure_group *groups = NULL;
	size_t count = 0;
	bool ok = store_failure_groups(act->store, line_id, &groups, &count, why);

	for (size_t i = 0; ok && i < count; i++) {
		ok = derive_repeat_places(act, &groups[i], why);
	}
	free(groups);
	return ok;
}

bool recompute_done(struct act *act, struct problem *why)
{
	return store_mark_put(act->store, "rulebook", act->view->rulebook->version, why) &&
		store_mark_put(act->store, "edition", RULES_EDITION, why);
}

/* What was marked to be made again meanwhile is made again before it is all said to be done. */
static bool finish(struct act *act, struct recompute *at, struct problem *why)
{
	int64_t stale = 0;

	if (!store_mark_get(act->store, "stale", &stale, why)) {
		return false;
	}
	if (stale != at->stale) {
		*at = (struct recompute){ .version = at->version, .stale = stale };
		return true;
	}
	return recompute_done(act, why);
}

static bool places_piece(struct act *act, struct recompute *at, struct problem *why)
{
	for (int i = 0; i < LINES_OF_PIECE; i++) {
		int64_t line_id = 0;

		if (!store_line_next(act->store, at->after_line, &line_id, why)) {
			return false;
		}
		if (line_id == 0) {
			return finish(act, at, why);
		}
		if (!(at->places_stand ?
			store_repeat_stand(act->store, line_id, act->view->rulebook->version, why) :
			line_places(act, line_id, why))) {
			return false;
		}
		at->after_line = line_id;
	}
	return true;
}

/* Whether every version there is since the places were made finds the same: they may have been
 * made again under any of them, also under one that was withdrawn meanwhile. */
static bool places_stand(const struct act *act, int64_t made_under, bool *stand,
	struct problem *why)
{
	const struct rulebooks *books = store_rulebooks(act->store, why);
	int64_t edition = 0;
	bool ok = books != NULL && store_mark_get(act->store, "edition", &edition, why);

	*stand = ok && made_under > 0 && edition == RULES_EDITION;
	for (size_t i = 0; *stand && i < books->n; i++) {
		*stand = books->dated[i].version < made_under ||
			rulebook_repeats_alike(&books->rulebook[i], act->view->rulebook);
	}
	if (books != NULL) {
		store_rulebooks_release(books);
	}
	return ok;
}

/* A register that was never rebuilt began under the first. */
static bool is_made_under(int64_t mark, const struct rulebook *in_force)
{
	return mark == in_force->version || (mark == 0 && in_force->version == 1);
}

bool recompute_piece(struct act *act, struct recompute *at, bool *more, struct problem *why)
{
	int64_t made_under = 0;

	*more = false;
	if (!store_mark_get(act->store, "rulebook", &made_under, why)) {
		return false;
	}
	if (is_made_under(made_under, act->view->rulebook)) {
		return true;
	}
	if (at->version != act->view->rulebook->version) {
		*at = (struct recompute){ .version = act->view->rulebook->version };
		if (!store_mark_get(act->store, "stale", &at->stale, why) ||
			!places_stand(act, made_under, &at->places_stand, why)) {
			return false;
		}
	}
	*more = true;
	return at->bonds_done ? places_piece(act, at, why) : bonds_piece(act, at, why);
}

bool recompute_progress(struct store *store, const struct rulebook *in_force,
	struct recompute_progress *to, struct problem *why)
{
	int64_t made_under, edition, at;

	if (!store_mark_get(store, "rulebook", &made_under, why) ||
		!store_mark_get(store, "edition", &edition, why) ||
		!store_mark_get(store, "recomputed", &at, why) ||
		!import_follow_open(store, &to->import_id, why) || (to->import_id == 0 &&
		!store_withdrawal_open(store, &to->import_id, why)) ||
		!store_bond_last(store, &to->of, why)) {
		return false;
	}
	to->is_followed = is_made_under(made_under, in_force);
	to->is_new_edition = !to->is_followed && edition != RULES_EDITION;
	to->bonds = to->is_followed ? to->of : at < to->of ? at : to->of;
	return true;
}
