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
	ck_assert_str_eq(column_of("area_mm2"), "cross_section");
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

/* Headings as railways of several countries write them; the cells are made. */
START_TEST(the_trade_s_words_are_known_in_several_languages)
{
	static const struct { const char *kind, *heading, *cell, *field; } cases[] = {
		{ "bonds", "Strecken-Nr.", "4711", "line" }, { "bonds", "Code ligne", "420000", "line" },
		{ "bonds", "Linea", "12", "line" }, { "bonds", "Km-Lage", "12+345", "a_chainage" },
		{ "bonds", "Point kilom\xc3\xa9trique", "12+345", "a_chainage" },
		{ "bonds", "Milepost", "12.3", "a_chainage" }, { "bonds", "K\xc3\xbcrzel", "AB", "label" },
		{ "bonds", "Rep\xc3\xa8re", "R12", "label" }, { "bonds", "Gleis Nr.", "2", "a_track" },
		{ "bonds", "VOIE", "1", "a_track" }, { "bonds", "Einbaudatum", "01.02.2020",
		"installed_day" }, { "bonds", "Date de pose", "01/02/2020", "installed_day" },
		{ "bonds", "Querschnitt", "120", "area_mm2" }, { "bonds", "Remarques", "x", "note" },
		{ "inspections", "Pr\xc3\xbc" "fdatum", "01.02.2020", "day" },
		{ "inspections", "\xc3\x9c" "bergangswiderstand", "35", "shown_uohm" },
		{ "inspections", "Monteur", "Bo Finch", "inspector" },
		{ "failures", "Ursache", "Bagger", "cause" }, { "maps", "PK d\xc3\xa9" "but", "1+200",
		"from" }, { "maps", "bis km", "1+200", "to" } };
	char text[200];

	for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
		snprintf(text, sizeof text, "zzz;%s\na;%s\nb;%s\n", cases[i].heading, cases[i].cell,
			cases[i].cell);
		propose(cases[i].kind, text, NULL);
		ck_assert_msg(strcmp(column_of(cases[i].field), cases[i].heading) == 0, "%s is not %s",
			cases[i].heading, cases[i].field);
		import_proposal_release(&proposal);
	}
}
END_TEST

/* "Art" can be a bond's kind, and a station's; a track is no date. */
START_TEST(a_word_of_the_trade_counts_only_where_the_cells_can_be_read_so)
{
	static const struct { const char *kind, *text, *field; } cases[] = {
		{ "bonds", "zzz;Art\na;Bf\nb;Abzw\n", "kind" },
		{ "bonds", "zzz;Einbau\na;ja\nb;nein\n", "installed_day" },
		{ "bonds", "zzz;Querschnitt\na;dick\nb;thin\n", "area_mm2" },
		{ "bonds", "Line A;Line B;x\n1;2;z\n2;3;y\n", "line" } };

	for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
		propose(cases[i].kind, cases[i].text, NULL);
		ck_assert_msg(column_of(cases[i].field)[0] == '\0', "%s", cases[i].text);
		import_proposal_release(&proposal);
	}
}
END_TEST

START_TEST(a_label_at_several_places_of_a_line_is_joined_with_its_place)
{
	const struct import_column *label;

	propose("bonds", "Strecke;Code;km\nA;X;1+200\nA;Y;1+300\nB;X;1+200\n", NULL);
	ck_assert_str_eq(column_of("label"), "Code");
	import_proposal_release(&proposal);
	propose("bonds", "Strecke;Code;km\nA;X;1+200\nA;Y;1+300\nA;X;1+400\n", NULL);
	label = import_settings_column(&proposal.settings, "label");
	ck_assert_str_eq(label->template, "{Code} {km}");
	import_proposal_release(&proposal);
}
END_TEST

START_TEST(the_notation_is_proposed_that_alone_reads_the_places)
{
	static const struct { const char *text, *code; } cases[] = {
		{ "Strecke;km\n1;12+345\n2;0+020\n", "km_m" },
		{ "Strecke;km\n1;172,9 + 16\n2;-0,0 + -73\n", "hm_m" },
		{ "Strecke;km\n1;5.40\n2;12.345\n", NULL } };

	for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
		const struct import_column *c;

		propose("lines", cases[i].text, NULL);
		c = import_settings_column(&proposal.settings, "notation");
		ck_assert_msg(cases[i].code == NULL ? c == NULL : c != NULL &&
			strcmp(c->constant, cases[i].code) == 0, "%s", cases[i].text);
		import_proposal_release(&proposal);
	}
}
END_TEST

START_TEST(dates_that_could_be_either_way_round_are_not_proposed)
{
	propose("bonds", "Line;Installed\nVAL;03/04/2021\nVAL;05/06/2021\n", NULL);
	ck_assert_int_lt(proposal.settings.day_order, 0);
	ck_assert_ptr_nonnull(strstr(proposal.day_order_why, "either way round"));
	import_proposal_release(&proposal);
	propose("bonds", "Line;Installed\nVAL;03/04/2021\nVAL;13/06/2021\n", NULL);
	ck_assert_int_eq(proposal.settings.day_order, DAY_DMY);
	import_proposal_release(&proposal);
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
		a_template_joins_columns_and_parts_letters_from_numbers,
		the_trade_s_words_are_known_in_several_languages,
		a_word_of_the_trade_counts_only_where_the_cells_can_be_read_so,
		a_label_at_several_places_of_a_line_is_joined_with_its_place,
		the_notation_is_proposed_that_alone_reads_the_places,
		dates_that_could_be_either_way_round_are_not_proposed, NULL };

	return case_run("import_propose", tests);
}
