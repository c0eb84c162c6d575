/* Failures that a file says otherwise, and what made them good. */
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "service/import/take.h"
#include "service/record/failure.h"
#include "store/record/said.h"

/* What the register has, in the words of the form. */
struct kept {
	struct failure row;
	struct failure_new form;
	char *repair, *how, *by;         /* of what made it good; owned */
	struct form_memory memory;
};

static bool read_repair(struct run *run, struct kept *k, struct problem *trouble)
{
	int32_t day = DAY_NONE;

	if (!store_repair_last(run->act->store, k->row.id, &k->repair, &day, &k->how, &k->by,
		trouble)) {
		return false;
	}
	k->form.made_good_day = k->repair != NULL ? day : DAY_NONE;
	k->form.made_good_how = k->how;
	k->form.made_good_by = k->by;
	return true;
}

static bool read_kept(struct run *run, const char *uuid, struct kept *k, struct problems *why)
{
	struct sent sent = { 0 };
	struct failure_new *f = &k->form;
	struct problem trouble = { 0 };
	const char *track = NULL;
	int64_t newest = 0;

	if (!store_sent_find(run->act->store, SENT_FAILURE, uuid, &sent, &trouble) ||
		!store_said_newest(run->act->store, SENT_FAILURE, sent.id, &newest, &trouble) ||
		!store_failure_said(run->act->store, newest, &k->row, &track, &k->memory, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	form_clear(&failure_form, f);
	f->track = track[0] != '\0' ? track : NULL;
	f->rail = k->row.rail;
	f->end = k->row.bond_end;
	f->found_day = k->row.found_day;
	f->mode = (int)k->row.mode;
	f->cause = k->row.cause;
	f->reference = k->row.reference;
	f->note = k->row.note;
	f->found_by = k->row.person_name;
	f->at_ms = k->row.at_ms;
	return read_repair(run, k, &trouble) || act_refuse(why, &trouble, NULL);
}

static bool names_bond(const struct failure_new *form)
{
	return form->of.bond_id != FORM_NO_INTEGER || form->of.bond != NULL;
}

/* (a bond says itself on which track and rail it is) */
static bool find_differences(const struct kept *k, const struct failure_new *said,
	struct differences *to)
{
	static const char *const without[] = { "bond_id", "line", "bond", "chainage", "place_written",
		"within_m", "found_day", "reference", "corrects", "sent_from", "reason", NULL };
	struct failure_new form = *said;

	if (names_bond(&form)) {
		form.track = NULL;
		form.rail = -1;
	}
	if (form.made_good_day == DAY_NONE) {
		form.made_good_how = form.made_good_by = NULL;
	}
	return differ(&failure_form, without, &k->form, &form, "", SIZE_MAX, to);
}

static bool is_of_repair(const struct member *m)
{
	return strncmp(m->name, "made_good_", 10) == 0;
}

static bool is_of_place(const struct member *m, bool of_bond)
{
	return of_bond ? strcmp(m->name, "end") == 0 :
		strcmp(m->name, "track") == 0 || strcmp(m->name, "rail") == 0;
}

/* What is taken, by what it is of. */
struct chosen {
	bool own, place, repair;
};

static struct chosen merge(struct kept *k, const struct failure_new *said,
	const struct differences *all, const bool *taken)
{
	struct chosen chosen = { 0 };

	for (size_t i = 0; i < all->count; i++) {
		const struct member *m = all->all[i].member;

		if (taken[i]) {
			differ_take(m, said, &k->form);
			chosen.repair = chosen.repair || is_of_repair(m);
			chosen.own = chosen.own || !is_of_repair(m);
			chosen.place = chosen.place || is_of_place(m, names_bond(said));
		}
	}
	return chosen;
}

/* The failure itself, where it lay unless that is what is taken; *uuid is its correction's then. */
static bool correct(struct run *run, struct kept *k, const struct failure_new *said, bool moves,
	const char *reason, char uuid[UUID_TEXT_SIZE], struct problems *wrong)
{
	struct failure_new f = k->form;
	struct recorded recorded = { 0 };

	f.made_good_day = DAY_NONE;          /* what made it good goes with it */
	f.made_good_how = f.made_good_by = NULL;
	f.of = said->of;
	if (moves && names_bond(said)) {
		f.of = (struct bond_reference){ .bond_id = k->row.bond_id };
		f.track = NULL;
		f.rail = -1;
	} else if (moves) {
		f.chainage = said->chainage;
		f.place_written = said->place_written;
		f.within_m = said->within_m;
	}
	memcpy(f.corrects, k->row.uuid, UUID_TEXT_SIZE);
	f.reason = reason;
	if (!import_correction_uuid(run, SENT_FAILURE, k->row.uuid, &failure_form, &f, f.uuid) ||
		!failure_correct(run->act, &f, moves ? NULL : &k->row, &recorded, wrong)) {
		return false;
	}
	memcpy(uuid, f.uuid, UUID_TEXT_SIZE);
	return true;
}

/* What made it good: for the first time, or otherwise than the register says. */
static bool make_good(struct run *run, const struct kept *k, const char *reason,
	const char failure[UUID_TEXT_SIZE], struct problems *wrong)
{
	struct repair_new r;
	struct recorded recorded = { 0 };
	struct sent sent = { 0 };
	struct problem trouble = { 0 };
	char *former = NULL, *how = NULL, *by = NULL;
	int32_t day;
	bool ok;

	if (k->form.made_good_day == DAY_NONE) {
		return problems_add(wrong, PROBLEM_VALUE, "made_good_day", "It is not known when this "
			"failure was made good: take the day too.");
	}
	form_clear(&repair_form, &r);
	r.day = k->form.made_good_day;
	r.how = k->form.made_good_how != NULL ? k->form.made_good_how : "not stated";
	r.made_good_by = k->form.made_good_by;
	memcpy(r.failure, failure, UUID_TEXT_SIZE);
	ok = (store_sent_find(run->act->store, SENT_FAILURE, failure, &sent, &trouble) &&
		store_repair_last(run->act->store, sent.id, &former, &day, &how, &by, &trouble)) ||
		act_refuse(wrong, &trouble, NULL);
	if (ok && former != NULL) {
		memcpy(r.corrects, former, UUID_TEXT_SIZE);
		r.reason = reason;
	}
	ok = ok && import_correction_uuid(run, SENT_REPAIR, failure, &repair_form, &r, r.uuid) &&
		repair_record(run->act, &r, &recorded, wrong);
	free(former);
	free(how);
	free(by);
	return ok;
}

static bool take(struct run *run, struct kept *k, const struct failure_new *said,
	const struct differences *all, const bool *taken, struct problems *wrong)
{
	const struct chosen chosen = merge(k, said, all, taken);
	char reason[IMPORT_REASON_SIZE], uuid[UUID_TEXT_SIZE];
	bool ok;

	import_reason(run, reason);
	memcpy(uuid, k->row.uuid, sizeof uuid);
	if (!import_take_begin(run, wrong)) {
		return false;
	}
	ok = (!chosen.own || correct(run, k, said, chosen.place, reason, uuid, wrong)) &&
		(!chosen.repair || make_good(run, k, reason, uuid, wrong)) && run_derive(run, wrong);
	return import_take_end(run, ok);
}

/* Without a choice the row is wrong, and says of what. */
static bool refuse(const struct differences *all, struct problems *wrong)
{
	char of[120] = "";
	size_t len = 0;

	for (size_t i = 0; i < all->count && len + 1 < sizeof of; i++) {
		text_fit(of + len, sizeof of - len, "%s%s", i > 0 ? ", " : "", all->all[i].title);
		len = strlen(of);
	}
	return problems_add(wrong, PROBLEM_CONFLICT, all->all[0].member->name, "The register has this "
		"event already (place, day and reference), and the file says otherwise of it: %s. Choose "
		"what is taken, correct it there, or correct the file.", of);
}

static bool compare(struct run *run, struct kept *k, const struct failure_new *said,
	struct problems *wrong)
{
	struct differences all = { 0 };
	bool taken[DIFFER_MOST], any = false;
	size_t rows[DIFFER_MOST];
	char day[DAY_TEXT_SIZE], what[IMPORT_COLUMN_SIZE];
	const char *where = said->of.bond != NULL ? said->of.bond : said->chainage != NULL ?
		said->chainage : "the bond";

	if (!find_differences(k, said, &all)) {
		return problems_add(wrong, PROBLEM_RULE, "", "Too much differs of this failure: correct it "
			"where it is kept.");
	}
	for (size_t i = 0; i < all.count; i++) {
		rows[i] = run->csv.row;
	}
	day_write(k->row.found_day, day);
	text_fit(what, sizeof what, "%s, %s", where, day);
	if (!import_tell(run, what, &all, rows, taken, &any)) {
		return false;
	}
	if (all.count > 0 && !import_has_choice(run)) {
		return refuse(&all, wrong);
	}
	return !any || take(run, k, said, &all, taken, wrong);
}

bool import_failure_differs(struct run *run, const struct failure_new *form, const char *uuid,
	struct problems *wrong)
{
	struct kept kept = { 0 };
	bool ok = read_kept(run, uuid, &kept, wrong) && compare(run, &kept, form, wrong);

	free(kept.repair);
	free(kept.how);
	free(kept.by);
	form_memory_release(&kept.memory);
	return ok;
}
