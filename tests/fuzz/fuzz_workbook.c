/*
 * Any bytes as a workbook: its sheets, and the rows of each, in every order of a day. The corpus
 * has parts that are not compressed, so that what is changed in one reaches its reader.
 */
#include <assert.h>
#include <stdint.h>

#include "base/csv.h"
#include "base/utf8.h"
#include "base/workbook/workbook.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_problem(const struct problem *why)
{
	assert(why->code == PROBLEM_MALFORMED || why->code == PROBLEM_TOO_LARGE);
	assert(why->detail[0] != '\0' && utf8_valid(why->detail, strlen(why->detail)));
}

/* What comes out is text, which the CSV reader takes row by row. */
static void check_rows(struct text *rows)
{
	static struct csv csv;
	struct problem why = { 0 };

	assert(rows->len == 0 || utf8_valid(rows->data, rows->len));
	csv_start(&csv, rows->data, rows->len, ',');
	while (csv_next(&csv, &why) != CSV_END) {
		assert(csv.row <= WORKBOOK_ROWS);
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct workbook_sheets sheets;
	struct problem why = { 0 };

	if (!workbook_list((const char *)data, size, &sheets, &why)) {
		check_problem(&why);
	}
	for (size_t i = 0; i < sheets.count && i < 4; i++) {
		const struct workbook_writing writing = { i % 2 == 0 ? '.' : ',',
			(enum day_format)(i % 3) };
		struct text rows = { 0 };

		assert(utf8_valid(sheets.sheet[i].name, strlen(sheets.sheet[i].name)));
		why = (struct problem){ 0 };
		if (workbook_rows((const char *)data, size, i, &writing, &rows, &why)) {
			check_rows(&rows);
		} else {
			check_problem(&why);
		}
		text_release(&rows);
	}
	workbook_sheets_release(&sheets);
	return 0;
}
