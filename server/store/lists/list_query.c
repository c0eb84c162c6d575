#include "store/lists/list.h"

#include <errno.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/day.h"
#include "base/decimal.h"

static bool read_integer(const char *text, int64_t *to)
{
	char *end;

	errno = 0;
	*to = strtoll(text, &end, 10);
	return errno == 0 && end != text && *end == '\0';
}

/* Lists the codes of words in a sentence: "sound, watch, act". */
static void name_words(const struct words *words, char *to, size_t size)
{
	size_t at = 0;

	to[0] = '\0';
	for (int i = 0; i < words->n && at < size; i++) {
		at += (size_t)snprintf(to + at, size - at, "%s%s", i > 0 ? ", " : "", words->code[i]);
	}
}

static bool check_words(const struct list_filter *f, const char *text, struct problems *why)
{
	char known[200];
	int named = 0;

	for (const char *at = text; *at != '\0'; named++) {
		size_t len = strcspn(at, ",");

		if (words_find(f->words, at, len) < 0) {
			name_words(f->words, known, sizeof known);
			return problems_add(why, PROBLEM_VALUE, f->name,
				"%s is not one of %s.", text, known);
		}
		at += len + (at[len] == ',');
	}
	/* a statement has room for each word once */
	return named <= f->words->n || problems_add(why, PROBLEM_VALUE, f->name,
		"%s names %d words; there are %d.", f->name, named, f->words->n);
}

static bool check_texts(const struct list_filter *f, const char *text, struct problems *why)
{
	int named = 0;

	for (const char *at = text; *at != '\0'; named++) {
		size_t len = strcspn(at, ",");

		if (len == 0 || len > 100) {
			return problems_add(why, PROBLEM_VALUE, f->name,
				"%s has between its commas 1 to 100 bytes each.", f->name);
		}
		at += len + (at[len] == ',');
	}
	return named <= LIST_TEXTS || problems_add(why, PROBLEM_VALUE, f->name,
		"%s names %d; there is room for %d.", f->name, named, LIST_TEXTS);
}

static bool check_value(const struct list_filter *f, const char *text, struct problems *why)
{
	int64_t number;
	double real;
	int32_t day;

	switch (f->kind) {
	case FILTER_ID:
		return (read_integer(text, &number) && number > 0) || problems_add(why, PROBLEM_VALUE,
			f->name, "%s must be the number of a record, not \"%.40s\".", f->name, text);
	case FILTER_INTEGER:
		return read_integer(text, &number) || problems_add(why, PROBLEM_VALUE, f->name,
			"%s must be a whole number, not \"%.40s\".", f->name, text);
	case FILTER_REAL:
		return decimal_read(text, strlen(text), '.', &real) || problems_add(why, PROBLEM_VALUE,
			f->name, "%s must be a number like 7.5, not \"%.40s\".", f->name, text);
	case FILTER_DAY:
		return day_read(text, strlen(text), &day) || problems_add(why, PROBLEM_VALUE, f->name,
			"%s must be a day like 2026-03-31, not \"%.40s\".", f->name, text);
	case FILTER_FLAG:
		return strcmp(text, "yes") == 0 || strcmp(text, "no") == 0 || problems_add(why,
			PROBLEM_VALUE, f->name, "%s must be yes or no, not \"%.40s\".", f->name, text);
	case FILTER_WORD:
		return check_words(f, text, why);
	case FILTER_TEXTS:
		return check_texts(f, text, why);
	case FILTER_PREFIX:
	case FILTER_TEXT:
		break;
	}
	return strlen(text) <= 100 || problems_add(why, PROBLEM_VALUE, f->name,
		"%s has at most 100 bytes.", f->name);
}

/* A cursor is base64url of "sort name, then each key", parted by US (0x1f). */
static bool read_cursor(const char *cursor, struct list_query *q)
{
	char plain[512];
	size_t len = 0;
	const char *at = plain;

	if (sodium_base642bin((unsigned char *)plain, sizeof plain - 1, cursor, strlen(cursor), NULL,
		&len, NULL, sodium_base64_VARIANT_URLSAFE_NO_PADDING) != 0) {
		return false;
	}
	plain[len] = '\0';
	if (strlen(plain) != len) {
		return false;
	}
	for (int part = 0;; part++) {
		size_t n = strcspn(at, "\x1f");
		char word[160];

		if (n >= sizeof word) {
			return false;
		}
		memcpy(word, at, n);
		word[n] = '\0';
		if (part == 0) {
			if (strcmp(word, q->sort->name) != 0) {
				return false;
			}
		} else if (part <= LIST_SORT_KEYS && q->sort->keys[part - 1] != NULL &&
			q->sort->text_key[part - 1]) {
			if (n >= sizeof q->after_text[0]) {
				return false;
			}
			memcpy(q->after_text[part - 1], word, n + 1);
		} else if (part > LIST_SORT_KEYS + 1 || !read_integer(word, &q->after_integer[part - 1])) {
			return false;
		}
		at += n;
		if (*at == '\0') {
			int keys = 0;

			while (keys < LIST_SORT_KEYS && q->sort->keys[keys] != NULL) {
				keys++;
			}
			return part == keys + (q->list->computed != NULL ? 2 : 1);
		}
		at++;
	}
}

/* Takes the list's sort of that name; false when it has none. */
static bool take_sort(const struct list *list, const char *name, struct list_query *q)
{
	for (size_t i = 0; i < list->n_sorts; i++) {
		if (strcmp(list->sorts[i].name, name) == 0) {
			q->sort = &list->sorts[i];
			return true;
		}
	}
	return false;
}

static bool read_sort(const struct list *list, const char *name, struct list_query *q,
	struct problems *why)
{
	char known[200] = "";
	size_t at = 0;

	if (take_sort(list, name, q)) {
		return true;
	}
	for (size_t i = 0; i < list->n_sorts; i++) {
		at += (size_t)snprintf(known + at, at < sizeof known ? sizeof known - at : 0, "%s%s",
			i > 0 ? ", " : "", list->sorts[i].name);
	}
	return problems_add(why, PROBLEM_VALUE, "sort", "sort must be one of %s, not \"%.40s\".",
		known, name);
}

static bool read_limit(const char *text, struct list_query *q, struct problems *why)
{
	int64_t limit;

	if (!read_integer(text, &limit) || limit < 1 || limit > LIST_LIMIT_MOST) {
		return problems_add(why, PROBLEM_VALUE, "limit",
			"limit must be a whole number from 1 to %d, not \"%.40s\".", LIST_LIMIT_MOST, text);
	}
	q->limit = (size_t)limit;
	return true;
}

static bool sent_twice(const char *name, struct problems *why)
{
	return problems_add(why, PROBLEM_VALUE, name, "%s was sent twice: send it once.", name);
}

static bool read_filter(const struct list *list, const struct query_pair *pair,
	struct list_query *q, struct problems *why)
{
	for (size_t i = 0; i < list->n_filters; i++) {
		const struct list_filter *f = &list->filters[i];

		if (strcmp(f->name, pair->name) != 0) {
			continue;
		}
		for (size_t k = 0; k < q->n_given; k++) {
			if (q->given[k].filter == f) {
				return sent_twice(f->name, why);
			}
		}
		if (!check_value(f, pair->value, why)) {
			return false;
		}
		q->given[q->n_given].filter = f;
		q->given[q->n_given++].text = pair->value;
		return true;
	}
	return problems_add(why, PROBLEM_VALUE, pair->name,
		"The list %s has no filter \"%.40s\".", list->name, pair->name);
}

static bool is_any_given(const struct list_query *q, const char *const *names)
{
	bool is = false;

	for (; *names != NULL; names++) {
		is = is || list_given(q, *names) != NULL;
	}
	return is;
}

static bool check_needs(const struct list_query *q, struct problems *why)
{
	bool ok = true;

	for (const struct list_need *n = q->list->needs; n != NULL && n->says != NULL; n++) {
		if ((n->filter == NULL || list_given(q, n->filter) != NULL) && !is_any_given(q, n->one_of)) {
			ok = problems_add(why, PROBLEM_VALUE, n->filter != NULL ? n->filter : n->one_of[0],
				"%s", n->says);
		}
	}
	return ok;
}

bool list_needs_nothing(const struct list *list)
{
	bool ok = true;

	for (const struct list_need *n = list->needs; n != NULL && n->says != NULL; n++) {
		ok = ok && n->filter != NULL;
	}
	return ok;
}

bool list_query_others(const struct list_query *query, struct list_filter *held,
	struct list_query *all, struct list_query *others)
{
	for (size_t i = 0; i < query->n_given; i++) {
		const struct list_filter *f = query->given[i].filter;
		int word = f->others_sql != NULL ? words_find(f->words, query->given[i].text,
			strlen(query->given[i].text)) : -1;

		if (word >= 0 && f->others_sql[word] != NULL) {
			*held = *f;
			held->word_sql = f->others_sql;
			*others = *query;
			others->given[i].filter = held;
			*all = *query;
			all->given[i] = all->given[--all->n_given];
			return true;
		}
	}
	return false;
}

bool list_query_read(const struct list *list, const struct query_pair *pairs, size_t count,
	int32_t today, struct list_query *to, struct problems *why)
{
	const char *after = NULL, *limit = NULL;
	bool sorted = false;
	bool ok = true;

	*to = (struct list_query){ .list = list, .sort = &list->sorts[0], .today = today,
		.limit = LIST_LIMIT };
	for (size_t i = 0; i < count; i++) {
		const char *name = pairs[i].name;

		if (pairs[i].value[0] == '\0') {
			continue;
		}
		if (strcmp(name, "sort") == 0) {
			ok = (!sorted || sent_twice(name, why)) && read_sort(list, pairs[i].value, to, why) && ok;
			sorted = true;
		} else if (strcmp(name, "limit") == 0) {
			ok = (limit == NULL || sent_twice(name, why)) && read_limit(pairs[i].value, to, why) && ok;
			limit = pairs[i].value;
		} else if (strcmp(name, "after") == 0) {
			ok = (after == NULL || sent_twice(name, why)) && ok;
			after = pairs[i].value;
		} else {
			ok = read_filter(list, &pairs[i], to, why) && ok;
		}
	}
	for (size_t i = 0; !sorted && i < to->n_given; i++) {
		/* a list that shares the filter may have no such sort */
		if (to->given[i].filter->sort != NULL) {
			take_sort(list, to->given[i].filter->sort, to);
		}
	}
	ok = check_needs(to, why) && ok;
	if (ok && after != NULL) {
		to->has_after = read_cursor(after, to);
		ok = to->has_after || problems_add(why, PROBLEM_MALFORMED, "after",
			"after must be the cursor that this list gave with the same sort.");
	}
	return ok;
}

static const struct list_filter *given_filter(const struct list_query *q, const char *name,
	const char **text)
{
	for (size_t i = 0; i < q->n_given; i++) {
		if (strcmp(q->given[i].filter->name, name) == 0) {
			*text = q->given[i].text;
			return q->given[i].filter;
		}
	}
	*text = NULL;
	return NULL;
}

const char *list_given(const struct list_query *query, const char *name)
{
	const char *text;

	given_filter(query, name, &text);
	return text;
}

int32_t list_given_day(const struct list_query *query, const char *name, int32_t absent)
{
	const char *text = list_given(query, name);
	int32_t day = absent;

	return text != NULL && day_read(text, strlen(text), &day) ? day : absent;
}

int64_t list_given_integer(const struct list_query *query, const char *name, int64_t absent)
{
	const char *text = list_given(query, name);
	int64_t number = absent;

	return text != NULL && read_integer(text, &number) ? number : absent;
}

unsigned list_given_words(const struct list_query *query, const char *name)
{
	const char *text;
	const struct list_filter *f = given_filter(query, name, &text);
	unsigned words = 0;

	while (text != NULL && *text != '\0') {
		size_t len = strcspn(text, ",");

		words |= 1u << words_find(f->words, text, len);
		text += len + (text[len] == ',');
	}
	return words;
}

bool list_is_among(unsigned words, int word)
{
	return words == 0 || (words & 1u << word) != 0;
}
