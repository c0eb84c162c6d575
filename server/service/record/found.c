#include "service/record/found.h"

#include "rules/plausible.h"
#include "service/record/crew_round.h"
#include "service/record/doer.h"
#include "service/record/record_sent.h"
#include "service/record/refer.h"
#include "service/record/sent.h"
#include "store/record/bond.h"

static bool check_near(struct act *act, int64_t bond_id, int64_t line_id, const char *field,
	struct problems *why)
{
	struct bond bond;
	struct problem trouble = { 0 };

	if (!store_bond_fact(act->store, bond_id, &bond, &trouble)) {
		return act_refuse(why, &trouble, field);
	}
	return bond.line_id == line_id || problems_add(why, PROBLEM_RULE, field,
		"Bond %lld is on another line.", (long long)bond_id);
}

static bool check_found(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct found_new *form = sent;
	const char *name = NULL;
	int64_t round_id, person_id, line_id = 0, track_id = 0;
	size_t before = why->count;

	plausible_found(form->found_day, act->view->today, sent_from(act, form->sent_from), why);
	sent_at_of_shift(form->at_ms, form->found_day, why);
	round_find(act, form->round, &round_id, why);
	doer_read(act, form->found_by, &person_id, &name, why);
	if (refer_line(act, form->line, "line", &line_id, why)) {
		refer_track(act, line_id, form->track, "track", &track_id, why);
		if (form->near_bond_id != FORM_NO_INTEGER) {
			check_near(act, form->near_bond_id, line_id, "near_bond_id", why);
		}
	}
	if (why->count > before) {
		return false;
	}
	record_row_integer(row, "line_id", line_id);
	if (round_id != 0) {
		record_row_integer(row, "round_id", round_id);
	}
	if (form->near_bond_id != FORM_NO_INTEGER) {
		record_row_integer(row, "near_bond_id", form->near_bond_id);
	}
	if (track_id != 0) {
		record_row_integer(row, "track_id", track_id);
	}
	record_row_doer(row, person_id, name);
	return true;
}

bool found_record(struct act *act, const struct found_new *form, struct recorded *recorded,
	struct problems *why)
{
	return record_sent(act, &found_kind, form, check_found, recorded, why);
}

static bool find_open(struct act *act, const char *uuid, int64_t *id, struct problems *why)
{
	struct sent sent;
	struct problem trouble = { 0 };
	bool there = false, answered = false;

	if (!store_sent_find(act->store, SENT_FOUND, uuid, &sent, &trouble) ||
		!store_found(act->store, sent.id, &there, &answered, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	*id = sent.id;
	if (!there) {
		return problems_add(why, PROBLEM_VALUE, "found",
			"No found bond that counts is kept under the id %s.", uuid);
	}
	return !answered || problems_add(why, PROBLEM_CONFLICT, "found",
		"That was answered before. Where it was answered wrongly, withdraw that answer first.");
}

static bool check_answer(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct found_answer_new *form = sent;
	struct bond bond;
	struct problem trouble = { 0 };
	size_t before = why->count;
	int64_t id = 0;

	find_open(act, form->found, &id, why);
	if (form->bond_id == FORM_NO_INTEGER && form->said == NULL) {
		problems_add(why, PROBLEM_VALUE, "said",
			"Say which bond it is, or why it is none: the crew saw something there.");
	} else if (form->bond_id != FORM_NO_INTEGER &&
		!store_bond_fact(act->store, form->bond_id, &bond, &trouble)) {
		act_refuse(why, &trouble, "bond_id");
	}
	if (why->count > before) {
		return false;
	}
	record_row_integer(row, "found_id", id);
	if (form->bond_id != FORM_NO_INTEGER) {
		record_row_integer(row, "bond_id", form->bond_id);
	}
	return true;
}

bool found_answer_record(struct act *act, const struct found_answer_new *form,
	struct recorded *recorded, struct problems *why)
{
	return record_sent(act, &found_answer_kind, form, check_answer, recorded, why);
}
