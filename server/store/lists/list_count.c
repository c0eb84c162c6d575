/* What is counted over the rows of a list. */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "store/lists/list_build.h"
#include "store/lists/totals.h"

static bool is_given(const struct list_query *q, const char *name)
{
	for (size_t i = 0; i < q->n_given; i++) {
		if (strcmp(q->given[i].filter->name, name) == 0) {
			return true;
		}
	}
	return false;
}

/* The smaller table, when it can tell these rows apart. */
static const struct list_counts *counts_of(const struct list_query *q, const char *without)
{
	const struct list_counts *counts = q->list->counts;

	for (size_t i = 0; counts != NULL && i < q->n_given; i++) {
		const char *name = q->given[i].filter->name;
		size_t at = 0;

		while (counts->filters[at] != NULL && strcmp(counts->filters[at], name) != 0) {
			at++;
		}
		if (counts->filters[at] == NULL && strcmp(name, without) != 0) {
			return NULL;
		}
	}
	return counts;
}

/* The filter that a total leaves out; "": none. The place in the list never counts. */
static const char *left_out(const struct list_query *q, size_t total)
{
	const char *without = q->list->totals[total].without;

	return without != NULL ? without : "";
}

static int rows_of_total(const struct list_query *q, size_t total)
{
	return q->list->totals[total].rows != 0 ? q->list->totals[total].rows : list_build_rows_of(q);
}

/* Whether two totals are over the same rows of the same table: they leave out the same filter, or
 * filters that were not sent. */
static bool are_together(const struct list_query *q, size_t a, size_t b)
{
	const char *without = left_out(q, a), *other = left_out(q, b);

	return (strcmp(without, other) == 0 || (!is_given(q, without) && !is_given(q, other))) &&
		(counts_of(q, without) != NULL || rows_of_total(q, a) == rows_of_total(q, b));
}

/* Of the totals from `from` up to `to`, which are together. */
static void build_totals(struct build *b, size_t from, size_t to)
{
	const struct list *list = b->query->list;
	const char *without = left_out(b->query, from);
	const struct list_counts *counts = counts_of(b->query, without);

	/* (a filter is left at the first condition that does not hold; a product is worked out
	 * whole) */
	text_add_z(&b->sql, "SELECT ");
	for (size_t i = from; i < to; i++) {
		text_addf(&b->sql, "%ssum(%s) FILTER (WHERE ", i > from ? ", " : "",
			counts != NULL ? counts->weight : "1");
		if (counts != NULL && counts->of_rows != NULL) {
			text_addf(&b->sql, "(%s) AND ", counts->of_rows[rows_of_total(b->query, i)]);
		}
		list_build_condition(b, list->totals[i].sql, value_null());
		text_add_char(&b->sql, ')');
	}
	if (counts != NULL || list->totals_from != NULL) {
		list_build_from(b, counts != NULL ? counts->from : list->totals_from,
			rows_of_total(b->query, from));
	} else {
		list_build_from_whole(b, rows_of_total(b->query, from));
	}
	list_build_conditions(b, without);
	if (counts != NULL && !is_given(b->query, "line")) {
		text_addf(&b->sql, " AND %s", counts->without_line);
	}
}

static bool count_some(struct store *store, const struct list_query *query, size_t from,
	size_t to_end, int64_t *to, struct problem *why)
{
	struct build *b = calloc(1, sizeof *b);
	sqlite3_stmt *row = NULL;

	if (b != NULL) {
		b->query = query;
		build_totals(b, from, to_end);
		row = b->sql.failed ? NULL : sql_select(store, b->sql.data, b->values, b->count, why);
	}
	if (sql_row(store, row, why)) {
		for (size_t i = from; i < to_end; i++) {
			to[i] = sqlite3_column_int64(row, (int)(i - from));
		}
		sql_done(row);
	} else if (why->code == PROBLEM_NONE) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (b != NULL) {
		text_release(&b->sql);
	}
	free(b);
	return why->code == PROBLEM_NONE;
}

static bool count_each(struct store *store, const struct list_query *query, int64_t *to,
	struct problem *why)
{
	size_t next;

	for (size_t from = 0; from < query->list->n_totals; from = next) {
		for (next = from + 1; next < query->list->n_totals && are_together(query, from, next);
			next++) {
		}
		if (!count_some(store, query, from, next, to, why)) {
			return false;
		}
	}
	return true;
}

static bool count_totals(struct store *store, const struct list_query *query, int64_t *to,
	struct problem *why)
{
	struct list_query all, others;
	struct list_filter held;
	int64_t less[LIST_TOTALS];

	if (!list_query_others(query, &held, &all, &others) || counts_of(&all, "") == NULL) {
		return count_each(store, query, to, why);
	}
	if (!count_each(store, &all, to, why) || !count_each(store, &others, less, why)) {
		return false;
	}
	for (size_t i = 0; i < query->list->n_totals; i++) {
		to[i] -= less[i];
	}
	return true;
}

bool list_totals(struct store *store, const struct list_query *query, int64_t *to,
	struct problem *why)
{
	struct totals_question question;
	struct text asked = { 0 };
	bool kept;

	totals_ask(query, &asked);
	kept = !asked.failed && totals_kept(store, &asked, &question, to, query->list->n_totals, why);
	if (asked.failed) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (!kept && why->code == PROBLEM_NONE && count_totals(store, query, to, why)) {
		totals_keep(store, &question, to, query->list->n_totals);
	}
	text_release(&asked);
	return why->code == PROBLEM_NONE;
}

static void build_count_by(struct build *b, const struct list_key *keys, size_t n_keys)
{
	const struct list *list = b->query->list;

	text_add_z(&b->sql, "SELECT ");
	for (size_t i = 0; i < n_keys; i++) {
		list_build_condition(b, keys[i].sql, value_integer(keys[i].value));
		text_add_z(&b->sql, ", ");
	}
	text_add_z(&b->sql, "count(*)");
	for (size_t i = 0; i < list->n_totals; i++) {
		text_add_z(&b->sql, ", sum(");
		list_build_condition(b, list->totals[i].sql, value_null());
		text_add_char(&b->sql, ')');
	}
	list_build_where(b, "");
	text_add_z(&b->sql, n_keys == 1 ? " GROUP BY 1 ORDER BY 1" : n_keys == 2 ?
		" GROUP BY 1, 2 ORDER BY 1, 2" : " GROUP BY 1, 2, 3 ORDER BY 1, 2, 3");
}

bool list_count_by(struct store *store, const struct list_query *query,
	const struct list_key *keys, size_t n_keys,
	bool (*each)(void *arg, const int64_t *keys, int64_t rows, const int64_t *totals), void *arg,
	struct problem *why)
{
	struct build *b = calloc(1, sizeof *b);
	sqlite3_stmt *rows = NULL;
	bool ok = b != NULL;

	assert(n_keys >= 1 && n_keys <= LIST_KEYS && query->list->n_totals <= LIST_TOTALS);
	if (ok) {
		b->query = query;
		build_count_by(b, keys, n_keys);
		ok = !b->sql.failed;
		rows = ok ? sql_select(store, b->sql.data, b->values, b->count, why) : NULL;
	}
	while (ok && sql_row(store, rows, why)) {
		int64_t numbers[LIST_KEYS + 1 + LIST_TOTALS];
		size_t count = n_keys + 1 + query->list->n_totals;

		for (size_t i = 0; i < count; i++) {
			numbers[i] = sqlite3_column_int64(rows, (int)i);
		}
		ok = each(arg, numbers, numbers[n_keys], numbers + n_keys + 1);
		if (!ok) {
			sql_done(rows);
		}
	}
	if (!ok) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (b != NULL) {
		text_release(&b->sql);
	}
	free(b);
	return why->code == PROBLEM_NONE;
}
