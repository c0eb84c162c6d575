#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/form.h"
#include "case.h"

static const char *const method_codes[] = { "four_wire", "two_wire" };
static const char *const method_titles[] = { "Four-wire", "Two-wire" };
static const struct words method_words = { "method", method_codes, method_titles, 2 };

struct place {
	const char *track;
	double offset_mm;
};

static const struct member place_members[] = {
	{ "track", "Track", NULL, MEMBER_TEXT, true, offsetof(struct place, track) },
	{ "offset_mm", "Offset", "mm", MEMBER_REAL, false, offsetof(struct place, offset_mm) },
	{ 0 }
};
static const struct form place_form = { "Place", place_members, sizeof(struct place) };

struct reading {
	int method;
	double current_a;
};

static const struct member reading_members[] = {
	{ "method", "Method", NULL, MEMBER_WORD, true, offsetof(struct reading, method),
		.words = &method_words },
	{ "current_a", "Test current", "A", MEMBER_REAL, false, offsetof(struct reading, current_a),
		.least = 0.01, .most = 1000, .help = "As shown by the instrument." },
	{ 0 }
};
static const struct form reading_form = { "Reading", reading_members, sizeof(struct reading) };

struct bare {
	const char *text;
};

static const struct member bare_members[] = {
	{ "", NULL, NULL, MEMBER_TEXT, true, offsetof(struct bare, text), .longest = 5 },
	{ 0 }
};
static const struct form bare_form = { "Tag", bare_members, sizeof(struct bare) };

struct visit {
	char id[UUID_TEXT_SIZE];
	const char *label;
	int64_t cables;
	double temp_c;
	int isolated;
	int32_t seen_on;
	int method;
	struct place place;
	struct form_list readings;
	struct form_list tags;
};

static const struct member visit_members[] = {
	{ "id", "Id", NULL, MEMBER_UUID, false, offsetof(struct visit, id) },
	{ "label", "Label", NULL, MEMBER_TEXT, true, offsetof(struct visit, label), .longest = 10 },
	{ "cables", "Cables", NULL, MEMBER_INTEGER, false, offsetof(struct visit, cables),
		.least = 1, .most = 20 },
	{ "temp_c", "Temperature", "°C", MEMBER_REAL, false, offsetof(struct visit, temp_c),
		.least = -60, .most = INFINITY },
	{ "isolated", "Isolated", NULL, MEMBER_FLAG, false, offsetof(struct visit, isolated) },
	{ "seen_on", "Seen on", NULL, MEMBER_DAY, false, offsetof(struct visit, seen_on) },
	{ "method", "Method", NULL, MEMBER_WORD, false, offsetof(struct visit, method),
		.words = &method_words },
	{ "place", "Place", NULL, MEMBER_OBJECT, false, offsetof(struct visit, place),
		.form = &place_form },
	{ "readings", "Readings", NULL, MEMBER_LIST, false, offsetof(struct visit, readings),
		.longest = 3, .form = &reading_form },
	{ "tags", "Tags", NULL, MEMBER_LIST, false, offsetof(struct visit, tags), .form = &bare_form },
	{ 0 }
};
static const struct form visit_form = { "Visit", visit_members, sizeof(struct visit) };

static bool decode(const char *json, struct visit *visit, struct form_memory *memory,
	struct problems *why)
{
	return form_from_json(&visit_form, json, strlen(json), visit, memory, why);
}

START_TEST(decodes_every_type)
{
	struct visit v;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };
	const struct reading *readings;
	const struct bare *tags;

	ck_assert(decode("{\"id\":\"01890A5D-AC96-774B-BCCE-B302099A8057\",\"label\":\" Up 12\\t\","
		"\"cables\":3.0,\"temp_c\":-4,\"isolated\":true,\"seen_on\":\"2026-02-28\","
		"\"method\":\"two_wire\",\"place\":{\"track\":\"Up\",\"offset_mm\":12.5},"
		"\"readings\":[{\"method\":\"four_wire\",\"current_a\":10},{\"method\":\"two_wire\"}],"
		"\"tags\":[\"a\",\" b \"]}", &v, &memory, &why));
	ck_assert_str_eq(v.id, "01890a5d-ac96-774b-bcce-b302099a8057");
	ck_assert_str_eq(v.label, "Up 12");
	ck_assert_int_eq(v.cables, 3);
	ck_assert_double_eq(v.temp_c, -4);
	ck_assert_int_eq(v.isolated, 1);
	ck_assert_int_eq(v.seen_on, 20512);   /* 56 years, 14 leap days, 31 + 27 days */
	ck_assert_int_eq(v.method, 1);
	ck_assert_str_eq(v.place.track, "Up");
	ck_assert_double_eq(v.place.offset_mm, 12.5);
	ck_assert_uint_eq(v.readings.count, 2);
	readings = v.readings.items;
	ck_assert_int_eq(readings[0].method, 0);
	ck_assert_double_eq(readings[0].current_a, 10);
	ck_assert_int_eq(readings[1].method, 1);
	ck_assert(isnan(readings[1].current_a));
	ck_assert_uint_eq(v.tags.count, 2);
	tags = v.tags.items;
	ck_assert_str_eq(tags[1].text, "b");
	form_memory_release(&memory);
}
END_TEST

START_TEST(leaves_what_was_not_sent_absent)
{
	struct visit v;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };

	ck_assert(decode("{\"label\":\"x\",\"cables\":null,\"place\":null,\"readings\":[]}", &v, &memory,
		&why));
	for (const struct member *m = visit_members; m->name != NULL; m++) {
		ck_assert_msg(form_is_absent(m, &v) == (strcmp(m->name, "label") != 0), "%s", m->name);
	}
	form_memory_release(&memory);
}
END_TEST

/* One wrong member each: the field it is reported under, and a piece of the sentence. */
static const struct { const char *json, *field, *says; } refusals[] = {
	{ "{\"label\":\"x\",\"readings\":[{\"method\":\"two_wire\",\"current_a\":\"ten\"}]}",
		"readings[0].current_a",
		"current_a must be a number from 0.01 to 1000 A; it is \"ten\"" },
	{ "{}", "label", "label is required: a text of at most 10 bytes" },
	{ "{\"label\":\" \\n\"}", "label", "label is required" },
	{ "{\"label\":null}", "label", "label is required" },
	{ "{\"label\":12}", "label", "label must be a text of at most 10 bytes; it is 12" },
	{ "{\"label\":\"12345678901\"}", "label", "at most 10 bytes long; it has 11" },
	{ "{\"label\":\"a\\u0007b\"}", "label", "control characters" },
	{ "{\"label\":\"a\\u007fb\"}", "label", "control characters" },
	{ "{\"label\":\"a\\u0085b\"}", "label", "control characters" },
	{ "{\"label\":\"x\",\"cables\":0}", "cables", "a whole number from 1 to 20; it is 0" },
	{ "{\"label\":\"x\",\"cables\":21}", "cables", "a whole number from 1 to 20; it is 21" },
	{ "{\"label\":\"x\",\"cables\":2.5}", "cables", "it is 2.5" },
	{ "{\"label\":\"x\",\"cables\":\"3\"}", "cables", "it is \"3\"" },
	{ "{\"label\":\"x\",\"cables\":1e18}", "cables", "a whole number" },
	{ "{\"label\":\"x\",\"temp_c\":-60.5}", "temp_c", "a number of at least −60 °C; it is -60.5" },
	{ "{\"label\":\"x\",\"isolated\":1}", "isolated", "must be true or false; it is 1" },
	{ "{\"label\":\"x\",\"seen_on\":\"2026-02-29\"}", "seen_on", "a date that exists" },
	{ "{\"label\":\"x\",\"seen_on\":20260228}", "seen_on", "it is 20260228" },
	{ "{\"label\":\"x\",\"method\":\"two-wire\"}", "method", "did you mean \"two_wire\"?" },
	{ "{\"label\":\"x\",\"method\":\"guess\"}", "method",
		"method must be one of four_wire, two_wire; it is \"guess\"" },
	{ "{\"label\":\"x\",\"id\":\"12\"}", "id", "must be a UUID" },
	{ "{\"label\":\"x\",\"place\":3}", "place", "must be an object { }; it is 3" },
	{ "{\"label\":\"x\",\"place\":{\"offset_mm\":1}}", "place.track", "track is required" },
	{ "{\"label\":\"x\",\"readings\":{}}", "readings", "must be a list [ ] of at most 3 items" },
	{ "{\"label\":\"x\",\"readings\":[4]}", "readings[0]", "each item must be an object" },
	{ "{\"label\":\"x\",\"readings\":[{\"method\":null}]}", "readings[0].method", "required" },
	{ "{\"label\":\"x\",\"readings\":[{},{},{},{}]}", "readings", "at most 3 items; it has 4" },
	{ "{\"label\":\"x\",\"tags\":[\"a\",\"\"]}", "tags[1]", "each item is required" },
	{ "{\"label\":\"x\",\"tags\":[\"123456\"]}", "tags[0]", "each item must be at most 5 bytes" },
	{ "{\"label\":\"x\",\"tags\":[null]}", "tags[0]", "it is null" },
	{ "{\"label\":\"x\",\"lable\":1}", "lable", "did you mean \"label\"?" },
	{ "{\"label\":\"x\",\"colour\":1}", "colour", "known are: id, label, cables, temp_c" },
	{ "{\"label\":\"x\",\"place\":{\"track\":\"Up\",\"rail\":1}}", "place.rail",
		"\"rail\" is not known here; known are: track, offset_mm" },
};

START_TEST(names_the_wrong_member_and_what_would_be_right)
{
	for (size_t i = 0; i < sizeof refusals / sizeof refusals[0]; i++) {
		struct visit v;
		struct form_memory memory = { 0 };
		struct problems why = { 0 };

		ck_assert_msg(!decode(refusals[i].json, &v, &memory, &why), "%s", refusals[i].json);
		ck_assert_msg(why.count >= 1 && why.item[0].code == PROBLEM_VALUE, "%s",
			refusals[i].json);
		ck_assert_msg(strcmp(why.item[0].field, refusals[i].field) == 0, "%s: field %s",
			refusals[i].json, why.item[0].field);
		ck_assert_msg(strstr(why.item[0].detail, refusals[i].says) != NULL, "%s: %s",
			refusals[i].json, why.item[0].detail);
		form_memory_release(&memory);
	}
}
END_TEST

START_TEST(names_every_wrong_member_at_once)
{
	struct visit v;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };

	ck_assert(!decode("{\"cables\":99,\"method\":7,\"readings\":[{\"method\":\"two_wire\"},"
		"{\"current_a\":0}],\"what\":1}", &v, &memory, &why));
	ck_assert_uint_eq(why.count, 6);
	ck_assert_str_eq(why.item[0].field, "label");
	ck_assert_str_eq(why.item[1].field, "cables");
	ck_assert_str_eq(why.item[2].field, "method");
	ck_assert_str_eq(why.item[3].field, "readings[1].method");
	ck_assert_str_eq(why.item[4].field, "readings[1].current_a");
	ck_assert_str_eq(why.item[5].field, "what");
	form_memory_release(&memory);
}
END_TEST

static const char *const malformed[] = {
	"", "{", "[]", "3", "null", "{\"label\":\"a\",\"label\":\"b\"}", "{\"label\":\"a\"} x",
	"{\"label\":\"\\u0000\"}", "{\"label\":\"\xFF\"}", "\xEF\xBB\xBF{\"label\":\"a\"}",
	"{\"label\":1e999}", "{\"cables\":9223372036854775808}", "{\"label\":NaN}",
	"{\"a\":[[[[[[[[1]]]]]]]]}", "{label:1}",
};

START_TEST(refuses_what_is_not_one_json_object)
{
	for (size_t i = 0; i < sizeof malformed / sizeof malformed[0]; i++) {
		struct visit v;
		struct form_memory memory = { 0 };
		struct problems why = { 0 };

		ck_assert_msg(!decode(malformed[i], &v, &memory, &why), "%s", malformed[i]);
		ck_assert_msg(why.count == 1 && why.item[0].code == PROBLEM_MALFORMED, "%s",
			malformed[i]);
		form_memory_release(&memory);
	}
}
END_TEST

START_TEST(counts_only_real_nesting)
{
	struct visit v;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };

	ck_assert(decode("{\"label\":\"[[[[\\\"[[[\"}", &v, &memory, &why));
	/* eight levels are read (and then refused as unknown), nine are not */
	ck_assert(!decode("{\"a\":[[[[[[[1]]]]]]]}", &v, &memory, &why));
	ck_assert_int_eq(why.item[0].code, PROBLEM_VALUE);
	form_memory_release(&memory);
}
END_TEST

START_TEST(keeps_lines_of_a_text_and_ends_them_in_lf)
{
	struct visit v;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };

	ck_assert(decode("{\"label\":\"a\\r\\nb\\rc\\td\"}", &v, &memory, &why));
	ck_assert_str_eq(v.label, "a\nb\nc\td");
	form_memory_release(&memory);
}
END_TEST

static const struct form_reading point_ymd = { DAY_YMD, '.' };
static const struct form_reading comma_dmy = { DAY_DMY, ',' };

static bool cell(const char *name, const char *text, const struct form_reading *reading,
	struct visit *v, struct form_memory *memory, struct problem *why)
{
	form_clear(&visit_form, v);
	return form_from_cell(form_member(&visit_form, name), text, strlen(text), reading, v, memory,
		why);
}

START_TEST(reads_cells_as_files_have_them)
{
	struct visit v;
	struct form_memory memory = { 0 };
	struct problem why = { 0 };

	ck_assert(cell("temp_c", " 12,5\xC2\xA0", &comma_dmy, &v, &memory, &why));
	ck_assert_double_eq(v.temp_c, 12.5);
	ck_assert(cell("cables", "3,00", &comma_dmy, &v, &memory, &why));
	ck_assert_int_eq(v.cables, 3);
	ck_assert(cell("seen_on", "28.2.2026", &comma_dmy, &v, &memory, &why));
	ck_assert_int_eq(v.seen_on, 20512);
	ck_assert(cell("seen_on", "2026-02-28", &point_ymd, &v, &memory, &why));
	ck_assert_int_eq(v.seen_on, 20512);
	ck_assert(cell("method", "two-wire", &point_ymd, &v, &memory, &why));
	ck_assert_int_eq(v.method, 1);
	ck_assert(cell("isolated", "Yes", &point_ymd, &v, &memory, &why));
	ck_assert_int_eq(v.isolated, 1);
	ck_assert(cell("isolated", "0", &point_ymd, &v, &memory, &why));
	ck_assert_int_eq(v.isolated, 0);
	ck_assert(cell("label", "  Up 12 ", &point_ymd, &v, &memory, &why));
	ck_assert_str_eq(v.label, "Up 12");
	ck_assert(cell("label", "'-0,4 + 73", &point_ymd, &v, &memory, &why));
	ck_assert_str_eq(v.label, "-0,4 + 73");
	ck_assert(cell("label", "'t Hof", &point_ymd, &v, &memory, &why));
	ck_assert_str_eq(v.label, "'t Hof");
	ck_assert(cell("cables", "  ", &point_ymd, &v, &memory, &why));
	ck_assert_int_eq(v.cables, FORM_NO_INTEGER);
	form_memory_release(&memory);
}
END_TEST

static const struct { const char *name, *text, *says; } cell_refusals[] = {
	{ "temp_c", "12.5", "temp_c must be a number with ',' as its decimal mark" },
	{ "temp_c", "1.234,5", "no mark for thousands; it is \"1.234,5\"" },
	{ "temp_c", "warm", "temp_c must be a number of at least −60 °C; it is \"warm\"" },
	{ "cables", "21", "a whole number from 1 to 20; it is \"21\"" },
	{ "cables", "2,5", "a whole number from 1 to 20; it is \"2,5\"" },
	{ "seen_on", "2026-02-28", "day, month, year as 31.03.2026; it is \"2026-02-28\"" },
	{ "seen_on", "29.02.2026", "a date that exists" },
	{ "isolated", "maybe", "yes or no" },
	{ "method", "guess", "one of four_wire, two_wire; it is \"guess\"" },
	{ "id", "7", "must be a UUID" },
	{ "id", "01890a5d-ac96-774b-bcce-b302099a805x", "must be a UUID" },
	{ "label", "\xE4", "not valid UTF-8" },
	{ "place", "x", "cannot be given in one cell" },
	{ "readings", "x", "cannot be given in one cell" },
};

START_TEST(refuses_a_wrong_cell_with_its_value)
{
	for (size_t i = 0; i < sizeof cell_refusals / sizeof cell_refusals[0]; i++) {
		struct visit v;
		struct form_memory memory = { 0 };
		struct problem why = { 0 };

		ck_assert_msg(!cell(cell_refusals[i].name, cell_refusals[i].text, &comma_dmy, &v, &memory,
			&why), "%s", cell_refusals[i].text);
		ck_assert_str_eq(why.field, cell_refusals[i].name);
		ck_assert_msg(strstr(why.detail, cell_refusals[i].says) != NULL, "%s: %s",
			cell_refusals[i].text, why.detail);
		ck_assert(form_is_absent(form_member(&visit_form, cell_refusals[i].name), &v));
		form_memory_release(&memory);
	}
}
END_TEST

START_TEST(checks_required_members_once)
{
	struct visit v;
	struct problems why = { 0 };

	form_clear(&visit_form, &v);
	ck_assert(!form_check_required(&visit_form, &v, &why));
	ck_assert_uint_eq(why.count, 1);
	ck_assert_str_eq(why.item[0].field, "label");
	ck_assert(form_check_required(&visit_form, &v, &why));
	ck_assert_uint_eq(why.count, 1);
}
END_TEST

START_TEST(refuses_a_list_longer_than_the_bodys_limit_before_reading_it)
{
	struct text json = { 0 };
	struct visit v;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };

	text_add_z(&json, "{\"label\":\"x\",\"tags\":[");
	for (int i = 0; i < 201; i++) {
		text_add_z(&json, i > 0 ? ",\"t\"" : "\"t\"");
	}
	text_add_z(&json, "]}");
	ck_assert(!form_from_json(&visit_form, json.data, json.len, &v, &memory, &why));
	ck_assert_str_eq(why.item[0].detail, "tags may have at most 200 items; it has 201");
	ck_assert_ptr_null(v.tags.items);
	text_release(&json);
	form_memory_release(&memory);
}
END_TEST

START_TEST(describes_itself_as_json_schema)
{
	struct text schema = { 0 };
	json_t *root, *properties;
	const char *type, *title, *description;
	double least, most;

	form_schema(&visit_form, &schema);
	root = json_loadb(schema.data, schema.len, JSON_REJECT_DUPLICATES, NULL);
	ck_assert_msg(root != NULL, "%s", schema.data);
	properties = json_object_get(root, "properties");
	ck_assert_uint_eq(json_object_size(properties), 10);
	ck_assert(json_is_false(json_object_get(root, "additionalProperties")));
	ck_assert_str_eq(json_string_value(json_array_get(json_object_get(root, "required"), 0)),
		"label");
	ck_assert_int_eq(json_unpack(json_object_get(properties, "label"), "{s:s}", "type", &type), 0);
	ck_assert_str_eq(type, "string");
	ck_assert_int_eq(json_unpack(properties, "{s:{s:{s:{s:{s:F,s:F,s:s,s:s}}}}}",
		"readings", "items", "properties", "current_a", "minimum", &least, "maximum", &most,
		"title", &title, "description", &description), 0);
	ck_assert_double_eq(least, 0.01);
	ck_assert_double_eq(most, 1000);
	ck_assert_str_eq(title, "Test current");
	ck_assert_str_eq(description, "In A. As shown by the instrument.");
	ck_assert_uint_eq(json_array_size(json_object_get(json_object_get(properties, "method"),
		"enum")), 3);   /* the two codes and null */
	json_decref(root);
	text_release(&schema);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { decodes_every_type, leaves_what_was_not_sent_absent,
		names_the_wrong_member_and_what_would_be_right, names_every_wrong_member_at_once,
		refuses_what_is_not_one_json_object, counts_only_real_nesting,
		keeps_lines_of_a_text_and_ends_them_in_lf, reads_cells_as_files_have_them,
		refuses_a_wrong_cell_with_its_value, checks_required_members_once,
		refuses_a_list_longer_than_the_bodys_limit_before_reading_it,
		describes_itself_as_json_schema, NULL };

	return case_run("form", tests);
}
