#include "service/import/take.h"

#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/utf8.h"
#include "service/record/bond_differ.h"
#include "service/record/refer.h"
#include "store/record/bond_coming.h"

/* A row that is not chosen takes nothing. */
static bool is_row_taken(const struct import_settings *s, size_t row)
{
	const int64_t *rows = s->take_rows.items;
	bool among = s->take_rows.count == 0;

	for (size_t i = 0; i < s->take_rows.count; i++) {
		among = among || rows[i] == (int64_t)row;
	}
	return s->known == KNOWN_TAKES && among;
}

static bool is_taken(const struct import_settings *s, size_t row, const char *field)
{
	const struct import_taken *taken = s->take.items;

	for (size_t i = 0; i < s->take.count && is_row_taken(s, row); i++) {
		if (strcmp(taken[i].field, field) == 0) {
			return true;
		}
	}
	return false;
}

static void count_field(struct import_result *r, const struct member *m)
{
	size_t i = 0;

	while (i < r->n_differing && strcmp(r->differing[i].field, m->name) != 0) {
		i++;
	}
	if (i == r->n_differing && i < IMPORT_FIELDS) {
		r->differing[r->n_differing++] = (struct import_differing){ m->name, m->title, 0 };
	}
	if (i < r->n_differing) {
		r->differing[i].count++;
	}
}

static bool tell(struct run *run, size_t row, const char *what, const struct difference *d,
	bool taken)
{
	struct import_result *r = run->result;
	struct import_difference *to;

	count_field(r, d->member);
	if (r->n_differences >= IMPORT_WRONG_KEPT) {
		return true;
	}
	if (!array_grow((void **)&r->differences, r->n_differences, sizeof *r->differences, NULL)) {
		return problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	to = &r->differences[r->n_differences++];
	*to = (struct import_difference){ .row = row, .field = d->member->name, .taken = taken };
	text_fit(to->title, sizeof to->title, "%s", d->title);
	text_fit(to->what, sizeof to->what, "%s", what);
	text_fit(to->known, sizeof to->known, "%s", d->known);
	text_fit(to->said, sizeof to->said, "%s", d->said);
	return true;
}

bool import_has_choice(const struct run *run)
{
	return run->request->settings->known >= 0;
}

bool import_tell(struct run *run, const char *what, const struct differences *all,
	const size_t *rows, bool taken[DIFFER_MOST], bool *any)
{
	bool ok = true;

	*any = false;
	for (size_t i = 0; ok && i < all->count; i++) {
		taken[i] = is_taken(run->request->settings, rows[i], all->all[i].member->name);
		*any = *any || taken[i];
		ok = tell(run, rows[i], what, &all->all[i], taken[i]);
	}
	return ok;
}

void import_reason(const struct run *run, char to[IMPORT_REASON_SIZE])
{
	const char *file = run->request->file_name;

	text_fit(to, IMPORT_REASON_SIZE, "As %s has it.", file[0] != '\0' ? file : "a file");
}

bool import_correction_uuid(struct run *run, enum sent_noun noun, const char *of,
	const struct form *form, const void *what, char to[UUID_TEXT_SIZE])
{
	unsigned char key[IMPORT_KEY_BYTES];
	struct text text = { 0 };
	bool ok;

	text_add_z(&text, of);
	form_write(form, what, &text);
	ok = !text.failed || problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	if (ok) {
		run_hash(&text, key);
	}
	text_release(&text);
	return ok && run_uuid(run, noun, key, to);
}

bool import_take_begin(struct run *run, struct problems *wrong)
{
	if (run->beside) {
		return problems_add(wrong, PROBLEM_CONFLICT, "", "It was recorded otherwise since the file "
			"was tried: try it again.");
	}
	return derived_bonds(run->act, run->why) && run_save(run);
}

bool import_take_end(struct run *run, bool ok)
{
	bool kept = run_keep(run, ok);

	if (!ok) {
		view_forget(run->act->view, 0);
	}
	run->result->changed += ok && kept;
	return kept && ok;
}

/* What is taken becomes a further version; all of a row, or nothing where a rule refuses it. */
static bool take(struct run *run, int64_t bond_id, const struct bond_new *form,
	const struct bond_difference *all, size_t count, struct problems *wrong)
{
	const struct bond_difference *taken[BOND_MEMBERS];
	char reason[IMPORT_REASON_SIZE];
	size_t n = 0;

	for (size_t i = 0; i < count; i++) {
		bool is = is_taken(run->request->settings, run->csv.row, all[i].member->name);

		struct difference d = { .member = all[i].member };

		text_fit(d.title, sizeof d.title, "%s", all[i].member->title);
		memcpy(d.known, all[i].known, sizeof d.known);
		memcpy(d.said, all[i].said, sizeof d.said);
		if (!tell(run, run->csv.row, form->label, &d, is)) {
			return false;
		}
		if (is) {
			taken[n++] = &all[i];
		}
	}
	import_reason(run, reason);
	if (n > 0 && run->beside) {     /* (a version of a known bond cannot count for nothing) */
		return problems_add(wrong, PROBLEM_CONFLICT, taken[0]->member->name, "The register says "
			"something else of the bond %s since the file was tried.", form->label);
	}
	if (n > 0 && !bond_take(run->act, bond_id, form, taken, n, reason, wrong)) {
		return false;
	}
	run->result->changed += n > 0;
	return true;
}

/* The bond that the row names, if the register has it; what is wrong with the row is said later. */
static bool find_known(struct run *run, const struct bond_new *form, int64_t *id,
	struct problems *wrong)
{
	struct bond_coming coming = { 0 };
	struct problems ignored = { 0 };
	struct problem trouble = { 0 };
	int64_t line_id = 0;

	*id = 0;
	if (!refer_line(run->act, form->line, "line", &line_id, &ignored)) {
		return true;
	}
	if (!store_bond_find(run->act->store, line_id, form->label, id, &trouble) || (run->beside &&
		!store_bond_coming_find(run->act->store, line_id, form->label, &coming, &trouble))) {
		return act_refuse(wrong, &trouble, NULL);
	}
	*id = coming.import_id == run->act->origin.import_id && coming.bond_id != 0 ? coming.bond_id :
		*id;
	return true;
}

bool import_bond(struct run *run, const struct bond_new *form, struct recorded *recorded,
	struct problems *wrong)
{
	struct bond_difference all[BOND_MEMBERS];
	size_t count = 0;
	int64_t id;

	if (!find_known(run, form, &id, wrong)) {
		return false;
	}
	if (id != 0 && !bond_differences(run->act, id, form, all, &count, wrong)) {
		return false;
	}
	if (id == 0 || (run->request->settings->known < 0 && count == 0)) {
		return bond_register(run->act, form, recorded, wrong);
	}
	*recorded = (struct recorded){ .id = id, .already = true };
	return take(run, id, form, all, count, wrong) && (run->request->settings->known >= 0 ||
		bond_register(run->act, form, recorded, wrong));
}

static void add(const char *name, const char *value, struct text *to)
{
	text_addf(to, ",\"%s\":", name);
	text_add_json(to, value, strlen(value));
}

void import_differences_write(const struct import_result *r, struct text *to)
{
	text_addf(to, ",\"changed\":%zu,\"differing\":[", r->changed);
	for (size_t i = 0; i < r->n_differing; i++) {
		text_addf(to, "%s{\"count\":%zu", i > 0 ? "," : "", r->differing[i].count);
		add("field", r->differing[i].field, to);
		add("title", r->differing[i].title, to);
		text_add_char(to, '}');
	}
	text_add_z(to, "],\"differences\":[");
	for (size_t i = 0; i < r->n_differences; i++) {
		const struct import_difference *d = &r->differences[i];

		text_addf(to, "%s{\"row\":%zu", i > 0 ? "," : "", d->row);
		add("what", d->what, to);
		add("field", d->field, to);
		add("title", d->title, to);
		add("known", d->known, to);
		add("said", d->said, to);
		text_addf(to, ",\"taken\":%s}", d->taken ? "true" : "false");
	}
	text_add_char(to, ']');
}
