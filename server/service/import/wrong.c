#include "service/import/wrong.h"

#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/charset.h"
#include "base/csv.h"
#include "base/decimal.h"
#include "base/guard.h"
#include "service/import/shape.h"

/* A cell that nothing reads as a formula; numbers stay numbers. */
static void add_cell(struct text *to, char separator, const char *text, size_t len)
{
	double number;
	bool guarded = guard_needed(text, len) && !decimal_read(text, len, '.', &number) &&
		!decimal_read(text, len, ',', &number);
	bool quoted = guarded;

	for (size_t i = 0; i < len; i++) {
		quoted = quoted || text[i] == separator || strchr("\"\r\n", text[i]) != NULL;
	}
	text_add_z(to, quoted ? "\"" : "");
	text_add_z(to, guarded ? "'" : "");
	for (size_t i = 0; i < len; i++) {
		text_add_z(to, text[i] == '"' && quoted ? "\"" : "");
		text_add_char(to, text[i]);
	}
	text_add_z(to, quoted ? "\"" : "");
}

static const char *const added[] = { "wrong: row", "wrong: column", "wrong: value", "wrong: why" };

bool wrong_rows_added(const char *heading, size_t len)
{
	for (size_t i = 0; i < sizeof added / sizeof added[0]; i++) {
		if (strlen(added[i]) == len && memcmp(added[i], heading, len) == 0) {
			return true;
		}
	}
	return false;
}

void wrong_rows_start(struct wrong_rows *w, const struct import_settings *settings)
{
	*w = (struct wrong_rows){ .settings = settings, .separator = import_separator(settings),
		.is_without_headings = settings->first_row == FIRST_ROW_DATA };
}

static void add_cells(struct wrong_rows *w, const struct import_wrong *one)
{
	const char *const texts[] = { one->column, one->value, one->reason };

	text_add_char(&w->cells, w->separator);
	text_add_integer(&w->cells, (int64_t)one->row);
	for (size_t i = 0; i < 3; i++) {
		text_add_char(&w->cells, w->separator);
		add_cell(&w->cells, w->separator, texts[i], strlen(texts[i]));
	}
}

static void add_sentence(struct wrong_rows *w, const struct import_wrong *one)
{
	struct text all = { 0 };

	text_addf(&all, "wrong in row %zu, %s: %s", one->row,
		one->column[0] != '\0' ? one->column : "all of it", one->reason);
	text_add_char(&w->cells, w->separator);
	add_cell(&w->cells, w->separator, all.failed ? "" : all.data, all.failed ? 0 : all.len);
	w->cells.failed = w->cells.failed || all.failed;
	text_release(&all);
}

void wrong_rows_take(void *app, const struct import_wrong *one)
{
	struct wrong_rows *w = app;
	size_t begin = w->cells.len;

	if (!array_grow((void **)&w->rows, w->count, sizeof *w->rows, NULL)) {
		w->cells.failed = true;
		return;
	}
	if (w->is_without_headings) {
		add_sentence(w, one);
	} else {
		add_cells(w, one);
	}
	text_add_char(&w->cells, '\n');
	w->rows[w->count++] = (struct wrong_row){ one->row, begin, w->cells.len - begin };
}

static int by_row(const void *a, const void *b)
{
	const struct wrong_row *x = a, *y = b;

	return x->row < y->row ? -1 : x->row > y->row;
}

/* The row's own cells, as many as the heading has. */
static void add_row(struct text *to, const struct csv *csv, size_t n_columns, char separator)
{
	for (size_t i = 0; i < n_columns; i++) {
		if (i > 0) {
			text_add_char(to, separator);
		}
		if (i < csv->n_cells) {
			size_t guard = guard_length(csv->cell[i].text, csv->cell[i].len);

			/* what was guarded is guarded again, once */
			add_cell(to, separator, csv->cell[i].text + guard, csv->cell[i].len - guard);
		}
	}
}

struct writing {
	wrong_rows_put *put;
	void *app;
	struct text line;
};

static bool flush(struct writing *to)
{
	bool ok = !to->line.failed && to->put(to->app, to->line.data, to->line.len);

	text_clear(&to->line);
	return ok;
}

static bool write_heading(const struct wrong_rows *w, const struct csv *csv, struct writing *to)
{
	add_row(&to->line, csv, csv->n_cells, w->separator);
	for (size_t i = 0; i < sizeof added / sizeof added[0]; i++) {
		text_add_char(&to->line, w->separator);
		text_add_z(&to->line, added[i]);
	}
	text_add_char(&to->line, '\n');
	return flush(to);
}

struct reading {
	struct csv csv;
	struct import_shape shape;
	struct import_headings headings;
};

/* Goes through the file again, and writes the rows whose numbers were noted; the table begins in
 * the same row as in the file, so that the same settings read it. */
static bool write_rows(const struct wrong_rows *w, const struct text *utf8, struct reading *from,
	struct writing *to)
{
	struct problem ignored = { 0 };
	struct problems why = { 0 };
	struct csv *csv = &from->csv;
	size_t n_columns, next = 0;
	bool ok;

	csv_start(csv, utf8->data, utf8->len, w->separator);
	ok = import_shape_begin(&from->shape, w->settings, csv, &from->headings, &why);
	n_columns = csv->n_cells;
	import_shape_whole(&from->shape);
	for (int64_t above = 1; above < w->settings->begins_row; above++) {
		text_add_char(&to->line, '\n');
	}
	ok = ok && (w->is_without_headings || write_heading(w, csv, to));
	while (ok && next < w->count && import_shape_next(&from->shape, &ignored) != CSV_END) {
		if (csv->row == w->rows[next].row) {
			add_row(&to->line, csv, n_columns, w->separator);
			text_add(&to->line, w->cells.data + w->rows[next].begin, w->rows[next].len);
			ok = flush(to);
		}
		while (next < w->count && csv->row >= w->rows[next].row) {
			next++;   /* a row of several records is wrong once */
		}
	}
	return ok;
}

bool wrong_rows_write(struct wrong_rows *w, const struct import_request *request,
	wrong_rows_put *put, void *app)
{
	struct writing to = { .put = put, .app = app };
	struct reading *from = calloc(1, sizeof *from);
	struct text utf8 = { 0 };
	struct problem why = { 0 };
	bool ok = from != NULL && !w->cells.failed &&
		charset_to_utf8((enum charset)request->settings->encoding, request->bytes, request->len,
			&utf8, &why);

	if (ok) {
		qsort(w->rows, w->count, sizeof *w->rows, by_row);
		ok = write_rows(w, &utf8, from, &to);
	}
	free(from);
	text_release(&utf8);
	text_release(&to.line);
	return ok;
}

void wrong_rows_release(struct wrong_rows *w)
{
	free(w->rows);
	text_release(&w->cells);
}
