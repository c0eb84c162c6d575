/*
 * Workbooks of spreadsheets (.xlsx and .ods) as rows of cells: a sheet becomes the text that a CSV
 * file of it would be, in UTF-8 and parted by commas, for base/csv.h.
 *
 * Row n of the text is row n of the sheet: what is empty between is an empty line, and short rows
 * are filled up to the widest one before. Texts are as they are. A number is written as the file
 * holds it, to 15 digits, whatever the sheet shows of it; one that the sheet fills up with zeros
 * (00123) has them. A day is written in the order, and a number with the mark, that the reader of
 * the text goes by, so that what the workbook knows is never read otherwise. A day's number is told
 * from others by its format, from 1900 or from 1904 on, as the workbook says. A cell with an error
 * holds its name ("#N/A"); a formula that was never computed, WORKBOOK_NOT_COMPUTED.
 *
 * Formulas are not computed: their values are read, as they were saved. Macros, pictures, comments
 * and what the workbook links to are not opened.
 */
#ifndef BASE_WORKBOOK_WORKBOOK_H
#define BASE_WORKBOOK_WORKBOOK_H

#include "base/day.h"
#include "base/problem.h"
#include "base/text.h"

enum { WORKBOOK_SHEETS = 200, WORKBOOK_SHEET_NAME = 128, WORKBOOK_ROWS = 1048576,
	WORKBOOK_COLUMNS = 16384, WORKBOOK_CELLS = 40000000 };
#define WORKBOOK_TEXT_BYTES ((size_t)256 << 20)   /* of the rows, and of a workbook's texts */
#define WORKBOOK_NOT_COMPUTED "#NOT COMPUTED"

struct workbook_sheet {
	char name[WORKBOOK_SHEET_NAME];   /* cut off where it is longer */
	bool is_hidden;
};

struct workbook_sheets {
	struct workbook_sheet *sheet;     /* owned */
	size_t count;
};

struct workbook_writing {
	char decimal;                     /* '.' or ',' */
	enum day_format day_format;
};

/* Whether the bytes begin as a workbook of any sort does, .xls too. */
bool workbook_is(const char *bytes, size_t len);

/* The names of the sheets. False: *why, PROBLEM_MALFORMED and the like, says what to do. Release
 * it in any case. */
bool workbook_list(const char *bytes, size_t len, struct workbook_sheets *sheets,
	struct problem *why);
void workbook_sheets_release(struct workbook_sheets *sheets);

/* Appends the rows of a sheet, by its number from 0. */
bool workbook_rows(const char *bytes, size_t len, size_t sheet,
	const struct workbook_writing *writing, struct text *to, struct problem *why);

#endif
