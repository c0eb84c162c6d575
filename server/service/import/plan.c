#include "service/import/plan.h"

#include <string.h>

#include "base/near.h"
#include "base/utf8.h"
#include "derived/act.h"
#include "service/import/sum.h"
#include "service/import/unit.h"

static bool is_cell(const struct csv_cell *cell, const char *text)
{
	return strlen(text) == cell->len && memcmp(cell->text, text, cell->len) == 0;
}

/* Whether several columns had the heading, which have their counts behind it now. */
static bool stands_twice(const struct import_headings *heading, const char *name)
{
	char first[IMPORT_HEADING_BYTES];
	bool is = false;

	text_fit(first, sizeof first, "%.*s (1)", (int)utf8_fit(name, strlen(name), 80), name);
	for (size_t i = 0; i < heading->count && !is; i++) {
		is = is_cell(&heading->name[i], first);
	}
	return is;
}

size_t import_find_column(const struct import_headings *heading, const char *name,
	const char *field, struct problems *why)
{
	size_t found = SIZE_MAX;
	struct near nearest = { 0 };
	char close[64] = "";

	for (size_t i = 0; i < heading->count; i++) {
		struct csv_cell cell = heading->name[i];
		char known[64];

		found = is_cell(&cell, name) ? i : found;
		if (cell.len < sizeof known) {
			memcpy(known, cell.text, cell.len);
			known[cell.len] = '\0';
			near_try(&nearest, name, strlen(name), known);
			if (nearest.name == known) { /* the best so far, kept beyond this turn */
				memcpy(close, known, sizeof close);
				nearest.name = close;
			}
		}
	}
	if (found == SIZE_MAX && stands_twice(heading, name)) {
		problems_add(why, PROBLEM_VALUE, field, "Several columns have the heading %.60s: in their "
			"order they are %.60s (1), %.60s (2) ...", name, name, name);
	} else if (found == SIZE_MAX) {
		problems_add(why, PROBLEM_VALUE, field, close[0] != '\0' ?
			"The file has no column %.60s; do you mean %.60s?" :
			"The file has no column %.60s: columns are named by the first row.%.0s", name, close);
	}
	return found;
}

/* The pieces of a field's template; a column or a constant is one of a single piece. */
static bool make_pieces(struct import_plan *plan, struct plan_field *f,
	const struct import_column *c, const struct import_headings *heading, struct problems *why)
{
	struct template_piece pieces[TEMPLATE_PIECES] = { {
		.what = c->constant != NULL ? TEMPLATE_TEXT : TEMPLATE_CELL,
		.text = c->constant != NULL ? c->constant : c->column } };
	struct problem one = { 0 };
	bool ok = true;

	f->n_pieces = 1;
	if (c->template != NULL) {
		f->n_pieces = template_parse(c->template, pieces, &one);
		f->is_joined = true;
	} else {
		pieces[0].len = strlen(pieces[0].text);
	}
	f->pieces = form_alloc(&plan->memory, TEMPLATE_PIECES * sizeof *f->pieces);
	if (f->pieces == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	f->is_sum = sum_is(pieces, f->n_pieces);
	f->unit = f->is_sum ? "m" : f->unit;
	for (size_t i = 0; i < f->n_pieces; i++) {
		char name[512];

		f->pieces[i] = (struct plan_piece){ .what = pieces[i].what, .text = pieces[i].text,
			.len = pieces[i].len, .digits = pieces[i].digits, .length_unit = pieces[i].unit,
			.close = i > 0 &&
			template_is_close(pieces[i - 1].what, pieces[i - 1].text, pieces[i - 1].len) };
		if (pieces[i].what != TEMPLATE_TEXT) {
			size_t len = pieces[i].len < sizeof name ? pieces[i].len : sizeof name - 1;

			memcpy(name, pieces[i].text, len);
			name[len] = '\0';
			f->pieces[i].column = import_find_column(heading, name, "columns", why);
			f->last_column = i;
			ok = f->pieces[i].column != SIZE_MAX && ok;
		}
	}
	return ok;
}

static bool make_words(struct import_plan *plan, struct plan_field *f,
	const struct import_settings *settings, struct problems *why)
{
	const struct import_word *words = settings->words.items;

	f->words = form_alloc(&plan->memory, (settings->words.count + 1) * sizeof *f->words);
	if (f->words == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; i < settings->words.count; i++) {
		if (strcmp(words[i].field, f->member->name) == 0) {
			f->words[f->n_words++] = &words[i];
		}
	}
	return true;
}

bool import_plan_make(struct import_plan *plan, const struct import_kind *kind,
	const struct import_settings *settings, const struct import_headings *heading,
	struct problems *why)
{
	const struct import_column *columns = settings->columns.items;
	const struct import_only *only = settings->only.items;
	size_t before = why->count;

	*plan = (struct import_plan){ .kind = kind, .reading = import_reading(settings) };
	import_kind_fields(kind, &plan->fields);
	for (size_t i = 0; i < settings->columns.count; i++) {
		const struct import_column *c = &columns[i];
		struct plan_field *f = &plan->field[plan->n_fields++];

		f->member = form_member(&plan->fields.form, c->field);
		f->unit = c->unit;
		f->has_unit = c->constant == NULL && !import_is_place(f->member) &&
			units_of(f->member) != NULL;
		f->shown = c->column != NULL ? c->column : c->template != NULL ? c->template :
			f->member->title;
		plan->fields.members[f->member - plan->fields.members].shown = f->shown;
		if (make_pieces(plan, f, c, heading, why)) {
			make_words(plan, f, settings, why);
		}
	}
	for (size_t i = 0; i < settings->only.count; i++) {
		plan->only[plan->n_only++] = (struct plan_only){ &only[i],
			import_find_column(heading, only[i].column, "only", why) };
	}
	return why->count == before;
}

bool import_plan_is_of_file(const struct plan_field *f)
{
	return f->is_joined || f->pieces[0].what != TEMPLATE_TEXT;
}

void import_plan_release(struct import_plan *plan)
{
	form_memory_release(&plan->memory);
	text_release(&plan->joined);
	text_release(&plan->converted);
}

bool import_plan_wants(const struct import_plan *plan, const struct csv *row)
{
	for (size_t i = 0; i < plan->n_only; i++) {
		const struct import_only *only = plan->only[i].only;
		struct csv_cell cell = import_cell(row, plan->only[i].column);
		size_t begin = only->begins_with != NULL ? strlen(only->begins_with) : 0;

		if (only->equals != NULL ? !is_cell(&cell, only->equals) :
			only->begins_with != NULL ? cell.len < begin ||
			memcmp(cell.text, only->begins_with, begin) != 0 : cell.len == 0) {
			return false;
		}
	}
	return true;
}

/* The part of a cell that a piece takes; *fault: why it cannot. */
static void join_cell(struct import_plan *plan, struct plan_field *f, const struct plan_piece *p,
	struct csv_cell cell)
{
	const char *fault = NULL;
	size_t prefix, rest;

	fault = import_cell_error(cell.text, cell.len);
	if (fault != NULL) {
		cell.len = 0;
	} else if (p->what == TEMPLATE_DIGITS) {
		fault = template_add_digits(&plan->joined, p->digits, p->close, cell.text, cell.len);
		cell.len = 0;
	} else if (p->what != TEMPLATE_CELL) {
		fault = p->what == TEMPLATE_REST ? template_rest_fault(cell.text, cell.len) : NULL;
		template_split(cell.text, cell.len, &prefix, &rest);
		cell = p->what == TEMPLATE_PREFIX ? (struct csv_cell){ cell.text, prefix } :
			(struct csv_cell){ cell.text + rest, cell.len - rest };
	}
	if (fault != NULL && f->fault == NULL) {
		f->fault = fault;
		f->fault_column = p->column;
	}
	template_add(&plan->joined, f->begin, cell.text, cell.len);
}

static void add_up(struct import_plan *plan, struct plan_field *f, const struct csv *row)
{
	struct sum sum = { .member = f->member, .decimal = plan->reading.decimal };

	for (size_t i = 0; i < f->n_pieces && f->fault == NULL; i++) {
		const struct plan_piece *p = &f->pieces[i];
		bool is_cell = p->what == TEMPLATE_LENGTH;
		struct csv_cell cell = is_cell ? import_cell(row, p->column) : (struct csv_cell){ "", 0 };

		if (is_cell) {
			f->fault = sum_add(&sum, p->length_unit, i == f->last_column, cell.text, cell.len);
			f->fault_column = p->column;
		}
	}
	sum_write(&sum, &plan->joined);
}

static bool is_empty(const struct plan_field *f, const struct csv *row)
{
	bool any = false;

	for (size_t i = 0; i < f->n_pieces && !any; i++) {
		any = f->pieces[i].what != TEMPLATE_TEXT &&
			import_cell(row, f->pieces[i].column).len > 0;
	}
	return !any;
}

static void join(struct import_plan *plan, struct plan_field *f, const struct csv *row)
{
	bool has_any = !is_empty(f, row);

	f->begin = plan->joined.len;
	f->fault = NULL;
	if (f->is_sum) {
		add_up(plan, f, row);
	}
	for (size_t i = 0; i < f->n_pieces && !f->is_sum; i++) {
		const struct plan_piece *p = &f->pieces[i];

		if (p->what == TEMPLATE_TEXT) {
			template_add(&plan->joined, f->begin, p->text, p->len);
		} else {
			join_cell(plan, f, p, import_cell(row, p->column));
		}
	}
	template_trim(&plan->joined, f->begin);
	f->len = has_any ? plan->joined.len - f->begin : 0;
	f->fault = has_any ? f->fault : NULL;
}

static void apply_words(struct plan_field *f)
{
	const struct import_word *word = NULL;

	for (size_t i = 0; i < f->n_words; i++) {
		const char *from = f->words[i]->from;

		if (from == NULL ? f->len == 0 :
			strlen(from) == f->len && memcmp(from, f->value, f->len) == 0) {
			word = f->words[i];
			break;
		}
		if (from != NULL && strcmp(from, "*") == 0 && f->len > 0) {
			word = f->words[i];
		}
	}
	if (word != NULL) {
		f->value = word->to != NULL ? word->to : "";
		f->len = strlen(f->value);
	}
}

void import_plan_gather(struct import_plan *plan, const struct csv *row)
{
	text_clear(&plan->joined);
	for (size_t i = 0; i < plan->n_fields; i++) {
		struct plan_field *f = &plan->field[i];

		if (f->is_joined) {
			join(plan, f, row);
		} else if (f->pieces[0].what == TEMPLATE_TEXT) {
			f->value = f->pieces[0].text;
			f->len = f->pieces[0].len;
		} else {
			struct csv_cell cell = import_cell(row, f->pieces[0].column);

			f->value = cell.text;
			f->len = cell.len;
			f->fault = NULL;
		}
	}
	/* the text may have moved while it grew */
	for (size_t i = 0; i < plan->n_fields; i++) {
		struct plan_field *f = &plan->field[i];

		if (f->is_joined) {
			f->value = f->len > 0 ? plan->joined.data + f->begin : "";
		}
		f->raw = f->is_joined && f->fault != NULL ? import_cell(row, f->fault_column) :
			(struct csv_cell){ f->value, f->len };
		apply_words(f);
		if (f->fault == NULL && import_plan_is_of_file(f)) {
			f->fault = import_cell_error(f->value, f->len);
		}
	}
}

static void *part_of(const struct import_part *part, void *row)
{
	return (char *)row + part->offset;
}

/* An optional part that is there has all that it requires. */
static void check_parts(const struct import_plan *plan, void *row, struct problems *why)
{
	const struct import_kind *kind = plan->kind;

	for (size_t p = 0; p < 3 && kind->parts[p].form != NULL; p++) {
		const struct import_part *part = &kind->parts[p];
		bool is_absent = true;

		for (const struct member *m = part->form->members; part->optional && m->name != NULL; m++) {
			is_absent = is_absent && form_is_absent(m, part_of(part, row));
		}
		for (const struct member *m = part->form->members; !is_absent && m->name != NULL; m++) {
			const struct member *known = form_member(&plan->fields.form, m->name);
			struct member one[2] = { known != NULL ? *known : *m, { 0 } };

			one[0].required = known != NULL && m->required;
			form_check_required(&(struct form){ "", one, 0 }, row, why);
		}
	}
}

/* One value into its member; of a number its unit is heeded. */
static bool read_value(struct import_plan *plan, const struct plan_field *f, void *to,
	struct form_memory *memory, struct problems *why)
{
	struct csv_cell value = { f->value, f->len };
	struct problem one = { 0 };

	if (f->fault != NULL) {
		return problems_add(why, PROBLEM_VALUE, f->member->name, "The cell \"%.*s\" %s.",
			(int)utf8_fit(f->raw.text, f->raw.len, 40), f->raw.text, f->fault);
	}
	if (f->has_unit && f->len > 0) {
		text_clear(&plan->converted);
		if (!unit_convert(f->member, f->unit, f->value, f->len, plan->reading.decimal,
			&plan->converted, &one)) {
			return act_refuse(why, &one, f->member->name);
		}
		if (plan->converted.failed) {
			return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		value = (struct csv_cell){ plan->converted.data, plan->converted.len };
	}
	return form_from_cell(f->member, value.text, value.len, &plan->reading, to, memory, &one) ||
		problems_take(why, &one);
}

bool import_plan_read(struct import_plan *plan, const struct csv *row, void *to,
	struct form_memory *memory, struct problems *why)
{
	size_t before = why->count;

	memset(to, 0, plan->kind->size);
	for (size_t p = 0; p < 3 && plan->kind->parts[p].form != NULL; p++) {
		form_clear(plan->kind->parts[p].form, part_of(&plan->kind->parts[p], to));
	}
	import_plan_gather(plan, row);
	if (plan->joined.failed) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; i < plan->n_fields; i++) {
		read_value(plan, &plan->field[i], to, memory, why);
	}
	form_check_required(&plan->fields.form, to, why);
	check_parts(plan, to, why);
	return why->count == before;
}

const struct plan_field *import_plan_field(const struct import_plan *plan, const char *name)
{
	const char *dot = strrchr(name, '.');

	name = dot != NULL ? dot + 1 : name;
	if (plan->kind->what == IMPORT_FAILURES) { /* of the repair that came with the failure */
		name = strcmp(name, "day") == 0 ? "made_good_day" : strcmp(name, "how") == 0 ?
			"made_good_how" : name;
	}
	for (size_t i = 0; i < plan->n_fields; i++) {
		if (strcmp(plan->field[i].member->name, name) == 0) {
			return &plan->field[i];
		}
	}
	return NULL;
}
