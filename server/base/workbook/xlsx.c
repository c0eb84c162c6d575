/*
 * .xlsx (ECMA-376): which part is what stands in the parts of relations; texts that cells share
 * stand in one part, days are numbers with a format.
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/workbook/formats.h"
#include "base/workbook/styles.h"

enum { PATH = 512, CELL_TEXT = 1 << 20 };

/* Of one relation of the workbook's part. */
struct relation {
	char id[64];
	char part[PATH];
};

struct book {
	char part[PATH];              /* the workbook's own */
	char strings[PATH], styles[PATH];   /* "": there is none */
	struct relation *relations;   /* to sheets */
	size_t n_relations;
	struct workbook_sheets *sheets;
	char *ids;                    /* of the sheets, 64 bytes each, in their order */
	bool from_1904;
	bool is_root;                 /* the relations of the whole file are read */
};

/* "../x" and "./x" are not written by spreadsheets, and none is looked for. */
static void resolve(const char *base, const char *target, char to[PATH])
{
	const char *slash = strrchr(base, '/');
	int folder = target[0] == '/' || slash == NULL ? 0 : (int)(slash - base) + 1;

	snprintf(to, PATH, "%.*s%s", folder, base, target + (target[0] == '/'));
}

static bool ends_with(const char *text, const char *end)
{
	size_t len = strlen(text), n = strlen(end);

	return len >= n && strcmp(text + len - n, end) == 0;
}

static bool take_relation(void *app, const char *name, const char **attributes,
	struct problem *why)
{
	struct book *b = app;
	const char *id = xml_attribute(attributes, "Id"), *type = xml_attribute(attributes, "Type"),
		*target = xml_attribute(attributes, "Target"),
		*mode = xml_attribute(attributes, "TargetMode");
	struct relation *r;

	if (strcmp(xml_local(name), "Relationship") != 0 || id == NULL || type == NULL ||
		target == NULL || (mode != NULL && strcmp(mode, "External") == 0)) {
		return true;
	}
	if (b->is_root) {
		if (ends_with(type, "/officeDocument")) {
			resolve("", target, b->part);
		}
		return true;
	}
	if (ends_with(type, "/sharedStrings")) {
		resolve(b->part, target, b->strings);
	} else if (ends_with(type, "/styles")) {
		resolve(b->part, target, b->styles);
	} else if (ends_with(type, "/worksheet")) {
		if (b->n_relations == ARCHIVE_PARTS || !array_grow((void **)&b->relations, b->n_relations,
			sizeof *b->relations, NULL)) {
			return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		r = &b->relations[b->n_relations++];
		snprintf(r->id, sizeof r->id, "%s", id);
		resolve(b->part, target, r->part);
	}
	return true;
}

static bool take_sheet(void *app, const char *name, const char **attributes, struct problem *why)
{
	struct book *b = app;
	const char *local = xml_local(name), *id = xml_attribute(attributes, "id"),
		*title = xml_attribute(attributes, "name"), *state = xml_attribute(attributes, "state"),
		*from_1904 = xml_attribute(attributes, "date1904");
	char *ids;

	if (strcmp(local, "workbookPr") == 0) {
		b->from_1904 = from_1904 != NULL &&
			(strcmp(from_1904, "1") == 0 || strcmp(from_1904, "true") == 0);
	}
	if (strcmp(local, "sheet") != 0 || title == NULL || id == NULL) {
		return true;
	}
	if (!workbook_add_sheet(b->sheets, title, state != NULL && strcmp(state, "visible") != 0,
		why)) {
		return false;
	}
	ids = realloc(b->ids, b->sheets->count * sizeof b->relations->id);
	if (ids == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	b->ids = ids;
	snprintf(ids + (b->sheets->count - 1) * sizeof b->relations->id, sizeof b->relations->id, "%s",
		id);
	return true;
}

static void release_book(struct book *b)
{
	free(b->relations);
	free(b->ids);
}

static bool read_book(struct archive *archive, struct book *b, struct problem *why)
{
	const struct xml_reader relations = { take_relation, NULL, NULL, b };
	const struct xml_reader sheets = { take_sheet, NULL, NULL, b };
	char path[2 * PATH + 16];
	const char *slash;
	int folder;

	b->is_root = true;
	if (!xml_read(archive, "_rels/.rels", &relations, why)) {
		return false;
	}
	b->is_root = false;
	if (ends_with(b->part, ".bin")) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The file is a binary workbook (.xlsb): "
			"open it in the spreadsheet and save it as .xlsx or .ods.");
	}
	if (b->part[0] == '\0') {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The file is packed (ZIP) and no "
			"workbook: give the workbook itself, .xlsx or .ods, or a CSV file.");
	}
	slash = strrchr(b->part, '/');
	folder = slash != NULL ? (int)(slash - b->part) + 1 : 0;
	snprintf(path, sizeof path, "%.*s_rels/%s.rels", folder, b->part, b->part + folder);
	return xml_read(archive, path, &relations, why) && xml_read(archive, b->part, &sheets, why);
}

static bool list(struct archive *archive, struct workbook_sheets *sheets, struct problem *why)
{
	struct book b = { .sheets = sheets };
	bool ok = read_book(archive, &b, why);

	release_book(&b);
	return ok;
}

/* The texts that cells share, one behind the other. */
struct strings {
	struct text all;
	size_t *begin;                /* owned */
	size_t count;
	bool in_item, in_text, in_phonetic;
};

static bool begin_string(void *app, const char *name, const char **attributes, struct problem *why)
{
	struct strings *s = app;
	const char *local = xml_local(name);

	(void)attributes;
	if (strcmp(local, "si") == 0) {
		if (!array_grow((void **)&s->begin, s->count, sizeof *s->begin, NULL)) {
			return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		s->begin[s->count++] = s->all.len;
		s->in_item = true;
	}
	s->in_phonetic = s->in_phonetic || strcmp(local, "rPh") == 0;
	s->in_text = s->in_item && !s->in_phonetic && strcmp(local, "t") == 0;
	return true;
}

static bool end_string(void *app, const char *name, struct problem *why)
{
	struct strings *s = app;
	const char *local = xml_local(name);

	(void)why;
	s->in_text = false;
	s->in_item = s->in_item && strcmp(local, "si") != 0;
	s->in_phonetic = s->in_phonetic && strcmp(local, "rPh") != 0;
	return true;
}

static bool add_string(void *app, const char *bytes, size_t len, struct problem *why)
{
	struct strings *s = app;

	if (!s->in_text) {
		return true;
	}
	text_add(&s->all, bytes, len);
	if (s->all.len > WORKBOOK_TEXT_BYTES) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL, "The workbook has more than %zu MB of "
			"text: save the sheet alone.", WORKBOOK_TEXT_BYTES >> 20);
	}
	return !s->all.failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static bool read_strings(struct archive *archive, const char *part, struct strings *s,
	struct problem *why)
{
	const struct xml_reader reader = { begin_string, end_string, add_string, s };

	return part[0] == '\0' || xml_read(archive, part, &reader, why);
}

/* The cell under way. */
struct cells {
	struct sheet *to;
	const struct strings *strings;
	const struct styles *styles;
	bool from_1904;
	bool in_data, in_cell, in_text, in_phonetic, has_formula;
	size_t row, column, next_row, next_column;
	char type[16];
	size_t style;
	struct text value;
};

/* "BC12" as its column, from 0; SIZE_MAX: it is none. */
static size_t column_of(const char *reference)
{
	size_t column = 0, letters = 0;

	for (; *reference >= 'A' && *reference <= 'Z' && letters < 4; reference++) {
		column = column * 26 + (size_t)(*reference - 'A') + 1;
		letters++;
	}
	return letters > 0 && letters < 4 && *reference >= '0' && *reference <= '9' ? column - 1 :
		SIZE_MAX;
}

static bool refuse_place(struct problem *why, const char *what)
{
	return problem_set(why, PROBLEM_MALFORMED, NULL, "A cell of the sheet stands nowhere (%.20s): "
		"save the workbook again in the spreadsheet.", what);
}

static bool begin_row(struct cells *c, const char **attributes, struct problem *why)
{
	const char *r = xml_attribute(attributes, "r");
	unsigned long row = r != NULL ? strtoul(r, NULL, 10) : c->next_row + 1;

	if (row == 0 || row > WORKBOOK_ROWS || row <= c->next_row) {
		return refuse_place(why, r != NULL ? r : "row");
	}
	c->row = row - 1;
	c->next_row = row;
	c->next_column = 0;
	return true;
}

static bool begin_cell(struct cells *c, const char **attributes, struct problem *why)
{
	const char *r = xml_attribute(attributes, "r"), *t = xml_attribute(attributes, "t"),
		*s = xml_attribute(attributes, "s");

	c->column = r != NULL ? column_of(r) : c->next_column;
	if (c->column >= WORKBOOK_COLUMNS || c->next_row == 0) {
		return refuse_place(why, r != NULL ? r : "column");
	}
	c->next_column = c->column + 1;
	snprintf(c->type, sizeof c->type, "%s", t != NULL ? t : "n");
	c->style = s != NULL ? strtoul(s, NULL, 10) : 0;
	c->in_cell = true;
	c->has_formula = false;
	text_clear(&c->value);
	return true;
}

static bool begin(void *app, const char *name, const char **attributes, struct problem *why)
{
	struct cells *c = app;
	const char *local = xml_local(name);

	if (strcmp(local, "sheetData") == 0) {
		c->in_data = true;
	} else if (c->in_data && strcmp(local, "row") == 0) {
		return begin_row(c, attributes, why);
	} else if (c->in_data && strcmp(local, "c") == 0) {
		return begin_cell(c, attributes, why);
	}
	c->has_formula = c->has_formula || (c->in_cell && strcmp(local, "f") == 0);
	c->in_phonetic = c->in_phonetic || strcmp(local, "rPh") == 0;
	c->in_text = c->in_cell && !c->in_phonetic &&
		(strcmp(local, "v") == 0 || strcmp(local, "t") == 0);
	return true;
}

static bool add_text(void *app, const char *bytes, size_t len, struct problem *why)
{
	struct cells *c = app;

	if (c->in_text) {
		text_add(&c->value, bytes, len);
	}
	return c->value.len <= CELL_TEXT || problem_set(why, PROBLEM_TOO_LARGE, NULL, "The cell in row "
		"%zu, column %zu of the sheet has more than %d characters.", c->row + 1, c->column + 1,
		CELL_TEXT);
}

static bool put(struct cells *c, const char *text, struct problem *why)
{
	return sheet_put(c->to, c->row, c->column, text, strlen(text), why);
}

/* 1900 is a leap year to spreadsheets, so that the days before its March have another zero; the
 * 29th of February does not exist, and stays the number 60. */
static bool day_of_serial(const struct cells *c, double serial, int32_t *day)
{
	enum { ZERO_1900 = -25569, ZERO_1904 = -24107, LAST = 2958465 };
	double whole = floor(serial);

	if (whole < 0 || whole > LAST || (!c->from_1904 && (whole == 0 || whole == 60))) {
		return false;
	}
	*day = (int32_t)whole + (c->from_1904 ? ZERO_1904 : whole < 60 ? ZERO_1900 + 1 : ZERO_1900);
	return true;
}

static bool put_number(struct cells *c, struct problem *why)
{
	const struct style style = c->style < c->styles->count ? c->styles->style[c->style] :
		(struct style){ STYLE_NUMBER, 0 };
	char *end, to[SHEET_CELL];
	double value = strtod(c->value.data, &end);
	int64_t seconds;
	int32_t day;

	if (end == c->value.data || *end != '\0' || !isfinite(value)) {
		return put(c, c->value.data, why);
	}
	seconds = llround((value - floor(value)) * 86400);
	if (style.what == STYLE_ELAPSED && value >= 0 && value < 1e6) {
		sheet_time(llround(value * 86400), to);
	} else if (style.what == STYLE_TIME && value >= 0 && value < 1) {
		sheet_time(seconds, to);
	} else if ((style.what == STYLE_DAY || style.what == STYLE_TIME) &&
		day_of_serial(c, seconds == 86400 ? value + 0.5 : value, &day)) {
		sheet_day(c->to->writing, day, seconds, to);
	} else {
		sheet_number(c->to->writing, value, style.digits, to);
	}
	return put(c, to, why);
}

static bool put_shared(struct cells *c, struct problem *why)
{
	char *end;
	unsigned long n = strtoul(c->value.data, &end, 10);
	size_t from, to;

	if (*end != '\0' || n >= c->strings->count) {
		return refuse_place(why, c->value.data);
	}
	from = c->strings->begin[n];
	to = n + 1 < c->strings->count ? c->strings->begin[n + 1] : c->strings->all.len;
	return from == to || sheet_put(c->to, c->row, c->column, c->strings->all.data + from, to - from,
		why);
}

static bool put_cell(struct cells *c, struct problem *why)
{
	char to[SHEET_CELL];

	if (c->value.failed) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (c->value.len == 0) {
		return !c->has_formula || strcmp(c->type, "str") == 0 ||
			put(c, WORKBOOK_NOT_COMPUTED, why);
	}
	if (strcmp(c->type, "s") == 0) {
		return put_shared(c, why);
	}
	if (strcmp(c->type, "n") == 0) {
		return put_number(c, why);
	}
	if (strcmp(c->type, "b") == 0) {
		return put(c, strcmp(c->value.data, "1") == 0 ? "yes" : "no", why);
	}
	if (strcmp(c->type, "d") == 0 && sheet_iso_day(c->to->writing, c->value.data, to)) {
		return put(c, to, why);
	}
	return sheet_put(c->to, c->row, c->column, c->value.data, c->value.len, why);
}

static bool end(void *app, const char *name, struct problem *why)
{
	struct cells *c = app;
	const char *local = xml_local(name);

	c->in_text = false;
	c->in_phonetic = c->in_phonetic && strcmp(local, "rPh") != 0;
	c->in_data = c->in_data && strcmp(local, "sheetData") != 0;
	if (c->in_cell && strcmp(local, "c") == 0) {
		c->in_cell = false;
		return put_cell(c, why);
	}
	return true;
}

static bool read_sheet(struct archive *archive, struct book *b, const char *part, struct sheet *to,
	struct problem *why)
{
	struct strings strings = { 0 };
	struct styles styles = { 0 };
	struct cells cells = { .to = to, .strings = &strings, .styles = &styles,
		.from_1904 = b->from_1904 };
	const struct xml_reader reader = { begin, end, add_text, &cells };
	bool ok = (b->styles[0] == '\0' || styles_read(archive, b->styles, &styles, why)) &&
		read_strings(archive, b->strings, &strings, why) && xml_read(archive, part, &reader, why);

	styles_release(&styles);
	text_release(&strings.all);
	text_release(&cells.value);
	free(strings.begin);
	return ok;
}

static bool rows(struct archive *archive, size_t sheet, struct sheet *to, struct problem *why)
{
	struct workbook_sheets sheets = { 0 };
	struct book b = { .sheets = &sheets };
	const char *part = NULL;
	bool ok = read_book(archive, &b, why);

	for (size_t i = 0; ok && sheet < sheets.count && i < b.n_relations; i++) {
		if (strcmp(b.relations[i].id, b.ids + sheet * sizeof b.relations->id) == 0) {
			part = b.relations[i].part;
		}
	}
	ok = ok && (part != NULL || problem_set(why, PROBLEM_MALFORMED, NULL, "This sheet of the "
		"workbook has no cells (a chart, or a dialog): choose another."));
	ok = ok && read_sheet(archive, &b, part, to, why);
	release_book(&b);
	workbook_sheets_release(&sheets);
	return ok;
}

const struct workbook_format workbook_xlsx = { list, rows };
