#include "service/import/shape.h"

#include <string.h>

#include "service/import/plan.h"

static bool take_columns(struct import_shape *s, const struct form_list *names, const char *field,
	size_t to[CSV_CELLS], size_t *count, struct problems *why)
{
	const struct import_left_out *all = names->items;
	bool ok = true;

	for (size_t i = 0; i < names->count && i < CSV_CELLS; i++) {
		to[*count] = import_find_column(s->headings, all[i].column, field, why);
		ok = to[*count] != SIZE_MAX && ok;
		*count += 1;
	}
	return ok;
}

static size_t first_row(const struct import_settings *settings)
{
	return settings->begins_row > 0 ? (size_t)settings->begins_row : 1;
}

/* An empty line is no row that is read, so the first one after the row that was named is taken. */
static bool read_first(struct import_shape *s, struct problems *why)
{
	size_t begins = first_row(s->settings);
	struct problem one = { 0 };
	enum csv_result got = CSV_END;

	do {
		got = csv_next(s->csv, &one);
	} while (got != CSV_END && s->csv->row < begins);
	if (got == CSV_END) {
		return problems_add(why, begins > 1 ? PROBLEM_VALUE : PROBLEM_MALFORMED,
			begins > 1 ? "begins_row" : NULL, begins > 1 ? "The file has no row %zu." :
			"The file is empty.%.0zu", begins);
	}
	if (got == CSV_WRONG) {
		return problems_take(why, &one);
	}
	s->csv->n_columns = s->csv->n_cells;
	return true;
}

bool import_shape_begin(struct import_shape *s, const struct import_settings *settings,
	struct csv *csv, struct import_headings *headings, struct problems *why)
{
	bool is_data = settings->first_row == FIRST_ROW_DATA;

	memset(s, 0, sizeof *s);
	s->settings = settings;
	s->csv = csv;
	s->headings = headings;
	if (!read_first(s, why)) {
		return false;
	}
	s->n_columns = csv->n_cells;
	s->is_read = is_data;
	import_headings_take(headings, csv, is_data);
	if (!take_columns(s, &settings->as_above, "as_above", s->above, &s->n_above, why) ||
		!take_columns(s, &settings->in_rows, "in_rows", s->part, &s->n_parts, why)) {
		return false;
	}
	for (size_t i = 0; i < s->n_above; i++) {
		s->last[i] = (struct csv_cell){ "", 0 };
	}
	s->next_part = s->n_parts;
	s->any_part = true;
	if (s->n_parts > 0) {
		if (headings->count + 2 > CSV_CELLS) {
			return problems_add(why, PROBLEM_VALUE, "in_rows",
				"The file has too many columns for this: %zu.", headings->count);
		}
		headings->name[headings->count++] =
			(struct csv_cell){ SHAPE_HEADING, strlen(SHAPE_HEADING) };
		headings->name[headings->count++] = (struct csv_cell){ SHAPE_VALUE, strlen(SHAPE_VALUE) };
	}
	return true;
}

static void fill_up(struct import_shape *s)
{
	struct csv *csv = s->csv;

	for (size_t i = 0; i < s->n_above; i++) {
		size_t column = s->above[i];
		struct csv_cell cell = import_cell(csv, column);

		if (column < csv->n_cells && cell.len == 0) {
			csv->cell[column] = s->last[i];
		} else if (column < csv->n_cells) {
			s->last[i] = csv->cell[column];
		}
	}
}

static void make_part(struct import_shape *s, size_t part)
{
	struct csv *csv = s->csv;
	struct csv_cell none = { "", 0 };
	bool is_one = part < s->n_parts;

	for (size_t i = csv->n_cells; i < s->n_columns; i++) {
		csv->cell[i] = none;
	}
	csv->cell[s->n_columns] = is_one ? s->headings->name[s->part[part]] : none;
	csv->cell[s->n_columns + 1] = is_one ? csv->cell[s->part[part]] : none;
	csv->n_cells = csv->n_columns = s->n_columns + 2;
	csv->part = part;
}

/* The next part of the row under way that has a value; of a row without any, one without it. */
static bool next_part(struct import_shape *s)
{
	while (s->next_part < s->n_parts) {
		size_t part = s->next_part++;

		if (import_cell(s->csv, s->part[part]).len > 0) {
			s->any_part = true;
			make_part(s, part);
			return true;
		}
	}
	if (s->n_parts > 0 && !s->any_part) {
		s->any_part = true;
		make_part(s, s->n_parts);
		return true;
	}
	return false;
}

enum csv_result import_shape_next(struct import_shape *s, struct problem *why)
{
	struct csv *csv = s->csv;
	enum csv_result got = CSV_ROW;

	if (next_part(s)) {
		return CSV_ROW;
	}
	csv->n_columns = s->n_columns;
	if (!s->is_read) {
		got = csv_next(csv, why);
	}
	s->is_read = false;
	csv->part = 0;
	if (got != CSV_ROW || csv_is_blank(csv) || import_shape_is_beyond(s)) {
		return got;
	}
	if (!csv_check_columns(csv, why)) {
		return CSV_WRONG;
	}
	fill_up(s);
	s->next_part = 0;
	s->any_part = s->n_parts == 0;
	next_part(s);
	return CSV_ROW;
}

bool import_shape_is_beyond(const struct import_shape *s)
{
	return s->settings->ends_row > 0 && s->csv->row > (size_t)s->settings->ends_row;
}

void import_shape_whole(struct import_shape *s)
{
	s->headings = NULL;
	s->n_parts = s->next_part = 0;
	s->any_part = true;
}
