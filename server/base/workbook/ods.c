/*
 * .ods (OpenDocument 1.2, part 1): all sheets stand in one part; a cell has its value as an
 * attribute beside what it shows, and equal cells and rows are written once with a count.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/csv.h"
#include "base/workbook/formats.h"

enum { CELL_TEXT = 1 << 20, TYPE = 16, VALUE = 64 };

/* A cell of the row under way, as text in row_text. */
struct kept {
	size_t column, count;
	size_t begin, len;
};

struct ods {
	struct workbook_sheets *sheets;   /* listed, or NULL: read */
	struct sheet *to;
	size_t wanted;                    /* the sheet's number */
	size_t n_tables;
	size_t tables;                    /* open ones, each in the other */
	bool in_sheet;

	size_t row, repeat_row;
	size_t column, repeat;
	bool in_cell;
	size_t paragraphs, in_paragraph, in_note;
	char type[TYPE], value[VALUE];
	bool is_error, has_formula, has_type, is_covered;
	struct text shown;
	struct text row_text;
	struct kept *cells;
	size_t n_cells, room;
};

static size_t count_of(const char **attributes, const char *name)
{
	const char *text = xml_attribute_whole(attributes, name);
	unsigned long n = text != NULL ? strtoul(text, NULL, 10) : 1;

	return n == 0 ? 1 : n > WORKBOOK_ROWS ? WORKBOOK_ROWS + 1 : n;
}

static const char *or_nothing(const char *text)
{
	return text != NULL ? text : "";
}

static bool begin_table(struct ods *o, const char **attributes, struct problem *why)
{
	const char *name = or_nothing(xml_attribute_whole(attributes, "table:name"));

	if (o->tables++ > 0) {
		return true;                  /* within a cell */
	}
	o->in_sheet = o->n_tables++ == o->wanted;
	o->row = 0;
	/* what was read from another file is kept as a sheet that nobody sees */
	return o->sheets == NULL ||
		workbook_add_sheet(o->sheets, name, strncmp(name, "'file:", 6) == 0, why);
}

static void begin_row(struct ods *o, const char **attributes)
{
	o->repeat_row = count_of(attributes, "table:number-rows-repeated");
	o->column = 0;
	o->n_cells = 0;
	text_clear(&o->row_text);
}

static void begin_cell(struct ods *o, bool is_covered, const char **attributes)
{
	static const char *const values[] = { "office:value", "office:date-value", "office:time-value",
		"office:boolean-value", NULL };
	const char *type = xml_attribute_whole(attributes, "office:value-type");

	o->in_cell = true;
	o->is_covered = is_covered;
	o->repeat = count_of(attributes, "table:number-columns-repeated");
	o->paragraphs = o->in_paragraph = o->in_note = 0;
	o->has_type = type != NULL;
	snprintf(o->type, sizeof o->type, "%s", or_nothing(type));
	o->value[0] = '\0';
	for (size_t i = 0; values[i] != NULL; i++) {
		const char *value = xml_attribute_whole(attributes, values[i]);

		if (value != NULL) {
			snprintf(o->value, sizeof o->value, "%s", value);
		}
	}
	o->is_error = strcmp(or_nothing(xml_attribute_whole(attributes, "calcext:value-type")),
		"error") == 0;
	o->has_formula = xml_attribute_whole(attributes, "table:formula") != NULL;
	text_clear(&o->shown);
}

static void add_spaces(struct ods *o, const char **attributes)
{
	size_t n = count_of(attributes, "text:c");

	for (size_t i = 0; i < n && i < 1000; i++) {
		text_add_char(&o->shown, ' ');
	}
}

static bool begin(void *app, const char *name, const char **attributes, struct problem *why)
{
	struct ods *o = app;

	if (strcmp(name, "table:table") == 0) {
		return begin_table(o, attributes, why);
	}
	if (!o->in_sheet || o->tables != 1) {
		return true;
	}
	if (strcmp(name, "table:table-row") == 0) {
		begin_row(o, attributes);
	} else if (strcmp(name, "table:table-cell") == 0 && !o->in_cell) {
		begin_cell(o, false, attributes);
	} else if (strcmp(name, "table:covered-table-cell") == 0 && !o->in_cell) {
		begin_cell(o, true, attributes);
	} else if (strncmp(name, "office:annotation", 17) == 0 || strncmp(name, "draw:", 5) == 0) {
		o->in_note++;
	} else if (o->in_cell && o->in_note == 0) {
		if (strcmp(name, "text:p") == 0 || strcmp(name, "text:h") == 0) {
			text_add_z(&o->shown, o->paragraphs++ > 0 ? "\n" : "");
			o->in_paragraph++;
		} else if (strcmp(name, "text:s") == 0) {
			add_spaces(o, attributes);
		} else if (strcmp(name, "text:tab") == 0 || strcmp(name, "text:line-break") == 0) {
			text_add_z(&o->shown, name[5] == 't' ? "\t" : "\n");
		}
	}
	return true;
}

static bool add_text(void *app, const char *bytes, size_t len, struct problem *why)
{
	struct ods *o = app;

	if (o->in_cell && o->in_paragraph > 0 && o->in_note == 0) {
		text_add(&o->shown, bytes, len);
	}
	return o->shown.len <= CELL_TEXT || problem_set(why, PROBLEM_TOO_LARGE, NULL, "The cell in row "
		"%zu, column %zu of the sheet has more than %d characters.", o->row + 1, o->column + 1,
		CELL_TEXT);
}

/* A number that is shown with zeros before it, as plates have them, is an identity: "00123". */
static bool is_filled_up(const struct ods *o)
{
	return o->shown.len > 1 && o->shown.data[0] == '0' &&
		strspn(o->shown.data, "0123456789") == o->shown.len;
}

/* "PT13H45M30S" */
static bool time_of(const char *text, char to[SHEET_CELL])
{
	long hours, minutes, seconds;

	if (sscanf(text, "PT%ldH%ldM%ld", &hours, &minutes, &seconds) != 3 || hours < 0 ||
		hours > 1000000 || minutes < 0 || minutes > 59 || seconds < 0 || seconds > 59) {
		return false;
	}
	sheet_time((int64_t)hours * 3600 + minutes * 60 + seconds, to);
	return true;
}

/* What stands in the cell; NULL: nothing. */
static const char *text_of(const struct ods *o, char to[SHEET_CELL])
{
	const char *shown = o->shown.len > 0 ? o->shown.data : NULL;
	const struct workbook_writing *writing = o->to->writing;
	char *end;
	double number;

	if (o->is_error || o->value[0] == '\0') {
		return shown != NULL || o->has_type || !o->has_formula ? shown : WORKBOOK_NOT_COMPUTED;
	}
	if (strcmp(o->type, "date") == 0) {
		return sheet_iso_day(writing, o->value, to) ? to : o->value;
	}
	if (strcmp(o->type, "time") == 0) {
		return time_of(o->value, to) ? to : o->value;
	}
	if (strcmp(o->type, "boolean") == 0) {
		return strcmp(o->value, "true") == 0 ? "yes" : "no";
	}
	number = strtod(o->value, &end);
	if (*end != '\0' || strcmp(o->type, "string") == 0) {
		return shown;
	}
	if (is_filled_up(o) && strtod(shown, NULL) == number) {
		return shown;
	}
	sheet_number(writing, number, 0, to);
	return to;
}

static bool end_cell(struct ods *o, struct problem *why)
{
	char number[SHEET_CELL];
	const char *text = !o->is_covered ? text_of(o, number) : NULL;

	o->in_cell = false;
	if (text != NULL && text[0] != '\0') {
		if (o->column + o->repeat > WORKBOOK_COLUMNS || (o->repeat > CSV_CELLS)) {
			return problem_set(why, PROBLEM_TOO_LARGE, NULL, "Row %zu of the sheet has more than "
				"%d cells: delete what stands there by mistake.", o->row + 1, CSV_CELLS);
		}
		if (!array_room((void **)&o->cells, &o->room, o->n_cells + 1, sizeof *o->cells, why)) {
			return false;
		}
		o->cells[o->n_cells++] = (struct kept){ o->column, o->repeat, o->row_text.len,
			strlen(text) };
		text_add_z(&o->row_text, text);
	}
	o->column += o->repeat;
	return !o->row_text.failed && !o->shown.failed ? true :
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static bool end_row(struct ods *o, struct problem *why)
{
	bool ok = true;

	for (size_t r = 0; ok && o->n_cells > 0 && r < o->repeat_row; r++) {
		for (size_t i = 0; ok && i < o->n_cells; i++) {
			const struct kept *k = &o->cells[i];

			for (size_t n = 0; ok && n < k->count; n++) {
				ok = sheet_put(o->to, o->row + r, k->column + n, o->row_text.data + k->begin,
					k->len, why);
			}
		}
	}
	o->row += o->repeat_row;
	return ok;
}

static bool end(void *app, const char *name, struct problem *why)
{
	struct ods *o = app;

	if (strcmp(name, "table:table") == 0) {
		o->in_sheet = --o->tables > 0 && o->in_sheet;
	} else if (!o->in_sheet || o->tables != 1) {
		return true;
	} else if (strcmp(name, "table:table-row") == 0) {
		return end_row(o, why);
	} else if (strncmp(name, "office:annotation", 17) == 0 || strncmp(name, "draw:", 5) == 0) {
		o->in_note -= o->in_note > 0;
	} else if (strcmp(name, "text:p") == 0 || strcmp(name, "text:h") == 0) {
		o->in_paragraph -= o->in_paragraph > 0 && o->in_note == 0;
	} else if (o->in_cell && (strcmp(name, "table:table-cell") == 0 ||
		strcmp(name, "table:covered-table-cell") == 0)) {
		return end_cell(o, why);
	}
	return true;
}

static bool list(struct archive *archive, struct workbook_sheets *sheets, struct problem *why)
{
	struct ods o = { .sheets = sheets, .wanted = SIZE_MAX };
	const struct xml_reader reader = { begin, end, NULL, &o };

	return xml_read(archive, "content.xml", &reader, why);
}

static bool rows(struct archive *archive, size_t sheet, struct sheet *to, struct problem *why)
{
	struct ods o = { .to = to, .wanted = sheet };
	const struct xml_reader reader = { begin, end, add_text, &o };
	bool ok = xml_read(archive, "content.xml", &reader, why);

	text_release(&o.shown);
	text_release(&o.row_text);
	free(o.cells);
	return ok;
}

const struct workbook_format workbook_ods = { list, rows };
