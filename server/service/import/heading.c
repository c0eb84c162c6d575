#include "service/import/heading.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "base/guard.h"
#include "base/utf8.h"
#include "base/workbook/workbook.h"

enum { UNIT_BYTES = 8 };

struct csv_cell import_cell(const struct csv *row, size_t column)
{
	struct csv_cell cell = { "", 0 };
	size_t guard;

	if (column < row->n_cells) {
		cell = row->cell[column];
		utf8_trim(&cell.text, &cell.len);
		guard = guard_length(cell.text, cell.len);
		cell.text += guard;
		cell.len -= guard;
	}
	return cell;
}

bool import_alike(const char *a, size_t a_len, const char *b, size_t b_len)
{
	size_t i = 0, k = 0;

	for (;;) {
		while (i < a_len && !isalnum((unsigned char)a[i]) && (unsigned char)a[i] < 0x80) {
			i++;
		}
		while (k < b_len && !isalnum((unsigned char)b[k]) && (unsigned char)b[k] < 0x80) {
			k++;
		}
		if (i == a_len || k == b_len) {
			return i == a_len && k == b_len;
		}
		if (tolower((unsigned char)a[i++]) != tolower((unsigned char)b[k++])) {
			return false;
		}
	}
}

static void take_number(struct import_headings *h, size_t i)
{
	int len = snprintf(h->own[i], sizeof h->own[i], "Column %zu", i + 1);

	h->name[i] = (struct csv_cell){ h->own[i], (size_t)len };
}

void import_headings_number(struct import_headings *h, size_t count)
{
	h->count = count;
	for (size_t i = 0; i < count; i++) {
		take_number(h, i);
	}
}

static bool same(const struct csv_cell *a, const struct csv_cell *b)
{
	return a->len == b->len && memcmp(a->text, b->text, a->len) == 0;
}

/* Those that are equal get their counts. */
static void part_equal(struct import_headings *h)
{
	for (size_t i = 0; i < h->count; i++) {
		const struct csv_cell shared = h->name[i];
		size_t n = 0;

		for (size_t k = i + 1; k < h->count && n == 0; k++) {
			n += same(&shared, &h->name[k]);
		}
		for (size_t k = i; n > 0 && k < h->count; k++) {
			if (same(&shared, &h->name[k])) {
				int len = snprintf(h->own[k], sizeof h->own[k], "%.*s (%zu)",
					(int)utf8_fit(shared.text, shared.len, 80), shared.text, n++);

				h->name[k] = (struct csv_cell){ h->own[k], (size_t)len };
			}
		}
	}
}

void import_headings_take(struct import_headings *h, const struct csv *first, bool is_data)
{
	import_headings_number(h, first->n_cells);
	for (size_t i = 0; !is_data && i < h->count; i++) {
		struct csv_cell cell = import_cell(first, i);

		h->name[i] = cell.len > 0 ? cell : h->name[i];
	}
	if (!is_data) {
		part_equal(h);
	}
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

bool import_cell_is_figures(const struct csv_cell *cell)
{
	size_t at = 0, digits = 0;

	while (at < cell->len && strchr("<>~ ", cell->text[at]) != NULL) {
		at++;
	}
	if (cell->len - at >= 3 && memcmp(cell->text + at, "\xE2\x88\x92", 3) == 0) {
		at += 3;
	}
	while (at < cell->len && (is_digit(cell->text[at]) ||
		strchr("+-.,:/ ", cell->text[at]) != NULL)) {
		digits += is_digit(cell->text[at++]);
	}
	if (digits == 0 || cell->len - at > UNIT_BYTES) {
		return false;
	}
	while (at < cell->len && !is_digit(cell->text[at]) && cell->text[at] != ' ') {
		at++;
	}
	return at == cell->len;
}

static bool begins(const char *cell, size_t len, const char *with)
{
	return len >= strlen(with) && memcmp(cell, with, strlen(with)) == 0;
}

/* Capitals of any language between # and a mark. */
static bool is_error_name(const char *cell, size_t len)
{
	size_t at = 1;

	if (len < 4 || cell[0] != '#' || (cell[len - 1] != '!' && cell[len - 1] != '?')) {
		return false;
	}
	while (at + 1 < len && (isupper((unsigned char)cell[at]) || is_digit(cell[at]) ||
		(unsigned char)cell[at] >= 0x80 || strchr("/_ ", cell[at]) != NULL)) {
		at++;
	}
	return at + 1 == len;
}

const char *import_cell_error(const char *cell, size_t len)
{
	static const char *const without_mark[] = { "#N/A", "#NV", "#N/D", "#N/B", "#N/T", "#NB",
		"#GETTING_DATA" };
	bool is_error = is_error_name(cell, len) || (begins(cell, len, "Err:") && len == 7 &&
		is_digit(cell[4]) && is_digit(cell[5]) && is_digit(cell[6]));

	if (len == strlen(WORKBOOK_NOT_COMPUTED) && begins(cell, len, WORKBOOK_NOT_COMPUTED)) {
		return "is a formula that was never computed: open the workbook in the spreadsheet, and "
			"save it again";
	}
	for (size_t i = 0; i < sizeof without_mark / sizeof without_mark[0] && !is_error; i++) {
		is_error = strlen(without_mark[i]) == len && begins(cell, len, without_mark[i]);
	}
	return is_error ? "is an error of the spreadsheet: mend it there, or leave the cell empty" :
		NULL;
}

const struct csv_cell *import_heading_like_data(const struct csv_cell *first, size_t n_columns,
	const struct csv_cell *rows, size_t n_rows)
{
	for (size_t i = 0; i < n_columns; i++) {
		bool is_odd = import_cell_is_figures(&first[i]);

		for (size_t r = 0; r < n_rows && !is_odd && first[i].len > 0; r++) {
			is_odd = same(&first[i], &rows[r * n_columns + i]);
		}
		if (is_odd) {
			return &first[i];
		}
	}
	return NULL;
}
