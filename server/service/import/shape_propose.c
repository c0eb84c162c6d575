#include "service/import/shape_propose.h"

#include <stdlib.h>
#include <string.h>

#include "base/csv.h"
#include "base/utf8.h"
#include "service/import/heading.h"

enum { LOOKED_ROWS = 60, LAST_ROWS = 6, NARROW = 3 };

/* What begins a row of totals, in small letters. */
static const char *const totals[] = { "total", "totals", "totale", "totaal", "sum", "summe",
	"summa", "suma", "somme", "gesamt", "gesamtsumme", "insgesamt", "razem", "celkem",
	"ukupno", "toplam", "grand total",
	"subtotal", "zwischensumme", "sous-total", "yhteens\xc3\xa4", "\xc3\xb6sszesen",
	"i alt", "totalt" };

struct looked_row {
	size_t row, offset, filled;
};

struct looking {
	struct csv csv;
	struct text copy;
	struct looked_row rows[LOOKED_ROWS];
	size_t n_rows;
};

static size_t count_filled(const struct csv *csv)
{
	size_t n = 0;

	for (size_t i = 0; i < csv->n_cells; i++) {
		n += import_cell(csv, i).len > 0;
	}
	return n;
}

/* A fresh copy each time: the reader writes into it. */
static bool start(struct looking *l, const char *bytes, size_t len, char separator)
{
	text_clear(&l->copy);
	text_add(&l->copy, bytes, len);
	csv_start(&l->csv, l->copy.data, l->copy.len, separator);
	return !l->copy.failed;
}

/* The first rows; how many cells stand in those that are as wide as most. */
static size_t look_at_first(struct looking *l, const char *bytes, size_t len, char separator)
{
	struct problem why = { 0 };
	size_t counts[CSV_CELLS + 1] = { 0 }, best = 0;
	size_t part = len < CSV_ROW_BYTES * 4 ? len : CSV_ROW_BYTES * 4;

	l->n_rows = 0;
	if (!start(l, bytes, part, separator)) {
		return 0;
	}
	while (l->n_rows < LOOKED_ROWS) {
		struct looked_row *r = &l->rows[l->n_rows];
		enum csv_result got;

		r->offset = (size_t)(l->csv.at - l->copy.data);
		got = csv_next(&l->csv, &why);
		if (got == CSV_END) {
			break;
		}
		r->row = l->csv.row;
		r->filled = got == CSV_ROW ? count_filled(&l->csv) : 0;
		counts[l->csv.n_cells] += l->csv.n_cells > 1;
		l->n_rows++;
	}
	for (size_t i = 0; i <= CSV_CELLS; i++) {
		best = counts[i] * i > best ? counts[i] * i : best;
	}
	return best;
}

static char find_separator(struct looking *l, const char *bytes, size_t len)
{
	static const char all[] = { ',', ';', '\t', '|' };
	size_t most = 0;
	char best = ',';

	for (size_t i = 0; i < sizeof all; i++) {
		size_t n = look_at_first(l, bytes, len, all[i]);

		best = n > most ? all[i] : best;
		most = n > most ? n : most;
	}
	return best;
}

static void find_begin(const struct looking *l, struct shape_proposal *to)
{
	size_t widest = 0, at = 0;

	for (size_t i = 0; i < l->n_rows; i++) {
		widest = l->rows[i].filled > widest ? l->rows[i].filled : widest;
	}
	while (at < l->n_rows && l->rows[at].filled * 2 < widest && l->rows[at].filled <= NARROW) {
		at++;
	}
	if (widest < NARROW || at == l->n_rows || at == 0 || l->rows[at].filled * 2 < widest) {
		return;
	}
	to->begins_row = (int64_t)l->rows[at].row;
	to->offset = l->rows[at].offset;
	text_fit(to->begins_why, sizeof to->begins_why, "row %zu is the first with as many cells as "
		"the rows below it; above it stand titles", l->rows[at].row);
}

static void find_stated(const struct looking *l, int64_t begins_row, struct shape_proposal *to)
{
	for (size_t i = 0; i < l->n_rows && to->offset == 0; i++) {
		to->offset = (int64_t)l->rows[i].row >= begins_row ? l->rows[i].offset : 0;
	}
}

static bool is_total(const struct csv_cell *cell)
{
	for (size_t i = 0; i < sizeof totals / sizeof totals[0]; i++) {
		size_t len = strlen(totals[i]);

		if (cell->len >= len && import_alike(cell->text, len, totals[i], len) &&
			(cell->len == len || strchr(" :.=", cell->text[len]) != NULL)) {
			return true;
		}
	}
	return false;
}

static struct csv_cell first_filled(const struct csv *csv)
{
	struct csv_cell cell = { "", 0 };

	for (size_t i = 0; i < csv->n_cells && cell.len == 0; i++) {
		cell = import_cell(csv, i);
	}
	return cell;
}

/* Of the rows with anything in them: where one of the last few begins with a word for a total. */
static void find_end(struct looking *l, size_t begins_row, struct shape_proposal *to)
{
	struct problem why = { 0 };
	size_t before = 0, total = 0, since = 0;
	char word[40] = "";
	enum csv_result got;

	while ((got = csv_next(&l->csv, &why)) != CSV_END) {
		struct csv_cell first;

		if (got != CSV_ROW || csv_is_blank(&l->csv)) {
			continue;
		}
		first = first_filled(&l->csv);
		since += total > 0;
		if (is_total(&first) && before > begins_row && (total == 0 || since > LAST_ROWS)) {
			total = before;
			since = 0;
			text_fit(word, sizeof word, "%.*s", (int)utf8_fit(first.text, first.len, 30),
				first.text);
		}
		before = l->csv.row;
	}
	if (total > 0 && since <= LAST_ROWS) {
		to->ends_row = (int64_t)total;
		text_fit(to->ends_why, sizeof to->ends_why, "the row after it begins with \"%s\"", word);
	}
}

bool import_propose_shape(const char *bytes, size_t len, const struct import_settings *settings,
	struct shape_proposal *to, struct problems *why)
{
	struct looking *l = calloc(1, sizeof *l);
	bool ok = l != NULL;
	char separator;

	*to = (struct shape_proposal){ 0 };
	if (ok) {
		separator = settings->separator >= 0 ? import_separator(settings) :
			find_separator(l, bytes, len);
		look_at_first(l, bytes, len, separator);
		if (settings->begins_row > 0) {
			find_stated(l, settings->begins_row, to);
		} else {
			find_begin(l, to);
		}
		ok = start(l, bytes, len, separator);
		if (ok && settings->ends_row <= 0) {
			find_end(l, to->begins_row > 0 ? (size_t)to->begins_row : 1, to);
		}
		text_release(&l->copy);
	}
	free(l);
	return ok || problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}
