#include "service/record/bridge.h"

#include "base/day.h"
#include "rules/plausible.h"
#include "service/record/crew_round.h"
#include "service/record/doer.h"
#include "service/record/record_sent.h"
#include "service/record/sent.h"
#include "store/record/bond.h"

static void set_row(struct record_row *row, int64_t round_id, int64_t person_id, const char *name)
{
	if (round_id != 0) {
		record_row_integer(row, "round_id", round_id);
	}
	record_row_doer(row, person_id, name);
}

static bool check_on(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct bridge_new *form = sent;
	struct bond bond;
	struct problem trouble = { 0 };
	const char *name = NULL;
	int64_t round_id, person_id;
	size_t before = why->count;

	if (!store_bond_fact(act->store, form->bond_id, &bond, &trouble)) {
		act_refuse(why, &trouble, "bond_id");
	}
	plausible_bridge("on_day", form->on_day, act->view->today, sent_from(act, form->sent_from),
		why);
	sent_at_of_shift(form->at_ms, form->on_day, why);
	round_find(act, form->round, &round_id, why);
	doer_read(act, form->put_on_by, &person_id, &name, why);
	if (why->count > before) {
		return false;
	}
	row->bond_id = form->bond_id;
	set_row(row, round_id, person_id, name);
	return true;
}

bool bridge_record(struct act *act, const struct bridge_new *form, struct recorded *recorded,
	struct problems *why)
{
	return record_sent(act, &bridge_kind, form, check_on, recorded, why);
}

static bool find_bridge(struct act *act, const struct bridge_off_new *form, int64_t *id,
	struct problems *why)
{
	char text[DAY_TEXT_SIZE];
	struct sent sent;
	struct problem trouble = { 0 };
	int32_t on_day = DAY_NONE;
	bool on = false;

	if (!store_sent_find(act->store, SENT_BRIDGE, form->bridge, &sent, &trouble) ||
		(sent.id != 0 && !store_bridge(act->store, sent.id, &on_day, &on, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	*id = sent.id;
	if (on_day == DAY_NONE) {
		return problems_add(why, PROBLEM_VALUE, "bridge",
			"No temporary bridge that counts is kept under the id %s.", form->bridge);
	}
	if (!on) {
		return problems_add(why, PROBLEM_CONFLICT, "bridge", "That temporary bridge was taken off "
			"before. Where that was said wrongly, withdraw it first.");
	}
	day_write(on_day, text);
	return form->off_day >= on_day || problems_add(why, PROBLEM_RULE, "off_day",
		"It was put on on %s, and cannot have been taken off before that.", text);
}

static bool check_off(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct bridge_off_new *form = sent;
	const char *name = NULL;
	int64_t round_id, person_id, bridge_id;
	size_t before = why->count;

	find_bridge(act, form, &bridge_id, why);
	plausible_bridge("off_day", form->off_day, act->view->today, sent_from(act, form->sent_from),
		why);
	sent_at_of_shift(form->at_ms, form->off_day, why);
	round_find(act, form->round, &round_id, why);
	doer_read(act, form->taken_off_by, &person_id, &name, why);
	if (why->count > before) {
		return false;
	}
	record_row_integer(row, "bridge_id", bridge_id);
	set_row(row, round_id, person_id, name);
	return true;
}

bool bridge_off_record(struct act *act, const struct bridge_off_new *form,
	struct recorded *recorded, struct problems *why)
{
	return record_sent(act, &bridge_off_kind, form, check_off, recorded, why);
}
