#include "case.h"

#include <jansson.h>

#include "base/day.h"
#include "encode/rows.h"

static const struct cell two_rows[] = {
	{ .integer = 7 }, { .real = -0.25 }, TEXT_CELL("Up \"12\"\n"), { .integer = 20543 },
	{ .integer = 1774995303250 }, { .integer = 1 }, { .integer = 1 },
	{ .integer = -8 }, { .real = 1500 }, TEXT_CELL(""), { .integer = DAY_NONE },
	NULL_CELL, { .integer = 0 }, { .integer = 9 },
};
static const char two_rows_json[] =
	"{\"id\":7,\"r20_uohm\":-0.25,\"label\":\"Up \\\"12\\\"\\u000a\",\"due\":\"2026-03-31\","
	"\"recorded\":\"2026-03-31T22:15:03.250Z\",\"live\":true,\"kind\":\"track_cross\"},\n"
	"{\"id\":-8,\"r20_uohm\":1500,\"label\":\"\",\"due\":null,\"recorded\":null,\"live\":false,"
	"\"kind\":null}";

START_TEST(appends_rows_to_an_answer_under_way)
{
	struct array_rows rows = { two_rows, 2, ALL_COLUMNS, 0, SIZE_MAX };
	struct table table = { all_columns, ALL_COLUMNS, array_next, &rows };
	struct problem why = { 0 };
	struct text to = { 0 };
	json_t *root;
	size_t count;

	text_add_z(&to, "{\"rows\":[");
	ck_assert(encode_json_rows(&table, &to, &count, &why));
	ck_assert_uint_eq(count, 2);
	ck_assert_str_eq(to.data + strlen("{\"rows\":["), two_rows_json);
	text_add_z(&to, "]}");
	root = json_loadb(to.data, to.len, JSON_REJECT_DUPLICATES, NULL);
	ck_assert_ptr_nonnull(root);
	json_decref(root);
	text_release(&to);
}
END_TEST

START_TEST(writes_a_file_that_is_one_list)
{
	struct array_rows rows = { two_rows, 2, ALL_COLUMNS, 0, SIZE_MAX };
	struct array_rows none = { two_rows, 0, ALL_COLUMNS, 0, SIZE_MAX };
	struct encode_options options = { 0 };
	struct problem why = { 0 };
	struct text written = { 0 };
	struct text expected = { 0 };
	size_t count;

	text_addf(&expected, "[%s]\n", two_rows_json);
	ck_assert(encode_to_text("json", &rows, all_columns, &options, &written, &count, &why));
	ck_assert_str_eq(written.data, expected.data);
	text_clear(&written);
	ck_assert(encode_to_text("json", &none, all_columns, &options, &written, &count, &why));
	ck_assert_str_eq(written.data, "[]\n");
	text_release(&written);
	text_release(&expected);
}
END_TEST

START_TEST(never_closes_the_list_when_the_source_failed)
{
	struct array_rows rows = { two_rows, 2, ALL_COLUMNS, 0, 1 };
	struct encode_options options = { 0 };
	struct problem why = { 0 };
	struct text written = { 0 };
	size_t count;

	ck_assert(!encode_to_text("json", &rows, all_columns, &options, &written, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	ck_assert_uint_eq(count, 1);
	ck_assert_ptr_null(json_loadb(written.len > 0 ? written.data : "", written.len, 0, NULL));
	text_release(&written);
}
END_TEST

START_TEST(tells_a_failed_source_from_an_empty_list)
{
	struct array_rows rows = { two_rows, 2, ALL_COLUMNS, 0, 0 };
	struct table table = { all_columns, ALL_COLUMNS, array_next, &rows };
	struct problem why = { 0 };
	struct text to = { 0 };
	size_t count;

	ck_assert(!encode_json_rows(&table, &to, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	text_release(&to);
}
END_TEST

/* The first of two rows, which a comma and a line part; then a source without rows, and one that
 * fails. */
START_TEST(leaves_a_row_open_for_members_of_its_reader)
{
	struct array_rows rows = { two_rows, 2, ALL_COLUMNS, 0, SIZE_MAX };
	struct array_rows none = { two_rows, 0, ALL_COLUMNS, 0, SIZE_MAX };
	struct array_rows fails = { two_rows, 2, ALL_COLUMNS, 0, 0 };
	struct problem why = { 0 };
	struct text to = { 0 };
	size_t len = (size_t)(strstr(two_rows_json, "},\n{") - two_rows_json);
	bool found = false;

	ck_assert(encode_json_open(&(struct table){ all_columns, ALL_COLUMNS, array_next, &rows }, &to,
		&found, &why));
	ck_assert(found);
	ck_assert_uint_eq(to.len, len);
	ck_assert_mem_eq(to.data, two_rows_json, len);
	ck_assert(encode_json_open(&(struct table){ all_columns, ALL_COLUMNS, array_next, &none }, &to,
		&found, &why));
	ck_assert(!found);
	ck_assert_uint_eq(to.len, len);
	ck_assert(!encode_json_open(&(struct table){ all_columns, ALL_COLUMNS, array_next, &fails },
		&to, &found, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	text_release(&to);
}
END_TEST

START_TEST(knows_its_encoders_by_name)
{
	ck_assert_str_eq(encoder_find("csv")->extension, "csv");
	ck_assert_str_eq(encoder_find("json")->media_type, "application/json");
	ck_assert_ptr_null(encoder_find("CSV"));
	ck_assert_ptr_null(encoder_find(""));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { appends_rows_to_an_answer_under_way,
		writes_a_file_that_is_one_list, never_closes_the_list_when_the_source_failed,
		tells_a_failed_source_from_an_empty_list,
		leaves_a_row_open_for_members_of_its_reader, knows_its_encoders_by_name, NULL };

	return case_run("encode_json", tests);
}
