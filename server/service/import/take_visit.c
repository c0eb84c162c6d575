/* Inspections that a file says otherwise. */
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "service/import/stated.h"
#include "service/import/take.h"
#include "service/record/inspection.h"
#include "store/record/said.h"

/* What the register has, in the words of the form. */
struct kept {
	struct inspection row;
	struct inspection_new form;
	struct reading_new readings[INSPECTION_READINGS];
	size_t n_readings;
	struct form_memory memory;
};

static bool fill_reading(struct run *run, const struct reading_row *r, struct reading_new *to,
	struct form_memory *memory, struct problems *why)
{
	struct problem trouble = { 0 };

	form_clear(&reading_form, to);
	to->quantity = (int)r->quantity;
	to->method = (int)r->method;
	to->forward_uv = r->forward_uv;
	to->reverse_uv = r->reverse_uv;
	to->current_a = r->current_a;
	to->shown_uohm = r->shown_uohm;
	to->lead_uohm = r->lead_uohm;
	to->rail_uv = r->rail_uv;
	to->rail_m = r->rail_m;
	to->joint_m = r->joint_m;
	to->temp_c = r->temp_c;
	to->probed = r->probed;
	to->temp_carried = r->temp_carried;
	return r->instrument_id == 0 || store_serial_said(run->act->store, r->instrument_id,
		&to->instrument, memory, &trouble) || act_refuse(why, &trouble, NULL);
}

static bool fill_readings(struct run *run, struct kept *k, struct problems *why)
{
	struct reading_row rows[INSPECTION_READINGS];
	struct problem trouble = { 0 };
	bool ok = store_readings_said(run->act->store, k->row.id, INSPECTION_READINGS, rows,
		&k->n_readings, &trouble) || act_refuse(why, &trouble, NULL);

	for (size_t n = 0; ok && n < k->n_readings; n++) {
		ok = fill_reading(run, &rows[n], &k->readings[n], &k->memory, why);
	}
	return ok;
}

static bool read_kept(struct run *run, const char *uuid, struct kept *k, struct problems *why)
{
	struct sent sent = { 0 };
	struct inspection_new *f = &k->form;
	struct problem trouble = { 0 };
	int64_t newest = 0;

	if (!store_sent_find(run->act->store, SENT_INSPECTION, uuid, &sent, &trouble) ||
		!store_said_newest(run->act->store, SENT_INSPECTION, sent.id, &newest, &trouble) ||
		!store_inspection_said(run->act->store, newest, &k->row, &k->memory, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	form_clear(&inspection_form, f);
	f->of.bond_id = k->row.bond_id;
	f->day = k->row.day;
	f->purpose = (int)k->row.purpose;
	f->outcome = (int)k->row.outcome;
	f->seen_a = k->row.seen_a;
	f->seen_b = k->row.seen_b;
	f->why_not_seen = k->row.why_not_seen;
	f->cables_whole = k->row.cables_whole;
	f->strength_a = k->row.strength_a;
	f->strength_b = k->row.strength_b;
	f->opened = k->row.opened;
	f->surroundings = k->row.surroundings;
	f->failed = k->row.failed;
	f->inspector = k->row.person_name;
	f->note = k->row.note;
	f->at_ms = k->row.at_ms;
	return fill_readings(run, k, why);
}

/* The n-th reading of a quantity; SIZE_MAX: there is none. */
static size_t find_reading(const struct reading_new *all, size_t count, int quantity, size_t nth)
{
	for (size_t i = 0; i < count; i++) {
		if (all[i].quantity == quantity && nth-- == 0) {
			return i;
		}
	}
	return SIZE_MAX;
}

static size_t nth_of_its_quantity(const struct reading_new *all, size_t at)
{
	size_t n = 0;

	for (size_t i = 0; i < at; i++) {
		n += all[i].quantity == all[at].quantity;
	}
	return n;
}

/* An instrument is told by its serial number, by whichever the file names it. */
static bool name_instrument(struct run *run, struct reading_new *r, struct form_memory *memory,
	struct problems *why)
{
	struct problem trouble = { 0 };
	bool ok = r->instrument_id == FORM_NO_INTEGER || store_serial_said(run->act->store,
		r->instrument_id, &r->instrument, memory, &trouble) || act_refuse(why, &trouble, NULL);

	r->instrument_id = FORM_NO_INTEGER;
	return ok;
}

static bool differ_reading(const struct kept *k, const struct reading_new *said, size_t n,
	struct differences *to)
{
	static const char *const without[] = { "quantity", "instrument_id", NULL };
	const char *of = quantity_words.title[said[n].quantity];
	size_t nth = nth_of_its_quantity(said, n);
	size_t at = find_reading(k->readings, k->n_readings, said[n].quantity, nth);
	char which[60];

	text_fit(which, sizeof which, nth > 0 ? "%s, reading %zu" : "%s", of, nth + 1);
	return at == SIZE_MAX ? differ_add(form_member(&reading_form, "quantity"), which, "not read",
		"a reading", n, to) : differ(&reading_form, without, &k->readings[at], &said[n], which, n,
		to);
}

/* What the file says of the outcome: its word for each end says complete, and so does what its rows
 * meant, unless it says less. */
static int outcome_said(const struct import_settings *settings, const struct inspection_new *form)
{
	bool seen_a = form->seen_a >= 0 && (form->seen_a != SEEN_NOT_VISIBLE || form->why_not_seen),
		seen_b = form->seen_b >= 0 && (form->seen_b != SEEN_NOT_VISIBLE || form->why_not_seen);

	return form->outcome > OUTCOME_COMPLETE ? form->outcome :
		(seen_a && seen_b) || settings->row_meant == ROW_MEANT_BOTH_SEEN ? OUTCOME_COMPLETE : -1;
}

static bool find_differences(const struct kept *k, const struct inspection_new *said,
	struct differences *to, struct problems *why)
{
	static const char *const without[] = { "bond_id", "line", "bond", "day", "purpose", "inspector",
		"corrects", "sent_from", "reason", NULL };
	bool ok = differ(&inspection_form, without, &k->form, said, "", SIZE_MAX, to);

	for (size_t n = 0; ok && n < said->readings.count; n++) {
		ok = differ_reading(k, said->readings.items, n, to);
	}
	return ok || problems_add(why, PROBLEM_RULE, "", "Too much differs of this inspection: correct "
		"it where it is kept.");
}

static void merge(struct kept *k, const struct inspection_new *said,
	const struct differences *all, const bool *taken)
{
	const struct reading_new *readings = said->readings.items;

	for (size_t i = 0; i < all->count; i++) {
		const struct difference *d = &all->all[i];
		size_t at;

		if (!taken[i]) {
			continue;
		}
		if (d->item == SIZE_MAX) {
			differ_take(d->member, said, &k->form);
			continue;
		}
		at = find_reading(k->readings, k->n_readings, readings[d->item].quantity,
			nth_of_its_quantity(readings, d->item));
		if (at != SIZE_MAX) {
			differ_take(d->member, &readings[d->item], &k->readings[at]);
		} else if (k->n_readings < INSPECTION_READINGS) {
			k->readings[k->n_readings++] = readings[d->item];
		}
	}
}

static bool is_chosen(const struct differences *all, const bool *taken, const char *field)
{
	for (size_t i = 0; i < all->count; i++) {
		if (taken[i] && strcmp(all->all[i].member->name, field) == 0) {
			return true;
		}
	}
	return false;
}

/* A correction of the visit, in which what is chosen is as the file says. */
static bool correct(struct run *run, struct kept *k, const struct inspection_new *said,
	const struct differences *all, const bool *taken, struct problems *wrong)
{
	struct inspection_new *f = &k->form;
	struct recorded recorded = { 0 };
	char reason[IMPORT_REASON_SIZE];
	bool ok;

	merge(k, said, all, taken);
	if (is_chosen(all, taken, "outcome")) {
		import_stated_partly(run->request->settings, f);
	}
	import_reason(run, reason);
	f->readings = (struct form_list){ k->readings, k->n_readings };
	memcpy(f->corrects, k->row.uuid, UUID_TEXT_SIZE);
	f->reason = reason;
	if (!import_correction_uuid(run, SENT_INSPECTION, k->row.uuid, &inspection_form, f, f->uuid) ||
		!import_take_begin(run, wrong)) {
		return false;
	}
	ok = inspection_record(run->act, f, &recorded, wrong);
	return import_take_end(run, ok);
}

static bool compare(struct run *run, struct kept *k, struct inspection_new *said,
	const struct import_visit_rows *rows, struct problems *wrong)
{
	static const char *const differs = "The register has this inspection already (bond, day, "
		"purpose, inspector and reference), with other findings or readings: choose what is taken "
		"of it, correct it there, or correct the file.";
	struct differences all = { 0 };
	bool taken[DIFFER_MOST], any = false;
	size_t row_of[DIFFER_MOST];
	char day[DAY_TEXT_SIZE], what[IMPORT_COLUMN_SIZE];
	struct reading_new *readings = said->readings.items;
	bool ok = true;

	for (size_t n = 0; ok && n < said->readings.count; n++) {
		ok = name_instrument(run, &readings[n], &k->memory, wrong);
	}
	said->outcome = outcome_said(run->request->settings, said);
	if (!ok || !find_differences(k, said, &all, wrong)) {
		return false;
	}
	for (size_t i = 0; i < all.count; i++) {
		row_of[i] = all.all[i].item == SIZE_MAX ? rows->visit : rows->reading[all.all[i].item];
	}
	day_write(k->row.day, day);
	text_fit(what, sizeof what, "%s, %s", said->of.bond != NULL ? said->of.bond : "the bond", day);
	if (!import_tell(run, what, &all, row_of, taken, &any)) {
		return false;
	}
	if (all.count > 0 && !import_has_choice(run)) {
		return problems_add(wrong, PROBLEM_CONFLICT, "", "%s", differs);
	}
	return !any || correct(run, k, said, &all, taken, wrong);
}

bool import_visit_differs(struct run *run, const struct inspection_new *form,
	const struct import_visit_rows *rows, struct problems *wrong)
{
	struct inspection_new said = *form;
	struct reading_new readings[INSPECTION_READINGS];
	struct kept kept = { 0 };
	bool ok;

	if (form->readings.count > 0) {
		memcpy(readings, form->readings.items, form->readings.count * sizeof *readings);
	}
	said.readings.items = readings;
	ok = read_kept(run, form->uuid, &kept, wrong) && compare(run, &kept, &said, rows, wrong);
	form_memory_release(&kept.memory);
	return ok;
}
