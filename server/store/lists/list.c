#include "store/lists/list.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/decimal.h"
#include "store/lists/list_build.h"

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

void list_build_condition(struct build *b, const char *sql, struct value value)
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
		list_build_condition(b, f->word_sql != NULL ? f->word_sql[word] : f->sql, value_integer(word));
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
		list_build_condition(b, f->sql, (struct value){ VALUE_TEXT, .text = at, .len = len });
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
		list_build_condition(b, strcmp(text, "yes") == 0 ? f->sql : f->sql_no, value_null());
	} else {
		list_build_condition(b, f->sql, filter_value(f, text));
	}
}

/* The keys of the sort, each with what follows and a comma; how many there are. */
static int add_keys(struct build *b, const char *way)
{
	const struct list_sort *sort = b->query->sort;
	int n = 0;

	for (; n < LIST_SORT_KEYS && sort->keys[n] != NULL; n++) {
		list_build_condition(b, sort->keys[n], value_null());
		text_addf(&b->sql, "%s, ", way);
	}
	return n;
}

void list_build_conditions(struct build *b, const char *without)
{
	const struct list_query *q = b->query;
	const char *joint = " WHERE ";

	if (q->list->where != NULL) {
		text_add_z(&b->sql, joint);
		list_build_condition(b, q->list->where, value_null());
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

int list_build_rows_of(const struct list_query *q)
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

void list_build_from(struct build *b, const char *from, int rows)
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

void list_build_from_whole(struct build *b, int rows)
{
	for (size_t i = 0; i < b->query->n_given; i++) {
		const struct list_filter *f = b->query->given[i].filter;

		if (f->from != NULL) {
			text_add_z(&b->sql, " FROM ");
			list_build_condition(b, f->from, filter_value(f, b->query->given[i].text));
			return;
		}
	}
	list_build_from(b, b->query->list->from, rows);
}

void list_build_where(struct build *b, const char *without)
{
	list_build_from_whole(b, list_build_rows_of(b->query));
	list_build_conditions(b, without);
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

	list_build_from(b, list->from, list_build_rows_of(b->query));
	text_addf(&b->sql, " WHERE %s IN (SELECT %s", list->id, list->id);
	list_build_from(b, list->totals_from, list_build_rows_of(b->query));
	list_build_conditions(b, NULL);
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
	if (q->limit > 0 && q->list->totals_from != NULL && (q->sort->picked || list_build_rows_of(q) != 0)) {
		add_picked(b);
	} else {
		list_build_where(b, NULL);
	}
	add_order(b);
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
