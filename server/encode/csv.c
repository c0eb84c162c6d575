/* Rows as CSV: RFC 4180, UTF-8, a heading row of the columns' names. */
#include <string.h>

#include "base/guard.h"
#include "encode/parts.h"

static bool needs_quotes(const char *text, size_t len)
{
	for (size_t i = 0; i < len; i++) {
		if (text[i] == ',' || text[i] == '"' || text[i] == '\r' || text[i] == '\n') {
			return true;
		}
	}
	/* some readers drop bare white space at either end */
	return len > 0 && (text[0] == ' ' || text[0] == '\t' || text[len - 1] == ' ' ||
		text[len - 1] == '\t');
}

static void add_text(const char *text, size_t len, struct text *to)
{
	bool guard = guard_needed(text, len);
	const char *quote;

	if (!needs_quotes(text, len)) {
		text_add(to, "'", guard ? 1 : 0);
		text_add(to, text, len);
		return;
	}
	text_add(to, "\"'", guard ? 2 : 1);
	while ((quote = memchr(text, '"', len)) != NULL) {
		size_t before = (size_t)(quote - text) + 1;

		text_add(to, text, before);
		text_add_char(to, '"');
		text += before;
		len -= before;
	}
	text_add(to, text, len);
	text_add_char(to, '"');
}

static void add_row(const struct rows *rows, struct text *to)
{
	for (size_t i = 0; i < rows->table->n_columns; i++) {
		const struct column *column = &rows->table->columns[i];
		const struct cell *cell = &rows->row[i];

		if (i > 0) {
			text_add_char(to, ',');
		}
		if (cell_is_empty(column, cell)) {
			continue;
		}
		if (column->type == CELL_TEXT) {
			add_text(cell->text, cell->len, to);
		} else {
			cell_add(column, cell, to);
		}
	}
	if (rows->table->n_columns == 1 && cell_is_empty(&rows->table->columns[0], &rows->row[0])) {
		text_add(to, "\"\"", 2);   /* an empty line would be no row */
	}
	text_add(to, "\r\n", 2);
}

static void add_heading(const struct table *table, bool byte_order_mark, struct text *to)
{
	if (byte_order_mark) {
		text_add_z(to, "\xEF\xBB\xBF");
	}
	for (size_t i = 0; i < table->n_columns; i++) {
		if (i > 0) {
			text_add_char(to, ',');
		}
		add_text(table->columns[i].name, strlen(table->columns[i].name), to);
	}
	text_add(to, "\r\n", 2);
}

static void add_cut_short(const struct rows *rows, struct text *to)
{
	text_addf(to, "THIS FILE IS NOT WHOLE: the list could not be read to its end and was cut short "
		"after %zu rows\r\n", rows->count);
}

bool encode_csv(const struct table *table, const struct encode_options *options, int fd,
	size_t *count, struct problem *why)
{
	struct rows rows = { 0 };
	struct text buffer = { 0 };
	bool right = rows_start(&rows, table, why);

	add_heading(table, options->byte_order_mark, &buffer);
	while (right && rows_next(&rows)) {
		add_row(&rows, &buffer);
		right = flush_text(&buffer, FLUSH_BYTES, fd, why);
	}
	if (right && rows.failed) {
		add_cut_short(&rows, &buffer);
	}
	if (right) {
		right = flush_text(&buffer, 0, fd, why);
	}
	if (right && rows.failed) {
		right = refuse_cut_short(&rows, why);
	}
	*count = rows.count;
	rows_release(&rows);
	text_release(&buffer);
	return right;
}
