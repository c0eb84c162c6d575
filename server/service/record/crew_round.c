#include "service/record/crew_round.h"

#include <stdio.h>
#include <stdlib.h>

#include "rules/plausible.h"
#include "service/record/doer.h"
#include "service/record/record_sent.h"
#include "service/record/sent.h"

bool round_find(struct act *act, const char *uuid, int64_t *round_id, struct problems *why)
{
	struct sent sent = { 0 };
	struct problem trouble = { 0 };

	*round_id = 0;
	if (uuid[0] == '\0') {
		return true;
	}
	if (!store_sent_find(act->store, SENT_ROUND, uuid, &sent, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	*round_id = sent.id;
	return sent.id != 0 || problems_add(why, PROBLEM_VALUE, "round",
		"No round is kept under the id %s.", uuid);
}

static bool check_times(const struct round_new *form, struct record_row *row, struct problems *why)
{
	int begins = round_time(form->begins), ends = round_time(form->ends);
	size_t before = why->count;

	if (begins < 0) {
		problems_add(why, PROBLEM_VALUE, "begins", "begins is a time of day like 23:40; it is "
			"\"%s\".", form->begins);
	}
	if (ends < 0) {
		problems_add(why, PROBLEM_VALUE, "ends", "ends is a time of day like 03:40; it is \"%s\".",
			form->ends);
	} else if (ends == begins) {
		problems_add(why, PROBLEM_VALUE, "ends", "The shift ends when it begins: give the end.");
	}
	if (why->count > before) {
		return false;
	}
	record_row_integer(row, "shift_minutes", round_shift_minutes(begins, ends));
	return true;
}

/* A round is for a shift to come; the one of last night may still be written down. */
static bool check_day(const struct act *act, int32_t day, struct problems *why)
{
	char text[DAY_TEXT_SIZE];

	if (!act->is_live || day >= act->view->today - 1) {
		return true;
	}
	day_write(act->view->today - 1, text);
	return problems_add(why, PROBLEM_VALUE, "shift_day", "A round is made for a shift to come, or "
		"for last night's: from %s on.", text);
}

static bool check_round(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct round_new *form = sent;
	size_t before = why->count;

	check_times(form, row, why);
	check_day(act, form->shift_day, why);
	return why->count == before;
}

static int by_place(const struct round_stop *a, const struct round_stop *b)
{
	if (a->line_id != b->line_id) {
		return a->line_id < b->line_id ? -1 : 1;
	}
	if (a->distance_mm != b->distance_mm) {
		return a->distance_mm < b->distance_mm ? -1 : 1;
	}
	if (a->track_id != b->track_id) {
		return a->track_id < b->track_id ? -1 : 1;
	}
	return a->rail != b->rail ? a->rail - b->rail :
		(a->bond_id > b->bond_id) - (a->bond_id < b->bond_id);
}

static int upwards(const void *a, const void *b)
{
	return by_place(a, b);
}

static int downwards(const void *a, const void *b)
{
	const struct round_stop *left = a, *right = b;

	return left->line_id != right->line_id ? by_place(left, right) : by_place(right, left);
}

/* Reads bond i into to[i]; what cannot be visited, or is named twice, is a problem of its own. */
static bool read_stop(struct act *act, const struct round_new *form, size_t i,
	struct round_stop *to, struct problems *why)
{
	const int64_t *bonds = form->bonds.items;
	char field[32];
	struct problem trouble = { 0 };

	snprintf(field, sizeof field, "bonds[%zu]", i);
	if (!store_round_stop(act->store, bonds[i], (enum round_work)form->work, &to[i], &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (to[i].bond_id == 0) {
		problems_add(why, PROBLEM_VALUE, field, "There is no bond %lld.", (long long)bonds[i]);
	} else if (!to[i].in_service) {
		problems_add(why, PROBLEM_RULE, field, "Bond %lld is out of service: it needs no visit.",
			(long long)bonds[i]);
	}
	for (size_t k = 0; k < i; k++) {
		if (bonds[k] == bonds[i]) {
			problems_add(why, PROBLEM_VALUE, field, "Bond %lld is named twice.",
				(long long)bonds[i]);
			break;
		}
	}
	return true;
}

static bool keep_bonds(struct act *act, const struct round_new *form, int64_t round_id,
	struct problems *why)
{
	static struct round_stop none;
	size_t count = form->bonds.count, before = why->count;
	struct round_stop *stops = calloc(count + 1, sizeof none);
	struct problem trouble = { 0 };
	bool ok = stops != NULL || problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	for (size_t i = 0; ok && i < count; i++) {
		ok = read_stop(act, form, i, stops, why);
	}
	ok = ok && why->count == before;
	if (ok) {
		qsort(stops, count, sizeof *stops, form->from_far_end == 1 ? downwards : upwards);
	}
	for (size_t i = 0; ok && i < count; i++) {
		ok = store_round_bond_insert(act->store, round_id, (int64_t)i, &stops[i], &trouble) ||
			act_refuse(why, &trouble, NULL);
	}
	free(stops);
	return ok;
}

static bool keep_persons(struct act *act, const struct round_new *form, int64_t round_id,
	struct problems *why)
{
	const char *const *names = form->persons.items;
	struct problem trouble = { 0 };

	for (size_t i = 0; i < form->persons.count; i++) {
		const char *name = NULL;
		int64_t person_id;

		if (!doer_read(act, names[i], &person_id, &name, why)) {
			return false;
		}
		if (!store_round_person_insert(act->store, round_id, (int64_t)i, person_id, name,
			&trouble)) {
			return act_refuse(why, &trouble, NULL);
		}
	}
	return true;
}

bool round_record(struct act *act, const struct round_new *form, struct recorded *recorded,
	struct problems *why)
{
	if (form->bonds.count == 0) {
		return problems_add(why, PROBLEM_VALUE, "bonds", "A round has at least one bond.");
	}
	return record_sent(act, &round_kind, form, check_round, recorded, why) &&
		(recorded->already || (keep_bonds(act, form, recorded->id, why) &&
		keep_persons(act, form, recorded->id, why)));
}

static bool check_step(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct round_said *form = sent;
	bool planners = form->step == ROUND_STEP_WITHDRAWN || form->step == ROUND_STEP_WISH;
	struct round_facts facts;
	struct problem trouble = { 0 };
	const char *name = NULL;
	int64_t round_id, person_id;

	if (!round_find(act, form->round, &round_id, why) ||
		!doer_read(act, form->said_by, &person_id, &name, why)) {
		return false;
	}
	if (!store_round_facts(act->store, round_id, &facts, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (planners && form->said == NULL) {
		return problems_add(why, PROBLEM_VALUE, "said", form->step == ROUND_STEP_WISH ?
			"Say what is wished of the crew." :
			"Say why the round is withdrawn: the crew reads it.");
	}
	if (planners && facts.done) {
		return problems_add(why, PROBLEM_RULE, "step", "The crew has done this round: it can be "
			"withdrawn no more, and nobody would read a wish.");
	}
	record_row_integer(row, "round_id", round_id);
	record_row_doer(row, person_id, name);
	return true;
}

bool round_say(struct act *act, const struct round_said *form, struct recorded *recorded,
	struct problems *why)
{
	return record_sent(act, &round_step_kind, form, check_step, recorded, why);
}

bool round_minutes_set(struct act *act, const struct minutes_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t kept;

	*recorded = (struct recorded){ 0 };
	if (!store_round_minutes(act->store, form->kind, form->work, &kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->already = kept == form->minutes;
	return recorded->already || store_round_minutes_put(act->store, form, &act->origin, &trouble) ||
		act_refuse(why, &trouble, NULL);
}
