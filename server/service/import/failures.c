/*
 * Failures. A log has no ids of ours, so the id follows from what a failure is: where, when, and
 * its reference in the log; without a reference from all that the row says.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/import/take.h"

/* The content without what only says how to look for a bond: another distance to the nearest bond
 * does not make another failure. */
static bool write_content(const struct run *run, const struct failure_new *form, struct text *to)
{
	struct failure_new plain = *form;

	plain.within_m = NAN;
	form_write(&run->plan.fields.form, &plain, to);
	return !to->failed;
}

static void write_identity(const struct failure_new *form, struct text *to)
{
	struct failure_new id;

	form_clear(&failure_form, &id);
	id.of = form->of;
	id.chainage = form->chainage;
	id.found_day = form->found_day;
	id.reference = form->reference;
	form_write(&failure_form, &id, to);
}

static bool make_keys(struct run *run, const struct failure_new *form,
	unsigned char key[IMPORT_KEY_BYTES], unsigned char content[IMPORT_KEY_BYTES])
{
	struct text text = { 0 };
	bool ok = write_content(run, form, &text);

	if (ok) {
		run_hash(&text, content);
	}
	if (ok && form->reference != NULL) {
		text_clear(&text);
		write_identity(form, &text);
		ok = !text.failed;
	}
	if (ok) {
		run_hash(&text, key);
	}
	text_release(&text);
	return ok || problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static uint32_t hash_bytes(const char *bytes, size_t len)
{
	uint32_t hash = UINT32_C(2166136261);   /* FNV-1a */

	for (size_t i = 0; i < len; i++) {
		hash = (hash ^ (unsigned char)bytes[i]) * UINT32_C(16777619);
	}
	return hash;
}

static bool note_row(struct run *run, struct import_entry *entry, const unsigned char *content)
{
	entry->row = run->csv.row;
	memcpy(entry->content, content, sizeof entry->content);
	entry->members = calloc(run->plan.n_fields, sizeof *entry->members);
	if (entry->members == NULL) {
		return problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; i < run->plan.n_fields; i++) {
		entry->members[i] = hash_bytes(run->plan.field[i].value, run->plan.field[i].len);
	}
	return true;
}

/* The same event as an earlier row: already there when it says the same. */
static bool seen_before(struct run *run, const struct import_entry *entry,
	const unsigned char *content)
{
	struct text differs = { 0 };
	const char *first = "";
	bool ok;

	if (memcmp(entry->content, content, sizeof entry->content) == 0) {
		run->result->repeated++;
		run_count(run, true, 1);
		return true;
	}
	for (size_t i = 0; i < run->plan.n_fields; i++) {
		const struct plan_field *f = &run->plan.field[i];

		if (entry->members[i] != hash_bytes(f->value, f->len)) {
			first = first[0] == '\0' ? f->member->name : first;
			text_addf(&differs, "%s%s", differs.len > 0 ? ", " : "", f->shown);
		}
	}
	ok = run_wrong_because(run, run_place(run), first, "Row %zu is the same event (place, day and "
		"reference), but says something else of it: %s.", entry->row,
		differs.failed ? "" : differs.len > 0 ? differs.data : "");
	text_release(&differs);
	return ok;
}

/* The register has the failure, and otherwise: told, and what is chosen of it taken. */
static bool take_otherwise(struct run *run, const struct failure_new *form, const char *uuid,
	bool *ok)
{
	struct problems wrong = { 0 };

	*ok = import_failure_differs(run, form, uuid, &wrong);
	if (*ok) {
		run_count(run, true, 1);
	}
	return *ok || (run->why->count == 0 && run_wrong(run, run_place(run), &wrong));
}

static bool record(struct run *run, struct failure_new *form, bool *ok)
{
	struct recorded recorded = { 0 };
	struct problems wrong = { 0 };

	if (!run_save(run)) {
		return false;
	}
	*ok = failure_record(run->act, form, 0, &recorded, &wrong) && run_derive(run, &wrong);
	if (!run_keep(run, *ok)) {
		return false;
	}
	if (*ok) {
		bool already;

		if (!run_already(run, SENT_FAILURE, &recorded, &already)) {
			return false;
		}
		run_count(run, already, 1);
		return true;
	}
	if (problems_code(&wrong) == PROBLEM_CONFLICT && strcmp(wrong.item[0].field, "uuid") == 0) {
		return take_otherwise(run, form, form->uuid, ok);
	}
	return run_wrong(run, run_place(run), &wrong);
}

/* A log without references that is exported again once a failure is made good: the id follows from
 * all that the row says, so it would be another failure, and the first stay open. */
static bool was_open(struct run *run, const struct failure_new *form,
	const unsigned char key[IMPORT_KEY_BYTES], char open_uuid[UUID_TEXT_SIZE], bool *it_was)
{
	struct failure_new open = *form;
	unsigned char open_key[IMPORT_KEY_BYTES], content[IMPORT_KEY_BYTES];
	struct problem trouble = { 0 };
	struct sent kept = { 0 }, same = { 0 };
	char uuid[UUID_TEXT_SIZE];

	*it_was = false;
	if (form->reference != NULL || form->made_good_day == DAY_NONE) {
		return true;
	}
	open.made_good_day = DAY_NONE;
	open.made_good_how = NULL;
	if (!make_keys(run, &open, open_key, content)) {
		return false;
	}
	if (!run_uuid(run, SENT_FAILURE, open_key, open.uuid) ||
		!run_uuid(run, SENT_FAILURE, key, uuid)) {
		return false;
	}
	if (!store_sent_find(run->act->store, SENT_FAILURE, open.uuid, &kept, &trouble) ||
		!store_sent_find(run->act->store, SENT_FAILURE, uuid, &same, &trouble)) {
		return act_refuse(run->why, &trouble, NULL);
	}
	*it_was = kept.id != 0 && same.id == 0;
	memcpy(open_uuid, open.uuid, sizeof open.uuid);
	return true;
}

static bool take_failure(struct run *run, union run_row *row, struct form_memory *memory)
{
	struct failure_new *form = &row->failure;
	unsigned char key[IMPORT_KEY_BYTES], content[IMPORT_KEY_BYTES];
	struct import_entry *entry;
	struct problems wrong = { 0 };
	char open_uuid[UUID_TEXT_SIZE];
	bool ok = false, it_was;

	(void)memory;
	if (form->of.bond_id == FORM_NO_INTEGER && form->of.bond == NULL && form->chainage == NULL) {
		problems_add(&wrong, PROBLEM_VALUE, "chainage",
			"The row names no bond, and no chainage where the failure was found.");
		return run_wrong(run, run_place(run), &wrong);
	}
	if (!make_keys(run, form, key, content)) {
		return false;
	}
	entry = import_seen_at(&run->seen, key);
	if (entry == NULL) {
		return problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (entry->row != 0) {
		return seen_before(run, entry, content);
	}
	if (!was_open(run, form, key, open_uuid, &it_was) ||
		!run_uuid(run, SENT_FAILURE, key, form->uuid)) {
		return false;
	}
	return (it_was ? take_otherwise(run, form, open_uuid, &ok) : record(run, form, &ok)) &&
		(!ok || note_row(run, entry, content));
}

const struct run_kind import_run_failures = { .passes = 1, .row = take_failure };
