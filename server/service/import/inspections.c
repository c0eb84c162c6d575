/*
 * Inspections with their readings. Rows of one inspection need not be neighbours: the first pass
 * finds the last row of each and what is wrong in any, the second gathers and records an inspection
 * as soon as its last row is read. So only those that are not yet whole are kept in memory.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "service/import/run.h"
#include "service/import/stated.h"
#include "service/import/take.h"

struct import_group {
	struct form_memory memory;      /* of the texts of all its rows */
	struct visit_row first;
	struct reading_new readings[INSPECTION_READINGS];
	size_t n_readings;
	struct import_place *places;    /* of its rows; owned */
	size_t *reading_row;            /* which place each reading is from: index into places */
	unsigned char (*contents)[IMPORT_KEY_BYTES];   /* of each row; owned */
	size_t n_rows, repeated;
};

static const char *const key_fields[] = { "bond_id", "line", "bond", "day", "purpose", "inspector",
	"reference" };

static void group_free(struct import_group *g)
{
	if (g != NULL) {
		form_memory_release(&g->memory);
		free(g->places);
		free(g->reading_row);
		free(g->contents);
		free(g);
	}
}

static bool no_memory(struct run *run)
{
	return problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static bool make_key(struct run *run, const struct visit_row *row,
	unsigned char key[IMPORT_KEY_BYTES])
{
	struct visit_row id;
	struct text text = { 0 };
	bool ok;

	form_clear(&inspection_form, &id.visit);
	form_clear(&reading_form, &id.reading);
	id.visit.of = row->visit.of;
	id.visit.day = row->visit.day;
	id.visit.purpose = row->visit.purpose;
	id.visit.inspector = row->visit.inspector;
	id.reference = row->reference;
	form_write(&run->plan.fields.form, &id, &text);
	ok = !text.failed;
	if (ok) {
		run_hash(&text, key);
	}
	text_release(&text);
	return ok || no_memory(run);
}

/* False when a problem is in what tells inspections apart: then the row belongs to none. */
static bool has_key(const struct problems *wrong)
{
	for (size_t i = 0; i < wrong->count && i < PROBLEMS_SHOWN; i++) {
		for (size_t k = 0; k < sizeof key_fields / sizeof key_fields[0]; k++) {
			if (strcmp(wrong->item[i].field, key_fields[k]) == 0) {
				return false;
			}
		}
	}
	return wrong->count <= PROBLEMS_SHOWN;
}

static bool look(struct run *run, const union run_row *row, const struct problems *wrong)
{
	unsigned char key[IMPORT_KEY_BYTES];
	struct import_entry *entry;

	if (!has_key(wrong)) {
		return true;
	}
	if (!make_key(run, &row->visit, key)) {
		return false;
	}
	entry = import_seen_at(&run->seen, key);
	if (entry == NULL) {
		return no_memory(run);
	}
	if (wrong->count == 0) {
		entry->row = run->csv.row;
		entry->part = run->csv.part;
	} else if (entry->wrong_row == 0) {
		entry->wrong_row = run->csv.row;
	}
	return true;
}

static bool refuse_rest(struct run *run, struct import_place place, size_t culprit)
{
	return run_wrong_because(run, place, "", "Row %zu of the same inspection is wrong, so none of "
		"it is taken.", culprit);
}

/* Gives up a group whose last row read is wrong: the others are wrong with it. */
static bool refuse_group(struct run *run, struct import_entry *entry, size_t culprit,
	const struct problems *wrong)
{
	struct import_group *g = entry->group;
	bool ok = true;

	entry->group = NULL;
	entry->wrong_row = culprit;
	for (size_t i = 0; ok && i < g->n_rows; i++) {
		ok = g->places[i].row == culprit ? run_wrong(run, g->places[i], wrong) :
			refuse_rest(run, g->places[i], culprit);
	}
	group_free(g);
	return ok;
}

/* Which of the visit's own members the row says otherwise than the rows before; what it leaves out
 * is as they say. NULL: none. */
static const char *merge(const struct import_fields *fields, struct visit_row *first,
	const struct visit_row *row)
{
	static const char *const own[] = { "outcome", "seen_a", "seen_b" };

	for (size_t i = 0; i < 3; i++) {
		const struct member *m = form_member(&fields->form, own[i]);
		int *kept = (int *)(void *)((char *)first + m->offset);
		int said = *(const int *)(const void *)((const char *)row + m->offset);

		if (*kept >= 0 && said >= 0 && *kept != said) {
			return own[i];
		}
		*kept = said >= 0 ? said : *kept;
	}
	if (first->visit.note != NULL && row->visit.note != NULL &&
		strcmp(first->visit.note, row->visit.note) != 0) {
		return "note";
	}
	first->visit.note = row->visit.note != NULL ? row->visit.note : first->visit.note;
	return NULL;
}

static bool has_reading(const struct reading_new *reading)
{
	for (const struct member *m = reading_form.members; m->name != NULL; m++) {
		if (!form_is_absent(m, reading)) {
			return true;
		}
	}
	return false;
}

static bool grow(struct import_group *g)
{
	return array_grow((void **)&g->places, g->n_rows, sizeof *g->places, NULL) &&
		array_grow((void **)&g->reading_row, g->n_rows, sizeof *g->reading_row, NULL) &&
		array_grow((void **)&g->contents, g->n_rows, sizeof *g->contents, NULL);
}

/* True when an earlier row of the group says all the same. */
static bool is_repeated(const struct import_group *g, const unsigned char *content)
{
	for (size_t i = 0; i < g->n_rows; i++) {
		if (memcmp(g->contents[i], content, IMPORT_KEY_BYTES) == 0) {
			return true;
		}
	}
	return false;
}

static bool hash_row(struct run *run, const struct visit_row *row,
	unsigned char content[IMPORT_KEY_BYTES])
{
	struct text text = { 0 };
	bool ok;

	form_write(&run->plan.fields.form, row, &text);
	ok = !text.failed;
	if (ok) {
		run_hash(&text, content);
	}
	text_release(&text);
	return ok || no_memory(run);
}

/* Adds the row to its group. False: run->why or, when that is empty, *wrong is set. */
static bool add_row(struct run *run, struct import_group *g, const struct visit_row *row,
	struct problems *wrong)
{
	unsigned char content[IMPORT_KEY_BYTES];
	const char *differs = NULL;

	if (!grow(g) || !hash_row(run, row, content)) {
		return run->why->count > 0 ? false : no_memory(run);
	}
	if (g->n_rows == 0) {
		g->first = *row;
	} else if (is_repeated(g, content)) {
		g->repeated++;
		g->places[g->n_rows] = run_place(run);
		memcpy(g->contents[g->n_rows++], content, sizeof content);
		return true;
	} else {
		differs = merge(&run->plan.fields, &g->first, row);
	}
	g->places[g->n_rows] = run_place(run);
	memcpy(g->contents[g->n_rows++], content, sizeof content);
	if (differs != NULL) {
		return problems_add(wrong, PROBLEM_CONFLICT, differs, "Row %zu is of the same inspection, "
			"but says otherwise for %s.", g->places[0].row,
			form_member(&run->plan.fields.form, differs)->shown);
	}
	if (has_reading(&row->reading)) {
		if (g->n_readings == INSPECTION_READINGS) {
			return problems_add(wrong, PROBLEM_RULE, "quantity",
				"An inspection has at most %d readings.", INSPECTION_READINGS);
		}
		g->reading_row[g->n_readings] = g->n_rows - 1;
		g->readings[g->n_readings++] = row->reading;
	}
	return true;
}

/* The row that a problem of the whole inspection is about. */
static size_t culprit_of(const struct import_group *g, const struct problems *wrong)
{
	const char *field = wrong->item[0].field;
	size_t n = 0;

	if (strncmp(field, "readings[", 9) == 0) {
		n = strtoul(field + 9, NULL, 10);
		n = n < g->n_readings ? g->reading_row[n] : 0;
	}
	return g->places[n].row;
}

/* Keeps the visit. One that came in when a row without a word for each end still counted as
 * complete is the same visit, and stays so. */
static bool keep_visit(struct run *run, struct inspection_new *form, struct recorded *recorded,
	struct problems *wrong)
{
	int said = form->outcome;
	bool partly = import_stated_partly(run->request->settings, form);
	bool ok = inspection_record(run->act, form, recorded, wrong);

	if (!ok && partly && strcmp(wrong->item[0].field, "uuid") == 0) {
		*wrong = (struct problems){ 0 };
		form->outcome = said;
		ok = inspection_record(run->act, form, recorded, wrong);
	}
	run->partly += ok && partly && !recorded->already;
	return ok;
}

/* The register has the visit, and otherwise: told, and what is chosen of it taken. */
static bool take_otherwise(struct run *run, const struct import_group *g, struct problems *wrong)
{
	struct import_visit_rows rows = { .visit = g->places[0].row };
	size_t reading[INSPECTION_READINGS];

	for (size_t n = 0; n < g->n_readings; n++) {
		reading[n] = g->places[g->reading_row[n]].row;
	}
	rows.reading = reading;
	return import_visit_differs(run, &g->first.visit, &rows, wrong);
}

static bool is_known_otherwise(const struct problems *wrong)
{
	return wrong->count > 0 && problems_code(wrong) == PROBLEM_CONFLICT &&
		strcmp(wrong->item[0].field, "uuid") == 0;
}

static bool record(struct run *run, struct import_entry *entry)
{
	struct import_group *g = entry->group;
	struct inspection_new *form = &g->first.visit;
	struct recorded recorded = { 0 };
	struct problems wrong = { 0 };
	bool ok, otherwise, already;

	form->readings = (struct form_list){ g->readings, g->n_readings };
	if (!run_uuid(run, SENT_INSPECTION, entry->key, form->uuid) || !run_save(run)) {
		return false;
	}
	ok = keep_visit(run, form, &recorded, &wrong);
	if (!run_keep(run, ok)) {
		return false;
	}
	otherwise = !ok && is_known_otherwise(&wrong);
	if (otherwise) {
		wrong = (struct problems){ 0 };
		ok = take_otherwise(run, g, &wrong);
	}
	if (!ok) {
		return run->why->count == 0 &&
			refuse_group(run, entry, culprit_of(g, &wrong), &wrong);
	}
	run->result->repeated += g->repeated;
	if (!run_already(run, SENT_INSPECTION, &recorded, &already)) {
		return false;
	}
	run_count(run, already || otherwise, g->n_rows - g->repeated);
	run_count(run, true, g->repeated);
	entry->group = NULL;
	group_free(g);
	return true;
}

static bool take_visit(struct run *run, union run_row *row, struct form_memory *memory)
{
	unsigned char key[IMPORT_KEY_BYTES];
	struct problems wrong = { 0 };
	struct import_entry *entry;

	if (!make_key(run, &row->visit, key)) {
		return false;
	}
	entry = import_seen_at(&run->seen, key);
	if (entry == NULL) {
		return no_memory(run);
	}
	if (entry->wrong_row != 0) {
		return refuse_rest(run, run_place(run), entry->wrong_row);
	}
	if (entry->group == NULL) {
		entry->group = calloc(1, sizeof *entry->group);
		if (entry->group == NULL) {
			return no_memory(run);
		}
	}
	form_memory_join(&entry->group->memory, memory); /* its texts live as long as the group */
	if (!add_row(run, entry->group, &row->visit, &wrong)) {
		return wrong.count > 0 && refuse_group(run, entry, run->csv.row, &wrong);
	}
	return run->csv.row < entry->row || (run->csv.row == entry->row &&
		run->csv.part < entry->part) || record(run, entry);
}

/* Once for each bond, however many of its visits a log has: no row needs to know. What it was
 * measured with is on record before, in a trial too: by that more may be asked. */
static bool derive_all(struct run *run)
{
	bool states = !run->beside && run->result->added > 0 &&
		import_stated_meter(run->request->settings);

	return (!states || run_keep_import(run)) && run_derive(run, run->why);
}

static void release_groups(struct run *run)
{
	for (size_t i = 0; i < run->seen.room; i++) {
		group_free(run->seen.entries[i].group);
	}
}

const struct run_kind import_run_inspections = { .passes = 2, .look = look, .row = take_visit,
	.end = derive_all, .release = release_groups };
