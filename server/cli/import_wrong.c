#include "cli/import_wrong.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/charset.h"
#include "base/csv.h"
#include "base/decimal.h"
#include "base/guard.h"

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

static bool grow(struct wrong_rows *w)
{
	size_t room = w->count > 0 ? w->count * 2 : 1;
	struct wrong_row *more;

	if ((w->count & (w->count - 1)) != 0) {
		return true;
	}
	more = realloc(w->rows, room * sizeof *more);
	w->rows = more != NULL ? more : w->rows;
	return more != NULL;
}

void wrong_rows_take(void *app, const struct import_wrong *one)
{
	struct wrong_rows *w = app;
	const char *const texts[] = { one->column, one->value, one->reason };
	size_t begin = w->cells.len;

	if (!grow(w)) {
		w->cells.failed = true;
		return;
	}
	text_add_char(&w->cells, w->separator);
	text_add_integer(&w->cells, (int64_t)one->row);
	for (size_t i = 0; i < 3; i++) {
		text_add_char(&w->cells, w->separator);
		add_cell(&w->cells, w->separator, texts[i], strlen(texts[i]));
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

static bool flush(struct text *line, FILE *file)
{
	bool ok = !line->failed && fwrite(line->data, 1, line->len, file) == line->len;

	text_clear(line);
	return ok;
}

/* Goes through the file again, and writes the rows whose numbers were noted. */
static bool write_rows(struct wrong_rows *w, struct text *utf8, FILE *file)
{
	static const char *const added[] = { "wrong: row", "wrong: column", "wrong: value",
		"wrong: why" };
	struct csv *csv = malloc(sizeof *csv);
	struct text line = { 0 };
	struct problem ignored = { 0 };
	size_t n_columns, next = 0;
	bool ok = csv != NULL;

	if (ok) {
		csv_start(csv, utf8->data, utf8->len, w->separator);
		csv_next(csv, &ignored);
		n_columns = csv->n_cells;
		add_row(&line, csv, n_columns, w->separator);
		for (size_t i = 0; i < 4; i++) {
			text_add_char(&line, w->separator);
			text_add_z(&line, added[i]);
		}
		text_add_char(&line, '\n');
		ok = flush(&line, file);
		while (ok && next < w->count && csv_next(csv, &ignored) != CSV_END) {
			if (csv->row == w->rows[next].row) {
				add_row(&line, csv, n_columns, w->separator);
				text_add(&line, w->cells.data + w->rows[next].begin, w->rows[next].len);
				ok = flush(&line, file);
				next++;
			}
		}
	}
	text_release(&line);
	free(csv);
	return ok;
}

bool wrong_rows_write(struct wrong_rows *w, const struct import_request *request, const char *path)
{
	struct text utf8 = { 0 };
	struct problem why = { 0 };
	FILE *file = fopen(path, "w");
	bool ok = file != NULL && !w->cells.failed &&
		charset_to_utf8((enum charset)request->settings->encoding, request->bytes, request->len,
			&utf8, &why);

	if (ok) {
		qsort(w->rows, w->count, sizeof *w->rows, by_row);
		ok = write_rows(w, &utf8, file);
	}
	if (file != NULL) {
		ok = fclose(file) == 0 && ok;
	}
	if (!ok) {
		fprintf(stderr, "bondbook: %s could not be written: %s\n", path, strerror(errno));
	}
	text_release(&utf8);
	return ok;
}

void wrong_rows_release(struct wrong_rows *w)
{
	free(w->rows);
	text_release(&w->cells);
}
