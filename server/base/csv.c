#include "base/csv.h"

#include <stdint.h>
#include <string.h>

/* One row under way. Nothing is written into the bytes before the row is known to be right. */
struct scan {
	char *at;                     /* next byte to look at */
	char *end;                    /* of the bytes, or of the longest row from here */
	size_t lines;                 /* line ends passed */
	size_t first_doubled;         /* cell with doubled quotes, SIZE_MAX: none */
	uint64_t doubled[CSV_CELLS / 64];
};

static bool is_line_end(char c)
{
	return c == '\n' || c == '\r';
}

static char *pass_line_end(char *at, const char *end)
{
	if (at < end && *at == '\r') {
		at++;
		return at < end && *at == '\n' ? at + 1 : at;
	}
	return at < end && *at == '\n' ? at + 1 : at;
}

static char *find_line_end(char *at, const char *end)
{
	while (at < end && !is_line_end(*at)) {
		at++;
	}
	return at;
}

void csv_start(struct csv *csv, char *bytes, size_t len, char separator)
{
	csv->n_cells = 0;
	csv->n_columns = 0;
	csv->part = 0;
	csv->row = 0;
	csv->line = 0;
	csv->separator = separator;
	csv->at = bytes;
	csv->end = bytes + len;
	csv->next_line = 1;
	csv->nul = len > 0 ? memchr(bytes, '\0', len) : NULL;
	csv->nul = csv->nul != NULL ? csv->nul : csv->end;
	if (len >= 5 && memcmp(bytes, "sep=", 4) == 0 && (len == 5 || is_line_end(bytes[5]))) {
		csv->at = pass_line_end(bytes + 5, csv->end);
		csv->next_line = 2;
		csv->row = 1;
	}
}

/* The next row begins on the line after the one where this began. */
static enum csv_result give_up(struct csv *csv)
{
	csv->at = pass_line_end(find_line_end(csv->at, csv->end), csv->end);
	csv->next_line++;
	csv->n_cells = 0;
	if (csv->nul < csv->at) {
		csv->nul = memchr(csv->at, '\0', (size_t)(csv->end - csv->at));
		csv->nul = csv->nul != NULL ? csv->nul : csv->end;
	}
	return CSV_WRONG;
}

static size_t count_lines(const char *from, const char *end)
{
	size_t lines = 0;

	while (from < end) {
		if (*from == '\n' || (*from == '\r' && from[1] != '\n')) {
			lines++;
		}
		from++;
	}
	return lines;
}

enum quoted { QUOTED_RIGHT, QUOTED_OPEN, QUOTED_TEXT_AFTER };

/* scan->at stands on the opening quote; after, on the separator or line end behind the cell. */
static enum quoted scan_quoted(struct scan *scan, char separator, size_t n, struct csv_cell *cell)
{
	char *from = ++scan->at;
	char *close;

	for (;;) {
		close = memchr(scan->at, '"', (size_t)(scan->end - scan->at));
		if (close == NULL) {
			return QUOTED_OPEN;
		}
		if (close + 1 == scan->end || close[1] != '"') {
			break;
		}
		scan->doubled[n / 64] |= (uint64_t)1 << n % 64;
		scan->first_doubled = scan->first_doubled < n ? scan->first_doubled : n;
		scan->at = close + 2;
	}
	*cell = (struct csv_cell){ from, (size_t)(close - from) };
	scan->lines += count_lines(from, close);
	scan->at = close + 1;
	while (scan->at < scan->end && *scan->at != separator &&
		(*scan->at == ' ' || *scan->at == '\t')) {
		scan->at++;
	}
	return scan->at == scan->end || *scan->at == separator || is_line_end(*scan->at) ?
		QUOTED_RIGHT : QUOTED_TEXT_AFTER;
}

static void scan_bare(struct scan *scan, char separator, struct csv_cell *cell)
{
	char *from = scan->at;
	char *at = from;

	while (at < scan->end && *at != separator && *at != '\n' && *at != '\r') {
		at++;
	}
	*cell = (struct csv_cell){ from, (size_t)(at - from) };
	scan->at = at;
}

/* In place: it only gets shorter. */
static void undouble(struct csv_cell *cell, char *base)
{
	char *text = base + (cell->text - base);
	size_t to = 0;

	for (size_t from = 0; from < cell->len; from++) {
		text[to++] = text[from];
		from += text[from] == '"' ? 1 : 0;
	}
	cell->len = to;
}

static enum csv_result refuse_quote(struct csv *csv, const struct scan *scan, enum quoted quoted,
	struct problem *why)
{
	size_t line = csv->line + scan->lines;

	if (quoted == QUOTED_TEXT_AFTER) {
		problem_set(why, PROBLEM_MALFORMED, NULL, "row %zu (line %zu): text follows the closing "
			"quote of cell %zu; a quote within a quoted cell must be doubled", csv->row, line,
			csv->n_cells + 1);
	} else if (scan->end == csv->end) {
		problem_set(why, PROBLEM_MALFORMED, NULL,
			"row %zu (line %zu): the quote that opens cell %zu is never closed", csv->row, line,
			csv->n_cells + 1);
	} else {
		problem_set(why, PROBLEM_MALFORMED, NULL, "row %zu (line %zu): the quote that opens cell "
			"%zu is not closed within %d bytes, the longest row", csv->row, line,
			csv->n_cells + 1, CSV_ROW_BYTES);
	}
	return give_up(csv);
}

/* Passes over empty lines. False at the end of the bytes. */
static bool find_row(struct csv *csv)
{
	for (;;) {
		csv->row++;
		csv->line = csv->next_line;
		if (csv->at == csv->end) {
			return false;
		}
		if (!is_line_end(*csv->at)) {
			return true;
		}
		csv->at = pass_line_end(csv->at, csv->end);
		csv->next_line++;
	}
}

static enum csv_result end_row(struct csv *csv, struct scan *scan, struct problem *why)
{
	if (csv->nul < scan->at) {
		problem_set(why, PROBLEM_MALFORMED, NULL,
			"row %zu (line %zu) holds a NUL byte, which no text has", csv->row, csv->line);
		return give_up(csv);
	}
	if (scan->at - csv->at > CSV_ROW_BYTES) {
		problem_set(why, PROBLEM_MALFORMED, NULL, "row %zu (line %zu) is longer than %d bytes",
			csv->row, csv->line, CSV_ROW_BYTES);
		return give_up(csv);
	}
	for (size_t n = scan->first_doubled; n < csv->n_cells; n++) {
		if ((scan->doubled[n / 64] >> n % 64 & 1) != 0) {
			undouble(&csv->cell[n], csv->at);
		}
	}
	if (csv->n_columns == 0) {
		csv->n_columns = csv->n_cells;
	}
	csv->at = pass_line_end(scan->at, csv->end);
	csv->next_line = csv->line + scan->lines + 1;
	return CSV_ROW;
}

enum csv_result csv_next(struct csv *csv, struct problem *why)
{
	struct scan scan = { .first_doubled = SIZE_MAX };
	const char separator = csv->separator;

	csv->n_cells = 0;
	if (!find_row(csv)) {
		return CSV_END;
	}
	scan.at = csv->at;
	scan.end = csv->end - csv->at > CSV_ROW_BYTES ? csv->at + CSV_ROW_BYTES + 1 : csv->end;
	for (;;) {
		struct csv_cell *cell = &csv->cell[csv->n_cells];

		if (csv->n_cells == CSV_CELLS) {
			problem_set(why, PROBLEM_MALFORMED, NULL, "row %zu (line %zu) has more than %d cells",
				csv->row, csv->line, CSV_CELLS);
			return give_up(csv);
		}
		if (scan.at < scan.end && *scan.at == '"') {
			enum quoted quoted = scan_quoted(&scan, separator, csv->n_cells, cell);

			if (quoted != QUOTED_RIGHT) {
				return refuse_quote(csv, &scan, quoted, why);
			}
		} else {
			scan_bare(&scan, separator, cell);
		}
		csv->n_cells++;
		if (scan.at == scan.end || *scan.at != separator) {
			return end_row(csv, &scan, why);
		}
		scan.at++;
	}
}

bool csv_check_columns(const struct csv *csv, struct problem *why)
{
	size_t n = csv->n_cells;

	while (n > csv->n_columns && csv->cell[n - 1].len == 0) {
		n--;
	}
	if (n == csv->n_columns) {
		return true;
	}
	return problem_set(why, PROBLEM_MALFORMED, NULL,
		"row %zu (line %zu) has %zu cells where the first row has %zu", csv->row, csv->line, n,
		csv->n_columns);
}

bool csv_is_blank(const struct csv *csv)
{
	for (size_t i = 0; i < csv->n_cells; i++) {
		if (csv->cell[i].len > 0) {
			return false;
		}
	}
	return true;
}
