/*
 * Rows and columns on their way out: what a list hands to an encoder.
 *
 * A column says what its cells are; a cell carries one value. Text in a cell is borrowed and
 * valid until the next row is asked for.
 */
#ifndef BASE_TABLE_H
#define BASE_TABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum cell_type {
	CELL_INTEGER,
	CELL_REAL,
	CELL_TEXT,
	CELL_DAY,       /* integer, days since 1970-01-01; written YYYY-MM-DD */
	CELL_INSTANT,   /* integer, milliseconds since 1970; written RFC 3339 UTC */
	CELL_FLAG,      /* integer 0 or 1; written false or true */
	CELL_WORD       /* integer, an index into the column's words; written as its code */
};

/* An enumeration of the trade: index -> code (in JSON, CSV, addresses) and title (for people).
 * Both arrays have n entries; codes are lower case with underscores. */
struct words {
	const char *name;             /* "bond_kind": its name in the API description */
	const char *const *code;
	const char *const *title;
	int n;
};

/* The index of a code, or of a title when the case differs; -1 when there is none. */
int words_find(const struct words *words, const char *text, size_t len);

struct column {
	const char *name;             /* member of the JSON object, CSV heading */
	const char *title;            /* for people */
	const char *unit;             /* "mm", "µΩ"; NULL when there is none */
	enum cell_type type;
	const struct words *words;    /* CELL_WORD only */
	int width;                    /* characters in a spreadsheet; 0 for the type's usual width */
};

struct cell {
	bool is_null;
	int64_t integer;
	double real;
	const char *text;
	size_t len;                   /* bytes of text */
};

/* The cell of a text that lives as long as the row's (NULL or "" is absent), and of a day. */
struct cell cell_of_text(const char *text);
struct cell cell_of_day(int32_t day);

/* A source of rows. next fills n_columns cells and returns true, or false at the end; after the
 * end *failed tells whether all rows were given. */
struct table {
	const struct column *columns;
	size_t n_columns;
	bool (*next)(void *source, struct cell *row, bool *failed);
	void *source;
};

#endif
