#include "service/import/look.h"

#include <stdlib.h>
#include <string.h>

#include "base/decimal.h"
#include "base/utf8.h"
#include "service/import/shape.h"
#include "service/import/wrong.h"

/* A column has numbers when one of ten cells is one: the others say why there is none. */
enum { FIRST_ROWS = 20, NUMBERS_OF = 10 };

/* What an unused column holds, in the rows that are wanted. */
struct seen_column {
	bool is_used;
	size_t filled, figures;
	struct csv_cell example;
};

struct look {
	const struct import_settings *settings;
	struct csv csv;
	struct import_shape shape;
	struct import_headings headings;
	struct import_plan plan;
	struct seen_column column[CSV_CELLS];
	struct { size_t filled, plain; } place[IMPORT_FIELDS];   /* of the plan's fields */
	bool has_bare_places;             /* of which nobody said what the numbers are */
	struct problems *why;
};

bool import_has_figures(const struct import_kind *kind)
{
	return kind->what != IMPORT_LINES && kind->what != IMPORT_TRACKS;
}

/* A place from the file whose unit nobody stated. */
static bool is_bare_place(const struct plan_field *f)
{
	return import_is_place(f->member) && f->unit == NULL && import_plan_is_of_file(f);
}

static void note_used(struct look *look)
{
	for (size_t i = 0; i < look->plan.n_fields; i++) {
		const struct plan_field *f = &look->plan.field[i];

		for (size_t p = 0; p < f->n_pieces; p++) {
			if (f->pieces[p].what != TEMPLATE_TEXT) {
				look->column[f->pieces[p].column].is_used = true;
			}
		}
		look->has_bare_places = look->has_bare_places || is_bare_place(f);
	}
	for (size_t i = 0; i < look->plan.n_only; i++) {
		look->column[look->plan.only[i].column].is_used = true;
	}
	for (size_t i = 0; i < look->shape.n_parts; i++) {
		look->column[look->shape.part[i]].is_used = true;
	}
}

/* A number as any unit could have it; "12+345" and "5m 40ch" only a line writes so. */
static bool is_plain(const char *text, size_t len)
{
	double ignored;

	return decimal_read(text, len, '.', &ignored) || decimal_read(text, len, ',', &ignored);
}

static void look_at_places(struct look *look)
{
	import_plan_gather(&look->plan, &look->csv);
	for (size_t i = 0; i < look->plan.n_fields; i++) {
		const struct plan_field *f = &look->plan.field[i];

		if (is_bare_place(f)) {
			look->place[i].filled += f->len > 0;
			look->place[i].plain += is_plain(f->value, f->len);
		}
	}
}

static void ask_places(struct look *look)
{
	for (size_t i = 0; i < look->plan.n_fields; i++) {
		const struct plan_field *f = &look->plan.field[i];

		if (look->place[i].plain > 0 && look->place[i].plain * 2 >= look->place[i].filled) {
			problems_add(look->why, PROBLEM_VALUE, "columns", "The places in %.60s are plain "
				"numbers: state their unit (%s), as km or m, or line where the line writes them so.",
				f->shown, f->member->name);
		}
	}
}

static bool is_left_out(const struct import_settings *settings, const struct csv_cell *name)
{
	const struct import_left_out *all = settings->left_out.items;

	if (wrong_rows_added(name->text, name->len)) {
		return true;
	}
	for (size_t i = 0; i < settings->left_out.count; i++) {
		if (strlen(all[i].column) == name->len &&
			memcmp(all[i].column, name->text, name->len) == 0) {
			return true;
		}
	}
	return false;
}

/* Whether a row can bring a question at all. */
static bool has_questions(const struct look *look, const struct import_kind *kind)
{
	bool has = look->has_bare_places;

	for (size_t i = 0; import_has_figures(kind) && i < look->headings.count && !has; i++) {
		has = !look->column[i].is_used && !is_left_out(look->settings, &look->headings.name[i]);
	}
	return has;
}

static void look_at_row(struct look *look)
{
	if (csv_is_blank(&look->csv) || import_shape_is_beyond(&look->shape) ||
		!import_plan_wants(&look->plan, &look->csv)) {
		return;
	}
	if (look->has_bare_places) {
		look_at_places(look);
	}
	for (size_t i = 0; i < look->headings.count; i++) {
		struct seen_column *c = &look->column[i];
		struct csv_cell cell = import_cell(&look->csv, i);

		if (!c->is_used && cell.len > 0) {
			bool figures = import_cell_is_figures(&cell);

			c->filled++;
			c->example = figures && c->figures == 0 ? cell : c->example;
			c->figures += figures;
		}
	}
}

static void ask_left_out(struct look *look)
{
	for (size_t i = 0; i < look->headings.count; i++) {
		const struct seen_column *c = &look->column[i];
		const struct csv_cell *name = &look->headings.name[i];

		if (c->figures > 0 && c->figures * NUMBERS_OF >= c->filled &&
			!is_left_out(look->settings, name)) {
			problems_add(look->why, PROBLEM_VALUE, "left_out", "The column %.*s has numbers, as "
				"\"%.*s\", and nothing takes it: say what it is, or that it is left out.",
				(int)utf8_fit(name->text, name->len, 60), name->text,
				(int)utf8_fit(c->example.text, c->example.len, 40), c->example.text);
		}
	}
}

/* The first rows again from a copy, since the reader goes only forward. */
static bool ask_first_row(struct look *look, const struct text *utf8)
{
	struct text copy = { 0 };
	struct csv_cell *cells = NULL;
	struct csv *csv = malloc(sizeof *csv);
	const struct csv_cell *odd = NULL;
	struct problem one = { 0 };
	size_t n = 0, columns = 0;

	text_add(&copy, utf8->data, utf8->len < CSV_SAMPLE_BYTES ? utf8->len : CSV_SAMPLE_BYTES);
	if (csv != NULL && !copy.failed) {
		csv_start(csv, copy.data, copy.len, import_separator(look->settings));
		while (csv_next(csv, &one) == CSV_ROW &&
			(int64_t)csv->row < look->settings->begins_row) {
		}
		if (csv->n_cells > 0) {
			columns = csv->n_cells;
			cells = calloc((FIRST_ROWS + 1) * columns, sizeof *cells);
		}
		for (bool more = cells != NULL; more;
			more = n <= FIRST_ROWS && csv_next(csv, &one) == CSV_ROW) {
			for (size_t i = 0; i < columns; i++) {
				cells[n * columns + i] = import_cell(csv, i);
			}
			n++;
		}
		odd = n > 0 ? import_heading_like_data(cells, columns, cells + columns, n - 1) : NULL;
	}
	if (odd != NULL) {
		problems_add(look->why, PROBLEM_VALUE, "first_row", "The first row looks like data "
			"(\"%.*s\"): say whether it names the columns, or is the first row of data.",
			(int)utf8_fit(odd->text, odd->len, 40), odd->text);
	} else if (csv == NULL || copy.failed || (columns > 0 && cells == NULL)) {
		problems_add(look->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	free(cells);
	free(csv);
	text_release(&copy);
	return look->why->count == 0;
}

static bool look_through(struct look *look, const struct import_kind *kind, struct text *utf8)
{
	const struct import_settings *settings = look->settings;
	struct problem one = { 0 };
	enum csv_result got;

	if (settings->first_row < 0 && !ask_first_row(look, utf8)) {
		return false;
	}
	csv_start(&look->csv, utf8->data, utf8->len, import_separator(settings));
	if (!import_shape_begin(&look->shape, settings, &look->csv, &look->headings, look->why) ||
		!import_plan_make(&look->plan, kind, settings, &look->headings, look->why)) {
		return false;
	}
	note_used(look);
	if (!has_questions(look, kind)) {
		return true;
	}
	while ((got = import_shape_next(&look->shape, &one)) != CSV_END) {
		if (got == CSV_ROW) {
			look_at_row(look);
		}
	}
	if (import_has_figures(kind)) {
		ask_left_out(look);
	}
	ask_places(look);
	return look->why->count == 0;
}

bool import_look(const struct import_kind *kind, const struct import_settings *settings,
	const char *bytes, size_t len, struct problems *why)
{
	struct look *look = calloc(1, sizeof *look);
	struct text utf8 = { 0 };
	struct problem one = { 0 };
	bool ok;

	if (look == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	look->settings = settings;
	look->why = why;
	ok = (charset_to_utf8((enum charset)settings->encoding, bytes, len, &utf8, &one) ||
		problems_take(why, &one)) && look_through(look, kind, &utf8);
	import_plan_release(&look->plan);
	text_release(&utf8);
	free(look);
	return ok;
}
