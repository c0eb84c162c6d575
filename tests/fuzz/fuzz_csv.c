/*
 * Any bytes as a CSV file. The first byte picks the separator and the encoding. What is read,
 * written again with every cell quoted, must read the same; reading must end and move forward.
 */
#include <assert.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/charset.h"
#include "base/csv_propose.h"
#include "base/utf8.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void write_row(const struct csv *csv, struct text *to)
{
	for (size_t i = 0; i < csv->n_cells; i++) {
		text_add_z(to, i > 0 ? ";\"" : "\"");
		for (size_t j = 0; j < csv->cell[i].len; j++) {
			text_add(to, "\"", csv->cell[i].text[j] == '"' ? 1 : 0);
			text_add_char(to, csv->cell[i].text[j]);
		}
		text_add_char(to, '"');
	}
	text_add_z(to, "\r\n");
}

static void read_again(const struct csv *csv)
{
	static struct csv again;
	struct text row = { 0 };
	struct problem why = { 0 };

	write_row(csv, &row);
	if (row.len <= CSV_ROW_BYTES) {
		csv_start(&again, row.data, row.len, ';');
		assert(csv_next(&again, &why) == CSV_ROW);
		assert(again.n_cells == csv->n_cells);
		for (size_t i = 0; i < csv->n_cells; i++) {
			assert(again.cell[i].len == csv->cell[i].len);
			assert(memcmp(again.cell[i].text, csv->cell[i].text, csv->cell[i].len) == 0);
		}
		assert(csv_next(&again, &why) == CSV_END);
	}
	text_release(&row);
}

static void read_file(const char *bytes, size_t len, char separator)
{
	static struct csv csv;
	char *copy = malloc(len > 0 ? len : 1);
	struct problem why = { 0 };
	enum csv_result result;
	size_t line = 0;

	assert(copy != NULL);
	memcpy(copy, bytes, len);
	csv_start(&csv, copy, len, separator);
	while ((result = csv_next(&csv, &why)) != CSV_END) {
		assert(csv.line > line);
		line = csv.line;
		if (result == CSV_WRONG) {
			assert(why.code == PROBLEM_MALFORMED);
			continue;
		}
		assert(csv.n_cells >= 1 && csv.n_cells <= CSV_CELLS);
		for (size_t i = 0; i < csv.n_cells; i++) {
			assert(csv.cell[i].text >= copy && csv.cell[i].text + csv.cell[i].len <= copy + len);
			assert(csv.cell[i].len == 0 || memchr(csv.cell[i].text, 0, csv.cell[i].len) == NULL);
		}
		csv_check_columns(&csv, &why);
		csv_is_blank(&csv);
		read_again(&csv);
	}
	free(copy);
}

static void propose(const char *bytes, size_t len)
{
	static struct csv_proposal proposal;
	struct problem why = { 0 };
	char sentence[CSV_WHY_SIZE];

	if (!csv_propose(bytes, len, &proposal, &why)) {
		assert(why.code == PROBLEM_MALFORMED);
		return;
	}
	assert(utf8_valid(proposal.charset.why, strlen(proposal.charset.why)));
	assert(proposal.n_rows <= CSV_SAMPLE_ROWS && proposal.n_columns <= CSV_CELLS);
	for (size_t i = 0; i < proposal.n_columns; i++) {
		csv_column_why(&proposal.column[i], sentence);
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static const char separators[] = { ',', ';', '\t', '|' };
	struct text utf8 = { 0 };
	struct problem why = { 0 };
	enum charset from;

	if (size == 0) {
		return 0;
	}
	propose((const char *)data + 1, size - 1);
	from = (enum charset)(data[0] / 4 % 3);
	if (charset_to_utf8(from, (const char *)data + 1, size - 1, &utf8, &why)) {
		assert(utf8_valid(utf8.data, utf8.len));
		read_file(utf8.data, utf8.len, separators[data[0] % 4]);
	} else {
		assert(why.code == PROBLEM_MALFORMED);
		read_file((const char *)data + 1, size - 1, separators[data[0] % 4]);
	}
	text_release(&utf8);
	return 0;
}
