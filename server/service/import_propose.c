#include "service/import_propose.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "service/import_plan.h"

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

static bool read_sample(struct import_proposal *p, const char *bytes, size_t len,
	struct problems *why)
{
	struct problem one = { 0 };
	static const size_t rows = IMPORT_PREVIEW_ROWS;
	struct csv *csv = form_alloc(&p->memory, sizeof *csv);

	if (csv == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (!charset_to_utf8((enum charset)p->settings.encoding, bytes, sample_length(bytes, len),
		&p->sample, &one)) {
		return act_refuse(why, &one, "encoding");
	}
	csv_start(csv, p->sample.data, p->sample.len, import_separator(&p->settings));
	if (csv_next(csv, &one) != CSV_ROW) {
		return problems_add(why, PROBLEM_MALFORMED, NULL, "The first row cannot be read: %s",
			one.detail);
	}
	p->n_columns = csv->n_cells;
	p->preview = form_alloc(&p->memory, (rows + 1) * p->n_columns * sizeof *p->preview);
	p->headings = form_alloc(&p->memory, sizeof *p->headings);
	if (p->headings == NULL || p->preview == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	keep_cells(csv, p->n_columns, p->preview);
	for (enum csv_result got; p->n_rows < rows && (got = csv_next(csv, &one)) != CSV_END;) {
		if (got == CSV_ROW && !csv_is_blank(csv)) {
			keep_cells(csv, p->n_columns, p->preview + ++p->n_rows * p->n_columns);
		}
	}
	return true;
}

/* What the first row is; then the preview begins below the headings. */
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
	import_headings_number(p->headings, p->n_columns);
	if (p->settings.first_row == FIRST_ROW_DATA) {
		p->n_rows++;
		return;
	}
	for (size_t i = 0; i < p->n_columns; i++) {
		p->headings->name[i] = p->preview[i].len > 0 ? p->preview[i] : p->headings->name[i];
	}
	p->preview += p->n_columns;
}

/* Equal but for case and all that is no letter or digit. */
static bool is_alike(const char *a, size_t a_len, const char *b, size_t b_len)
{
	size_t i = 0, k = 0;

	for (;;) {
		while (i < a_len && !isalnum((unsigned char)a[i]) && (unsigned char)a[i] < 0x80) {
			i++;
		}
		while (k < b_len && !isalnum((unsigned char)b[k]) && (unsigned char)b[k] < 0x80) {
			k++;
		}
		if (i == a_len || k == b_len) {
			return i == a_len && k == b_len;
		}
		if (tolower((unsigned char)a[i++]) != tolower((unsigned char)b[k++])) {
			return false;
		}
	}
}

/* The only column whose heading is the field's name or title; SIZE_MAX when there is none. */
static size_t column_like(const struct import_proposal *p, const struct member *m)
{
	size_t found = SIZE_MAX;

	for (size_t i = 0; i < p->n_columns; i++) {
		const struct csv_cell *h = &p->headings->name[i];

		if (h->len > 0 && (is_alike(h->text, h->len, m->name, strlen(m->name)) ||
			is_alike(h->text, h->len, m->title, strlen(m->title)))) {
			if (found != SIZE_MAX) {
				return SIZE_MAX;
			}
			found = i;
		}
	}
	return found;
}

static bool propose_columns(struct import_proposal *p, struct problems *why)
{
	struct import_fields fields;
	struct import_column *columns = form_alloc(&p->memory, IMPORT_FIELDS * sizeof *columns);
	size_t n = 0;

	if (columns == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	import_kind_fields(p->kind, &fields);
	for (const struct member *m = fields.form.members; m->name != NULL; m++) {
		size_t column = column_like(p, m);
		char *heading;

		if (column == SIZE_MAX) {
			continue;
		}
		heading = form_alloc(&p->memory, p->headings->name[column].len + 1);
		if (heading == NULL) {
			return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		memcpy(heading, p->headings->name[column].text, p->headings->name[column].len);
		columns[n++] = (struct import_column){ .field = m->name, .column = heading };
	}
	p->settings.columns = (struct form_list){ columns, n };
	return true;
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

		p->settings.day_order = (int)best->format;
		csv_column_why(best, why);
		text_fit(p->day_order_why, sizeof p->day_order_why, "%.*s: %s",
			(int)utf8_fit(p->headings->name[at].text, p->headings->name[at].len, 60), p->headings->name[at].text, why);
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

bool import_propose(const struct import_kind *kind, const struct import_settings *given,
	const char *bytes, size_t len, struct import_proposal *to, struct problems *why)
{
	struct csv_proposal *look;
	struct problem one = { 0 };

	*to = (struct import_proposal){ .kind = kind, .settings = *given };
	look = form_alloc(&to->memory, sizeof *look);
	if (look == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (!csv_propose(bytes, len, look, &one)) {
		return problems_take(why, &one);
	}
	propose_writing(to, look);
	if (!read_sample(to, bytes, len, why)) {
		return false;
	}
	propose_first_row(to);
	if (given->day_order < 0) {
		propose_day_order(to, look);
	}
	return given->columns.count > 0 || propose_columns(to, why);
}

void import_proposal_release(struct import_proposal *p)
{
	form_memory_release(&p->memory);
	text_release(&p->sample);
}

static void write_cells(const struct csv_cell *cells, size_t n, struct text *to)
{
	text_add_char(to, '[');
	for (size_t i = 0; i < n; i++) {
		text_add_z(to, i > 0 ? "," : "");
		text_add_json(to, cells[i].text, cells[i].len);
	}
	text_add_char(to, ']');
}

static void write_reasons(const struct import_proposal *p, struct text *to)
{
	const struct { const char *name, *why; } reasons[] = {
		{ "separator", p->separator_why }, { "encoding", p->encoding_why },
		{ "decimal", p->decimal_why }, { "day_order", p->day_order_why },
		{ "first_row", p->first_row_why } };
	const char *joint = "";

	for (size_t i = 0; i < sizeof reasons / sizeof reasons[0]; i++) {
		if (reasons[i].why[0] != '\0') {
			text_addf(to, "%s\"%s\":", joint, reasons[i].name);
			text_add_json(to, reasons[i].why, strlen(reasons[i].why));
			joint = ",";
		}
	}
}

void import_proposal_missing(const struct import_proposal *p, struct problems *missing)
{
	import_settings_check(p->kind, &p->settings, missing);
	if (p->settings.first_row < 0) {
		problems_add(missing, PROBLEM_VALUE, "first_row",
			"Say whether the first row names the columns, or is data.");
	}
}

void import_proposal_write(const struct import_proposal *p, struct text *to)
{
	struct problems missing = { 0 };

	text_add_z(to, "{\"settings\":");
	form_write(&import_settings_form, &p->settings, to);
	text_add_z(to, ",\"reasons\":{");
	write_reasons(p, to);
	text_add_z(to, "},\"columns\":");
	write_cells(p->headings->name, p->n_columns, to);
	text_add_z(to, ",\"preview\":[");
	for (size_t i = 0; i < p->n_rows; i++) {
		text_add_z(to, i > 0 ? "," : "");
		write_cells(p->preview + i * p->n_columns, p->n_columns, to);
	}
	text_add_z(to, "],\"missing\":[");
	import_proposal_missing(p, &missing);
	for (size_t i = 0; i < missing.count && i < PROBLEMS_SHOWN; i++) {
		text_addf(to, "%s{\"field\":\"%s\",\"detail\":", i > 0 ? "," : "", missing.item[i].field);
		text_add_json(to, missing.item[i].detail, strlen(missing.item[i].detail));
		text_add_char(to, '}');
	}
	text_add_z(to, "]}");
}
