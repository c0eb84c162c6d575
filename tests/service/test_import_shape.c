/* Tables as people lay them out: titles above, totals below, cells that mean the one above, the
 * same heading twice, a reading or a year per column. */
#include "case.h"
#include "service/import/propose.h"
#include "service/import/wrong.h"
#include "service/importing.h"
#include "store/record/inspection.h"

#define AS_CSV "'separator':'semicolon','encoding':'utf_8','decimal':'point','day_order':'ymd',"
#define BOND_COLUMNS "'columns':[{'field':'line','column':'Line'},{'field':'label'," \
	"'column':'Label'},{'field':'kind','constant':'rail_joint'},{'field':'a_chainage'," \
	"'column':'Place'}]"
#define VISIT_COLUMNS "'columns':[{'field':'line','constant':'VAL'},{'field':'bond'," \
	"'column':'Bond'},{'field':'method','constant':'four_wire'},{'field':'shown_uohm'," \
	"'column':'(value)','unit':'uohm'},"

static const char list_of_bonds[] = "Bonds of the vale;;\n"
	"as of 31 December;;\n"
	"\n"
	"Line;Label;Place\n"
	"VAL;B 1;1+200\n"
	";B 2;1+300\n"
	";B 3;here\n"
	"\n"
	"Total;3;\n"
	"checked: Bo Finch;;\n";

static struct import_proposal proposal;

static void propose(const char *kind, const char *text, size_t len)
{
	struct import_settings none;
	struct problems why = { 0 };

	form_clear(&import_settings_form, &none);
	railway_must(import_propose(import_kind_find(kind), &none, text, len, &proposal, &why), &why);
}

START_TEST(a_table_between_titles_and_totals_is_found_with_the_reasons)
{
	propose("bonds", list_of_bonds, strlen(list_of_bonds));
	ck_assert_int_eq(proposal.settings.begins_row, 4);
	ck_assert_int_eq(proposal.settings.ends_row, 7);
	ck_assert_ptr_nonnull(strstr(proposal.shape.begins_why, "titles"));
	ck_assert_ptr_nonnull(strstr(proposal.shape.ends_why, "\"Total\""));
	ck_assert_uint_eq(proposal.n_columns, 3);
	ck_assert_uint_eq(proposal.n_rows, 3);
	ck_assert_int_eq(memcmp(proposal.headings->name[1].text, "Label", 5), 0);
	import_proposal_release(&proposal);
}
END_TEST

START_TEST(a_file_that_is_all_table_is_left_as_it_is)
{
	static const char *const files[] = { "Line;Label;Place\nVAL;B 1;1+200\nVAL;B 2;1+300\n",
		"Line;Label\nVAL;Total 1\nVAL;B 2\n", "Code\nA\nB\n",
		"Line;;;Label\nVAL;;;B 1\n;x;y;z\n" };

	for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
		propose("bonds", files[i], strlen(files[i]));
		ck_assert_msg(proposal.settings.begins_row <= 0 && proposal.settings.ends_row <= 0, "%zu",
			i);
		import_proposal_release(&proposal);
	}
}
END_TEST

START_TEST(what_stands_around_the_table_is_left_out_and_rows_keep_their_numbers)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, "{" AS_CSV BOND_COLUMNS ",'begins_row':4,'ends_row':7}");
	importing_expect(&r, &i, "bonds", list_of_bonds, 1, 0, 2, 2);
	importing_wrong(&i, 0, 6, "Line", "", "Line is needed");
	importing_release(&i);
	importing_settings(&i, "{" AS_CSV BOND_COLUMNS ",'begins_row':4,'ends_row':7,"
		"'as_above':['Line']}");
	importing_expect(&r, &i, "bonds", list_of_bonds, 2, 0, 2, 1);
	importing_wrong(&i, 0, 7, "Place", "here", "");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_table_that_begins_nowhere_and_a_column_that_is_not_there_are_said)
{
	static const struct { const char *settings, *field, *says; } cases[] = {
		{ "'begins_row':40", "begins_row", "The file has no row 40" },
		{ "'begins_row':4,'as_above':['Lime']", "as_above", "do you mean Line?" },
		{ "'begins_row':4,'in_rows':['2019']", "in_rows", "no column 2019" } };
	struct railway r;
	struct importing i;
	char settings[1000];

	railway_make(&r, "2024-01-01");
	for (size_t n = 0; n < sizeof cases / sizeof cases[0]; n++) {
		snprintf(settings, sizeof settings, "{" AS_CSV BOND_COLUMNS ",%s}", cases[n].settings);
		importing_settings(&i, settings);
		ck_assert(!importing(&r, &i, "bonds", list_of_bonds, true));
		ck_assert_str_eq(i.why.item[0].field, cases[n].field);
		ck_assert_msg(strstr(i.why.item[0].detail, cases[n].says) != NULL, "%s",
			i.why.item[0].detail);
		importing_release(&i);
	}
	railway_remove(&r);
}
END_TEST

START_TEST(columns_of_the_same_heading_are_told_apart_by_their_count)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, "{" AS_CSV "'columns':[{'field':'line','column':'Name (1)'},"
		"{'field':'label','column':'Name (2)'},{'field':'kind','constant':'rail_joint'},"
		"{'field':'a_chainage','column':'Place'}]}");
	importing_expect(&r, &i, "bonds", "Name;Name;Place\nVAL;B 1;1+200\n", 1, 0, 0, 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* J1 was measured twice on one day and J2 once, which is one visit each; J3 not at all. */
START_TEST(a_reading_per_column_makes_one_visit_of_a_row_and_a_row_without_any_is_not_lost)
{
	static const char file[] = "Bond;Day;R A;R B\nJ1;2023-05-01;12.5;13\nJ2;2023-05-01;;14\n"
		"J3;2023-05-01;;\n";
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	railway_add_bond(&r, "J1", "1+200");
	railway_add_bond(&r, "J2", "1+300");
	railway_add_bond(&r, "J3", "1+400");
	railway_end(&r);
	importing_settings(&i, "{" AS_CSV VISIT_COLUMNS "{'field':'day','column':'Day'},"
		"{'field':'quantity','column':'(heading)'}],'words':[{'field':'quantity','from':'R A',"
		"'to':'contact_a'},{'field':'quantity','from':'R B','to':'contact_b'},"
		"{'field':'method','from':'x'}],'in_rows':['R A','R B']}");
	importing_expect(&r, &i, "inspections", file, 3, 0, 0, 1);
	importing_wrong(&i, 0, 4, "(heading)", "", "needed");
	i.settings.leave_wrong_out = 1;
	importing_expect(&r, &i, "inspections", file, 3, 0, 0, 1);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), 2);
	ck_assert_uint_eq(importing_count(&r, &reading_list), 3);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_year_per_column_makes_a_visit_of_each)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	railway_add_bond(&r, "J1", "1+200");
	railway_end(&r);
	importing_settings(&i, "{" AS_CSV VISIT_COLUMNS "{'field':'day','template':"
		"'{(heading)}-06-30'},{'field':'quantity','constant':'contact_a'}],"
		"'in_rows':['2021','2022','2023'],'first_row':'headings'}");
	importing_expect(&r, &i, "inspections", "Bond;2021;2022;2023\nJ1;10;;12\n", 2, 0, 0, 0);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), 2);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

static bool add(void *app, const char *bytes, size_t len)
{
	text_add(app, bytes, len);
	return true;
}

START_TEST(the_wrong_rows_stand_below_their_headings_so_that_the_same_settings_read_them)
{
	struct railway r;
	struct importing i;
	struct wrong_rows wrong;
	struct text file = { 0 };
	struct import_request request = { .kind = import_kind_find("bonds"), .file_name = "f",
		.bytes = list_of_bonds, .len = strlen(list_of_bonds), .dry_run = true };
	struct problems why = { 0 };

	railway_make(&r, "2024-01-01");
	importing_settings(&i, "{" AS_CSV BOND_COLUMNS ",'begins_row':4,'ends_row':7,"
		"'as_above':['Line']}");
	request.settings = &i.settings;
	wrong_rows_start(&wrong, &i.settings);
	request.watch = (struct import_watch){ .wrong = wrong_rows_take, .app = &wrong };
	railway_begin(&r, "2024-05-01");
	railway_must(import_run(&r.act, &request, &i.result, &why), &why);
	railway_undo(&r);
	ck_assert(wrong_rows_write(&wrong, &request, add, &file));
	ck_assert_msg(strncmp(file.data, "\n\n\nLine;Label;Place;wrong: row;", 31) == 0 &&
		strstr(file.data, "\nVAL;B 3;here;7;Place;here;") != NULL, "%s", file.data);
	wrong_rows_release(&wrong);
	text_release(&file);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_table_between_titles_and_totals_is_found_with_the_reasons,
		a_file_that_is_all_table_is_left_as_it_is,
		what_stands_around_the_table_is_left_out_and_rows_keep_their_numbers,
		a_table_that_begins_nowhere_and_a_column_that_is_not_there_are_said,
		columns_of_the_same_heading_are_told_apart_by_their_count,
		a_reading_per_column_makes_one_visit_of_a_row_and_a_row_without_any_is_not_lost,
		a_year_per_column_makes_a_visit_of_each,
		the_wrong_rows_stand_below_their_headings_so_that_the_same_settings_read_them, NULL };

	return case_run("import_shape", tests);
}
