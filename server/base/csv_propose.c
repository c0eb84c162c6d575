#include "base/csv_propose.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

static const char *const sure_codes[] = { "guess", "likely", "certain" };
static const char *const sure_titles[] = { "A guess", "Likely", "Certain" };
const struct words sure_words = { "sure", sure_codes, sure_titles, 3 };

static const char separators[] = { ',', ';', '\t', '|' };
enum { SEPARATORS = 4 };

static const char *name_separator(char c)
{
	return c == '\t' ? "tab" : c == ';' ? "semicolon" : c == '|' ? "bar" : "comma";
}

/* The sample: read anew for each question, from a fresh copy because the reader writes. */
struct sample {
	const char *bytes;
	size_t len;
	char *copy;
	struct csv csv;
};

/* Whole lines, so that no row is cut off. */
static size_t sample_length(const char *bytes, size_t len)
{
	size_t end = len < CSV_SAMPLE_BYTES ? len : CSV_SAMPLE_BYTES;

	if (end == len) {
		return len;
	}
	while (end > 0 && bytes[end - 1] != '\n' && bytes[end - 1] != '\r') {
		end--;
	}
	return end > 0 ? end : CSV_SAMPLE_BYTES;
}

static void sample_start(struct sample *sample, char separator)
{
	memcpy(sample->copy, sample->bytes, sample->len);
	csv_start(&sample->csv, sample->copy, sample->len, separator);
}

/* What the sample looks like when parted by one separator. */
struct parting {
	size_t rows;                  /* wrong ones too */
	size_t columns;               /* of the first row */
	size_t alike;                 /* rows with that many cells */
	size_t odd;                   /* rows with quotes within a cell that is not quoted */
};

/* A wrong separator cuts quoted cells in two, and then their quotes stand in bare cells. */
static bool has_bare_quotes(const struct sample *sample)
{
	for (size_t i = 0; i < sample->csv.n_cells; i++) {
		const struct csv_cell *cell = &sample->csv.cell[i];
		bool quoted = cell->text > sample->copy && cell->text[-1] == '"';

		if (!quoted && cell->len > 0 && memchr(cell->text, '"', cell->len) != NULL) {
			return true;
		}
	}
	return false;
}

static struct parting try_separator(struct sample *sample, char separator)
{
	struct parting parting = { 0 };
	struct problem why = { 0 };
	enum csv_result result;

	sample_start(sample, separator);
	while (parting.rows <= CSV_SAMPLE_ROWS &&
		(result = csv_next(&sample->csv, &why)) != CSV_END) {
		parting.rows++;
		parting.alike += result == CSV_ROW && csv_check_columns(&sample->csv, &why);
		parting.odd += has_bare_quotes(sample);
	}
	parting.columns = sample->csv.n_columns;
	return parting;
}

/* Odd rows count as alike by that weight. */
static double alike_share(const struct parting *parting, double weight)
{
	double alike = (double)parting->alike - (1 - weight) * (double)parting->odd;

	return parting->columns >= 2 && alike > 0 ? alike / (double)parting->rows : 0;
}

/* More rows alike is better; of nearly equals, more columns. */
static bool is_better(const struct parting *a, const struct parting *b)
{
	double share = alike_share(a, 0.5);
	double lead = share - alike_share(b, 0.5);

	return lead > 0.02 || (lead > -0.02 && share > 0 && a->columns > b->columns);
}

static void propose_separator(struct sample *sample, struct csv_choice *choice)
{
	struct parting best = { 0 };
	double second = 0;

	*choice = (struct csv_choice){ .value = ',' };
	if (sample->len >= 5 && memcmp(sample->bytes, "sep=", 4) == 0 &&
		memchr(separators, sample->bytes[4], SEPARATORS) != NULL) {
		choice->value = sample->bytes[4];
		choice->sure = SURE_CERTAIN;
		snprintf(choice->why, sizeof choice->why, "its first line says so");
		return;
	}
	for (int i = 0; i < SEPARATORS; i++) {
		struct parting parting = try_separator(sample, separators[i]);
		double share = alike_share(&parting, 0);

		if (is_better(&parting, &best)) {
			share = alike_share(&best, 0);
			best = parting;
			choice->value = separators[i];
		}
		second = share > second ? share : second;
	}
	if (best.columns < 2) {
		snprintf(choice->why, sizeof choice->why, "no separator was found: it has one column");
		return;
	}
	choice->sure = best.alike == best.rows && second < 0.5 ? SURE_CERTAIN :
		best.alike * 10 > best.rows * 9 ? SURE_LIKELY : SURE_GUESS;
	snprintf(choice->why, sizeof choice->why,
		"parted by the %s, %zu of the first %zu rows have %zu cells like the heading",
		name_separator((char)choice->value), best.alike, best.rows, best.columns);
}

/* What a cell says about the decimal mark. Three digits behind a lone mark may be thousands. */
enum mark { MARK_NONE, MARK_POINT, MARK_COMMA, MARK_EITHER };

static enum mark look_at_mark(const char *cell, size_t len)
{
	size_t at = len > 0 && (cell[0] == '-' || cell[0] == '+') ? 1 : 0;
	size_t from = at;
	size_t marks = 0;
	size_t last = 0;

	for (; at < len; at++) {
		if (cell[at] == '.' || cell[at] == ',') {
			if (marks > 0 && (cell[at] == cell[last] || at - last != 4)) {
				return MARK_NONE;   /* a date, a list, a version */
			}
			marks++;
			last = at;
		} else if (cell[at] < '0' || cell[at] > '9') {
			return MARK_NONE;
		}
	}
	if (marks == 0 || last + 1 == len) {
		return MARK_NONE;
	}
	if (marks == 1 && len - last == 4 && last > from && last - from <= 3 && cell[from] != '0') {
		return MARK_EITHER;
	}
	return cell[last] == '.' ? MARK_POINT : MARK_COMMA;
}

static void propose_decimal(const size_t marks[4], struct csv_choice *choice)
{
	size_t point = marks[MARK_POINT];
	size_t comma = marks[MARK_COMMA];
	size_t more = point > comma ? point : comma;
	size_t fewer = point > comma ? comma : point;

	choice->value = comma > point ? ',' : '.';
	choice->sure = more == 0 || fewer * 10 > more ? SURE_GUESS :
		fewer > 0 ? SURE_LIKELY : SURE_CERTAIN;
	if (more == 0) {
		snprintf(choice->why, sizeof choice->why, "no number with decimals is in the first rows%s",
			marks[MARK_EITHER] > 0 ? ", but some that may have a mark for thousands" : "");
	} else {
		snprintf(choice->why, sizeof choice->why,
			"%zu numbers have a decimal point and %zu a decimal comma%s", point, comma,
			marks[MARK_EITHER] > 0 ? "; some could have a mark for thousands instead" : "");
	}
}

static void look_at_cell(const char *cell, size_t len, struct csv_column_look *column,
	size_t marks[4])
{
	utf8_trim(&cell, &len);
	if (len == 0) {
		return;
	}
	column->filled++;
	marks[look_at_mark(cell, len)]++;
	for (int format = DAY_YMD; format <= DAY_MDY; format++) {
		int32_t day;

		column->dates[format] += day_read_as(cell, len, (enum day_format)format, &day);
	}
}

static void judge_dates(struct csv_column_look *column)
{
	const size_t *dates = column->dates;
	size_t most;

	column->format = DAY_YMD;
	if (dates[DAY_DMY] > dates[column->format]) {
		column->format = DAY_DMY;
	}
	if (dates[DAY_MDY] > dates[column->format]) {
		column->format = DAY_MDY;
	}
	most = dates[column->format];
	column->is_date = most > 0 && most * 10 >= column->filled * 9;
	if (column->format != DAY_YMD && dates[DAY_DMY] == dates[DAY_MDY]) {
		column->sure = SURE_GUESS;
	} else {
		column->sure = most == column->filled ? SURE_CERTAIN : SURE_LIKELY;
	}
}

static void look_at_columns(struct sample *sample, struct csv_proposal *proposal)
{
	size_t marks[4] = { 0 };
	struct problem why = { 0 };
	enum csv_result result;

	sample_start(sample, (char)proposal->separator.value);
	while (proposal->n_rows < CSV_SAMPLE_ROWS &&
		(result = csv_next(&sample->csv, &why)) != CSV_END) {
		if (result == CSV_WRONG || proposal->n_columns == 0) {
			proposal->n_columns = sample->csv.n_columns;
			continue;
		}
		proposal->n_rows++;
		for (size_t i = 0; i < sample->csv.n_cells && i < proposal->n_columns; i++) {
			look_at_cell(sample->csv.cell[i].text, sample->csv.cell[i].len,
				&proposal->column[i], marks);
		}
	}
	for (size_t i = 0; i < proposal->n_columns; i++) {
		judge_dates(&proposal->column[i]);
	}
	propose_decimal(marks, &proposal->decimal);
}

static bool refuse_other_files(const char *bytes, size_t len, struct problem *why)
{
	if (len == 0) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "the file is empty");
	}
	if (len >= 4 && (memcmp(bytes, "PK\x03\x04", 4) == 0 ||
		memcmp(bytes, "\xD0\xCF\x11\xE0", 4) == 0)) {
		return problem_set(why, PROBLEM_MALFORMED, NULL,
			"the file is a workbook; open it in the spreadsheet and save the sheet as CSV");
	}
	if (len >= 2 && (memcmp(bytes, "\xFF\xFE", 2) == 0 || memcmp(bytes, "\xFE\xFF", 2) == 0)) {
		return problem_set(why, PROBLEM_MALFORMED, NULL,
			"the file is UTF-16; save it again as UTF-8 (in a spreadsheet: CSV UTF-8)");
	}
	return true;
}

bool csv_propose(const char *bytes, size_t len, struct csv_proposal *proposal,
	struct problem *why)
{
	size_t mark = len >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
	struct sample *sample;

	*proposal = (struct csv_proposal){ 0 };
	if (!refuse_other_files(bytes, len, why)) {
		return false;
	}
	sample = calloc(1, sizeof *sample + CSV_SAMPLE_BYTES);
	if (sample == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
	}
	sample->bytes = bytes + mark;
	sample->len = sample_length(bytes + mark, len - mark);
	sample->copy = (char *)(sample + 1);
	charset_propose(bytes, len, &proposal->charset);
	propose_separator(sample, &proposal->separator);
	look_at_columns(sample, proposal);
	free(sample);
	return true;
}

void csv_column_why(const struct csv_column_look *column, char why[CSV_WHY_SIZE])
{
	static const char *const orders[] = { "year-month-day", "day-month-year", "month-day-year" };

	why[0] = '\0';
	if (!column->is_date) {
		return;
	}
	if (column->sure == SURE_GUESS) {
		snprintf(why, CSV_WHY_SIZE, "%zu dates, none with a day after the 12th: day and month could "
			"be either way round", column->dates[column->format]);
	} else {
		snprintf(why, CSV_WHY_SIZE, "%zu of %zu cells are dates written %s",
			column->dates[column->format], column->filled, orders[column->format]);
	}
}
