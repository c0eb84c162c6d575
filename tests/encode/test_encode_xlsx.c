/* What is in a workbook is looked at in tests/api/test_api_spreadsheet.py, with other programs. */
#include "case.h"

#include <fcntl.h>
#include <stdlib.h>

#include "encode/rows.h"

static const struct encode_options named = { .title = "Due inspections" };
static const struct column column = { "label", "Label", NULL, CELL_TEXT };
static const struct cell cells[] = { TEXT_CELL("=1+2"), TEXT_CELL(""), TEXT_CELL("\x01 x") };

/* A folder for temporary files of its own, to see that none stays. */
static char folder[32];

static void use_folder(void)
{
	snprintf(folder, sizeof folder, "/tmp/bondbook-test-XXXXXX");
	ck_assert_ptr_nonnull(mkdtemp(folder));
	ck_assert_int_eq(setenv("TMPDIR", folder, 1), 0);
}

static void leave_folder(void)
{
	ck_assert_int_eq(rmdir(folder), 0);   /* fails unless it is empty */
}

START_TEST(writes_a_whole_file_and_leaves_nothing_behind)
{
	struct array_rows rows = { cells, 3, 1, 0, SIZE_MAX };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;

	use_folder();
	ck_assert(encode_to_text("xlsx", &rows, &column, &named, &written, &count, &why));
	ck_assert_uint_eq(count, 3);
	/* ZIP: begins with a local header, ends with an end of central directory of 22 bytes */
	ck_assert_uint_gt(written.len, 1000);
	ck_assert_mem_eq(written.data, "PK\3\4", 4);
	ck_assert_mem_eq(written.data + written.len - 22, "PK\5\6", 4);
	text_release(&written);
	leave_folder();
}
END_TEST

START_TEST(writes_nothing_when_the_source_failed)
{
	struct array_rows rows = { cells, 3, 1, 0, 2 };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;

	use_folder();
	ck_assert(!encode_to_text("xlsx", &rows, &column, &named, &written, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	ck_assert_ptr_nonnull(strstr(why.detail, "cut short after 2 rows"));
	ck_assert_uint_eq(written.len, 0);
	leave_folder();
}
END_TEST

START_TEST(says_so_when_nothing_can_be_written)
{
	struct array_rows rows = { cells, 3, 1, 0, SIZE_MAX };
	struct table table = { &column, 1, array_next, &rows };
	struct problem why = { 0 };
	size_t count;
	int full = open("/dev/full", O_WRONLY);   /* every write there fails: no space left */

	use_folder();
	ck_assert_int_ge(full, 0);
	ck_assert(!encoder_find("xlsx")->encode(&table, &named, full, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	close(full);
	leave_folder();
}
END_TEST

START_TEST(says_so_when_there_is_no_room_for_the_temporary_file)
{
	struct array_rows rows = { cells, 3, 1, 0, SIZE_MAX };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;

	ck_assert_int_eq(setenv("TMPDIR", "/nowhere/at/all", 1), 0);
	ck_assert(!encode_to_text("xlsx", &rows, &column, &named, &written, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	ck_assert_uint_eq(count, 0);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { writes_a_whole_file_and_leaves_nothing_behind,
		writes_nothing_when_the_source_failed, says_so_when_nothing_can_be_written,
		says_so_when_there_is_no_room_for_the_temporary_file, NULL };

	return case_run("encode_xlsx", tests);
}
