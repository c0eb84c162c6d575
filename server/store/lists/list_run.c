#include <assert.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "store/lists/list_build.h"

/* The rows of a list as they are read: of a statement, or computed. */
struct list_run {
	struct store *store;
	struct list_query query;
	sqlite3_stmt *rows;         /* NULL at the end, and for computed ones */
	void *computed;
	size_t given;               /* rows handed out */
	bool more;
	struct text cursor;         /* of the last row handed out */
	int64_t identity, alike;    /* of a computed row: which, and how many of these stood together */
	struct cell *cells;         /* n_columns, hidden ones too */
	enum cell_type *types;      /* of each */
	struct column *shown;
	size_t n_shown;
	struct build build;         /* keeps what is bound alive */
};

/* (what is not zero is not NULL: asking for the type costs as much as the value) */
static void read_cell(sqlite3_stmt *rows, int at, enum cell_type type, struct cell *cell)
{
	*cell = (struct cell){ 0 };
	switch (type) {
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

static void note_identity(struct list_run *run)
{
	const struct list *list = run->query.list;
	struct text text = { 0 };
	int64_t identity = 0;

	for (size_t i = 0; i < list->n_columns; i++) {
		const struct cell *c = &run->cells[i];

		if ((list->computed->identity >> i & 1) != 0) {
			text_add_char(&text, '\x1f');
			if (list_column_shown(&list->columns[i]).type == CELL_TEXT) {
				text_add(&text, c->text, c->len);
			} else {
				text_add_integer(&text, c->is_null ? INT64_MIN : c->integer);
			}
		}
	}
	crypto_shorthash((unsigned char *)&identity, (const unsigned char *)text.data, text.len,
		(const unsigned char[crypto_shorthash_KEYBYTES]){ 0 });
	text_release(&text);
	identity &= INT64_MAX;
	run->alike = identity == run->identity ? run->alike + 1 : 1;
	run->identity = identity;
}

static void keep_cursor(struct list_run *run)
{
	const struct list_sort *sort = run->query.sort;
	int at = (int)run->query.list->n_columns;

	text_clear(&run->cursor);
	text_add_z(&run->cursor, sort->name);
	if (run->query.list->computed != NULL) {
		text_addf(&run->cursor, "\x1f%lld\x1f%lld", (long long)run->identity,
			(long long)run->alike);
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
		read_cell(run->rows, (int)i, run->types[i], &run->cells[i]);
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
	if (!run->query.list->computed->next(run->computed, run->cells, failed)) {
		return false;
	}
	if (run->query.limit > 0) {
		note_identity(run);
	}
	return true;
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
	run->types = calloc(list->n_columns, sizeof *run->types);
	run->shown = calloc(list->n_columns, sizeof *run->shown);
	if (run->cells == NULL || run->types == NULL || run->shown == NULL) {
		return false;
	}
	for (size_t i = 0; i < list->n_columns; i++) {
		struct column column = list_column_shown(&list->columns[i]);

		assert(list->columns[i].hidden || run->n_shown == i);
		run->types[i] = column.type;
		if (!list->columns[i].hidden) {
			run->shown[run->n_shown++] = column;
		}
	}
	return true;
}

/* Those of the pages before are made again and passed over. */
static bool pass_over(struct list_run *run, struct problem *why)
{
	const int64_t *after = run->query.after_integer;
	bool failed = false;

	while (next_computed(run, &failed)) {
		if (run->identity == after[0] && run->alike == after[1]) {
			return true;
		}
	}
	return failed ? problem_set(why, PROBLEM_STORE, NULL, "The list could not be read.") :
		problem_set(why, PROBLEM_CONFLICT, "after", "The list has changed: the row that the page before "
		"ended with is not in it any more. Begin again with the first page.");
}

static bool open_computed(struct list_run *run, struct problem *why)
{
	run->computed = run->query.list->computed->open(run->query.view, &run->query, why);
	return run->computed != NULL && (!run->query.has_after || pass_over(run, why));
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
	free(run->types);
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
