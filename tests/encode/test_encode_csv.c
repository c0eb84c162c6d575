#include "case.h"

#include <fcntl.h>

#include "base/day.h"
#include "base/guard.h"
#include "encode/rows.h"

static const struct encode_options plain = { 0 };

static void encode_all(const struct cell *cells, size_t n, const struct encode_options *options,
	struct text *written)
{
	struct array_rows rows = { cells, n, ALL_COLUMNS, 0, SIZE_MAX };
	struct problem why = { 0 };
	size_t count;

	ck_assert(encode_to_text("csv", &rows, all_columns, options, written, &count, &why));
	ck_assert_uint_eq(count, n);
}

START_TEST(writes_each_type_in_its_plain_form)
{
	/* 2026-03-31 is day 20543 (GNU date: 1774915200 s); the instant likewise from GNU date */
	const struct cell cells[] = {
		{ .integer = 7 }, { .real = -0.25 }, TEXT_CELL("Up 12"), { .integer = 20543 },
		{ .integer = 1774995303250 }, { .integer = 1 }, { .integer = 1 },
		{ .integer = -8 }, { .real = 1500 }, TEXT_CELL(""), NULL_CELL,
		NULL_CELL, { .integer = 0 }, { .integer = 9 },
	};
	struct text written = { 0 };

	encode_all(cells, 2, &plain, &written);
	ck_assert_str_eq(written.data, "id,r20_uohm,label,due,recorded,live,kind\r\n"
		"7,-0.25,Up 12,2026-03-31,2026-03-31T22:15:03.250Z,true,track_cross\r\n"
		"-8,1500,,,,false,\r\n");
	text_release(&written);
}
END_TEST

START_TEST(an_empty_list_still_has_its_heading)
{
	struct text written = { 0 };

	encode_all(NULL, 0, &(struct encode_options){ .byte_order_mark = true }, &written);
	ck_assert_str_eq(written.data,
		"\xEF\xBB\xBF" "id,r20_uohm,label,due,recorded,live,kind\r\n");
	text_release(&written);
}
END_TEST

/* Quoting: RFC 4180, section 2, rules 5 to 7. Guard: base/guard.h. */
static const struct { struct cell cell; const char *written; } texts[] = {
	{ TEXT_CELL("plain"), "plain" },
	{ TEXT_CELL("a,b"), "\"a,b\"" },
	{ TEXT_CELL("say \"x\""), "\"say \"\"x\"\"\"" },
	{ TEXT_CELL("two\nlines"), "\"two\nlines\"" },
	{ TEXT_CELL(" edge"), "\" edge\"" },
	{ TEXT_CELL("edge "), "\"edge \"" },
	{ TEXT_CELL("=1+2"), "'=1+2" },
	{ TEXT_CELL("+49"), "'+49" },
	{ TEXT_CELL("-0,0 + -73"), "\"'-0,0 + -73\"" },
	{ TEXT_CELL("@x"), "'@x" },
	{ TEXT_CELL("\tx"), "\"'\tx\"" },
	{ TEXT_CELL("\rx"), "\"'\rx\"" },
	{ TEXT_CELL("\xEF\xBC\x9D" "1"), "'\xEF\xBC\x9D" "1" },
	{ TEXT_CELL("\xEF\xBC\x8B" "1"), "'\xEF\xBC\x8B" "1" },
	{ TEXT_CELL("\xEF\xBC\x8D" "1"), "'\xEF\xBC\x8D" "1" },
	{ TEXT_CELL("\xEF\xBC\xA0" "1"), "'\xEF\xBC\xA0" "1" },
	{ TEXT_CELL("'=1"), "''=1" },
	{ TEXT_CELL("'t Hof"), "'t Hof" },
	{ TEXT_CELL("a=1"), "a=1" },
	{ TEXT_CELL("\"=1\""), "\"\"\"=1\"\"\"" },
};

START_TEST(quotes_and_guards_texts)
{
	static const struct column column = { "t", "T", NULL, CELL_TEXT };

	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
		struct array_rows rows = { &texts[i].cell, 1, 1, 0, SIZE_MAX };
		struct text written = { 0 };
		struct text expected = { 0 };
		struct problem why = { 0 };
		size_t count;

		text_addf(&expected, "t\r\n%s\r\n", texts[i].written);
		ck_assert(encode_to_text("csv", &rows, &column, &plain, &written, &count, &why));
		ck_assert_str_eq(written.data, expected.data);
		text_release(&written);
		text_release(&expected);
	}
}
END_TEST

START_TEST(guards_a_text_that_begins_with_nul)
{
	ck_assert(guard_needed("\0x", 2));
	ck_assert(!guard_needed("", 0));
	ck_assert(!guard_needed("'", 1));
}
END_TEST

START_TEST(a_guard_comes_off_again)
{
	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
		struct text guarded = { 0 };
		const char *text = texts[i].cell.text;
		size_t len = texts[i].cell.len;
		size_t off;

		text_add(&guarded, "'", guard_needed(text, len) ? 1 : 0);
		text_add(&guarded, text, len);
		off = guard_length(guarded.data, guarded.len);
		ck_assert_str_eq(guarded.data + off, text);
		text_release(&guarded);
	}
}
END_TEST

START_TEST(a_row_of_one_absent_cell_is_not_an_empty_line)
{
	static const struct column column = { "t", "T", NULL, CELL_TEXT };
	const struct cell cell = NULL_CELL;
	struct array_rows rows = { &cell, 1, 1, 0, SIZE_MAX };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;

	ck_assert(encode_to_text("csv", &rows, &column, &plain, &written, &count, &why));
	ck_assert_str_eq(written.data, "t\r\n\"\"\r\n");
	text_release(&written);
}
END_TEST

START_TEST(says_in_its_last_line_that_it_was_cut_short)
{
	static const struct column column = { "t", "T", NULL, CELL_TEXT };
	const struct cell cells[] = { TEXT_CELL("a"), TEXT_CELL("b"), TEXT_CELL("c") };
	struct array_rows rows = { cells, 3, 1, 0, 2 };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;

	ck_assert(!encode_to_text("csv", &rows, &column, &plain, &written, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	ck_assert_ptr_nonnull(strstr(why.detail, "cut short after 2 rows"));
	ck_assert_str_eq(written.data, "t\r\na\r\nb\r\nTHIS FILE IS NOT WHOLE: the list could not be "
		"read to its end and was cut short after 2 rows\r\n");
	text_release(&written);
}
END_TEST

static bool endless_next(void *source, struct cell *row, bool *failed)
{
	size_t *at = source;

	*failed = false;
	row[0] = (struct cell){ .integer = (int64_t)*at };
	return (*at)++ < 100000;
}

START_TEST(stops_when_nothing_can_be_written)
{
	static const struct column column = { "n", "N", NULL, CELL_INTEGER };
	size_t at = 0;
	struct table table = { &column, 1, endless_next, &at };
	struct problem why = { 0 };
	size_t count;
	int full = open("/dev/full", O_WRONLY);   /* every write there fails: no space left */

	ck_assert_int_ge(full, 0);
	ck_assert(!encoder_find("csv")->encode(&table, &plain, full, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	ck_assert_uint_lt(at, 100000);
	close(full);
}
END_TEST

START_TEST(writes_more_than_one_piece_whole)
{
	static const struct column column = { "n", "N", NULL, CELL_INTEGER };
	size_t at = 0;
	struct table table = { &column, 1, endless_next, &at };
	struct problem why = { 0 };
	size_t count;
	FILE *file = tmpfile();

	ck_assert(encoder_find("csv")->encode(&table, &plain, fileno(file), &count, &why));
	ck_assert_uint_eq(count, 100000);
	/* heading 3; 10 x 3, 90 x 4, 900 x 5, 9000 x 6, 90000 x 7 bytes with CR LF */
	ck_assert_int_eq(lseek(fileno(file), 0, SEEK_END), 3 + 30 + 360 + 4500 + 54000 + 630000);
	fclose(file);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { writes_each_type_in_its_plain_form,
		an_empty_list_still_has_its_heading, quotes_and_guards_texts,
		guards_a_text_that_begins_with_nul, a_guard_comes_off_again,
		a_row_of_one_absent_cell_is_not_an_empty_line,
		says_in_its_last_line_that_it_was_cut_short, stops_when_nothing_can_be_written,
		writes_more_than_one_piece_whole, NULL };

	return case_run("encode_csv", tests);
}
