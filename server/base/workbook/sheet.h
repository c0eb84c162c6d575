/* Cells written one after the other as the text of a CSV file. Internal to the workbook reader. */
#ifndef BASE_WORKBOOK_SHEET_H
#define BASE_WORKBOOK_SHEET_H

#include "base/workbook/workbook.h"

struct sheet {
	const struct workbook_writing *writing;
	struct text *to;
	size_t begin;                 /* of it in *to */
	size_t row, column;           /* written so far: whole rows, cells of the one under way */
	size_t widest;
	size_t cells;
};

/* Row and column from 0, never before the last one written. What is empty is passed over. */
bool sheet_put(struct sheet *sheet, size_t row, size_t column, const char *text, size_t len,
	struct problem *why);

/* After the last cell. */
bool sheet_end(struct sheet *sheet, struct problem *why);

enum { SHEET_CELL = 64, SHEET_TIME = 32 };

/* A number to 15 digits; at least so many before the mark. */
void sheet_number(const struct workbook_writing *writing, double value, int digits,
	char to[SHEET_CELL]);

/* A day, and a time of it when it is not midnight. */
void sheet_day(const struct workbook_writing *writing, int32_t day, int64_t seconds,
	char to[SHEET_CELL]);

/* "2024-05-01" or "2024-05-01T13:45:00" in the stated order. False: it is none. */
bool sheet_iso_day(const struct workbook_writing *writing, const char *iso, char to[SHEET_CELL]);

/* 13:45 or 13:45:09, the hours as many as there are. */
void sheet_time(int64_t seconds, char to[SHEET_TIME]);

#endif
