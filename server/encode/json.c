/*
 * Rows as JSON, written straight into a buffer: a tree of values for a list costs three times as
 * much time.
 */
#include <stdlib.h>
#include <string.h>

#include "encode/parts.h"

void json_heads_release(struct json_heads *heads)
{
	text_release(&heads->text);
	free(heads->end);
}

bool json_heads_make(struct json_heads *heads, const struct table *table)
{
	heads->end = calloc(table->n_columns > 0 ? table->n_columns : 1, sizeof *heads->end);
	if (heads->end == NULL) {
		return false;
	}
	for (size_t i = 0; i < table->n_columns; i++) {
		const char *name = table->columns[i].name;

		text_add_char(&heads->text, i == 0 ? '{' : ',');
		text_add_json(&heads->text, name, strlen(name));
		text_add_char(&heads->text, ':');
		heads->end[i] = heads->text.len;
	}
	return !heads->text.failed;
}

static void add_value(const struct column *column, const struct cell *cell, struct text *to)
{
	if (cell_is_empty(column, cell)) {
		text_add(to, "null", 4);
		return;
	}
	switch (column->type) {
	case CELL_INTEGER:
	case CELL_REAL:
	case CELL_FLAG:
		cell_add(column, cell, to);
		break;
	case CELL_DAY:
	case CELL_INSTANT:
	case CELL_WORD:       /* codes are lower case with underscores: nothing to escape */
		text_add_char(to, '"');
		cell_add(column, cell, to);
		text_add_char(to, '"');
		break;
	case CELL_TEXT:
		text_add_json(to, cell->text, cell->len);
		break;
	}
}

void json_add_row(const struct json_heads *heads, const struct rows *rows, struct text *to)
{
	size_t from = 0;

	for (size_t i = 0; i < rows->table->n_columns; i++) {
		text_add(to, heads->text.data + from, heads->end[i] - from);
		add_value(&rows->table->columns[i], &rows->row[i], to);
		from = heads->end[i];
	}
	text_add(to, from > 0 ? "}" : "{}", from > 0 ? 1 : 2);
}

/* With fd -1 everything stays in the buffer. */
static bool add_rows(struct rows *rows, const struct table *table, struct text *to, int fd,
	struct problem *why)
{
	struct json_heads heads = { 0 };
	bool right = rows_start(rows, table, why);

	if (right && !json_heads_make(&heads, table)) {
		right = refuse_no_memory(why);
	}
	while (right && rows_next(rows)) {
		if (rows->count > 1) {
			text_add(to, ",\n", 2);
		}
		json_add_row(&heads, rows, to);
		right = fd >= 0 ? flush_text(to, FLUSH_BYTES, fd, why) : !to->failed;
	}
	if (right && rows->failed) {
		right = refuse_cut_short(rows, why);
	}
	if (to->failed) {
		right = refuse_no_memory(why);
	}
	json_heads_release(&heads);
	return right;
}

bool encode_json_rows(const struct table *table, struct text *to, size_t *count,
	struct problem *why)
{
	struct rows rows = { 0 };
	bool right = add_rows(&rows, table, to, -1, why);

	*count = rows.count;
	rows_release(&rows);
	return right;
}

bool encode_json(const struct table *table, const struct encode_options *options, int fd,
	size_t *count, struct problem *why)
{
	struct rows rows = { 0 };
	struct text buffer = { 0 };
	bool right;

	(void)options;
	text_add_char(&buffer, '[');
	right = add_rows(&rows, table, &buffer, fd, why);
	if (right) {
		text_add_z(&buffer, "]\n");
		right = flush_text(&buffer, 0, fd, why);
	}
	*count = rows.count;
	rows_release(&rows);
	text_release(&buffer);
	return right;
}
