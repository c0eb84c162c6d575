/*
 * Published files as they are, read whole: the counts are those of the folder's own README, which
 * were made by other programs. Ends with 77 (skipped) when BONDBOOK_OPEN_DATA is not set.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/csv_propose.h"
#include "case.h"

static const struct { const char *name; char separator; size_t columns, rows; } files[] = {
	{ "de_betriebsstellen.csv", ',', 9, 5108 },
	{ "de_streckensegmente.csv", ',', 11, 8567 },
	{ "de_kilometerspruenge.csv", ',', 11, 460 },
	{ "fr_passages_a_niveau.csv", ';', 9, 17387 },
	{ "fr_gares.csv", ';', 7, 6469 },
	{ "us_fra_maintrack_events.csv", ',', 18, 14426 },
	{ "notation_examples.csv", ',', 6, 54 },
};

static char *read_file(const char *name, size_t *len)
{
	enum { LARGEST = 8 << 20 };
	char path[4096];
	char *bytes = malloc(LARGEST);
	FILE *file;

	snprintf(path, sizeof path, "%s/%s", getenv("BONDBOOK_OPEN_DATA"), name);
	file = fopen(path, "rb");
	ck_assert_msg(bytes != NULL && file != NULL, "%s", path);
	*len = fread(bytes, 1, LARGEST, file);
	ck_assert(feof(file));
	fclose(file);
	return bytes;
}

START_TEST(finds_the_rows_that_the_publishers_files_hold)
{
	static struct csv csv;

	for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
		size_t len;
		char *bytes = read_file(files[i].name, &len);
		struct text utf8 = { 0 };
		struct problem why = { 0 };
		enum csv_result result;
		size_t rows = 0;

		ck_assert_msg(charset_to_utf8(CHARSET_UTF_8, bytes, len, &utf8, &why), "%s: %s",
			files[i].name, why.detail);
		csv_start(&csv, utf8.data, utf8.len, files[i].separator);
		while ((result = csv_next(&csv, &why)) != CSV_END) {
			ck_assert_msg(result == CSV_ROW && csv_check_columns(&csv, &why), "%s: %s",
				files[i].name, why.detail);
			rows++;
		}
		ck_assert_uint_eq(csv.n_columns, files[i].columns);
		ck_assert_msg(rows == files[i].rows + 1, "%s: %zu rows", files[i].name, rows);
		text_release(&utf8);
		free(bytes);
	}
}
END_TEST

START_TEST(proposes_how_to_read_them)
{
	static struct csv_proposal proposal;

	for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
		size_t len;
		char *bytes = read_file(files[i].name, &len);
		struct problem why = { 0 };

		ck_assert(csv_propose(bytes, len, &proposal, &why));
		printf("%s: %s; %s; %s\n", files[i].name, proposal.charset.why, proposal.separator.why,
			proposal.decimal.why);
		ck_assert_int_eq(proposal.separator.value, files[i].separator);
		ck_assert_int_eq(proposal.separator.sure, SURE_CERTAIN);
		ck_assert_int_eq(proposal.charset.value, CHARSET_UTF_8);
		ck_assert_int_eq(proposal.charset.sure, SURE_CERTAIN);
		free(bytes);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { finds_the_rows_that_the_publishers_files_hold,
		proposes_how_to_read_them, NULL };

	if (getenv("BONDBOOK_OPEN_DATA") == NULL) {
		printf("skipped: BONDBOOK_OPEN_DATA is not set\n");
		return 77;
	}
	return case_run("open_data", tests);
}
