#include "service/derive.h"

#include <stdlib.h>
#include <string.h>

#include "service/refer.h"

static bool state_of(struct act *act, const struct bond *bond, const struct bond_history *history,
	struct bond_state *to, struct problem *why)
{
	const struct bond_end_fact *a = &bond->end[END_A];

	*to = (struct bond_state){ .version = bond->version,
		.rulebook_version = act->rulebook.version };
	if (!refer_chainage(act->store, bond->line_id, a->track_id, a->distance_mm, to->chainage, why)) {
		return false;
	}
	due_compute(&act->rulebook, &history->due, &to->due);
	to->last_inspection_day = history->due.inspected_day;
	to->deferral_id = to->due.deferred_until_day != DAY_NONE ? history->deferral_id : 0;
	to->failures_open = history->failures_open;
	return true;
}

bool derive_bond_state(struct act *act, const struct bond *bond, struct bond_state *to,
	struct problem *why)
{
	struct bond_history history;

	return store_bond_history(act->store, bond, &history, why) &&
		state_of(act, bond, &history, to, why);
}

bool derive_new_bond(struct act *act, const struct bond *bond, struct problem *why)
{
	const struct bond_history none = { .due = { .kind = bond->kind,
		.criticality = bond->criticality, .in_service = bond->status == BOND_IN_SERVICE,
		.installed_day = bond->installed_day, .inspected_day = DAY_NONE,
		.known_since_day = instant_day(act->origin.now_ms), .deferred_until_day = DAY_NONE } };
	struct bond_state state;

	return state_of(act, bond, &none, &state, why) &&
		store_bond_state_put(act->store, bond, &state, why);
}

bool derive_bond(struct act *act, const struct bond *bond, struct problem *why)
{
	struct bond_state state;

	return derive_bond_state(act, bond, &state, why) &&
		store_bond_state_put(act->store, bond, &state, why);
}

bool derive_bond_uncounted(struct act *act, const struct bond *bond, struct problem *why)
{
	struct bond_state state;

	return derive_bond_state(act, bond, &state, why) &&
		store_bond_state_write(act->store, bond, &state, why);
}

void derive_reading(const struct reading_row *row, int material, struct reading_result *to)
{
	const struct reading_values values = { .quantity = row->quantity, .method = row->method,
		.material = material, .forward_uv = row->forward_uv, .reverse_uv = row->reverse_uv,
		.current_a = row->current_a, .shown_uohm = row->shown_uohm, .lead_uohm = row->lead_uohm,
		.rail_uv = row->rail_uv, .rail_m = row->rail_m, .joint_m = row->joint_m,
		.temp_c = row->temp_c };
	struct reading reading;

	reading_compute(&values, &reading);
	*to = (struct reading_result){ reading.r_uohm, reading.r20_uohm, reading.thermal_uv,
		reading.equivalent_m, (int)reading.remark };
}

/* One found place as a row: named after the failure that was found first there. */
static bool place_row(struct act *act, const struct failure_group *group,
	const struct repeat_place *place, int64_t id, struct repeat_row *row, struct problem *why)
{
	*row = (struct repeat_row){ .id = id, .group = *group, .from_mm = place->from_mm,
		.to_mm = place->to_mm, .failures = (int64_t)place->count, .first_day = place->first_day,
		.last_day = place->last_day, .rulebook_version = act->rulebook.version };
	return refer_chainage(act->store, group->line_id, group->track_id, place->from_mm,
		row->chainage_from, why) && refer_chainage(act->store, group->line_id, group->track_id,
		place->to_mm, row->chainage_to, why);
}

static int by_id(const void *a, const void *b)
{
	const struct repeat_row *one = a, *two = b;

	return one->id < two->id ? -1 : one->id > two->id;
}

static bool fill_places(struct act *act, const struct failure_group *group,
	const struct repeat_places *found, struct derived_places *to, struct problem *why)
{
	for (size_t p = 0; p < found->count; p++) {
		const struct repeat_place *place = &found->places[p];
		int64_t id = to->failures[found->members[place->member]].id;

		for (size_t i = 0; i < place->count; i++) {
			to->place_ids[found->members[place->member + i]] = id;
		}
		if (!place_row(act, group, place, id, &to->places[to->n_places++], why)) {
			return false;
		}
	}
	qsort(to->places, to->n_places, sizeof *to->places, by_id);
	return true;
}

bool derive_places(struct act *act, const struct failure_group *group, struct derived_places *to,
	struct problem *why)
{
	struct repeat_places found = { 0 };
	bool ok = false;

	*to = (struct derived_places){ 0 };
	if (!store_group_failures(act->store, group, &to->failures, &to->n_failures, why)) {
		return false;
	}
	if (to->n_failures == 0) {
		return true;
	}
	if (repeat_find(to->failures, to->n_failures, &act->rulebook, &found)) {
		to->place_ids = calloc(to->n_failures, sizeof *to->place_ids);
		to->places = calloc(found.count > 0 ? found.count : 1, sizeof *to->places);
		ok = to->place_ids != NULL && to->places != NULL;
	}
	if (!ok) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	ok = ok && fill_places(act, group, &found, to, why);
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
	bool ok = derive_places(act, group, &d, why) && store_repeat_clear(act->store, group, why);

	for (size_t i = 0; ok && i < d.n_places; i++) {
		ok = store_repeat_put(act->store, &d.places[i], why);
	}
	for (size_t i = 0; ok && i < d.n_failures; i++) {
		ok = refer_chainage(act->store, group->line_id, group->track_id,
			d.failures[i].distance_mm, chainage, why) &&
			store_failure_state_put(act->store, d.failures[i].id, chainage, d.place_ids[i], why);
	}
	derived_places_release(&d);
	return ok;
}
