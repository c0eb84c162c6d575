#include "derived/derive.h"

#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "derived/former.h"
#include "derived/judged.h"
#include "derived/odd.h"
#include "derived/timely.h"
#include "store/kept/odd.h"
#include "store/kept/visit_count.h"

/* What is about to be replaced, where it had another verdict. */
static bool keep_former(struct act *act, const struct judging *j, size_t i, size_t n,
	const struct reading_kept *now, struct problem *why)
{
	const struct record_reading *key = &j->records.reading_keys[j->records.bonds[i].reading + n];
	const struct reading_values *values = &j->facts.readings[n].values;
	struct reading_state kept, given;

	reading_state_read(&key->kept, &kept);
	reading_state_read(now, &given);
	return kept.rulebook_version == 0 || kept.verdict == given.verdict ||
		store_verdict_former_insert(act->store, key->inspection_id, key->n, &kept,
		values->quantity == QUANTITY_RAIL_DROP ? kept.equivalent_m - values->joint_m :
		kept.r20_uohm, j->records.bonds[i].state.edition, act->origin.now_ms, why);
}

static bool keep_reading(struct act *act, const struct judging *j, size_t i, size_t n,
	struct problem *why)
{
	const struct record_reading *key = &j->records.reading_keys[j->records.bonds[i].reading + n];
	struct reading_kept now;

	judging_reading_kept(act->view, j, i, n, &now);
	if (key->has_state && reading_kept_same(&key->kept, &now) &&
		reading_kept_version(&key->kept) == reading_kept_version(&now)) {
		return true;
	}
	return (!key->has_state || keep_former(act, j, i, n, &now, why)) &&
		store_reading_state_put(act->store, key->inspection_id, key->n, &now, why);
}

/* How the totals change, when they do. */
struct counting {
	struct due_cell *cells;       /* room for those of each bond, before and after; NULL: not counted */
	size_t n;
	struct visit_cell *visits;    /* likewise, but they grow */
	size_t n_visits;
	int32_t new_day;              /* all that is new on record is of that day or later */
	bool is_counted;
};

static bool add_visit_cells(struct counting *c, const struct bond_state *s, size_t from, int by,
	struct problem *why)
{
	for (size_t at = from; at < s->visits_len; at += VISIT_BYTES) {
		struct visit_kept v = visit_kept_read(&s->visits[at]);

		if (!array_grow((void **)&c->visits, c->n_visits, sizeof *c->visits, why)) {
			return false;
		}
		c->visits[c->n_visits++] = (struct visit_cell){ v.day, s->line_id, v.timely, by };
	}
	return true;
}

static bool count_visits(struct counting *c, const struct bond_state *kept,
	const struct bond_state *state, struct problem *why)
{
	size_t same = 0;

	if (kept != NULL && kept->line_id == state->line_id) {
		while (same < kept->visits_len && same < state->visits_len &&
			memcmp(&kept->visits[same], &state->visits[same], VISIT_BYTES) == 0) {
			same += VISIT_BYTES;
		}
	}
	return !c->is_counted || ((kept == NULL || add_visit_cells(c, kept, same, -1, why)) &&
		add_visit_cells(c, state, same, 1, why));
}

static void count_change(struct counting *c, const struct bond_state *kept,
	const struct bond_state *state)
{
	struct due_cell before[DUE_CELLS], after[DUE_CELLS];
	size_t n_before, n_after = due_cells_of(state, 1, after), same = 0;

	if (c->cells == NULL) {
		return;
	}
	n_before = kept != NULL ? due_cells_of(kept, -1, before) : 0;
	while (same < n_before && same < n_after && due_cell_same(&before[same], &after[same])) {
		same++;
	}
	for (size_t i = same; i < n_before; i++) {
		c->cells[c->n++] = before[i];
	}
	for (size_t i = same; i < n_after; i++) {
		c->cells[c->n++] = after[i];
	}
}

/* With another version the bond may stand elsewhere: whatever stood or stands beside it is counted
 * anew. */
static bool put_state(struct act *act, const struct bond *b, const struct bond_state *kept,
	const struct bond_state *state, struct problem *why)
{
	const struct odd_place place = { b->line_id, b->end[END_A].distance_mm };
	struct odd_place before;

	if (kept != NULL && kept->version == state->version) {
		return store_bond_state_put(act->store, b, kept, state, why);
	}
	return store_odd_place_of(act->store, b->id, &before, why) &&
		store_bond_state_put(act->store, b, kept, state, why) &&
		store_odd_recount(act->store, &before, why) &&
		store_odd_recount(act->store, &place, why);
}

static bool keep_bond(struct act *act, struct judging *j, size_t i, struct counting *counting,
	struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	const struct bond_state *kept = r->has_state ? &r->state : NULL;
	struct bond_state state;

	if (!timely_of_bond(act->view, j, i, timely_stands_until(act->view, r, counting->new_day), why) ||
		!judging_bond(act->view, j, i, why) || !judging_state(act->view, j, i, &state, why) ||
		!odd_of_bond(act->view, j, i, !counting->is_counted, &state.odd, why)) {
		return false;
	}
	state.visits = j->timely;
	state.visits_len = j->timely_len;
	if (!former_keep_grade(act, r->bond.id, kept, &state, why) ||
		!former_tell_better(act, r->bond.id, kept, &state, why) ||
		!put_state(act, &r->bond, kept, &state, why) ||
		!count_visits(counting, kept, &state, why)) {
		return false;
	}
	count_change(counting, kept, &state);
	for (size_t n = 0; n < r->n_readings; n++) {
		if (!keep_reading(act, j, i, n, why)) {
			return false;
		}
	}
	return true;
}

static bool add_up(struct act *act, struct counting *counting, struct problem *why)
{
	return (counting->n == 0 ||
		store_due_cells_add(act->store, counting->cells, counting->n, why)) &&
		store_visit_cells_add(act->store, counting->visits, counting->n_visits, why);
}

/* counted: with the totals, which the caller otherwise counts for all at the end. */
static bool derive_some(struct act *act, int64_t first_id, int64_t last_id, int32_t new_day,
	bool counted, struct problem *why)
{
	struct judging *j = judging_of_view(act->view, why);
	struct counting counting = { .new_day = new_day, .is_counted = counted };
	bool ok = j != NULL && judging_read(act->view, j, first_id, last_id, why);

	act->view->judged_id = 0;
	if (ok && counted && j->records.n_bonds > 0) {
		counting.cells = calloc(j->records.n_bonds, 2 * DUE_CELLS * sizeof *counting.cells);
		ok = counting.cells != NULL ||
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; ok && i < j->records.n_bonds; i++) {
		ok = keep_bond(act, j, i, &counting, why);
	}
	ok = ok && add_up(act, &counting, why);
	free(counting.cells);
	free(counting.visits);
	if (ok && j->records.n_bonds == 1) {
		act->view->judged_id = j->records.bonds[0].bond.id;
	}
	return ok;
}

bool derive_bond(struct act *act, int64_t bond_id, struct problem *why)
{
	return derive_some(act, bond_id, bond_id, INT32_MIN, true, why);
}

bool derive_bond_since(struct act *act, int64_t bond_id, int32_t new_day, struct problem *why)
{
	return derive_some(act, bond_id, bond_id, new_day, true, why);
}

bool derive_range(struct act *act, int64_t first_id, int64_t last_id, struct problem *why)
{
	return derive_some(act, first_id, last_id, INT32_MAX, true, why);
}

bool derive_range_anew(struct act *act, int64_t first_id, int64_t last_id, struct problem *why)
{
	return derive_some(act, first_id, last_id, INT32_MIN, false, why);
}

bool derive_forget(struct act *act, int64_t bond_id, struct problem *why)
{
	struct judging *j = judging_of_view(act->view, why);
	struct due_cell cells[DUE_CELLS];
	struct counting counting = { .cells = cells, .is_counted = true };
	struct odd_place place;
	const struct bond_state *kept;
	bool ok = j != NULL && judging_read(act->view, j, bond_id, bond_id, why);

	act->view->judged_id = 0;
	if (!ok || j->records.n_bonds == 0 || !j->records.bonds[0].has_state) {
		return ok;
	}
	kept = &j->records.bonds[0].state;
	counting.n = due_cells_of(kept, -1, cells);
	ok = add_visit_cells(&counting, kept, 0, -1, why) &&
		store_odd_place_of(act->store, bond_id, &place, why) &&
		store_bond_state_forget(act->store, bond_id, why) &&
		store_odd_recount(act->store, &place, why) && add_up(act, &counting, why);
	free(counting.visits);
	return ok;
}

/* One found place as a row: named after the failure that was found first there. */
static bool place_row(struct view *view, const struct failure_group *group,
	const struct repeat_place *place, int64_t id, struct repeat_row *row, struct problem *why)
{
	*row = (struct repeat_row){ .id = id, .group = *group, .from_mm = place->from_mm,
		.to_mm = place->to_mm, .failures = (int64_t)place->count, .first_day = place->first_day,
		.last_day = place->last_day, .rulebook_version = view->rulebook->version };
	return store_chainage(view->store, group->line_id, group->track_id, place->from_mm,
		row->chainage_from, why) && store_chainage(view->store, group->line_id, group->track_id,
		place->to_mm, row->chainage_to, why);
}

static int by_id(const void *a, const void *b)
{
	const struct repeat_row *one = a, *two = b;

	return one->id < two->id ? -1 : one->id > two->id;
}

static bool fill_places(struct view *view, const struct failure_group *group,
	const struct repeat_places *found, struct derived_places *to, struct problem *why)
{
	for (size_t p = 0; p < found->count; p++) {
		const struct repeat_place *place = &found->places[p];
		int64_t id = to->failures[found->members[place->member]].id;

		for (size_t i = 0; i < place->count; i++) {
			to->place_ids[found->members[place->member + i]] = id;
		}
		if (!place_row(view, group, place, id, &to->places[to->n_places++], why)) {
			return false;
		}
	}
	qsort(to->places, to->n_places, sizeof *to->places, by_id);
	return true;
}

bool derive_places(struct view *view, const struct failure_group *group, struct derived_places *to,
	struct problem *why)
{
	struct repeat_places found = { 0 };
	bool ok = false;

	*to = (struct derived_places){ 0 };
	if (!view_rules(view, why) ||
		!store_group_failures(view->store, group, &to->failures, &to->n_failures, why)) {
		return false;
	}
	if (to->n_failures == 0) {
		return true;
	}
	if (repeat_find(to->failures, to->n_failures, view->rulebook, &found)) {
		to->place_ids = calloc(to->n_failures, sizeof *to->place_ids);
		to->places = calloc(found.count > 0 ? found.count : 1, sizeof *to->places);
		ok = to->place_ids != NULL && to->places != NULL;
	}
	if (!ok) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	ok = ok && fill_places(view, group, &found, to, why);
	repeat_places_release(&found);
	if (!ok) {
		derived_places_release(to);
	}
	return ok;
}

void derived_places_release(struct derived_places *places)
{
	free(places->failures);
	free(places->place_ids);
	free(places->places);
	*places = (struct derived_places){ 0 };
}

bool derive_repeat_places(struct act *act, const struct failure_group *group, struct problem *why)
{
	struct derived_places d;
	char chainage[CHAINAGE_SIZE];
	bool ok = derive_places(act->view, group, &d, why) && store_repeat_clear(act->store, group, why);

	for (size_t i = 0; ok && i < d.n_places; i++) {
		ok = store_repeat_put(act->store, &d.places[i], why);
	}
	for (size_t i = 0; ok && i < d.n_failures; i++) {
		ok = store_chainage(act->store, group->line_id, group->track_id,
			d.failures[i].distance_mm, chainage, why) &&
			store_failure_state_put(act->store, d.failures[i].id, chainage, d.place_ids[i], why);
	}
	derived_places_release(&d);
	return ok;
}
