/*
 * Rows as JSON, written straight into a buffer: a tree of values for a list costs three times as
 * much time.
 */
#include <stdlib.h>
#include <string.h>

#include "base/day.h"
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

/* Bytes that a whole number, a day, a flag, null or a usual word takes at most, with its quotes. */
enum { SHORT_MOST = 48 };

static char *put(char *at, const char *bytes, size_t len)
{
	memcpy(at, bytes, len);
	return at + len;
}

/* (codes are lower case with underscores: nothing to escape) */
static char *put_word(const char *code, char *at)
{
	size_t len = strlen(code);

	if (len + 2 > SHORT_MOST) {
		return NULL;
	}
	*at = '"';
	at[len + 1] = '"';
	memcpy(at + 1, code, len);
	return at + len + 2;
}

/* Writes what is short at `at`, where there is room for it; NULL when the cell is not. */
static char *put_short(const struct column *column, const struct cell *cell, char *at)
{
	if (cell_is_empty(column, cell)) {
		return put(at, "null", 4);
	}
	switch (column->type) {
	case CELL_INTEGER:
		return at + integer_write(cell->integer, at);
	case CELL_FLAG:
		return cell->integer != 0 ? put(at, "true", 4) : put(at, "false", 5);
	case CELL_DAY:
		*at = '"';
		day_write((int32_t)cell->integer, at + 1);
		at += strlen(at);
		return put(at, "\"", 1);
	case CELL_WORD:
		return put_word(column->words->code[cell->integer], at);
	default:
		return NULL;
	}
}

static void add_value(const struct column *column, const struct cell *cell, struct text *to)
{
	switch (column->type) {
	case CELL_TEXT:
		text_add_json(to, cell->text, cell->len);
		break;
	case CELL_INSTANT:
	case CELL_WORD:       /* codes are lower case with underscores: nothing to escape */
		text_add_char(to, '"');
		cell_add(column, cell, to);
		text_add_char(to, '"');
		break;
	default:
		cell_add(column, cell, to);
	}
}

/* (a page of a list is a thousand cells: each with its head in one piece where that can be) */
static void add_members(const struct json_heads *heads, const struct rows *rows, struct text *to)
{
	size_t from = 0;

	for (size_t i = 0; i < rows->table->n_columns; i++) {
		const struct column *column = &rows->table->columns[i];
		size_t len = heads->end[i] - from;
		char *at = text_room(to, len + SHORT_MOST);
		char *end;

		if (at == NULL) {
			return;
		}
		at = put(at, heads->text.data + from, len);
		end = put_short(column, &rows->row[i], at);
		to->len = (size_t)((end != NULL ? end : at) - to->data);
		if (end == NULL) {
			add_value(column, &rows->row[i], to);
		}
		from = heads->end[i];
	}
}

void json_add_row(const struct json_heads *heads, const struct rows *rows, struct text *to)
{
	bool is_empty = rows->table->n_columns == 0;

	add_members(heads, rows, to);
	text_add(to, is_empty ? "{}" : "}", is_empty ? 2 : 1);
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

bool encode_json_open(const struct table *table, struct text *to, bool *found,
	struct problem *why)
{
	struct rows rows = { 0 };
	struct json_heads heads = { 0 };
	bool right = rows_start(&rows, table, why);

	if (right && !json_heads_make(&heads, table)) {
		right = refuse_no_memory(why);
	}
	*found = right && rows_next(&rows);
	if (*found) {
		add_members(&heads, &rows, to);
	}
	if (right && rows.failed) {
		right = refuse_cut_short(&rows, why);
	}
	if (to->failed) {
		right = refuse_no_memory(why);
	}
	json_heads_release(&heads);
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
