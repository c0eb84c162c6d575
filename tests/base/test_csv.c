#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/csv.h"
#include "base/text.h"
#include "case.h"

/*
 * Reads a whole file and writes what came: cells in < >, rows with their row and line numbers
 * where asked, wrong rows as "!" with the sentence left out.
 */
static char *read_all(const char *bytes, size_t len, char separator, bool numbers, char *first_why)
{
	static struct csv csv;
	struct text out = { 0 };
	struct problem why = { 0 };
	enum csv_result result;
	char *copy = malloc(len > 0 ? len : 1);   /* exact size: reading past it is seen */

	memcpy(copy, bytes, len);
	csv_start(&csv, copy, len, separator);
	text_add_z(&out, "");
	while ((result = csv_next(&csv, &why)) != CSV_END) {
		if (numbers) {
			text_addf(&out, "%zu:%zu", csv.row, csv.line);
		}
		for (size_t i = 0; i < csv.n_cells; i++) {
			text_addf(&out, "<%.*s>", (int)csv.cell[i].len, csv.cell[i].text);
		}
		text_add_z(&out, result == CSV_WRONG ? "!" : ".");
		if (result == CSV_WRONG && first_why != NULL && first_why[0] == '\0') {
			snprintf(first_why, PROBLEM_DETAIL_SIZE, "%s", why.detail);
		}
	}
	free(copy);
	return text_detach(&out, NULL);
}

/* RFC 4180, section 2, and what people's files do beside it. */
static const struct { const char *label, *file; char separator; const char *cells; } files[] = {
	{ "nothing", "", ',', "" },
	{ "rule 1: CR LF", "aaa,bbb\r\nzzz,yyy\r\n", ',', "<aaa><bbb>.<zzz><yyy>." },
	{ "rule 2: no last line end", "aaa,bbb\r\nzzz,yyy", ',', "<aaa><bbb>.<zzz><yyy>." },
	{ "rule 4: spaces belong to the cell", " a , b ", ',', "< a >< b >." },
	{ "rule 5", "\"aaa\",\"bbb\"\r\nzzz", ',', "<aaa><bbb>.<zzz>." },
	{ "rule 6", "\"aaa\",\"b\r\nbb\",\"c,c\"\r\nz", ',', "<aaa><b\r\nbb><c,c>.<z>." },
	{ "rule 7", "\"a\"\"b\",\"\"\"\",\"\"", ',', "<a\"b><\"><>." },
	{ "only doubled quotes", "\"\"\"\"\"\",x", ',', "<\"\"><x>." },
	{ "LF", "a,b\nc,d\n", ',', "<a><b>.<c><d>." },
	{ "CR", "a,b\rc,d\r", ',', "<a><b>.<c><d>." },
	{ "semicolon", "a;b,c\n", ';', "<a><b,c>." },
	{ "tab", "a\tb\n", '\t', "<a><b>." },
	{ "bar", "a|b\n", '|', "<a><b>." },
	{ "empty cells", ",,\n,\n", ',', "<><><>.<><>." },
	{ "a separator at the end", "a,b,", ',', "<a><b><>." },
	{ "quotes within a bare cell", "5\" x 3\",b \"c\"\n", ',', "<5\" x 3\"><b \"c\">." },
	{ "a space before a quote", "a, \"b\"\n", ',', "<a>< \"b\">." },
	{ "white space after a closing quote", "\"a\" ,\"b\"\t\n", ',', "<a><b>." },
	{ "a tab after a quote is the separator", "\"a\"\t\"b\"\n", '\t', "<a><b>." },
	{ "empty lines", "\n\r\na\n\n\nb\n\n", ',', "<a>.<b>." },
	{ "one empty quoted cell is a row", "\"\"\n", ',', "<>." },
	{ "separator line", "sep=;\r\na;b\r\n", ';', "<a><b>." },
	{ "separator line alone", "sep=;", ';', "" },
	{ "no separator line", "sep=;x\n", ';', "<sep=><x>." },
	{ "text after a closing quote", "\"a\"b,c\nd,e\n", ',', "!<d><e>." },
	{ "an open quote costs one line", "a,\"b\nc,d\n", ',', "!<c><d>." },
	{ "an open quote in the last line", "a\n\"b", ',', "<a>.!" },
	{ "a lone quote", "\"", ',', "!" },
	{ "a wrong row leaves the next lines as they are", "\"a\"\"\nb\"\"\nc\",\"d\ne\n",
		',', "!<b\"\">.!<e>." },
	{ "doubled quotes over two lines", "\"a\"\"\nb\",\"c\n\"\"d\"\n", ',',
		"<a\"\nb><c\n\"d>." },
};

START_TEST(reads_cells_as_rfc_4180_and_people_write_them)
{
	for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
		char *cells = read_all(files[i].file, strlen(files[i].file), files[i].separator, false,
			NULL);

		ck_assert_msg(strcmp(cells, files[i].cells) == 0, "%s: got %s, not %s", files[i].label,
			cells, files[i].cells);
		free(cells);
	}
}
END_TEST

START_TEST(counts_rows_and_lines)
{
	static const char file[] = "h,i\r\n\"two\r\nlines\",x\r\n\r\ny,\"a\rb\nc\"\rz,z\nlast";
	char *cells = read_all(file, strlen(file), ',', true, NULL);

	ck_assert_str_eq(cells, "1:1<h><i>.2:2<two\r\nlines><x>.4:5<y><a\rb\nc>.5:8<z><z>.6:9<last>.");
	free(cells);
}
END_TEST

START_TEST(counts_on_after_a_separator_line_and_a_wrong_row)
{
	static const char file[] = "sep=,\na,b\nc,\"d\ne,f\n";
	char *cells = read_all(file, strlen(file), ',', true, NULL);

	ck_assert_str_eq(cells, "2:2<a><b>.3:3!4:4<e><f>.");
	free(cells);
}
END_TEST

START_TEST(says_where_a_row_is_wrong)
{
	char why[PROBLEM_DETAIL_SIZE] = "";

	free(read_all("a,b\n\"x\ny\",\"z", 12, ',', false, why));
	ck_assert_str_eq(why, "row 2 (line 3): the quote that opens cell 2 is never closed");
	why[0] = '\0';
	free(read_all("a,b\n\"x\" y,z", 11, ',', false, why));
	ck_assert_str_eq(why, "row 2 (line 2): text follows the closing quote of cell 1; a quote within "
		"a quoted cell must be doubled");
	why[0] = '\0';
	free(read_all("a\nb\0c\nd\n", 8, ',', false, why));
	ck_assert_str_eq(why, "row 2 (line 2) holds a NUL byte, which no text has");
}
END_TEST

START_TEST(a_nul_costs_only_its_row)
{
	static const char file[] = "a\nb\0\nc\n\"d\0\"\ne\n";
	char *cells = read_all(file, sizeof file - 1, ',', false, NULL);

	ck_assert_str_eq(cells, "<a>.!<c>.!<e>.");
	free(cells);
}
END_TEST

START_TEST(reads_512_cells_and_no_more)
{
	char file[600];
	char why[PROBLEM_DETAIL_SIZE] = "";
	char *cells;

	memset(file, ',', sizeof file);
	cells = read_all(file, 511, ',', false, why);
	ck_assert_uint_eq(strlen(cells), 512 * 2 + 1);
	free(cells);
	cells = read_all(file, 512, ',', false, why);
	ck_assert_str_eq(cells, "!");
	ck_assert_str_eq(why, "row 1 (line 1) has more than 512 cells");
	free(cells);
}
END_TEST

START_TEST(reads_rows_of_65536_bytes_and_no_more)
{
	static char file[CSV_ROW_BYTES + 16];
	char *cells;

	memset(file, 'x', sizeof file);
	memcpy(file + CSV_ROW_BYTES, "\na\n", 3);
	cells = read_all(file, CSV_ROW_BYTES + 3, ',', false, NULL);
	ck_assert_str_eq(cells + strlen(cells) - 6, ">.<a>.");
	free(cells);
	memcpy(file + CSV_ROW_BYTES, "x\na\n", 4);
	cells = read_all(file, CSV_ROW_BYTES + 4, ',', false, NULL);
	ck_assert_str_eq(cells, "!<a>.");
	free(cells);
	cells = read_all(file, CSV_ROW_BYTES + 1, ',', false, NULL);
	ck_assert_str_eq(cells, "!");
	free(cells);
	file[0] = '"';
	memcpy(file + CSV_ROW_BYTES, "x\na\n", 4);
	cells = read_all(file, CSV_ROW_BYTES + 4, ',', false, NULL);
	ck_assert_str_eq(cells, "!<a>.");
	free(cells);
}
END_TEST

START_TEST(finds_ragged_rows)
{
	static struct csv csv;
	char file[] = "a,b,c\n1,2,3,,\n1,2\n1,2,3,4\n,,\n";
	struct problem why = { 0 };

	csv_start(&csv, file, sizeof file - 1, ',');
	ck_assert_int_eq(csv_next(&csv, &why), CSV_ROW);
	ck_assert_uint_eq(csv.n_columns, 3);
	ck_assert_int_eq(csv_next(&csv, &why), CSV_ROW);
	ck_assert(csv_check_columns(&csv, &why));    /* empty cells beyond the last column */
	ck_assert_int_eq(csv_next(&csv, &why), CSV_ROW);
	ck_assert(!csv_check_columns(&csv, &why));
	ck_assert_str_eq(why.detail, "row 3 (line 3) has 2 cells where the first row has 3");
	ck_assert_int_eq(csv_next(&csv, &why), CSV_ROW);
	ck_assert(!csv_check_columns(&csv, &why));
	ck_assert(!csv_is_blank(&csv));
	ck_assert_int_eq(csv_next(&csv, &why), CSV_ROW);
	ck_assert(csv_is_blank(&csv));
	ck_assert_int_eq(csv_next(&csv, &why), CSV_END);
	ck_assert_int_eq(csv_next(&csv, &why), CSV_END);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { reads_cells_as_rfc_4180_and_people_write_them,
		counts_rows_and_lines, counts_on_after_a_separator_line_and_a_wrong_row,
		says_where_a_row_is_wrong, a_nul_costs_only_its_row, reads_512_cells_and_no_more,
		reads_rows_of_65536_bytes_and_no_more, finds_ragged_rows, NULL };

	return case_run("csv", tests);
}
