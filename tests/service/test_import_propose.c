/* What is proposed for a file, and what is left for a person to state. */
#include <string.h>

#include "base/text.h"
#include "case.h"
#include "service/import/file.h"
#include "service/import/propose.h"
#include "service/importing.h"

static struct import_proposal proposal;

static void propose(const char *kind, const char *text, const struct import_settings *given)
{
	struct import_settings none;
	struct problems why = { 0 };

	form_clear(&import_settings_form, &none);
	railway_must(import_propose(import_kind_find(kind), given != NULL ? given : &none, text,
		strlen(text), &proposal, &why), &why);
}

static const char *column_of(const char *field)
{
	const struct import_column *c = import_settings_column(&proposal.settings, field);

	return c != NULL ? c->column : "";
}

START_TEST(proposes_how_a_file_is_written_and_the_columns_that_have_a_fields_name_or_title)
{
	propose("bonds", "Line;LABEL;Kind;Chainage of end A;installed;cross_section;length-m\n"
		"VAL;B\xc3\xa4r 1;rail joint bond;1+200;31.03.2020;120;0,85\n"
		"VAL;2;rail joint bond;1+300;13.12.2021;120;1,5\n", NULL);
	ck_assert_int_eq(proposal.settings.separator, SEPARATOR_SEMICOLON);
	ck_assert_int_eq(proposal.settings.encoding, CHARSET_UTF_8);
	ck_assert_int_eq(proposal.settings.decimal, DECIMAL_COMMA);
	ck_assert_int_eq(proposal.settings.day_order, DAY_DMY);
	ck_assert_uint_gt(strlen(proposal.separator_why), 0);
	ck_assert_ptr_nonnull(strstr(proposal.day_order_why, "installed"));
	ck_assert_str_eq(column_of("line"), "Line");
	ck_assert_str_eq(column_of("label"), "LABEL");
	ck_assert_str_eq(column_of("a_chainage"), "Chainage of end A");
	ck_assert_str_eq(column_of("installed_day"), "installed");
	ck_assert_str_eq(column_of("length_m"), "length-m");
	ck_assert_str_eq(column_of("area_mm2"), "");
	ck_assert_uint_eq(proposal.n_columns, 7);
	ck_assert_uint_eq(proposal.n_rows, 2);
	import_proposal_release(&proposal);
}
END_TEST

START_TEST(what_was_stated_is_not_proposed_otherwise)
{
	struct import_settings given;
	struct import_column column = { .field = "code", .column = "x" };

	form_clear(&import_settings_form, &given);
	given.separator = SEPARATOR_COMMA;
	given.encoding = CHARSET_CP850;
	given.columns = (struct form_list){ &column, 1 };
	propose("lines", "code;name\nA;B\x84r\n", &given);
	ck_assert_int_eq(proposal.settings.separator, SEPARATOR_COMMA);
	ck_assert_str_eq(proposal.separator_why, "");
	ck_assert_uint_eq(proposal.n_columns, 1);
	ck_assert_uint_eq(proposal.settings.columns.count, 1);
	ck_assert_int_eq(memcmp(proposal.preview[0].text, "A;B\xc3\xa4r", 6), 0);
	import_proposal_release(&proposal);
}
END_TEST

START_TEST(a_heading_that_two_columns_have_is_proposed_for_nothing)
{
	propose("lines", "code,Name,name\nA,B,C\n", NULL);
	ck_assert_str_eq(column_of("code"), "code");
	ck_assert_str_eq(column_of("name"), "");
	import_proposal_release(&proposal);
}
END_TEST

/* A heading and two cells: the field that it is proposed for, and its unit; "": none. */
static const struct { const char *kind, *heading, *cell, *other, *field, *unit; } columns[] = {
	{ "inspections", "R (m\xce\xa9)", "0.35", "0.36", "shown_uohm", "mohm" },
	{ "inspections", "mOhm", "0.35", "0.36", "shown_uohm", "mohm" },
	{ "inspections", "[uOhm]", "350", "360", "shown_uohm", "uohm" },
	{ "inspections", "R", "0.35 m\xce\xa9", "0.36 m\xe2\x84\xa6", "shown_uohm", "mohm" },
	{ "inspections", "R", "0.35 m\xce\xa9", "360 \xce\xbc\xce\xa9", "shown_uohm", "cell" },
	{ "inspections", "R (\xc2\xb5\xce\xa9)", "0.35 m\xce\xa9", "0.36 m\xce\xa9", "shown_uohm", "" },
	{ "inspections", "R MOHM", "0.35", "0.36", "shown_uohm", NULL },
	{ "inspections", "Rail \xc2\xb0" "C", "11", "12", "temp_c", "c" },
	{ "inspections", "Temperature of the conductor (\xc2\xb0" "F)", "50", "51", "temp_c", "f" },
	{ "inspections", "shown_uohm", "350", "360", "shown_uohm", "uohm" },
	{ "inspections", "Test current", "10", "10", "current_a", "" },
	{ "inspections", "Voltage, current forward [mV]", "1", "2", "forward_uv", "mv" },
	{ "bonds", "Length of one cable", "1", "2", "length_m", "" },
	{ "bonds", "Length of one cable (cm)", "1", "2", "length_m", "cm" },
	{ "bonds", "Chainage of end A (km)", "1.5", "2.5", "a_chainage", "km" },
	{ "bonds", "Chainage of end A (km)", "1+500", "2+500", "a_chainage", "line" },
	{ "bonds", "Chainage of end A", "1.5", "2.5", "a_chainage", "" },
};

START_TEST(a_unit_is_proposed_from_the_heading_and_the_cells_and_asked_where_they_say_none)
{
	for (size_t n = 0; n < sizeof columns / sizeof columns[0]; n++) {
		const struct import_column *c;
		char text[256];

		snprintf(text, sizeof text, "word;%s\nx;%s\ny;%s\n", columns[n].heading, columns[n].cell,
			columns[n].other);
		propose(columns[n].kind, text, NULL);
		c = import_settings_column(&proposal.settings, columns[n].field);
		if (columns[n].unit == NULL) {
			ck_assert_msg(c == NULL, "%s was taken", columns[n].heading);
		} else {
			ck_assert_msg(c != NULL, "%s was not taken", columns[n].heading);
			ck_assert_msg(strcmp(c->unit != NULL ? c->unit : "", columns[n].unit) == 0, "%s, %s: %s",
				columns[n].heading, columns[n].cell, c->unit != NULL ? c->unit : "none");
		}
		import_proposal_release(&proposal);
	}
}
END_TEST

START_TEST(the_proposal_as_json_says_what_is_missing)
{
	struct text json = { 0 };

	propose("lines", "code,title \"x\"\nA,B\n", NULL);
	import_proposal_write(&proposal, &json);
	ck_assert(!json.failed);
	ck_assert_ptr_nonnull(strstr(json.data, "\"settings\":{\"separator\":\"comma\""));
	ck_assert_ptr_nonnull(strstr(json.data, "\"columns\":[\"code\",\"title \\\"x\\\"\"]"));
	ck_assert_ptr_nonnull(strstr(json.data, "\"preview\":[[\"A\",\"B\"]]"));
	ck_assert_ptr_nonnull(strstr(json.data, "Say which column gives Notation of its chainage"));
	text_release(&json);
	import_proposal_release(&proposal);
}
END_TEST

START_TEST(a_file_of_another_sort_is_refused_with_what_to_do)
{
	struct import_settings none;
	struct problems why = { 0 };

	form_clear(&import_settings_form, &none);
	ck_assert(!import_propose(import_kind_find("lines"), &none, "PK\3\4 a workbook", 15, &proposal,
		&why));
	ck_assert_int_eq(problems_code(&why), PROBLEM_MALFORMED);
	import_proposal_release(&proposal);
}
END_TEST

START_TEST(a_file_over_the_limit_is_refused_and_one_at_the_limit_is_not)
{
	struct problem why = { 0 };

	ck_assert(import_size_check(IMPORT_BROWSER_BYTES, IMPORT_BROWSER_BYTES, &why));
	ck_assert(!import_size_check(IMPORT_BROWSER_BYTES + 1, IMPORT_BROWSER_BYTES, &why));
	ck_assert_int_eq(why.code, PROBLEM_TOO_LARGE);
	ck_assert_ptr_nonnull(strstr(why.detail, "64 MB"));
	ck_assert(!import_size_check(IMPORT_FILE_BYTES + 1, IMPORT_FILE_BYTES, &why));
	ck_assert_ptr_nonnull(strstr(why.detail, "1024 MB"));
}
END_TEST

/* A template against the cells a and b; NULL: refused. */
static const struct { const char *template, *cells, *value; } templates[] = {
	{ "{a} {b}", "x,y", "x y" },
	{ "{a} {b}", "x,", "x" },
	{ "{a}  -  {b}", " x ,y  z", "x - y z" },
	{ "{a}{{{b}}}", "x,y", "x{y}" },
	{ "N {a}", ",y", "" },
	{ "{a:prefix}", "MP 12.3,", "MP" },
	{ "{a:rest}", "MP 12.3,", "12.3" },
	{ "{a:prefix}", "12.3,", "" },
	{ "{a:rest}", "12.3,", "12.3" },
	{ "{a:rest}", "109.1X,", "109.1X" },
	{ "{a:joined}", "J-3.4,", "3.4" },
	{ "{a:prefix}", "J-3.4,", "J" },
	{ "{a:rest}", "-0.5,", "-0.5" },
	{ "{a:rest}", "\xe2\x88\x92" "0.5,", "\xe2\x88\x92" "0.5" },
	{ "{a:3}", "7,", "007" },
	{ "{a:3}", "7.25,", "007.25" },
	{ "{a:3}", "1031,", "1031" },
	{ "{a:prefix}", "MP A78,", "MP A" },
	{ "{a:rest}", "LR5+14,", "5+14" },
};

START_TEST(a_template_joins_columns_and_parts_letters_from_numbers)
{
	for (size_t n = 0; n < sizeof templates / sizeof templates[0]; n++) {
		struct railway r;
		struct importing i;
		struct line line;
		struct problem why = { 0 };
		char json[512], text[64];

		railway_make(&r, "2024-01-01");
		snprintf(json, sizeof json, "{'separator':'comma','encoding':'utf_8','columns':["
			"{'field':'code','constant':'T'},{'field':'name','template':'%s'},"
			"{'field':'notation','constant':'km'}]}", templates[n].template);
		snprintf(text, sizeof text, "a,b\n%s\n", templates[n].cells);
		importing_settings(&i, json);
		ck_assert_msg(importing(&r, &i, "lines", text, false), "%s", i.why.item[0].detail);
		if (templates[n].value[0] == '\0') {
			importing_wrong(&i, 0, 2, templates[n].template, "", "is needed, and the row has none");
		} else {
			ck_assert_msg(store_line_get(r.store, 2, &line, &why), "%s", i.result.n_wrongs > 0 ?
				i.result.wrongs[0].reason : "");
			ck_assert_str_eq(line.name, templates[n].value);
		}
		importing_release(&i);
		railway_remove(&r);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		proposes_how_a_file_is_written_and_the_columns_that_have_a_fields_name_or_title,
		what_was_stated_is_not_proposed_otherwise,
		a_heading_that_two_columns_have_is_proposed_for_nothing,
		a_unit_is_proposed_from_the_heading_and_the_cells_and_asked_where_they_say_none,
		the_proposal_as_json_says_what_is_missing,
		a_file_of_another_sort_is_refused_with_what_to_do,
		a_file_over_the_limit_is_refused_and_one_at_the_limit_is_not,
		a_template_joins_columns_and_parts_letters_from_numbers, NULL };

	return case_run("import_propose", tests);
}
