#include "base/workbook/sheet.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/csv.h"

enum { DAY_SECONDS = 86400 };

static bool needs_quotes(const char *text, size_t len)
{
	return memchr(text, ',', len) != NULL || memchr(text, '"', len) != NULL ||
		memchr(text, '\n', len) != NULL || memchr(text, '\r', len) != NULL ||
		(len >= 4 && memcmp(text, "sep=", 4) == 0);
}

static void add_cell(struct text *to, const char *text, size_t len)
{
	if (!needs_quotes(text, len)) {
		text_add(to, text, len);
		return;
	}
	text_add_char(to, '"');
	while (len > 0) {
		const char *quote = memchr(text, '"', len);
		size_t part = quote != NULL ? (size_t)(quote - text) + 1 : len;

		text_add(to, text, part);
		text_add_z(to, quote != NULL ? "\"" : "");
		text += part;
		len -= part;
	}
	text_add_char(to, '"');
}

static void add_many(struct text *to, char c, size_t count)
{
	char *at = text_room(to, count);

	if (at != NULL) {
		memset(at, c, count);
		at[count] = '\0';
		to->len += count;
	}
}

/* Fills the row under way up, and goes on to another. */
static void go_to_row(struct sheet *s, size_t row)
{
	if (s->column > 0) {
		s->widest = s->column > s->widest && s->column <= CSV_CELLS ? s->column : s->widest;
		add_many(s->to, ',', s->widest > s->column ? s->widest - s->column : 0);
	}
	add_many(s->to, '\n', row - s->row);
	s->row = row;
	s->column = 0;
}

static bool check(const struct sheet *s, size_t row, size_t column, struct problem *why)
{
	if (row < s->row || (row == s->row && column < s->column)) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The sheet's cells do not stand in order "
			"(row %zu): save the workbook again in the spreadsheet.", row + 1);
	}
	if (row >= WORKBOOK_ROWS || column >= WORKBOOK_COLUMNS) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL, "The sheet goes on beyond row %d or "
			"column %d: delete what stands there by mistake.", WORKBOOK_ROWS, WORKBOOK_COLUMNS);
	}
	if (s->cells >= WORKBOOK_CELLS || s->to->len - s->begin > WORKBOOK_TEXT_BYTES) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL, "The sheet has more than %d cells or %zu "
			"MB: part it.", WORKBOOK_CELLS, WORKBOOK_TEXT_BYTES >> 20);
	}
	return true;
}

bool sheet_put(struct sheet *s, size_t row, size_t column, const char *text, size_t len,
	struct problem *why)
{
	if (len == 0) {
		return true;
	}
	if (!check(s, row, column, why)) {
		return false;
	}
	if (row > s->row) {
		go_to_row(s, row);
	}
	add_many(s->to, ',', s->column == 0 ? column : column - s->column + 1);
	add_cell(s->to, text, len);
	s->column = column + 1;
	s->cells++;
	return true;
}

bool sheet_end(struct sheet *s, struct problem *why)
{
	if (s->column > 0) {
		go_to_row(s, s->row + 1);
	}
	return !s->to->failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

void sheet_number(const struct workbook_writing *writing, double value, int digits,
	char to[SHEET_CELL])
{
	char *mark;

	if (digits > 0 && value >= 0 && value < 1e15 && value == floor(value)) {
		snprintf(to, SHEET_CELL, "%0*.0f", digits < 20 ? digits : 20, value);
		return;
	}
	snprintf(to, SHEET_CELL, "%.15g", value);
	mark = strstr(to, localeconv()->decimal_point);
	if (mark != NULL) {
		*mark = writing->decimal;
	}
}

void sheet_time(int64_t seconds, char to[SHEET_TIME])
{
	int len = snprintf(to, SHEET_TIME, "%02lld:%02d", (long long)(seconds / 3600),
		(int)(seconds / 60 % 60));

	if (seconds % 60 != 0) {
		snprintf(to + len, SHEET_TIME - (size_t)len, ":%02d", (int)(seconds % 60));
	}
}

void sheet_day(const struct workbook_writing *writing, int32_t day, int64_t seconds,
	char to[SHEET_CELL])
{
	int year, month, of_month, len;

	day_to_parts(day, &year, &month, &of_month);
	if (writing->day_format == DAY_YMD) {
		len = snprintf(to, SHEET_CELL, "%04d-%02d-%02d", year, month, of_month);
	} else if (writing->day_format == DAY_DMY) {
		len = snprintf(to, SHEET_CELL, "%02d.%02d.%04d", of_month, month, year);
	} else {
		len = snprintf(to, SHEET_CELL, "%02d/%02d/%04d", month, of_month, year);
	}
	if (seconds > 0 && seconds < DAY_SECONDS && len < SHEET_CELL - SHEET_TIME) {
		to[len] = ' ';
		sheet_time(seconds, to + len + 1);
	}
}

bool sheet_iso_day(const struct workbook_writing *writing, const char *iso, char to[SHEET_CELL])
{
	int32_t day;
	int hours, minutes;
	float seconds = 0;
	int64_t time = 0;

	if (strlen(iso) < 10 || !day_read(iso, 10, &day)) {
		return false;
	}
	if (iso[10] == 'T' && sscanf(iso + 11, "%2d:%2d:%f", &hours, &minutes, &seconds) >= 2) {
		time = (int64_t)hours * 3600 + minutes * 60 + (int64_t)seconds;
	} else if (iso[10] != '\0') {
		return false;
	}
	sheet_day(writing, day, time, to);
	return true;
}
