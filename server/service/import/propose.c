#include "service/import/propose.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "service/import/plan.h"
#include "service/import/unit.h"

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

/* The heading without the unit in brackets at its end. */
static struct csv_cell without_unit(const struct csv_cell *heading, const struct member *m)
{
	size_t at = heading->len;

	while (at > 0 && heading->text[at - 1] != '(' && heading->text[at - 1] != '[') {
		at--;
	}
	return at > 1 && unit_in_heading(m, heading->text + at - 1, heading->len - at + 1) != NULL ?
		(struct csv_cell){ heading->text, at - 1 } : *heading;
}

/* The only column whose heading is the field's name or title; SIZE_MAX when there is none. */
static size_t column_like(const struct import_proposal *p, const struct member *m)
{
	size_t found = SIZE_MAX;

	for (size_t i = 0; i < p->n_columns; i++) {
		const struct csv_cell h = without_unit(&p->headings->name[i], m);

		if (h.len > 0 && (import_alike(h.text, h.len, m->name, strlen(m->name)) ||
			import_alike(h.text, h.len, m->title, strlen(m->title)))) {
			if (found != SIZE_MAX) {
				return SIZE_MAX;
			}
			found = i;
		}
	}
	return found;
}

/* What the cells of a column say of its unit. */
struct cell_units {
	size_t filled, numbers, named;
	const struct unit *first;
	bool is_mixed;
};

static struct cell_units look_at_cells(const struct import_proposal *p, const struct member *m,
	size_t column)
{
	struct cell_units seen = { 0 };

	for (size_t r = 0; r < p->n_rows; r++) {
		const struct csv_cell *cell = &p->preview[r * p->n_columns + column];
		size_t number, rest;
		const struct unit *u = unit_in_cell(m, cell->text, cell->len, &number, &rest);

		seen.filled += cell->len > 0;
		seen.numbers += number > 0 && (rest == cell->len || u != NULL);
		seen.named += u != NULL;
		seen.is_mixed = seen.is_mixed || (u != NULL && seen.first != NULL && u != seen.first);
		seen.first = seen.first != NULL ? seen.first : u;
	}
	return seen;
}

/* The code of the unit that a column seems to be in, and why; NULL: nothing says it. */
static const char *unit_like(const struct import_proposal *p, const struct member *m, size_t column,
	char why[CSV_WHY_SIZE])
{
	const struct csv_cell *heading = &p->headings->name[column];
	const struct unit *said = unit_in_heading(m, heading->text, heading->len);
	struct cell_units seen = look_at_cells(p, m, column);

	if (import_is_place(m) && seen.numbers * 2 < seen.filled) {
		text_fit(why, CSV_WHY_SIZE, "its cells are chainages, no plain numbers");
		return UNIT_LINE;
	}
	if (seen.named > 0 && (seen.is_mixed || seen.named < seen.numbers)) {
		text_fit(why, CSV_WHY_SIZE, "%zu of %zu cells name their unit", seen.named, seen.numbers);
		return seen.named == seen.numbers ? UNIT_CELL : NULL;
	}
	if (seen.named > 0 && said != NULL && said != seen.first) {
		text_fit(why, CSV_WHY_SIZE, "the heading says %s, and the cells say %s", said->title,
			seen.first->title);
		return NULL;
	}
	said = said != NULL ? said : seen.first;
	if (said != NULL) {
		text_fit(why, CSV_WHY_SIZE, "%s %s", seen.named > 0 ? "its cells say" : "its heading says",
			said->title);
		return said->code;
	}
	text_fit(why, CSV_WHY_SIZE, "nothing in the file says it");
	return NULL;
}

static bool is_taken(const struct import_proposal *p, size_t column)
{
	const struct import_column *columns = p->settings.columns.items;
	const struct csv_cell *h = &p->headings->name[column];

	for (size_t i = 0; i < p->settings.columns.count; i++) {
		if (columns[i].column != NULL && strlen(columns[i].column) == h->len &&
			memcmp(columns[i].column, h->text, h->len) == 0) {
			return true;
		}
	}
	return false;
}

/* The only free column of numbers with a unit of the member's, which no other of its quantities can
 * have been meant for. */
static size_t column_of_unit(const struct import_proposal *p, const struct member *m)
{
	size_t found = SIZE_MAX;

	for (size_t i = 0; i < p->n_columns; i++) {
		struct cell_units seen = look_at_cells(p, m, i);
		const struct csv_cell *h = &p->headings->name[i];

		if (!is_taken(p, i) && seen.numbers > 0 && seen.numbers * 2 >= seen.filled &&
			(seen.named > 0 || unit_in_heading(m, h->text, h->len) != NULL)) {
			if (found != SIZE_MAX) {
				return SIZE_MAX;
			}
			found = i;
		}
	}
	return found;
}

static bool take_column(struct import_proposal *p, const struct member *m, size_t column,
	struct problems *why)
{
	const struct csv_cell *h = &p->headings->name[column];
	struct import_column *columns = p->settings.columns.items;
	char *heading = form_alloc(&p->memory, h->len + 1);

	if (heading == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	memcpy(heading, h->text, h->len);
	columns[p->settings.columns.count++] = (struct import_column){ .field = m->name,
		.column = heading };
	return true;
}

static bool propose_columns(struct import_proposal *p, const struct import_fields *fields,
	struct problems *why)
{
	static const char *const by_unit[] = { "shown_uohm", "temp_c" };
	struct import_column *columns = form_alloc(&p->memory, IMPORT_FIELDS * sizeof *columns);
	bool ok = columns != NULL || problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	p->settings.columns = (struct form_list){ columns, 0 };
	for (const struct member *m = fields->form.members; ok && m->name != NULL; m++) {
		size_t column = column_like(p, m);

		ok = column == SIZE_MAX || take_column(p, m, column, why);
	}
	for (size_t i = 0; ok && i < 2; i++) {
		const struct member *m = form_member(&fields->form, by_unit[i]);
		size_t column = m != NULL && import_settings_column(&p->settings, m->name) == NULL ?
			column_of_unit(p, m) : SIZE_MAX;

		ok = column == SIZE_MAX || take_column(p, m, column, why);
	}
	return ok;
}

static size_t column_named(const struct import_proposal *p, const char *name)
{
	for (size_t i = 0; name != NULL && i < p->n_columns; i++) {
		const struct csv_cell *h = &p->headings->name[i];

		if (strlen(name) == h->len && memcmp(name, h->text, h->len) == 0) {
			return i;
		}
	}
	return SIZE_MAX;
}

/* Units for the columns that have none yet; what was given stays. */
static bool propose_units(struct import_proposal *p, const struct import_fields *fields,
	struct problems *why)
{
	size_t count = p->settings.columns.count;
	struct import_column *columns = form_alloc(&p->memory, (count + 1) * sizeof *columns);

	if (columns == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (count > 0) {
		memcpy(columns, p->settings.columns.items, count * sizeof *columns);
	}
	for (size_t i = 0; i < count; i++) {
		const struct member *m = form_member(&fields->form, columns[i].field);
		size_t column = column_named(p, columns[i].column);
		char ignored[CSV_WHY_SIZE];

		if (columns[i].unit == NULL && m != NULL && units_of(m) != NULL && column != SIZE_MAX) {
			columns[i].unit = unit_like(p, m, column, ignored);
		}
	}
	p->settings.columns.items = columns;
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
	if (!csv_propose(bytes, len, look, &one)) {
		return problems_take(why, &one);
	}
	propose_writing(to, look);
	tell_opened(to, given);
	if (!read_sample(to, bytes, len, why)) {
		return false;
	}
	propose_first_row(to);
	if (given->day_order < 0) {
		propose_day_order(to, look);
	}
	import_kind_fields(kind, &fields);
	return (given->columns.count > 0 || propose_columns(to, &fields, why)) &&
		propose_units(to, &fields, why);
}

void import_proposal_release(struct import_proposal *p)
{
	form_memory_release(&p->memory);
	import_opened_release(&p->opened);
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
		{ "sheet", p->sheet_why }, { "separator", p->separator_why }, { "encoding", p->encoding_why },
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

/* What a column seems to be in, for each unit that a field may have. */
static void write_column_units(const struct import_proposal *p, const struct import_fields *fields,
	size_t column, struct text *to)
{
	const char *joint = "{";

	for (const struct member *m = fields->form.members; m->name != NULL; m++) {
		bool is_first = units_of(m) != NULL;
		const char *code;
		char why[CSV_WHY_SIZE];

		for (const struct member *before = fields->form.members; is_first && before < m; before++) {
			is_first = strcmp(unit_family(before), unit_family(m)) != 0;
		}
		if (is_first) {
			code = unit_like(p, m, column, why);
			text_addf(to, "%s\"%s\":{\"unit\":", joint, unit_family(m));
			text_addf(to, code != NULL ? "\"%s\"" : "null%.0s", code != NULL ? code : "");
			text_add_z(to, ",\"why\":");
			text_add_json(to, why, strlen(why));
			text_add_char(to, '}');
			joint = ",";
		}
	}
	text_add_z(to, joint[0] == '{' ? "{}" : "}");
}

static void write_sheets(const struct import_proposal *p, struct text *to)
{
	const char *joint = ",\"sheets\":[";

	for (size_t i = 0; i < p->opened.sheets.count; i++) {
		const struct workbook_sheet *one = &p->opened.sheets.sheet[i];

		if (!one->is_hidden) {
			text_add_z(to, joint);
			text_add_json(to, one->name, strlen(one->name));
			joint = ",";
		}
	}
	text_add_z(to, joint[1] != '\0' ? "" : "]");
}

static void write_units(const struct import_proposal *p, struct text *to)
{
	struct import_fields fields;

	import_kind_fields(p->kind, &fields);
	text_add_z(to, ",\"units\":[");
	for (size_t i = 0; i < p->n_columns; i++) {
		text_add_z(to, i > 0 ? "," : "");
		write_column_units(p, &fields, i, to);
	}
	text_add_char(to, ']');
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
	text_add_char(to, '}');
	write_sheets(p, to);
	text_add_z(to, ",\"columns\":");
	write_cells(p->headings->name, p->n_columns, to);
	text_add_z(to, ",\"preview\":[");
	for (size_t i = 0; i < p->n_rows; i++) {
		text_add_z(to, i > 0 ? "," : "");
		write_cells(p->preview + i * p->n_columns, p->n_columns, to);
	}
	text_add_char(to, ']');
	write_units(p, to);
	text_add_z(to, ",\"missing\":[");
	import_proposal_missing(p, &missing);
	for (size_t i = 0; i < missing.count && i < PROBLEMS_SHOWN; i++) {
		text_addf(to, "%s{\"field\":\"%s\",\"detail\":", i > 0 ? "," : "", missing.item[i].field);
		text_add_json(to, missing.item[i].detail, strlen(missing.item[i].detail));
		text_add_char(to, '}');
	}
	text_add_z(to, "]}");
}
