#include "service/recompute.h"

#include <stdlib.h>

#include "service/derive.h"
#include "store/book.h"

/* Small enough for a crew's result not to wait longer than it notices. */
enum { BONDS_OF_PIECE = 2000, LINES_OF_PIECE = 5 };

/* Bonds of one piece: as they are kept, and how the totals change. */
struct piece {
	struct due_kept kept[BONDS_OF_PIECE];
	struct due_cell cells[2 * BONDS_OF_PIECE];
	size_t n_kept, n_cells;
};

/* Only the due day rests on the rulebook; a deferral may count again, or no longer. */
static bool recompute_due(struct act *act, const struct due_kept *kept, struct piece *p,
	struct problem *why)
{
	struct bond bond;
	struct due due;

	if (kept->has_deferral) {
		return store_bond_get(act->store, kept->bond_id, &bond, why) &&
			derive_bond(act, &bond, why);
	}
	due_compute(&act->rulebook, &kept->facts, &due);
	due_cell_of(kept, &kept->due, -1, &p->cells[p->n_cells++]);
	due_cell_of(kept, &due, 1, &p->cells[p->n_cells++]);
	return store_due_write(act->store, kept->bond_id, &due, act->rulebook.version, why);
}

static bool bonds_piece(struct act *act, struct recompute *at, struct problem *why)
{
	struct piece *p = calloc(1, sizeof *p);
	bool ok = p != NULL || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	ok = ok && store_dues_after(act->store, at->after_bond, act->rulebook.version, p->kept,
		BONDS_OF_PIECE, &p->n_kept, why);
	for (size_t i = 0; ok && i < p->n_kept; i++) {
		ok = recompute_due(act, &p->kept[i], p, why);
		at->after_bond = p->kept[i].bond_id;
	}
	ok = ok && store_due_cells_add(act->store, p->cells, p->n_cells, why);
	at->bonds_done = ok && p->n_kept == 0;
	free(p);
	return ok;
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

static bool places_piece(struct act *act, struct recompute *at, struct problem *why)
{
	for (int i = 0; i < LINES_OF_PIECE; i++) {
		int64_t line_id = 0;

		if (!store_line_next(act->store, at->after_line, &line_id, why)) {
			return false;
		}
		if (line_id == 0) {
			return store_mark_put(act->store, "rulebook", at->version, why);
		}
		if (!line_places(act, line_id, why)) {
			return false;
		}
		at->after_line = line_id;
	}
	return true;
}

bool recompute_piece(struct act *act, struct recompute *at, bool *more, struct problem *why)
{
	int64_t made_under = 0;

	*more = false;
	if (!store_mark_get(act->store, "rulebook", &made_under, why)) {
		return false;
	}
	/* a register that was never rebuilt began under the first */
	if (made_under == act->rulebook.version || (made_under == 0 && act->rulebook.version == 1)) {
		return true;
	}
	if (at->version != act->rulebook.version) {
		*at = (struct recompute){ .version = act->rulebook.version };
	}
	*more = true;
	return at->bonds_done ? places_piece(act, at, why) : bonds_piece(act, at, why);
}
