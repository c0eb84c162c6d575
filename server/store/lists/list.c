#include "store/lists/list.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/decimal.h"
#include "store/lists/list_build.h"
#include "store/lists/totals.h"

static void add_value(struct build *b, struct value v)
{
	assert(b->count < VALUES_MOST);
	b->values[b->count++] = v;
	text_add_char(&b->sql, '$');
	text_add_integer(&b->sql, (int64_t)b->count);
}

/* The smallest text after all that begin with this one (bytewise). */
static const char *prefix_end(struct build *b, const char *prefix)
{
	char *end = b->text_end[b->n_ends++];
	size_t len = strlen(prefix);

	memcpy(end, prefix, len + 1);
	while (len > 0 && (unsigned char)end[len - 1] == 0xFF) {
		len--;
	}
	if (len > 0) {
		end[len - 1] = (char)((unsigned char)end[len - 1] + 1);
	}
	end[len] = '\0';
	return end;
}

static struct value filter_value(const struct list_filter *f, const char *text)
{
	int32_t day = 0;
	double real = 0;

	switch (f->kind) {
	case FILTER_REAL:
		decimal_read(text, strlen(text), '.', &real);
		return value_real(real);
	case FILTER_DAY:
		day_read(text, strlen(text), &day);
		return value_integer(day);
	case FILTER_ID:
	case FILTER_INTEGER:
		return value_integer(strtoll(text, NULL, 10));
	default:
		return value_text(text);
	}
}

/* Copies a condition, with {today}, {value} and {value_end} as placeholders. */
static void add_condition(struct build *b, const char *sql, struct value value)
{
	while (*sql != '\0') {
		size_t len = strcspn(sql, "{");

		text_add(&b->sql, sql, len);
		sql += len;
		if (strncmp(sql, "{today}", 7) == 0) {
			add_value(b, value_integer(b->query->today));
			sql += 7;
		} else if (strncmp(sql, "{value}", 7) == 0) {
			add_value(b, value);
			sql += 7;
		} else if (strncmp(sql, "{value_end}", 11) == 0) {
			add_value(b, value_text(prefix_end(b, value.text)));
			sql += 11;
		} else {
			assert(*sql == '\0');
		}
	}
}

static void add_words(struct build *b, const struct list_filter *f, const char *text)
{
	bool first = true;

	text_add_char(&b->sql, '(');
	for (const char *at = text; *at != '\0';) {
		size_t len = strcspn(at, ",");
		int word = words_find(f->words, at, len);

		text_add_z(&b->sql, first ? "" : " OR ");
		add_condition(b, f->word_sql != NULL ? f->word_sql[word] : f->sql, value_integer(word));
		first = false;
		at += len + (at[len] == ',');
	}
	text_add_char(&b->sql, ')');
}

static void add_texts(struct build *b, const struct list_filter *f, const char *text)
{
	const char *joint = "(";

	for (const char *at = text; *at != '\0';) {
		size_t len = strcspn(at, ",");

		text_add_z(&b->sql, joint);
		add_condition(b, f->sql, (struct value){ VALUE_TEXT, .text = at, .len = len });
		joint = " OR ";
		at += len + (at[len] == ',');
	}
	text_add_char(&b->sql, ')');
}

static void add_filter(struct build *b, const struct list_filter *f, const char *text)
{
	if (f->kind == FILTER_WORD) {
		add_words(b, f, text);
	} else if (f->kind == FILTER_TEXTS) {
		add_texts(b, f, text);
	} else if (f->kind == FILTER_FLAG) {
		add_condition(b, strcmp(text, "yes") == 0 ? f->sql : f->sql_no, value_null());
	} else {
		add_condition(b, f->sql, filter_value(f, text));
	}
}

/* The keys of the sort, each with what follows and a comma; how many there are. */
static int add_keys(struct build *b, const char *way)
{
	const struct list_sort *sort = b->query->sort;
	int n = 0;

	for (; n < LIST_SORT_KEYS && sort->keys[n] != NULL; n++) {
		add_condition(b, sort->keys[n], value_null());
		text_addf(&b->sql, "%s, ", way);
	}
	return n;
}

static void add_conditions(struct build *b, const char *without)
{
	const struct list_query *q = b->query;
	const char *joint = " WHERE ";

	if (q->list->where != NULL) {
		text_add_z(&b->sql, joint);
		add_condition(b, q->list->where, value_null());
		joint = " AND ";
	}
	for (size_t i = 0; i < q->n_given; i++) {
		const struct list_filter *f = q->given[i].filter;

		if ((without != NULL && strcmp(f->name, without) == 0) ||
			(f->sql == NULL && f->word_sql == NULL)) {
			continue;
		}
		text_add_z(&b->sql, joint);
		add_filter(b, f, q->given[i].text);
		joint = " AND ";
	}
	if (without == NULL && q->has_after) {
		int n;

		text_addf(&b->sql, "%s(", joint);
		n = add_keys(b, "");
		text_addf(&b->sql, "%s) %s (", q->list->id, q->sort->descending ? "<" : ">");
		for (int i = 0; i <= n; i++) {
			bool is_text = i < n && q->sort->text_key[i];

			text_add_z(&b->sql, i > 0 ? ", " : "");
			add_value(b, is_text ? (struct value){ VALUE_TEXT, .text = q->after_text[i],
				.len = strlen(q->after_text[i]) } : value_integer(q->after_integer[i]));
		}
		text_add_char(&b->sql, ')');
	}
}

/* Which table of rows is asked for: an index of list_rows.table. */
static int rows_of(const struct list_query *q)
{
	const struct list_rows *rows = q->list->rows;
	unsigned words = rows != NULL ? list_given_words(q, rows->filter) : 0;
	int at = 1;

	if (words == 0 || (words & (words - 1)) != 0) {
		return 0;
	}
	while ((words >>= 1) != 0) {
		at++;
	}
	return at;
}

static void add_from(struct build *b, const char *from, int rows)
{
	const char *at = strstr(from, "{rows}");

	text_add_z(&b->sql, " FROM ");
	if (at != NULL) {
		text_add(&b->sql, from, (size_t)(at - from));
		text_add_z(&b->sql, b->query->list->rows->table[rows]);
		from = at + strlen("{rows}");
	}
	text_add_z(&b->sql, from);
}

static void add_where(struct build *b, const char *without)
{
	add_from(b, b->query->list->from, rows_of(b->query));
	add_conditions(b, without);
}

static void add_order(struct build *b)
{
	const struct list_query *q = b->query;
	const char *way = q->sort->descending ? " DESC" : "";

	text_add_z(&b->sql, " ORDER BY ");
	add_keys(b, way);
	text_addf(&b->sql, "%s%s", q->list->id, way);
	if (q->limit > 0) {
		text_add_z(&b->sql, " LIMIT ");
		add_value(b, value_integer((int64_t)q->limit + 1));
	}
}

/* The numbers of the page's rows, for these to be read whole. */
static void add_picked(struct build *b)
{
	const struct list *list = b->query->list;

	add_from(b, list->from, rows_of(b->query));
	text_addf(&b->sql, " WHERE %s IN (SELECT %s", list->id, list->id);
	add_from(b, list->totals_from, rows_of(b->query));
	add_conditions(b, NULL);
	add_order(b);
	text_add_char(&b->sql, ')');
}

struct column list_column_shown(const struct list_column *column)
{
	return column->of != NULL ? form_column(column->of) : column->shown;
}

static void add_column(const struct list *list, const struct list_column *column, struct text *to)
{
	if (column->of != NULL) {
		text_addf(to, "%s.%s", list->record, column->of->column);
	} else {
		text_add_z(to, column->sql != NULL ? column->sql : "NULL");
	}
}

void list_build_rows(struct build *b)
{
	const struct list_query *q = b->query;

	text_add_z(&b->sql, "SELECT ");
	for (size_t i = 0; i < q->list->n_columns; i++) {
		add_column(q->list, &q->list->columns[i], &b->sql);
		text_add(&b->sql, ", ", 2);
	}
	add_keys(b, "");
	text_add_z(&b->sql, q->list->id);
	if (q->limit > 0 && q->list->totals_from != NULL && (q->sort->picked || rows_of(q) != 0)) {
		add_picked(b);
	} else {
		add_where(b, NULL);
	}
	add_order(b);
}

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
	return q->list->totals[total].rows != 0 ? q->list->totals[total].rows : rows_of(q);
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
		add_condition(b, list->totals[i].sql, value_null());
		text_add_char(&b->sql, ')');
	}
	add_from(b, counts != NULL ? counts->from : list->totals_from != NULL ? list->totals_from :
		list->from, rows_of_total(b->query, from));
	add_conditions(b, without);
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
		add_condition(b, keys[i].sql, value_integer(keys[i].value));
		text_add_z(&b->sql, ", ");
	}
	text_add_z(&b->sql, "count(*)");
	for (size_t i = 0; i < list->n_totals; i++) {
		text_add_z(&b->sql, ", sum(");
		add_condition(b, list->totals[i].sql, value_null());
		text_add_char(&b->sql, ')');
	}
	add_where(b, "");
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

void list_sql(const struct list_query *query, struct text *to)
{
	struct build *b = calloc(1, sizeof *b);

	if (b == NULL) {
		to->failed = true;
		return;
	}
	b->query = query;
	list_build_rows(b);
	text_add(to, b->sql.data, b->sql.len);
	text_release(&b->sql);
	free(b);
}
