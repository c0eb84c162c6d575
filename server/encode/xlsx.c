/*
 * Rows as a workbook: the cells of the CSV with their types. A text is always written as a text
 * cell, which no spreadsheet evaluates, so it needs no guard.
 *
 * The workbook's library writes to a name and keeps its sheets in temporary files: the finished
 * file is copied to the descriptor, or nothing is.
 */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <xlsxwriter.h>

#include "base/log.h"
#include "encode/parts.h"

enum {
	SHEET_NAME_SIZE = 32,           /* 31 characters, says the format; our titles are ASCII */
	CELL_TEXT_MOST = 32767,         /* characters, likewise */
	HEADING_ROOM = 4                /* for the filter's arrow beside a heading */
};
#define EXACT_MOST 9007199254740992 /* 2^53: cells are doubles */
#define SERIAL_1970 25569           /* the day number of 1970-01-01 in a workbook */
#define SERIAL_LEAST 61             /* 1900-03-01: earlier numbers count a 29 February 1900 */
#define DAY_MS 86400000

struct book {
	lxw_workbook *workbook;
	lxw_worksheet *sheet;
	lxw_format *heading, *whole, *day, *instant;
	const struct table *table;
	const char *title;
	int sheets;
	lxw_row_t row;                  /* the next one of the sheet; 0: the heading's */
	struct text text;               /* of one cell, NUL-terminated */
	bool failed;
};

static void hold(struct book *b, lxw_error error)
{
	b->failed = b->failed || error != LXW_NO_ERROR;
}

static int usual_width(enum cell_type type)
{
	return type == CELL_TEXT ? 24 : type == CELL_INSTANT ? 25 : type == CELL_WORD ? 18 :
		type == CELL_DAY ? 11 : 9;
}

static void add_heading(struct book *b)
{
	for (size_t i = 0; i < b->table->n_columns; i++) {
		const struct column *column = &b->table->columns[i];
		int width = column->width > 0 ? column->width : usual_width(column->type);
		int least = (int)strlen(column->name) + HEADING_ROOM;

		hold(b, worksheet_set_column(b->sheet, (lxw_col_t)i, (lxw_col_t)i,
			width > least ? width : least, NULL));
		hold(b, worksheet_write_string(b->sheet, 0, (lxw_col_t)i, column->name, b->heading));
	}
	worksheet_freeze_panes(b->sheet, 1, 0);
	b->row = 1;
}

/* Rows under the heading of a finished sheet can be filtered. */
static void end_sheet(struct book *b)
{
	if (b->sheet != NULL && b->table->n_columns > 0) {
		hold(b, worksheet_autofilter(b->sheet, 0, 0, b->row - 1,
			(lxw_col_t)(b->table->n_columns - 1)));
	}
}

/* A sheet has a limit of rows: what is beyond goes on in the next one. */
static void begin_sheet(struct book *b)
{
	char name[SHEET_NAME_SIZE];

	end_sheet(b);
	b->sheets++;
	if (b->sheets == 1) {
		snprintf(name, sizeof name, "%.31s", b->title);
	} else {
		/* 1,048,576 rows a sheet: four digits are more than any list */
		snprintf(name, sizeof name, "%.26s %u", b->title, (unsigned)b->sheets % 10000);
	}
	b->sheet = workbook_add_worksheet(b->workbook, name);
	b->failed = b->failed || b->sheet == NULL;
	if (!b->failed) {
		add_heading(b);
	}
}

static lxw_format *format_of(struct book *b, const char *numbers)
{
	lxw_format *format = workbook_add_format(b->workbook);

	if (format == NULL) {
		b->failed = true;
	} else if (numbers != NULL) {
		format_set_num_format(format, numbers);
	} else {
		format_set_bold(format);
		format_set_bottom(format, LXW_BORDER_THIN);
	}
	return format;
}

static void begin_book(struct book *b, const struct table *table, const char *title,
	const char *path, char *folder)
{
	lxw_workbook_options options = { .constant_memory = LXW_TRUE, .tmpdir = folder };

	*b = (struct book){ .table = table, .title = title != NULL ? title : "Rows" };
	b->workbook = workbook_new_opt(path, &options);
	b->failed = b->workbook == NULL;
	if (b->failed) {
		return;
	}
	b->heading = format_of(b, NULL);
	b->whole = format_of(b, "0");
	b->day = format_of(b, "yyyy-mm-dd");
	b->instant = format_of(b, "yyyy-mm-dd\"T\"hh:mm:ss.000\"Z\"");
	begin_sheet(b);
}

/* The longest beginning that fits, in whole characters; the last one then says that it goes on. */
static void cut_text(struct text *text)
{
	size_t characters = 0;

	for (size_t i = 0; i < text->len; i++) {
		bool begins = ((unsigned char)text->data[i] & 0xC0) != 0x80;

		if (begins && ++characters == CELL_TEXT_MOST) {
			text->len = i;
			text_add_z(text, "\xE2\x80\xA6");
			return;
		}
	}
}

static void add_string(struct book *b, lxw_col_t at, const char *bytes, size_t len)
{
	text_clear(&b->text);
	text_add(&b->text, bytes, strnlen(bytes, len));
	if (b->text.len >= CELL_TEXT_MOST) {
		cut_text(&b->text);
	}
	b->failed = b->failed || b->text.failed;
	if (!b->failed && b->text.len > 0) {
		hold(b, worksheet_write_string(b->sheet, b->row, at, b->text.data, NULL));
	}
}

/* As the CSV has it, where no number of a workbook can say it. */
static void add_as_text(struct book *b, lxw_col_t at, const struct column *column,
	const struct cell *cell)
{
	struct text plain = { 0 };

	cell_add(column, cell, &plain);
	b->failed = b->failed || plain.failed;
	if (!b->failed) {
		add_string(b, at, plain.data, plain.len);
	}
	text_release(&plain);
}

static void add_date(struct book *b, lxw_col_t at, const struct column *column,
	const struct cell *cell)
{
	bool is_day = column->type == CELL_DAY;
	double serial = SERIAL_1970 + (is_day ? (double)cell->integer :
		(double)cell->integer / DAY_MS);

	if (serial < SERIAL_LEAST) {
		add_as_text(b, at, column, cell);
	} else {
		hold(b, worksheet_write_number(b->sheet, b->row, at, serial, is_day ? b->day : b->instant));
	}
}

static void add_cell(struct book *b, lxw_col_t at, const struct column *column,
	const struct cell *cell)
{
	switch (column->type) {
	case CELL_INTEGER:
		if (cell->integer > EXACT_MOST || cell->integer < -EXACT_MOST) {
			add_as_text(b, at, column, cell);
		} else {
			hold(b, worksheet_write_number(b->sheet, b->row, at, (double)cell->integer, b->whole));
		}
		break;
	case CELL_REAL:
		hold(b, worksheet_write_number(b->sheet, b->row, at, cell->real, NULL));
		break;
	case CELL_FLAG:
		hold(b, worksheet_write_boolean(b->sheet, b->row, at, cell->integer != 0, NULL));
		break;
	case CELL_DAY:
	case CELL_INSTANT:
		add_date(b, at, column, cell);
		break;
	case CELL_WORD:
		add_as_text(b, at, column, cell);
		break;
	case CELL_TEXT:
		add_string(b, at, cell->text, cell->len);
		break;
	}
}

static void add_row(struct book *b, const struct cell *row)
{
	if (b->row == LXW_ROW_MAX) {
		begin_sheet(b);
	}
	for (size_t i = 0; i < b->table->n_columns && !b->failed; i++) {
		if (!cell_is_empty(&b->table->columns[i], &row[i])) {
			add_cell(b, (lxw_col_t)i, &b->table->columns[i], &row[i]);
		}
	}
	b->row++;
}

/* Writes the file to its name; with drop, forgets it. False: it is not there. */
static bool end_book(struct book *b, bool drop)
{
	lxw_doc_properties properties = { .title = (char *)b->title };
	bool right = !drop && !b->failed;

	if (right) {
		end_sheet(b);
		hold(b, workbook_set_properties(b->workbook, &properties));
		right = !b->failed && workbook_close(b->workbook) == LXW_NO_ERROR;
	} else if (b->workbook != NULL) {
		lxw_workbook_free(b->workbook);
	}
	text_release(&b->text);
	return right;
}

static bool refuse_not_written(struct problem *why)
{
	log_line(LOG_ERROR, "workbook not written", "cause", strerror(errno), NULL);
	return problem_set(why, PROBLEM_STORE, NULL, "the file could not be written to its end");
}

static bool copy(const char *path, int fd, struct problem *why)
{
	struct text piece = { 0 };
	FILE *file = fopen(path, "rb");
	bool right = file != NULL || refuse_not_written(why);
	bool more = right;

	while (right && more) {
		char *room = text_room(&piece, FLUSH_BYTES);

		if (room == NULL) {
			right = refuse_no_memory(why);
			break;
		}
		piece.len = fread(room, 1, FLUSH_BYTES, file);
		more = piece.len > 0;
		right = ferror(file) ? refuse_not_written(why) : flush_text(&piece, 1, fd, why);
	}
	if (file != NULL) {
		fclose(file);
	}
	text_release(&piece);
	return right;
}

static bool fill(const char *path, const char *folder, const struct table *table,
	const char *title, struct rows *rows, struct problem *why)
{
	struct book book;
	bool ended;

	begin_book(&book, table, title, path, (char *)folder);
	while (!book.failed && rows_next(rows)) {
		add_row(&book, rows->row);
	}
	ended = end_book(&book, rows->failed);
	if (rows->failed) {
		return refuse_cut_short(rows, why);
	}
	return ended || refuse_not_written(why);
}

bool encode_xlsx(const struct table *table, const struct encode_options *options, int fd,
	size_t *count, struct problem *why)
{
	const char *set = getenv("TMPDIR");
	const char *folder = set != NULL && *set != '\0' ? set : "/var/tmp";   /* /tmp may be memory */
	struct rows rows = { 0 };
	char path[4096];
	int len = snprintf(path, sizeof path, "%s/bondbook-XXXXXX", folder);
	int made = len > 0 && (size_t)len < sizeof path ? mkstemp(path) : -1;
	bool right = made >= 0 || refuse_not_written(why);

	if (right) {
		close(made);
		right = rows_start(&rows, table, why) &&
			fill(path, folder, table, options->title, &rows, why) && copy(path, fd, why);
		unlink(path);
	}
	*count = rows.count;
	rows_release(&rows);
	return right;
}
