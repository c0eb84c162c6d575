/*
 * A reader of comma-separated files as people have them, row by row, from memory, with no
 * allocation.
 *
 *     struct csv csv;
 *     csv_start(&csv, bytes, len, ';');
 *     while ((result = csv_next(&csv, &why)) != CSV_END) {
 *         if (result == CSV_WRONG) ... note why and go on ...
 *         else ... csv.cell[0 .. csv.n_cells - 1] ...
 *     }
 *
 * Rows end in LF, CR LF or CR. A cell that begins with a quote ends at its closing quote and may
 * hold separators, line ends and doubled quotes (RFC 4180); white space after the closing quote is
 * dropped, other text there makes the row wrong, because nobody can tell what was meant. In a cell
 * that does not begin with a quote, quotes are like any other character. White space is kept.
 * Empty lines are passed over. A first line "sep=;", as some spreadsheets write it, too.
 *
 * A wrong row (a quote that is never closed, text after a closing quote, a NUL, too many cells, too
 * long) costs only itself: reading goes on with the line after the one in which it began.
 */
#ifndef BASE_CSV_H
#define BASE_CSV_H

#include <stdbool.h>
#include <stddef.h>

#include "base/problem.h"

enum { CSV_CELLS = 512, CSV_ROW_BYTES = 64 * 1024 };

enum csv_result { CSV_ROW, CSV_WRONG, CSV_END };

struct csv_cell {
	const char *text;             /* within the bytes; not NUL-terminated */
	size_t len;
};

struct csv {
	/* of the row that csv_next read */
	struct csv_cell cell[CSV_CELLS];
	size_t n_cells;
	size_t row;                   /* as a spreadsheet counts: 1 is the first, empty lines count */
	size_t line;                  /* in which it begins, as a text editor counts, from 1 */

	size_t n_columns;             /* cells of the first right row */
	size_t part;                  /* 0; for who makes several records of a row: which one it is */

	/* the reader's own */
	char separator;
	char *at, *end;
	size_t next_line;
	const char *nul;              /* the next NUL, or end */
};

/* separator is one of , ; | or the tab. The bytes are the caller's; the reader writes into them
 * (a doubled quote becomes one). */
void csv_start(struct csv *csv, char *bytes, size_t len, char separator);

/* CSV_WRONG: *why is PROBLEM_MALFORMED with row and line in its sentence; n_cells is 0. */
enum csv_result csv_next(struct csv *csv, struct problem *why);

/* False when the row has not as many cells as the first one had: *why names both counts. Empty
 * cells beyond the last column do not count. */
bool csv_check_columns(const struct csv *csv, struct problem *why);

/* True when every cell of the row is empty, as spreadsheets save empty rows. */
bool csv_is_blank(const struct csv *csv);

#endif
