#include <assert.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "store/list_build.h"

/* The rows of a list as they are read: of a statement, or computed. */
struct list_run {
	struct store *store;
	struct list_query query;
	sqlite3_stmt *rows;         /* NULL at the end, and for computed ones */
	void *computed;
	size_t given;               /* rows handed out */
	bool more;
	struct text cursor;         /* of the last row handed out */
	struct cell *cells;         /* n_columns, hidden ones too */
	struct column *shown;
	size_t n_shown;
	struct build build;         /* keeps what is bound alive */
};

/* (what is not zero is not NULL: asking for the type costs as much as the value) */
static void read_cell(sqlite3_stmt *rows, int at, const struct column *column, struct cell *cell)
{
	*cell = (struct cell){ 0 };
	switch (column->type) {
	case CELL_TEXT:
		cell->text = (const char *)sqlite3_column_text(rows, at);
		cell->is_null = cell->text == NULL;
		cell->len = cell->is_null ? 0 : (size_t)sqlite3_column_bytes(rows, at);
		break;
	case CELL_REAL:
		cell->real = sqlite3_column_double(rows, at);
		cell->is_null = !(cell->real < 0 || cell->real > 0) &&
			sqlite3_column_type(rows, at) == SQLITE_NULL;
		break;
	default:
		cell->integer = sqlite3_column_int64(rows, at);
		cell->is_null = cell->integer == 0 && sqlite3_column_type(rows, at) == SQLITE_NULL;
	}
}

/* Of computed rows the cursor says how many were given. */
static void keep_cursor(struct list_run *run)
{
	const struct list_sort *sort = run->query.sort;
	int at = (int)run->query.list->n_columns;

	text_clear(&run->cursor);
	text_add_z(&run->cursor, sort->name);
	if (run->query.list->computed != NULL) {
		text_addf(&run->cursor, "\x1f%lld",
			(long long)(run->query.after_integer[0] + (int64_t)run->given));
		return;
	}
	for (int i = 0; i < LIST_SORT_KEYS && sort->keys[i] != NULL; i++, at++) {
		text_add_char(&run->cursor, '\x1f');
		text_add_z(&run->cursor, (const char *)sqlite3_column_text(run->rows, at));
	}
	text_add_char(&run->cursor, '\x1f');
	text_add_integer(&run->cursor, sqlite3_column_int64(run->rows, at));
}

static void end_rows(struct list_run *run)
{
	if (run->rows != NULL) {
		sql_done(run->rows);
		run->rows = NULL;
	}
	if (run->computed != NULL) {
		run->query.list->computed->close(run->computed);
		run->computed = NULL;
	}
}

static bool next_selected(struct list_run *run, bool *failed)
{
	const struct list *list = run->query.list;
	struct problem why = { 0 };

	if (!sql_row(run->store, run->rows, &why)) {
		run->rows = NULL;
		*failed = why.code != PROBLEM_NONE;
		return false;
	}
	for (size_t i = 0; i < list->n_columns; i++) {
		read_cell(run->rows, (int)i, &list->columns[i].shown, &run->cells[i]);
	}
	if (list->finish != NULL) {
		list->finish(run->query.today, run->cells);
	}
	return true;
}

static bool next_computed(struct list_run *run, bool *failed)
{
	if (run->computed == NULL) {
		return false;
	}
	memset(run->cells, 0, run->query.list->n_columns * sizeof *run->cells);
	return run->query.list->computed->next(run->computed, run->cells, failed);
}

static bool next_row(void *source, struct cell *row, bool *failed)
{
	struct list_run *run = source;

	*failed = false;
	if (run->more || !(run->query.list->computed != NULL ? next_computed(run, failed) :
		run->rows != NULL && next_selected(run, failed))) {
		return false;
	}
	if (run->query.limit > 0 && run->given == run->query.limit) {
		run->more = true;
		end_rows(run);
		return false;
	}
	memcpy(row, run->cells, run->n_shown * sizeof *row);
	run->given++;
	if (run->given == run->query.limit) {
		keep_cursor(run);
	}
	return true;
}

static bool fill_columns(struct list_run *run)
{
	const struct list *list = run->query.list;

	run->cells = calloc(list->n_columns, sizeof *run->cells);
	run->shown = calloc(list->n_columns, sizeof *run->shown);
	if (run->cells == NULL || run->shown == NULL) {
		return false;
	}
	for (size_t i = 0; i < list->n_columns; i++) {
		assert(list->columns[i].hidden || run->n_shown == i);
		if (!list->columns[i].hidden) {
			run->shown[run->n_shown++] = list->columns[i].shown;
		}
	}
	return true;
}

/* Those of the pages before are made again and passed over. */
static bool open_computed(struct list_run *run, struct problem *why)
{
	bool failed = false;

	run->computed = run->query.list->computed->open(run->store, &run->query, why);
	for (int64_t i = 0; run->computed != NULL && i < run->query.after_integer[0]; i++) {
		if (!next_computed(run, &failed)) {
			break;
		}
	}
	if (failed) {
		problem_set(why, PROBLEM_STORE, NULL, "The list could not be read.");
	}
	return run->computed != NULL && !failed;
}

static bool open_selected(struct list_run *run, struct problem *why)
{
	run->build.query = &run->query;
	list_build_rows(&run->build);
	if (run->build.sql.failed) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	run->rows = sql_select(run->store, run->build.sql.data, run->build.values, run->build.count,
		why);
	return run->rows != NULL;
}

struct list_run *list_open(struct store *store, const struct list_query *query,
	struct table *table, struct problem *why)
{
	struct list_run *run = calloc(1, sizeof *run);

	if (run == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	run->store = store;
	run->query = *query;
	if (!fill_columns(run)) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (query->list->computed != NULL ? open_computed(run, why) : open_selected(run, why)) {
		*table = (struct table){ run->shown, run->n_shown, next_row, run };
		return run;
	}
	list_close(run);
	return NULL;
}

void list_close(struct list_run *run)
{
	if (run == NULL) {
		return;
	}
	end_rows(run);
	text_release(&run->build.sql);
	text_release(&run->cursor);
	free(run->cells);
	free(run->shown);
	free(run);
}

bool list_has_more(const struct list_run *run)
{
	return run->more;
}

bool list_next_page(const struct list_run *run, char *cursor, size_t size)
{
	if (!run->more || run->cursor.failed ||
		sodium_base64_encoded_len(run->cursor.len, sodium_base64_VARIANT_URLSAFE_NO_PADDING) > size) {
		return false;
	}
	sodium_bin2base64(cursor, size, (const unsigned char *)run->cursor.data, run->cursor.len,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING);
	return true;
}
