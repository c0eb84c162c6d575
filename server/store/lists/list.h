/*
 * Lists are data. A list is described once, beside its noun: its SQL, columns, filters and sorts.
 * From the description come the query string that it accepts, the errors for a bad one, keyset
 * paging, every format, and its entry in the API description. Adding a list means adding a
 * description; nothing is written twice.
 *
 * The pieces of SQL are fixed text of the program. In a filter's condition {value} stands for the
 * value that was sent and {today} for the railway's day, also in a sort's key; both are bound,
 * never printed in. {rows} in `from` is the table that a filter picks (struct list_rows).
 */
#ifndef STORE_LISTS_LIST_H
#define STORE_LISTS_LIST_H

#include "base/form.h"
#include "base/query.h"
#include "base/table.h"
#include "base/text.h"
#include "store/store.h"

enum { LIST_FILTERS = 16, LIST_SORT_KEYS = 3, LIST_LIMIT = 50, LIST_LIMIT_MOST = 1000,
	LIST_TOTALS = 24, LIST_TEXTS = 20 };

struct list_column {
	struct column shown;
	const char *sql;            /* an expression over `from`; NULL: computed by the list's finish */
	bool hidden;                /* selected for finish only, never shown; these come last */
	/* a member of what was sent, which has a column of the list's `record`: both are said there,
	 * and nothing here */
	const struct member *of;
};

enum filter_kind {
	FILTER_ID,                  /* a positive whole number */
	FILTER_INTEGER,
	FILTER_REAL,                /* with a decimal point */
	FILTER_DAY,
	FILTER_WORD,                /* one code, or several with commas between */
	FILTER_PREFIX,              /* the beginning of a text; {value} and {value_end} bound it */
	FILTER_TEXT,
	FILTER_TEXTS,               /* one text, or up to LIST_TEXTS with commas between */
	FILTER_FLAG                 /* yes or no; sql is taken for yes, sql_no for no */
};

struct list_filter {
	const char *name;           /* in the query string */
	const char *title;          /* for people */
	enum filter_kind kind;
	/* the condition; for words: "s.kind = {value}", or NULL: the next; for others NULL: no
	 * condition, but a setting that whoever opens the list heeds */
	const char *sql;
	const char *const *word_sql;   /* a condition for each word, when it is more than a value */
	const char *sql_no;
	const struct words *words;
	const char *sort;           /* of the list, if it has that, when this is sent and none is asked for */
	/* for words: the condition of all rows that are not of the word, where few are; or NULL. Totals
	 * that `counts` cannot tell apart are then what it says of all, less those few */
	const char *const *others_sql;
	/* the rows that are of it, instead of the list's `from`, where asking all rows would take too
	 * long; {value} as in sql, which is NULL then */
	const char *from;
};

/* A filter that means something only beside one of others. */
struct list_need {
	const char *filter;         /* NULL: the list itself does */
	const char *const *one_of;  /* names, ended by NULL */
	const char *says;           /* what the person is told */
};

struct list_sort {
	const char *name;
	const char *title;
	const char *keys[LIST_SORT_KEYS];   /* NOT NULL expressions; the list's id is added last */
	bool text_key[LIST_SORT_KEYS];      /* the key is text, not a whole number */
	bool descending;
	/* a page's rows are picked by their number first, from `totals_from` alone, and only those are
	 * read whole: where no index has the order */
	bool picked;
};

/* What the rows of a list are, when a filter may ask for another table of the same columns. */
struct list_rows {
	const char *filter;                 /* of words */
	/* the table without it, or when several words are sent; then by word. Other than the first
	 * are picked, as above */
	const char *const *table;
};

struct list {
	const char *name;                   /* "due": /api/due, /api/due.csv */
	const char *title;
	const char *summary;                /* one sentence for the API description */
	const char *from;                   /* "bond_state s JOIN line l ON l.id = s.line_id" */
	const char *record;                 /* what `from` calls the table of columns that are members */
	const struct list_rows *rows;       /* NULL: `from` has no {rows} */
	const char *where;                  /* always; NULL: all */
	const char *id;                     /* unique whole-number expression: the last sort key */
	const struct list_column *columns;
	size_t n_columns;
	const struct list_filter *filters;
	size_t n_filters;
	const struct list_need *needs;      /* the last is zeroed; NULL: none */
	const struct list_sort *sorts;      /* the first is the default */
	size_t n_sorts;
	/* Fills computed cells (sql NULL) from the others; row has all columns, hidden ones too. */
	void (*finish)(int32_t today, struct cell *row);
	const struct list_total *totals;    /* over the filtered rows */
	size_t n_totals;
	const char *totals_from;            /* what of `from` they and the filters need; NULL: all */
	const struct list_counts *counts;   /* NULL: rows are counted */
	/* Rows that the rules make, instead of SQL: `from`, `id` and the sql of columns and filters
	 * are NULL then, the one sort has no keys, and finish and totals do not count. */
	const struct list_computed *computed;
	bool is_slow;                       /* pages are made on a job thread too */
};

/* What a column says of its cells. */
struct column list_column_shown(const struct list_column *column);

struct list_query;
struct view;

struct list_computed {
	/* Bits of the columns that tell a row from all others, but for some that stand side by side: a
	 * page goes on behind the row that was given last, whatever came before it since. When that is
	 * gone the page is refused, for nobody knows what is missing. */
	unsigned identity;
	/* NULL: *why. The query and its view (derived/view.h) outlive the rows. */
	void *(*open)(struct view *view, const struct list_query *query, struct problem *why);
	/* Fills the cells, which come zeroed; texts live until the next call. */
	bool (*next)(void *rows, struct cell *row, bool *failed);
	void (*close)(void *rows);
};

/* A total, of the whole list on each of its pages. The filter `without` (NULL: none) is left out,
 * so that all its words are counted; totals that leave out the same stand side by side. */
struct list_total {
	const char *name;
	const char *sql;                    /* 0 or 1 of each row */
	const char *without;
	int rows;                           /* 0: of the rows asked for; else of list_rows.table[rows] */
};

/* A smaller table, each row of which stands for many of the list's: totals are added up from it
 * when every filter sent is one of `filters`. Its alias and columns are those of the list's. */
struct list_counts {
	const char *from;
	const char *weight;                 /* how many rows it stands for */
	const char *const *of_rows;         /* 0 or 1: it stands for rows of list_rows.table[n] */
	const char *const *filters;         /* names, ended by NULL */
	const char *without_line;           /* the condition when there is no filter "line" */
};

/* What was asked for, checked. Text is borrowed from the query pairs. */
struct list_query {
	const struct list *list;
	const struct list_sort *sort;
	struct view *view;                  /* what computed rows are read through; set by its owner */
	int32_t today;
	size_t limit;                       /* rows; 0: all */
	size_t n_given;
	struct { const struct list_filter *filter; const char *text; } given[LIST_FILTERS];
	bool has_after;
	int64_t after_integer[LIST_SORT_KEYS + 1];
	char after_text[LIST_SORT_KEYS][128];
};

/*
 * Reads the query string of a list: its filters, and sort, limit, after. Every wrong or unknown
 * name is a problem of its own. Empty values count as not sent.
 */
bool list_query_read(const struct list *list, const struct query_pair *pairs, size_t count,
	int32_t today, struct list_query *to, struct problems *why);

/* The totals of a query as those of all less those of the others (others_sql): then true, and *all
 * and *others, which borrow from *held, are the two queries. */
bool list_query_others(const struct list_query *query, struct list_filter *held,
	struct list_query *all, struct list_query *others);

/* Whether the list needs none of its filters. */
bool list_needs_nothing(const struct list *list);

/* What was sent for a filter, for lists that are computed: the text, or NULL; as its kind reads;
 * bit 1 << word for each word that was named, 0 for all. */
const char *list_given(const struct list_query *query, const char *name);
int32_t list_given_day(const struct list_query *query, const char *name, int32_t absent);
int64_t list_given_integer(const struct list_query *query, const char *name, int64_t absent);
unsigned list_given_words(const struct list_query *query, const char *name);
bool list_is_among(unsigned words, int word);

struct list_run;

/* Opens the rows; *table is a source of the shown columns, valid until list_close. With a limit,
 * one row more is looked for, so that list_next_page knows. NULL: *why. */
struct list_run *list_open(struct store *store, const struct list_query *query,
	struct table *table, struct problem *why);
void list_close(struct list_run *run);

/* After the last row of a page: true when there are more. */
bool list_has_more(const struct list_run *run);

/* After the last row of a page: true when there are more, and the cursor for them. */
bool list_next_page(const struct list_run *run, char *cursor, size_t size);

/* One number per total, in order. */
bool list_totals(struct store *store, const struct list_query *query, int64_t *to,
	struct problem *why);

/* What rows are counted by: a whole-number expression, {value} being the key's own. */
struct list_key {
	const char *sql;
	int64_t value;
};
enum { LIST_KEYS = 3 };

/*
 * Counts the filtered rows (all filters hold, sort and limit do not) by keys: one call of `each`
 * a combination that occurs, in their order, with the keys (NULL is 0), the number of rows, and
 * one number per total. each: false when memory ran out.
 */
bool list_count_by(struct store *store, const struct list_query *query,
	const struct list_key *keys, size_t n_keys,
	bool (*each)(void *arg, const int64_t *keys, int64_t rows, const int64_t *totals), void *arg,
	struct problem *why);

/* The statement as text, for EXPLAIN and the benchmark; appended to `to`. */
void list_sql(const struct list_query *query, struct text *to);

#endif
