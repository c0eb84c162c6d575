/*
 * Files as clerks make them: what they say otherwise than the register reads it comes in right, or is
 * asked, or is wrong. Each test has the file that once came in wrong without a word.
 */
#include "case.h"
#include "service/importing.h"
#include "store/book.h"
#include "store/inspection.h"

#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd'"

/* Bonds of the line VAL; their places by `place`, a member of the settings' columns. */
#define PLACES(place) "{" AS_CSV ",'columns':[{'field':'line','constant':'VAL'}," \
	"{'field':'label','column':'label'},{'field':'kind','constant':'rail_joint'}," place "]}"

static int64_t place_of(struct railway *r, const char *label)
{
	struct problem why = { 0 };
	struct bond bond;
	int64_t line, id;

	ck_assert(store_line_find(r->store, "VAL", &line, &why) && line != 0);
	ck_assert(store_bond_find(r->store, line, label, &id, &why));
	ck_assert_msg(id != 0, "there is no bond %s", label);
	ck_assert(store_bond_get(r->store, id, &bond, &why));
	return bond.end[END_A].distance_mm;
}

START_TEST(kilometres_metres_and_centimetres_of_three_columns_are_filled_up_to_one_place)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, PLACES("{'field':'a_chainage','template':'{km}+{m:3}.{cm:2}'}"));
	importing_expect(&r, &i, "bonds", "label,km,m,cm\nJ1,12,31,7\nJ2,12,0,0\nJ3,0,999,99\n",
		3, 0, 0, 0);
	ck_assert_int_eq(place_of(&r, "J1"), 12031070);
	ck_assert_int_eq(place_of(&r, "J2"), 12000000);
	ck_assert_int_eq(place_of(&r, "J3"), 999990);
	/* 7 of a hundred is never .7, and 1031 m behind a kilometre goes on counting past its post */
	importing_expect(&r, &i, "bonds", "label,km,m,cm\nJ4,12,31,\nJ5,12,31,107\nJ6,12,3x,7\n"
		"J7,12,1031,0\n", 0, 0, 0, 4);
	importing_wrong(&i, 0, 2, "{km}+{m:3}.{cm:2}", "", "\"\" is empty where a number is to be joined");
	importing_wrong(&i, 1, 3, "{km}+{m:3}.{cm:2}", "107", "\"107\" has more digits");
	importing_wrong(&i, 2, 4, "{km}+{m:3}.{cm:2}", "3x", "\"3x\" is no plain number");
	importing_wrong(&i, 3, 5, "{km}+{m:3}.{cm:2}", "12+1031.00", "12+1031");
	importing_release(&i);
	importing_settings(&i, PLACES("{'field':'a_chainage','template':'{km}+{m}.{cm}'}"));
	ck_assert(!importing(&r, &i, "bonds", "label,km,m,cm\nJ8,12,31,7\n", false));
	ck_assert_ptr_nonnull(strstr(i.why.item[0].detail, "say how many digits cm has"));
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_hyphen_after_the_letters_of_a_milepost_is_asked_not_dropped)
{
	static const char *const cells[] = { "MP-12.3", "MP - 12.3", "MP \xe2\x88\x92 12.3", "J-3.4" };
	struct railway r;
	struct importing i;
	struct line_new line = { "MP", "Mile line", NOTATION_MILES, ELECTRIFICATION_AC };
	struct problems why = { 0 };
	struct recorded recorded;
	char text[80];

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	railway_must(line_register(&r.act, &line, &recorded, &why), &why);
	railway_end(&r);
	for (size_t n = 0; n < sizeof cells / sizeof cells[0]; n++) {
		importing_settings(&i, "{" AS_CSV ",'columns':[{'field':'line','constant':'MP'},"
			"{'field':'label','column':'label'},{'field':'kind','constant':'rail_joint'},"
			"{'field':'a_chainage','template':'{mp:rest}'}]}");
		snprintf(text, sizeof text, "label,mp\nJ1,%s\n", cells[n]);
		importing_expect(&r, &i, "bonds", text, 0, 0, 0, 1);
		ck_assert_msg(strstr(i.result.wrongs[0].reason, "may be a minus or only join them") != NULL,
			"%s: %s", cells[n], i.result.wrongs[0].reason);
		importing_release(&i);
	}
	/* who knows what it is says so: it only joins; a minus without letters stays one */
	importing_settings(&i, "{" AS_CSV ",'columns':[{'field':'line','constant':'MP'},"
		"{'field':'label','column':'label'},{'field':'kind','constant':'rail_joint'},"
		"{'field':'a_chainage','template':'{mp:joined}'}]}");
	importing_expect(&r, &i, "bonds", "label,mp\nJ1,J-3\nJ2,\xe2\x88\x92" "3\n", 2, 0, 0, 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* Imports and expects to be asked: a problem at a setting, with a part of its sentence. */
static void expect_asked(struct railway *r, struct importing *i, const char *kind, const char *text,
	const char *field, const char *sentence)
{
	bool found = false;

	ck_assert_msg(!importing(r, i, kind, text, false), "nothing was asked of\n%s", text);
	for (size_t n = 0; n < i->why.count && n < PROBLEMS_SHOWN; n++) {
		found = found || (strcmp(i->why.item[n].field, field) == 0 &&
			strstr(i->why.item[n].detail, sentence) != NULL);
	}
	ck_assert_msg(found, "%s: %s", i->why.item[0].field, i->why.item[0].detail);
}

#define VISIT "{'field':'line','constant':'VAL'},{'field':'bond','column':'Bond'}," \
	"{'field':'day','column':'Day'}"

/* Thirty visits with readings whose column nobody recognised. */
static void write_log(struct text *to)
{
	text_add_z(to, "Bond,Day,Wert,Bemerkung\n");
	for (int n = 1; n <= 30; n++) {
		text_addf(to, "J1,2023-04-%02d,%d.%d,%s\n", n, 70 + n % 5, n % 10, n % 9 == 0 ? "7" : "ok");
	}
	text_add(to, "", 1);
}

START_TEST(readings_in_a_column_that_nothing_takes_are_asked_by_its_name)
{
	struct railway r;
	struct importing i;
	struct text log = { 0 };

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	railway_add_bond(&r, "J1", "1+200");
	railway_end(&r);
	write_log(&log);
	importing_settings(&i, "{" AS_CSV ",'columns':[" VISIT "]}");
	expect_asked(&r, &i, "inspections", log.data, "left_out",
		"The column Wert has numbers, as \"71.1\", and nothing takes it");
	ck_assert_uint_eq(i.why.count, 1);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), 0);
	importing_release(&i);
	/* another name is no yes; its own is */
	importing_settings(&i, "{" AS_CSV ",'left_out':['wert'],'columns':[" VISIT "]}");
	expect_asked(&r, &i, "inspections", log.data, "left_out", "Wert");
	importing_release(&i);
	importing_settings(&i, "{" AS_CSV ",'left_out':['Wert'],'columns':[" VISIT "]}");
	importing_expect(&r, &i, "inspections", log.data, 30, 0, 0, 0);
	importing_release(&i);
	text_release(&log);
	railway_remove(&r);
}
END_TEST

START_TEST(a_file_without_headings_loses_no_first_row)
{
	static const char file[] = "J1,1+200,95.5\nJ2,1+300,95.5\n";
	static const char *const asked[] = { file, "J1,1+200,0.5 m\nJ2,1+300,\n", "J1,x,y\nJ2,x,z\n" };
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	for (size_t n = 0; n < sizeof asked / sizeof asked[0]; n++) {
		importing_settings(&i, PLACES("{'field':'a_chainage','column':'1+200'}"));
		expect_asked(&r, &i, "bonds", asked[n], "first_row", "The first row looks like data");
		importing_release(&i);
	}
	importing_settings(&i, "{" AS_CSV ",'first_row':'data','columns':["
		"{'field':'line','constant':'VAL'},{'field':'label','column':'Column 1'},"
		"{'field':'kind','constant':'rail_joint'},{'field':'a_chainage','column':'Column 2'},"
		"{'field':'area_mm2','column':'Column 3'}]}");
	importing_expect(&r, &i, "bonds", file, 2, 0, 0, 0);
	ck_assert_int_eq(place_of(&r, "J1"), 1200000);
	importing_expect(&r, &i, "bonds", file, 0, 2, 0, 0);
	importing_expect(&r, &i, "bonds", "J3,there,95.5\nJ4,1+300,95.5\n", 1, 0, 0, 1);
	importing_wrong(&i, 0, 1, "Column 2", "there", "there");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(headings_that_are_figures_are_headings_where_that_is_said)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, "{" AS_CSV ",'first_row':'headings','left_out':['2023'],'columns':["
		"{'field':'line','constant':'VAL'},{'field':'label','column':'label'},"
		"{'field':'kind','constant':'rail_joint'},{'field':'a_chainage','column':'2022'}]}");
	importing_expect(&r, &i, "bonds", "label,2022,2023\nJ1,1+200,5\n", 1, 0, 0, 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_column_without_a_heading_is_a_column_like_others)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, PLACES("{'field':'a_chainage','column':'Column 2'}"));
	importing_expect(&r, &i, "bonds", "label,,\nJ1,1+200,\n", 1, 0, 0, 0);
	expect_asked(&r, &i, "bonds", "label,, \nJ2,1+300,12\n", "left_out", "The column Column 3 has");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		kilometres_metres_and_centimetres_of_three_columns_are_filled_up_to_one_place,
		a_hyphen_after_the_letters_of_a_milepost_is_asked_not_dropped,
		readings_in_a_column_that_nothing_takes_are_asked_by_its_name,
		a_file_without_headings_loses_no_first_row,
		headings_that_are_figures_are_headings_where_that_is_said,
		a_column_without_a_heading_is_a_column_like_others,
		NULL };

	return case_run("import_silent", tests);
}
