#include "service/import/run.h"

#include <sodium.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/utf8.h"
#include "store/record/import_begun.h"
#include "store/record/withdrawal.h"

struct import_place run_place(const struct run *run)
{
	return (struct import_place){ run->csv.row, run->csv.line };
}

bool run_is_failure(const struct problems *problems)
{
	enum problem_code code = problems_code(problems);

	return code == PROBLEM_STORE || code == PROBLEM_NO_MEMORY || code == PROBLEM_BUSY ||
		code == PROBLEM_DAMAGED || code == PROBLEM_FULL;
}

/* The column and value at fault; the value only of the row that is being read. */
static void name_cell(const struct run *run, const struct problem *first,
	struct import_wrong *wrong)
{
	const struct plan_field *f = import_plan_field(&run->plan, first->field);

	if (f != NULL) {
		text_fit_copy(wrong->column, sizeof wrong->column, f->shown, strlen(f->shown));
		if (wrong->row == run->csv.row) {
			text_fit_copy(wrong->value, sizeof wrong->value, f->raw.text, f->raw.len);
		}
	}
}

static void add_reason(struct import_result *result, enum problem_code code,
	const struct import_wrong *wrong)
{
	for (size_t i = 0; i < result->n_reasons; i++) {
		struct import_reason *r = &result->reasons[i];

		if (r->code == code && strcmp(r->column, wrong->column) == 0) {
			r->count++;
			return;
		}
	}
	if (result->n_reasons < IMPORT_REASONS) {
		struct import_reason *r = &result->reasons[result->n_reasons++];

		*r = (struct import_reason){ .code = code, .count = 1 };
		memcpy(r->column, wrong->column, sizeof r->column);
		memcpy(r->example, wrong->reason, sizeof r->example);
	}
}

static bool keep_wrong(struct import_result *result, const struct import_wrong *wrong)
{
	if (result->n_wrongs >= IMPORT_WRONG_KEPT) {
		return true;
	}
	if (!array_grow((void **)&result->wrongs, result->n_wrongs, sizeof *result->wrongs, NULL)) {
		return false;
	}
	result->wrongs[result->n_wrongs++] = *wrong;
	return true;
}

static bool is_of_name(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
}

/* A sentence for who has the file before him: the names of fields, which have an underscore and are
 * no words, give way to the headings. */
static void speak(const struct run *run, const char *detail, struct text *to)
{
	for (const char *at = detail; *at != '\0';) {
		size_t len = 0;
		char name[40];
		const struct member *m = NULL;

		while (is_of_name(at[len])) {
			len++;
		}
		if (len > 0 && len < sizeof name && memchr(at, '_', len) != NULL) {
			memcpy(name, at, len);
			name[len] = '\0';
			m = form_member(&run->plan.fields.form, name);
		}
		text_add(to, m != NULL ? m->shown : at, m != NULL ? strlen(m->shown) : len > 0 ? len : 1);
		at += len > 0 ? len : 1;
	}
}

bool run_wrong(struct run *run, struct import_place place, const struct problems *problems)
{
	struct import_wrong wrong = { .row = place.row, .line = place.line };
	struct text all = { 0 };

	if (run_is_failure(problems)) {
		return problems_take(run->why, &problems->item[0]);
	}
	name_cell(run, &problems->item[0], &wrong);
	for (size_t i = 0; i < problems->count && i < PROBLEMS_SHOWN; i++) {
		const char *detail = problems->item[i].detail;

		/* the sentences of a form have no full stop */
		text_add_z(&all, i > 0 ? " " : "");
		speak(run, detail, &all);
		text_add_z(&all, strchr(".!?", detail[strlen(detail) - 1]) != NULL ? "" : ".");
	}
	text_fit_copy(wrong.reason, sizeof wrong.reason, all.failed ? "Out of memory." : all.data,
		all.failed ? 14 : all.len);
	text_release(&all);
	run->result->wrong++;
	run->beyond += problems_code(problems) == PROBLEM_CHAINAGE_OUTSIDE;
	add_reason(run->result, problems_code(problems), &wrong);
	if (run->request->watch.wrong != NULL) {
		run->request->watch.wrong(run->request->watch.app, &wrong);
	}
	return keep_wrong(run->result, &wrong) ||
		problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

bool run_wrong_because(struct run *run, struct import_place place, const char *field,
	const char *format, ...)
{
	struct problems wrong = { 0 };
	char detail[PROBLEM_DETAIL_SIZE];
	va_list args;

	va_start(args, format);
	text_fit_va(detail, sizeof detail, format, args);
	va_end(args);
	problems_add(&wrong, PROBLEM_CONFLICT, field, "%s", detail);
	return run_wrong(run, place, &wrong);
}

bool run_save(struct run *run)
{
	struct problem trouble = { 0 };

	return store_save(run->act->store, &trouble) || act_refuse(run->why, &trouble, NULL);
}

bool run_keep(struct run *run, bool ok)
{
	struct problem trouble = { 0 };

	return (ok ? store_save_keep(run->act->store, &trouble) :
		store_save_undo(run->act->store, &trouble)) || act_refuse(run->why, &trouble, NULL);
}

void run_count(struct run *run, bool already, size_t rows)
{
	*(already ? &run->result->already : &run->result->added) += rows;
}

bool run_derive(struct run *run, struct problems *wrong)
{
	return run->beside || derived_bonds(run->act, wrong);
}

static bool is_ours(struct run *run, enum sent_noun noun, int64_t row_id, bool *it_is)
{
	struct problem trouble = { 0 };

	*it_is = false;
	return !run->beside || store_import_brought(run->act->store, run->act->origin.import_id, noun,
		row_id, it_is, &trouble) || act_refuse(run->why, &trouble, NULL);
}

bool run_already(struct run *run, enum sent_noun noun, const struct recorded *recorded,
	bool *already)
{
	bool ours = false;
	bool ok = !recorded->already || is_ours(run, noun, recorded->id, &ours);

	*already = recorded->already && !ours;
	return ok;
}

bool run_uuid(struct run *run, enum sent_noun noun, const unsigned char key[IMPORT_KEY_BYTES],
	char to[UUID_TEXT_SIZE])
{
	unsigned char at[IMPORT_KEY_BYTES], last[IMPORT_KEY_BYTES];
	struct problem trouble = { 0 };
	struct sent kept = { 0 };
	bool withdrawn = true, ours = false;

	memcpy(at, key, sizeof at);
	while (withdrawn) {
		withdrawn = false;
		uuid_v8(at, to);
		if (!store_sent_find(run->act->store, noun, to, &kept, &trouble) || (kept.id != 0 &&
			!store_withdrawn(run->act->store, noun, kept.id, &withdrawn, &trouble))) {
			return act_refuse(run->why, &trouble, NULL);
		}
		if (kept.id != 0 && !is_ours(run, noun, kept.id, &ours)) {
			return false;
		}
		withdrawn = withdrawn && !ours;
		memcpy(last, at, sizeof last);
		crypto_generichash(at, sizeof at, last, sizeof last, NULL, 0);
	}
	return true;
}

void run_hash(const struct text *text, unsigned char to[IMPORT_KEY_BYTES])
{
	crypto_generichash(to, IMPORT_KEY_BYTES, (const unsigned char *)text->data, text->len, NULL, 0);
}
