#include "service/import/propose.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "service/import/propose_columns.h"

/* Whole lines from the start of the file, so that no character is cut. */
static size_t sample_length(const char *bytes, size_t len)
{
	size_t end = CSV_SAMPLE_BYTES;

	if (len <= CSV_SAMPLE_BYTES) {
		return len;
	}
	while (end > 0 && bytes[end - 1] != '\n' && bytes[end - 1] != '\r') {
		end--;
	}
	return end > 0 ? end : len;
}

/* Keeps the cells of a row, as many as there are columns. */
static void keep_cells(const struct csv *csv, size_t n_columns, struct csv_cell *to)
{
	for (size_t i = 0; i < n_columns; i++) {
		to[i] = import_cell(csv, i);
	}
}

struct reading {
	struct csv csv;
	struct import_shape shape;
};

static bool read_rows(struct import_proposal *p, struct reading *from)
{
	static const size_t rows = IMPORT_PREVIEW_ROWS;
	struct problem one = { 0 };
	enum csv_result got;

	p->n_columns = p->headings->count;
	p->preview = form_alloc(&p->memory, (rows + 1) * p->n_columns * sizeof *p->preview);
	if (p->preview == NULL) {
		return false;
	}
	keep_cells(&from->csv, p->n_columns, p->preview);
	while (p->n_rows < rows && (got = import_shape_next(&from->shape, &one)) != CSV_END) {
		if (got == CSV_ROW && !csv_is_blank(&from->csv) &&
			!import_shape_is_beyond(&from->shape)) {
			keep_cells(&from->csv, p->n_columns, p->preview + ++p->n_rows * p->n_columns);
		}
	}
	return true;
}

static bool read_sample(struct import_proposal *p, const char *bytes, size_t len,
	struct problems *why)
{
	struct problem one = { 0 };
	struct reading *from = form_alloc(&p->memory, sizeof *from);

	p->headings = form_alloc(&p->memory, sizeof *p->headings);
	if (from == NULL || p->headings == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (!charset_to_utf8((enum charset)p->settings.encoding, bytes, sample_length(bytes, len),
		&p->sample, &one)) {
		return act_refuse(why, &one, "encoding");
	}
	csv_start(&from->csv, p->sample.data, p->sample.len, import_separator(&p->settings));
	return import_shape_begin(&from->shape, &p->settings, &from->csv, p->headings, why) &&
		(read_rows(p, from) || problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory."));
}

/* What the first row is; then the preview begins below it, or with it as a row of data. */
static void propose_first_row(struct import_proposal *p)
{
	const struct csv_cell *odd = import_heading_like_data(p->preview, p->n_columns,
		p->preview + p->n_columns, p->n_rows);

	if (p->settings.first_row < 0 && odd != NULL) {
		text_fit(p->first_row_why, sizeof p->first_row_why,
			"\"%.*s\" looks like data: does the first row name the columns?",
			(int)utf8_fit(odd->text, odd->len, 60), odd->text);
	} else if (p->settings.first_row < 0) {
		p->settings.first_row = FIRST_ROW_HEADINGS;
		text_fit(p->first_row_why, sizeof p->first_row_why,
			"nothing in the first row looks like what stands below it");
	}
	p->preview += p->n_columns;
}

/* The first column of dates decides, a sure one before a guess. */
static void propose_day_order(struct import_proposal *p, const struct csv_proposal *look)
{
	const struct csv_column_look *best = NULL;
	size_t at = 0;

	for (size_t i = 0; i < look->n_columns && i < p->n_columns; i++) {
		const struct csv_column_look *c = &look->column[i];

		if (c->is_date && (best == NULL || c->sure > best->sure)) {
			best = c;
			at = i;
		}
	}
	if (best != NULL) {
		char why[CSV_WHY_SIZE];

		/* what could be either way round is chosen by who knows */
		p->settings.day_order = best->sure != SURE_GUESS ? (int)best->format :
			p->settings.day_order;
		csv_column_why(best, why);
		text_fit(p->day_order_why, sizeof p->day_order_why, "%.*s: %s",
			(int)utf8_fit(p->headings->name[at].text, p->headings->name[at].len, 60),
			p->headings->name[at].text, why);
	}
}

static void propose_writing(struct import_proposal *p, const struct csv_proposal *look)
{
	static const char characters[] = ",;\t|";

	if (p->settings.encoding < 0) {
		p->settings.encoding = look->charset.value;
		snprintf(p->encoding_why, CSV_WHY_SIZE, "%s", look->charset.why);
	}
	if (p->settings.separator < 0) {
		const char *at = strchr(characters, look->separator.value);

		p->settings.separator = at != NULL ? (int)(at - characters) : SEPARATOR_COMMA;
		snprintf(p->separator_why, CSV_WHY_SIZE, "%s", look->separator.why);
	}
	if (p->settings.decimal < 0) {
		p->settings.decimal = look->decimal.value == ',' ? DECIMAL_COMMA : DECIMAL_POINT;
		snprintf(p->decimal_why, CSV_WHY_SIZE, "%s", look->decimal.why);
	}
}

static void propose_shape(struct import_proposal *p)
{
	p->settings.begins_row = p->shape.begins_row > 0 ? p->shape.begins_row :
		p->settings.begins_row;
	p->settings.ends_row = p->shape.ends_row > 0 ? p->shape.ends_row : p->settings.ends_row;
}

static void tell_opened(struct import_proposal *p, const struct import_settings *given)
{
	size_t sheets = 0;

	for (size_t i = 0; i < p->opened.sheets.count; i++) {
		sheets += !p->opened.sheets.sheet[i].is_hidden;
	}
	if (p->opened.is_utf16) {
		text_fit(p->encoding_why, sizeof p->encoding_why, "the file is UTF-16, which is read as it "
			"is");
	}
	if (sheets > 1 && given->sheet == NULL) {
		text_fit(p->sheet_why, sizeof p->sheet_why, "the first of %zu sheets", sheets);
	}
}

bool import_propose(const struct import_kind *kind, const struct import_settings *given,
	const char *bytes, size_t len, struct import_proposal *to, struct problems *why)
{
	struct csv_proposal *look;
	struct import_fields fields;
	struct problem one = { 0 };

	*to = (struct import_proposal){ .kind = kind, .settings = *given };
	look = form_alloc(&to->memory, sizeof *look);
	if (look == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (!import_open(bytes, len, true, &to->settings, &to->opened, why)) {
		return false;
	}
	bytes = to->opened.bytes;
	len = to->opened.len;
	if (!import_propose_shape(bytes, len, &to->settings, &to->shape, why)) {
		return false;
	}
	if (!csv_propose(bytes + to->shape.offset, len - to->shape.offset, look, &one)) {
		return problems_take(why, &one);
	}
	charset_propose(bytes, len, &look->charset);
	propose_writing(to, look);
	propose_shape(to);
	tell_opened(to, given);
	if (!read_sample(to, bytes, len, why)) {
		return false;
	}
	propose_first_row(to);
	if (given->day_order < 0) {
		propose_day_order(to, look);
	}
	import_kind_fields(kind, &fields);
	return (given->columns.count > 0 || import_propose_columns(to, &fields, why)) &&
		import_propose_units(to, &fields, why);
}

void import_proposal_release(struct import_proposal *p)
{
	form_memory_release(&p->memory);
	import_opened_release(&p->opened);
	text_release(&p->sample);
}

void import_proposal_missing(const struct import_proposal *p, struct problems *missing)
{
	import_settings_check(p->kind, &p->settings, missing);
	if (p->settings.first_row < 0) {
		problems_add(missing, PROBLEM_VALUE, "first_row",
			"Say whether the first row names the columns, or is data.");
	}
}
