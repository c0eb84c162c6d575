#include "service/record/refer.h"

#include <stdio.h>
#include <string.h>

#include "rules/place/chainage.h"
#include "store/record/bond_coming.h"
#include "store/record/withdrawal.h"

bool refer_line(struct act *act, const char *code, const char *field, int64_t *line_id,
	struct problems *why)
{
	struct problem trouble = { 0 };

	if (!store_line_find(act->store, code, line_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return *line_id != 0 || problems_add(why, PROBLEM_VALUE, field,
		"There is no line %.60s: register it first.", code);
}

bool refer_track(struct act *act, int64_t line_id, const char *name, const char *field,
	int64_t *track_id, struct problems *why)
{
	struct problem trouble = { 0 };

	*track_id = 0;
	if (name == NULL || name[0] == '\0') {
		return true;
	}
	if (!store_track_find(act->store, line_id, name, track_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return *track_id != 0 || problems_add(why, PROBLEM_VALUE, field,
		"This line has no track %.60s: register it first, or leave the track out.", name);
}

bool refer_place(struct act *act, int64_t line_id, int64_t track_id, const char *chainage,
	const char *field, int64_t *distance_mm, struct problems *why)
{
	struct problem trouble = { 0 };
	const struct line_map *map = store_map_get(act->store, line_id, track_id, &trouble);

	return (map != NULL && chainage_read(chainage, strlen(chainage), map, distance_mm, &trouble)) ||
		act_refuse(why, &trouble, map != NULL ? field : NULL);
}

static bool find_bond(struct act *act, const struct bond_reference *of, int64_t *id,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t line_id;

	*id = of->bond_id;
	if (of->bond_id != FORM_NO_INTEGER) {
		return true;
	}
	if (of->line == NULL || of->bond == NULL) {
		return problems_add(why, PROBLEM_VALUE, "bond_id",
			"Name the bond: its number in bond_id, or its line and its label in bond.");
	}
	if (!refer_line(act, of->line, "line", &line_id, why)) {
		return false;
	}
	if (!store_bond_find(act->store, line_id, of->bond, id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return *id != 0 || problems_add(why, PROBLEM_VALUE, "bond", "Line %.60s has no bond %.60s.",
		of->line, of->bond);
}

/* (by its label only one that stands is found) */
static bool check_stands(struct act *act, int64_t id, struct problems *why)
{
	struct problem trouble = { 0 };
	bool withdrawn = false, coming = false;

	if (!store_withdrawn(act->store, SENT_BOND, id, &withdrawn, &trouble) ||
		(withdrawn && !store_bond_is_coming(act->store, id, &coming, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	if (coming) {
		return problems_add(why, PROBLEM_VALUE, "bond_id", "Bond %lld is of an import that does "
			"not count, or not yet.", (long long)id);
	}
	return (!withdrawn || problems_add(why, PROBLEM_VALUE, "bond_id",
		"Bond %lld was withdrawn: nothing is recorded of it any more.", (long long)id));
}

static bool refuse_bond(int64_t id, const struct problem *trouble, struct problems *why)
{
	return trouble->code == PROBLEM_NOT_FOUND ? problems_add(why, PROBLEM_VALUE, "bond_id",
		"There is no bond %lld.", (long long)id) : act_refuse(why, trouble, NULL);
}

bool refer_bond(struct act *act, const struct bond_reference *of, struct bond *bond,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t id;

	return find_bond(act, of, &id, why) && check_stands(act, id, why) &&
		(store_bond_get(act->store, id, bond, &trouble) || refuse_bond(id, &trouble, why));
}

bool refer_bond_fact(struct act *act, const struct bond_reference *of, struct bond *bond,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t id;

	return find_bond(act, of, &id, why) && check_stands(act, id, why) &&
		(store_bond_fact(act->store, id, bond, &trouble) || refuse_bond(id, &trouble, why));
}
