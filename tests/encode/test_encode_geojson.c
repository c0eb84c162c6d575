#include "case.h"

#include <jansson.h>
#include <math.h>

#include "encode/rows.h"

static const struct column columns[] = {
	{ "label", "Label", NULL, CELL_TEXT },
	{ "longitude", "Longitude", "°", CELL_REAL },
	{ "latitude", "Latitude", "°", CELL_REAL },
	{ "surveyed", "Surveyed", NULL, CELL_FLAG },
};
enum { COLUMNS = 4 };
static const struct encode_options plain = { 0 };

/* What the encoder makes of rows of `columns`, read as JSON. */
static json_t *features_of(const struct cell *cells, size_t n)
{
	struct array_rows rows = { cells, n, COLUMNS, 0, SIZE_MAX };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;
	json_t *root;

	ck_assert(encode_to_text("geojson", &rows, columns, &plain, &written, &count, &why));
	ck_assert_uint_eq(count, n);
	root = json_loadb(written.data, written.len, JSON_REJECT_DUPLICATES, NULL);
	ck_assert_ptr_nonnull(root);
	text_release(&written);
	return root;
}

START_TEST(writes_points_with_the_longitude_first)
{
	const struct cell cells[] = {
		TEXT_CELL("V \"1\""), { .real = -1.25 }, { .real = 52.5 }, { .integer = 1 },
		TEXT_CELL("V 2"), { .real = 180 }, { .real = -90 }, { .integer = 0 },
	};
	json_t *root = features_of(cells, 2);
	char *text = json_dumps(root, JSON_COMPACT | JSON_REAL_PRECISION(6));

	/* RFC 7946, 3.1.1: longitude, then latitude; 3.2 and 3.3: the members that must be there */
	ck_assert_str_eq(text, "{\"type\":\"FeatureCollection\",\"features\":["
		"{\"type\":\"Feature\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[-1.25,52.5]},"
		"\"properties\":{\"label\":\"V \\\"1\\\"\",\"longitude\":-1.25,\"latitude\":52.5,"
		"\"surveyed\":true}},"
		"{\"type\":\"Feature\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[180,-90]},"
		"\"properties\":{\"label\":\"V 2\",\"longitude\":180,\"latitude\":-90,"
		"\"surveyed\":false}}]}");
	free(text);
	json_decref(root);
}
END_TEST

START_TEST(leaves_rows_without_a_place_on_earth_out)
{
	const struct cell cells[] = {
		TEXT_CELL("none"), NULL_CELL, NULL_CELL, { .integer = 1 },
		TEXT_CELL("half"), { .real = 7 }, NULL_CELL, { .integer = 1 },
		TEXT_CELL("east"), { .real = 180.01 }, { .real = 0 }, { .integer = 1 },
		TEXT_CELL("south"), { .real = 0 }, { .real = -90.01 }, { .integer = 1 },
		TEXT_CELL("not a number"), { .real = NAN }, { .real = 0 }, { .integer = 1 },
		TEXT_CELL("here"), { .real = 0 }, { .real = 0 }, { .integer = 1 },
	};
	json_t *root = features_of(cells, 6);
	json_t *all = json_object_get(root, "features");

	ck_assert_uint_eq(json_array_size(all), 1);
	ck_assert_str_eq(json_string_value(json_object_get(json_object_get(json_array_get(all, 0),
		"properties"), "label")), "here");
	json_decref(root);
	root = features_of(cells, 0);
	ck_assert_uint_eq(json_array_size(json_object_get(root, "features")), 0);
	json_decref(root);
}
END_TEST

START_TEST(refuses_a_table_without_coordinates)
{
	struct array_rows rows = { NULL, 0, 2, 0, SIZE_MAX };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;

	ck_assert(!encode_to_text("geojson", &rows, columns, &plain, &written, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_VALUE);
	ck_assert_uint_eq(written.len, 0);
}
END_TEST

START_TEST(never_closes_the_collection_when_the_source_failed)
{
	const struct cell cells[] = { TEXT_CELL("here"), { .real = 0 }, { .real = 0 }, { .integer = 1 } };
	struct array_rows rows = { cells, 2, COLUMNS, 0, 1 };
	struct text written = { 0 };
	struct problem why = { 0 };
	size_t count;

	ck_assert(!encode_to_text("geojson", &rows, columns, &plain, &written, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_STORE);
	ck_assert_uint_eq(count, 1);
	ck_assert_ptr_null(json_loadb(written.len > 0 ? written.data : "", written.len, 0, NULL));
	text_release(&written);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { writes_points_with_the_longitude_first,
		leaves_rows_without_a_place_on_earth_out, refuses_a_table_without_coordinates,
		never_closes_the_collection_when_the_source_failed, NULL };

	return case_run("encode_geojson", tests);
}
