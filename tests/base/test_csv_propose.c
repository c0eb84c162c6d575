#include <stdlib.h>
#include <string.h>

#include "base/csv_propose.h"
#include "case.h"

static struct csv_proposal *propose(const char *bytes, size_t len)
{
	struct csv_proposal *p = malloc(sizeof *p);
	struct problem why = { 0 };

	ck_assert_ptr_nonnull(p);
	ck_assert_msg(csv_propose(bytes, len, p, &why), "%s", why.detail);
	return p;
}

static const struct {
	const char *label, *file;
	enum charset charset;
	enum sure sure;
	const char *says;
} charsets[] = {
	{ "ASCII", "a;b\n1;2\n", CHARSET_UTF_8, SURE_CERTAIN, "every encoding reads it the same" },
	{ "a mark", "\xEF\xBB\xBF" "a;b\n", CHARSET_UTF_8, SURE_CERTAIN, "mark of UTF-8" },
	{ "UTF-8", "a;b\nS\xC3\xBC" "d;2\n", CHARSET_UTF_8, SURE_CERTAIN, "valid UTF-8" },
	{ "German, 1252", "Bezeichnung;km\nS\xFC" "d\xF6stliche Stra\xDF" "e;2\n",
		CHARSET_WINDOWS_1252, SURE_LIKELY, "\"Südöstlic\" in Windows-1252" },
	{ "German, 850", "Bezeichnung;km\nS\x81" "d\x94stliche Stra\xE1" "e;2\n", CHARSET_CP850,
		SURE_LIKELY, "\"Südöstlic\" in code page 850" },
	{ "French, 1252", "Libell\xE9;PK\nCh\xE2teau-Thierry, l\x92\xE9t\xE9;2\nM\xE9rign\xE9;1\n",
		CHARSET_WINDOWS_1252, SURE_LIKELY, "\"Libellé\" in Windows-1252" },
	{ "French, 850", "Libell\x82;PK\nCh\x83teau-Thierry;2\nM\x82rign\x82;1\n", CHARSET_CP850,
		SURE_LIKELY, "\"Libellé\" in code page 850" },
	{ "a degree sign", "temp\n12 \xB0" "C\n11 \xB0" "C\n10 \xB0" "C\n9 \xB0" "C\n",
		CHARSET_WINDOWS_1252, SURE_LIKELY, "" },
};

START_TEST(proposes_the_encoding_with_a_word_as_reason)
{
	for (size_t i = 0; i < sizeof charsets / sizeof charsets[0]; i++) {
		struct csv_choice choice;

		charset_propose(charsets[i].file, strlen(charsets[i].file), &choice);
		ck_assert_msg(choice.value == (int)charsets[i].charset, "%s: %s", charsets[i].label,
			choice.why);
		ck_assert_msg(choice.sure == charsets[i].sure, "%s: %d", charsets[i].label, choice.sure);
		ck_assert_msg(strstr(choice.why, charsets[i].says) != NULL, "%s: %s", charsets[i].label,
			choice.why);
	}
}
END_TEST

static const struct { const char *file; char separator; enum sure sure; size_t columns; } parted[] = {
	{ "a,b,c\n1,2,3\n4,5,6\n", ',', SURE_CERTAIN, 3 },
	{ "a;b;c\n1,5;2,5;3,5\n4,5;5,5;6,5\n", ';', SURE_CERTAIN, 3 },
	{ "a;b\n\"x, y\";2\n\"z, w\";3\n", ';', SURE_CERTAIN, 2 },
	{ "a,x;b\n1;\"2,5\"\n3;\"4,5\"\n", ';', SURE_CERTAIN, 2 },   /* a comma cuts the quotes */
	{ "a;b\n5\" x 3\";2\n", ';', SURE_CERTAIN, 2 },
	{ "a\tb\n1,2\t3\n", '\t', SURE_CERTAIN, 2 },
	{ "a|b\n1|3\n", '|', SURE_CERTAIN, 2 },
	{ "sep=;\na;b\n1;2\n", ';', SURE_CERTAIN, 2 },
	{ "a,b;c\n1,2;3\n", ',', SURE_LIKELY, 2 },
	{ "a,b,c\n1,2,3\n1,2\n1,2,3,4\n", ',', SURE_GUESS, 3 },
	{ "name\nUp\nDown\n", ',', SURE_GUESS, 1 },
};

START_TEST(proposes_the_separator_by_equal_rows)
{
	for (size_t i = 0; i < sizeof parted / sizeof parted[0]; i++) {
		struct csv_proposal *p = propose(parted[i].file, strlen(parted[i].file));

		ck_assert_msg(p->separator.value == parted[i].separator, "%s: %s", parted[i].file,
			p->separator.why);
		ck_assert_msg(p->separator.sure == parted[i].sure, "%s: %s", parted[i].file,
			p->separator.why);
		ck_assert_uint_eq(p->n_columns, parted[i].columns);
		free(p);
	}
}
END_TEST

static const struct { const char *file; char decimal; enum sure sure; } decimals[] = {
	{ "a;b\n1,5;x\n2,25;y\n", ',', SURE_CERTAIN },
	{ "a;b\n1.5;x\n2.25;y\n", '.', SURE_CERTAIN },
	{ "a;b\n0.123;x\n", '.', SURE_CERTAIN },
	{ "a;b\n1.234,5;x\n", ',', SURE_CERTAIN },
	{ "a;b\n\"1,234.5\";x\n", '.', SURE_CERTAIN },
	{ "a;b\n1.234;x\n", '.', SURE_GUESS },          /* a thousand and more, or one and a bit */
	{ "a;b\n12;x\n", '.', SURE_GUESS },
	{ "a;b\n1,5;2.5\n", '.', SURE_GUESS },
	{ "a;b\n31.03.2021;2,5\n", ',', SURE_CERTAIN },
};

START_TEST(proposes_the_decimal_mark)
{
	for (size_t i = 0; i < sizeof decimals / sizeof decimals[0]; i++) {
		struct csv_proposal *p = propose(decimals[i].file, strlen(decimals[i].file));

		ck_assert_msg(p->decimal.value == decimals[i].decimal, "%s: %s", decimals[i].file,
			p->decimal.why);
		ck_assert_msg(p->decimal.sure == decimals[i].sure, "%s: %s", decimals[i].file,
			p->decimal.why);
		free(p);
	}
}
END_TEST

START_TEST(proposes_the_order_of_dates_and_says_when_it_cannot_know)
{
	static const char file[] = "dmy;mdy;ymd;either;text;number\n"
		"31.03.2021;03/31/2021;2021-03-31;01.02.2021;x;12\n"
		"01.02.2021;01/02/2021;2021-01-02;03.04.2021;2021;13\n"
		"05.06.2021;12/25/2021;;12.12.2021;y;14\n";
	struct csv_proposal *p = propose(file, sizeof file - 1);
	char why[CSV_WHY_SIZE];

	ck_assert_uint_eq(p->n_rows, 3);
	ck_assert(p->column[0].is_date && p->column[0].format == DAY_DMY);
	ck_assert_int_eq(p->column[0].sure, SURE_CERTAIN);
	ck_assert(p->column[1].is_date && p->column[1].format == DAY_MDY);
	ck_assert(p->column[2].is_date && p->column[2].format == DAY_YMD);
	ck_assert_uint_eq(p->column[2].filled, 2);
	ck_assert(p->column[3].is_date && p->column[3].sure == SURE_GUESS);
	csv_column_why(&p->column[3], why);
	ck_assert_ptr_nonnull(strstr(why, "either way round"));
	csv_column_why(&p->column[0], why);
	ck_assert_str_eq(why, "3 of 3 cells are dates written day-month-year");
	ck_assert(!p->column[4].is_date);
	ck_assert(!p->column[5].is_date);
	csv_column_why(&p->column[5], why);
	ck_assert_str_eq(why, "");
	free(p);
}
END_TEST

static const struct { const char *bytes; size_t len; const char *says; } others[] = {
	{ "", 0, "empty" },
	{ "PK\x03\x04 and more", 13, "workbook" },
	{ "\xD0\xCF\x11\xE0\xA1\xB1", 6, "workbook" },
	{ "\xFF\xFE" "a\0;\0", 6, "UTF-16" },
};

START_TEST(says_what_to_do_with_other_files)
{
	for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
		struct csv_proposal *p = malloc(sizeof *p);
		struct problem why = { 0 };

		ck_assert(!csv_propose(others[i].bytes, others[i].len, p, &why));
		ck_assert_msg(strstr(why.detail, others[i].says) != NULL, "%s", why.detail);
		free(p);
	}
}
END_TEST

START_TEST(takes_a_long_file_by_its_first_whole_lines)
{
	size_t len = 2 * CSV_SAMPLE_BYTES;
	char *file = malloc(len);
	struct csv_proposal *p;

	for (size_t i = 0; i < len; i++) {
		file[i] = "1;\"2,5\"\n"[i % 8];
	}
	p = propose(file, len);
	ck_assert_int_eq(p->separator.value, ';');
	ck_assert_int_eq(p->separator.sure, SURE_CERTAIN);
	ck_assert_uint_eq(p->n_rows, CSV_SAMPLE_ROWS);
	memset(file, 'x', len);   /* no line end at all */
	free(p);
	p = propose(file, len);
	ck_assert_uint_eq(p->n_columns, 0);
	free(p);
	free(file);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { proposes_the_encoding_with_a_word_as_reason,
		proposes_the_separator_by_equal_rows, proposes_the_decimal_mark,
		proposes_the_order_of_dates_and_says_when_it_cannot_know,
		says_what_to_do_with_other_files, takes_a_long_file_by_its_first_whole_lines, NULL };

	return case_run("csv_propose", tests);
}
