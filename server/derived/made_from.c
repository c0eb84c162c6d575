#include "derived/made_from.h"

#include <assert.h>
#include <stdlib.h>

static bool mark_all(struct store *store, const struct changed_known *known, enum stale_by by,
	struct problem *why)
{
	(void)known;
	(void)by;
	return store_stale_all(store, why);
}

static bool mark_instrument(struct store *store, const struct changed_known *known,
	enum stale_by by, struct problem *why)
{
	return store_stale_instrument(store, known->id, known->from_day, by, why);
}

static bool mark_conductor(struct store *store, const struct changed_known *known,
	enum stale_by by, struct problem *why)
{
	return store_stale_conductor(store, known->material, known->conductor_class, known->area_mm2,
		by, why);
}

static bool mark_track(struct store *store, const struct changed_known *known, enum stale_by by,
	struct problem *why)
{
	(void)by;
	return store_stale_track(store, known->id, why);
}

static bool mark_import(struct store *store, const struct changed_known *known, enum stale_by by,
	struct problem *why)
{
	return store_stale_import(store, known->id, by, why);
}

#define TABLES(...) (const char *const []){ __VA_ARGS__, NULL }
const struct made_from made_from[MADE_FROM_MOST] = {
	[SENT_INSPECTION] = { TABLES("inspection", "reading"), .bonds = true },
	[SENT_FAILURE] = { TABLES("failure"), .bonds = true, .places = true },
	[SENT_REPAIR] = { TABLES("repair"), .bonds = true },
	[SENT_DEFERRAL] = { TABLES("deferral"), .bonds = true },
	[SENT_ATTACHMENT] = { TABLES("attachment"), .bonds = true },
	/* (of an import when it states its meters) */
	[SENT_RULING] = { TABLES("ruling"), .bonds = true, .mark = mark_import },
	[SENT_RENEWAL] = { TABLES("renewal", "attachment_end"), .bonds = true },
	/* (of a failure, and of what many are judged by, that is said as an entry of its kind) */
	[SENT_WITHDRAWAL] = { TABLES("withdrawal", "withdrawal_begun"), .bonds = true },
	[SENT_IMPORT] = { TABLES("import", "import_begun", "import_ended"), .mark = mark_import },
	[SENT_KIT_CHECK] = { TABLES("kit", "kit_check", "kit_service") },
	[SENT_CALIBRATION] = { TABLES("instrument", "instrument_methods", "calibration"),
		.mark = mark_instrument },
	[SENT_CONDUCTOR] = { TABLES("conductor"), .mark = mark_conductor },
	/* (told beside a drop against the rail: no limit stands on it) */
	[SENT_PROFILE] = { TABLES("rail_profile") },
	[SENT_BOND] = { TABLES("bond", "bond_fact", "end_fact"), .bonds = true },
	[SENT_LINE] = { TABLES("line", "line_fact") },
	[SENT_TRACK] = { TABLES("track", "track_fact", "track_word"), .mark = mark_track },
	[SENT_MAP] = { TABLES("line_map", "map_stretch"), .lines = true },
	[SENT_MARK] = { TABLES("rail_mark") },
	/* (no verdict and no due day moves with a round, nor with a temporary bridge) */
	[SENT_ROUND] = { TABLES("round", "round_bond", "round_person", "round_minutes") },
	[SENT_ROUND_STEP] = { TABLES("round_step") },
	[SENT_BRIDGE] = { TABLES("bridge") },
	[SENT_BRIDGE_OFF] = { TABLES("bridge_off") },
	/* (nothing is read off a picture) */
	[SENT_PHOTO] = { TABLES("photo") },
	/* (no bond of the register until it is registered) */
	[SENT_FOUND] = { TABLES("found_bond") },
	[SENT_FOUND_ANSWER] = { TABLES("found_answer") },
	[FROM_RULEBOOK] = { TABLES("rulebook", "rulebook_withdrawal"), .is_followed = true },
	[FROM_ZONE] = { TABLES("register_setting"), .mark = mark_all },
};

static const struct made_from *row_of(int kind)
{
	assert(kind >= 0 && kind < MADE_FROM_MOST && made_from[kind].tables != NULL);
	return &made_from[kind];
}

bool changed_of_bond_on(struct act *act, int kind, int64_t bond_id, int32_t new_day,
	struct problem *why)
{
	return bond_id == 0 || !row_of(kind)->bonds || act_touch_bond_on(act, bond_id, new_day, why);
}

bool changed_of_bond(struct act *act, int kind, int64_t bond_id, struct problem *why)
{
	return changed_of_bond_on(act, kind, bond_id, INT32_MIN, why);
}

bool changed_of_group(struct act *act, int kind, const struct failure_group *group,
	struct problem *why)
{
	return !row_of(kind)->places || act_touch_group(act, group, why);
}

bool changed_of_line(struct act *act, int kind, int64_t line_id, struct problem *why)
{
	int64_t *bonds = NULL;
	size_t n_bonds = 0, n_groups = 0;
	struct failure_group *groups = NULL;
	bool ok = !row_of(kind)->lines || (store_line_bonds(act->store, line_id, &bonds, &n_bonds,
		why) && store_failure_groups(act->store, line_id, &groups, &n_groups, why));

	for (size_t i = 0; ok && i < n_bonds; i++) {
		ok = act_touch_bond(act, bonds[i], why);
	}
	for (size_t i = 0; ok && i < n_groups; i++) {
		ok = act_touch_group(act, &groups[i], why);
	}
	free(bonds);
	free(groups);
	return ok;
}

bool changed_known(struct act *act, int kind, const struct changed_known *known, enum stale_by by,
	struct problem *why)
{
	view_forget(act->view, 0);
	return row_of(kind)->mark == NULL || row_of(kind)->mark(act->store, known, by, why);
}
