/*
 * What a file's columns are called. A column without a heading has its number for a name, "Column
 * 3", and so have all where the first row is data. Where several have the same heading each has its
 * count behind it, "Km (1)" and "Km (2)", so that nobody takes one for the other. Internal to the
 * importer.
 */
#ifndef SERVICE_IMPORT_HEADING_H
#define SERVICE_IMPORT_HEADING_H

#include "base/csv.h"

enum { IMPORT_HEADING_BYTES = 96 };

struct import_headings {
	struct csv_cell name[CSV_CELLS];
	size_t count;
	char own[CSV_CELLS][IMPORT_HEADING_BYTES];   /* of those without one of their own */
};

/* From the first row. The names are borrowed from it, so they are as good as its bytes. */
void import_headings_take(struct import_headings *headings, const struct csv *first, bool is_data);

/* The same of as many columns. */
void import_headings_number(struct import_headings *headings, size_t count);

/*
 * Whether a first row looks like data, as in a file without headings: a cell is a number, a place
 * or a date, or a word stands again below itself. The first cell that looks so; NULL: it looks like
 * headings. rows: n_rows times n_columns cells from below it.
 */
const struct csv_cell *import_heading_like_data(const struct csv_cell *first, size_t n_columns,
	const struct csv_cell *rows, size_t n_rows);

/* A cell of a row, trimmed and without the apostrophe before a formula; "" beyond its end. */
struct csv_cell import_cell(const struct csv *row, size_t column);

/* Equal but for case and all that is no letter or digit. */
bool import_alike(const char *a, size_t a_len, const char *b, size_t b_len);

/* What is wrong with a cell that holds an error of the spreadsheet by its name, as "#REF!", "#N/A"
 * or "Err:502", in any language; NULL: it holds none. */
const char *import_cell_error(const char *cell, size_t len);

/* Digits with marks and signs between them, and at most a unit behind: a number, a place, a date;
 * so too what is less or more than one. */
bool import_cell_is_figures(const struct csv_cell *cell);

#endif
