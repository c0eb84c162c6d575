/*
 * Files as clerks make them: what they say otherwise than the register reads it comes in right, or
 * is asked, or is wrong. Each test has the file that once came in wrong without a word.
 */
#include <math.h>

#include "base/decimal.h"
#include "case.h"
#include "service/import/unit.h"
#include "service/importing.h"
#include "store/record/book.h"
#include "store/record/correction.h"
#include "store/record/inspection.h"

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

static double length_of(struct railway *r, const char *label)
{
	struct problem why = { 0 };
	struct bond bond;
	int64_t line, id;

	ck_assert(store_line_find(r->store, "VAL", &line, &why) &&
		store_bond_find(r->store, line, label, &id, &why) && id != 0 &&
		store_bond_get(r->store, id, &bond, &why));
	return bond.length_m;
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

START_TEST(kilometres_metres_and_centimetres_of_three_columns_are_added_up_by_their_units)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, PLACES("{'field':'a_chainage','template':'{km:km}+{m:m}+{cm:cm}'},"
		"{'field':'length_m','template':'{lm:m}+{lcm:cm}'}"));
	importing_expect(&r, &i, "bonds", "label,km,m,cm,lm,lcm\nJ1,12,31,7,1,5\nJ2,12,0,0,0,80\n"
		"J3,0,999,99.9,2,150\n", 3, 0, 0, 0);
	ck_assert_int_eq(place_of(&r, "J1"), 12031070);
	ck_assert_int_eq(place_of(&r, "J2"), 12000000);
	ck_assert_int_eq(place_of(&r, "J3"), 999999);
	/* worked by hand: 1 m 5 cm; 80 cm; a length may have more than a metre of centimetres */
	ck_assert_double_eq_tol(length_of(&r, "J1"), 1.05, 1e-12);
	ck_assert_double_eq_tol(length_of(&r, "J2"), 0.8, 1e-12);
	ck_assert_double_eq_tol(length_of(&r, "J3"), 3.5, 1e-12);
	importing_expect(&r, &i, "bonds", "label,km,m,cm,lm,lcm\nJ4,12,31,,1,0\nJ5,12,1000,0,1,0\n"
		"J6,12,31,100,1,0\nJ7,-1,31,7,1,0\nJ8,12.5,31,7,1,0\nJ9,12,x,7,1,0\n", 0, 0, 0, 6);
	importing_wrong(&i, 0, 2, "{km:km}+{m:m}+{cm:cm}", "", "\"\" is empty where a length");
	importing_wrong(&i, 1, 3, "{km:km}+{m:m}+{cm:cm}", "1000", "past a post people count on");
	importing_wrong(&i, 2, 4, "{km:km}+{m:m}+{cm:cm}", "100", "past a post people count on");
	importing_wrong(&i, 3, 5, "{km:km}+{m:m}+{cm:cm}", "-1", "without a sign");
	importing_wrong(&i, 4, 6, "{km:km}+{m:m}+{cm:cm}", "12.5", "has a fraction");
	importing_wrong(&i, 5, 7, "{km:km}+{m:m}+{cm:cm}", "x", "no plain number");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

static const struct { const char *place, *says; } sums[] = {
	{ "{'field':'a_chainage','template':'{km:km}+{m}'}", "give each its unit" },
	{ "{'field':'a_chainage','template':'{km:km}-{m:m}'}", "give each its unit" },
	{ "{'field':'a_chainage','template':'+{km:km}+{m:m}'}", "give each its unit" },
	{ "{'field':'a_chainage','template':'{m:m}+{km:km}'}", "from the largest to the smallest" },
	{ "{'field':'a_chainage','template':'{km:km}+{m:m}','unit':'km'}", "state no other" },
	{ "{'field':'a_chainage','column':'km','unit':'km'},"
		"{'field':'area_mm2','template':'{km:km}+{m:m}'}", "this field is none" },
};

START_TEST(a_template_that_adds_says_every_unit_and_the_largest_first)
{
	struct railway r;

	railway_make(&r, "2024-01-01");
	for (size_t n = 0; n < sizeof sums / sizeof sums[0]; n++) {
		struct importing i;
		char settings[500];

		snprintf(settings, sizeof settings, PLACES("%s"), sums[n].place);
		importing_settings(&i, settings);
		ck_assert_msg(!importing(&r, &i, "bonds", "label,km,m\nJ8,12,31\n", false), "%s",
			sums[n].place);
		ck_assert_msg(strstr(i.why.item[0].detail, sums[n].says) != NULL, "%s",
			i.why.item[0].detail);
		importing_release(&i);
	}
	railway_remove(&r);
}
END_TEST

/* (it was read as the line writes it: 12,345 km) */
START_TEST(the_unit_of_a_template_counts_though_it_begins_with_a_sign)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, PLACES("{'field':'a_chainage','template':'+{m}','unit':'m'}"));
	importing_expect(&r, &i, "bonds", "label,m\nJ1,345\n", 1, 0, 0, 0);
	ck_assert_int_eq(place_of(&r, "J1"), 345000);
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
			"{'field':'a_chainage','template':'{mp:rest}','unit':'line'}]}");
		snprintf(text, sizeof text, "label,mp\nJ1,%s\n", cells[n]);
		importing_expect(&r, &i, "bonds", text, 0, 0, 0, 1);
		ck_assert_msg(strstr(i.result.wrongs[0].reason, "may be a minus or only join them") != NULL,
			"%s: %s", cells[n], i.result.wrongs[0].reason);
		importing_release(&i);
	}
	/* who knows what it is says so: it only joins; a minus without letters stays one */
	importing_settings(&i, "{" AS_CSV ",'columns':[{'field':'line','constant':'MP'},"
		"{'field':'label','column':'label'},{'field':'kind','constant':'rail_joint'},"
		"{'field':'a_chainage','template':'{mp:joined}','unit':'line'}]}");
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
		text_addf(to, "J1,2023-04-%02d,%s%d.%d,%s\n", n, n % 3 > 0 ? "not " : "< ", 70 + n % 5, n % 10,
			n == 9 || n == 19 ? "7" : "ok");
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
		"The column Wert has numbers, as \"< 73.3\", and nothing takes it");
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
		"{'field':'area_mm2','column':'Column 3','unit':'mm2'}]}");
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

/* What the meter showed at J1, by a log of one column. */
static double shown_of(struct railway *r, struct importing *i, const char *column, const char *cell)
{
	struct list_query query;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct table table;
	struct list_run *run;
	struct cell cells[64];
	bool failed = false;
	double shown = NAN;
	char json[512], text[128];

	snprintf(json, sizeof json, "{'separator':'semicolon','encoding':'utf_8','decimal':'comma',"
		"'day_order':'ymd','columns':[{'field':'line','constant':'VAL'},{'field':'bond','column':'Bond'},"
		"{'field':'day','column':'Day'},{'field':'quantity','constant':'end_to_end'},"
		"{'field':'method','constant':'four_wire'},{'field':'shown_uohm','column':'R'%s}]}", column);
	importing_settings(i, json);
	snprintf(text, sizeof text, "Bond;Day;R\nJ1;2023-05-01;%s\n", cell);
	importing_expect(r, i, "inspections", text, 1, 0, 0, 0);
	railway_must(list_query_read(&reading_list, NULL, 0, 0, &query, &why), &why);
	run = list_open(r->store, &query, &table, &one);
	ck_assert(run != NULL && table.next(table.source, cells, &failed));
	for (size_t n = 0; n < table.n_columns; n++) {
		shown = strcmp(table.columns[n].name, "r_uohm") == 0 ? cells[n].real : shown;
	}
	list_close(run);
	return shown;
}

static const struct { const char *unit, *cell; double uohm; } shown[] = {
	{ ",'unit':'mohm'", "0,35", 350 },
	{ ",'unit':'mohm'", "0,0713", 71.3 },
	{ ",'unit':'mohm'", "0,35 m\xce\xa9", 350 },
	{ ",'unit':'uohm'", "350", 350 },
	{ ",'unit':'uohm'", "350 \xc2\xb5\xe2\x84\xa6", 350 },
	{ ",'unit':'ohm'", "3,5E-4", 350 },
	{ ",'unit':'cell'", "0,35 mOhm", 350 },
	{ ",'unit':'cell'", "350uOhm", 350 },
};

START_TEST(a_reading_in_milliohms_is_no_reading_in_microohms)
{
	for (size_t n = 0; n < sizeof shown / sizeof shown[0]; n++) {
		struct railway r;
		struct importing i;
		double uohm;

		railway_make(&r, "2024-01-01");
		railway_begin(&r, "2024-05-01");
		railway_add_bond(&r, "J1", "1+200");
		railway_end(&r);
		uohm = shown_of(&r, &i, shown[n].unit, shown[n].cell);
		ck_assert_msg(uohm == shown[n].uohm, "%s %s: %.17g", shown[n].unit, shown[n].cell, uohm);
		importing_release(&i);
		railway_remove(&r);
	}
}
END_TEST

#define METERED(heading, unit) "{" AS_CSV ",'columns':[" VISIT \
	",{'field':'quantity','constant':'end_to_end'},{'field':'method','constant':'four_wire'}," \
	"{'field':'shown_uohm','column':'" heading "'" unit "}]}"

static const struct { const char *heading, *unit, *cell, *sentence; } not_shown[] = {
	{ "R", ",'unit':'uohm'", "0.35 m\xce\xa9", "names another unit than its column, which is in \xc2\xb5\xce\xa9" },
	{ "shown_uohm", "", "0.35 m\xce\xa9", "names another unit than its column" },
	{ "R", ",'unit':'mohm'", "0.35 M\xce\xa9", "that is no unit of" },
	{ "R", ",'unit':'cell'", "0.35", "names no unit" },
	{ "R", ",'unit':'mohm'", "0,35", "'.' as its decimal mark" },
	{ "R", ",'unit':'ohm'", "2000", "a number from" },
};

START_TEST(a_unit_that_nobody_stated_is_asked_and_a_cell_that_says_another_is_wrong)
{
	struct railway r;
	struct importing i;
	char json[512], text[128];

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	railway_add_bond(&r, "J1", "1+200");
	railway_end(&r);
	importing_settings(&i, METERED("R (m\xce\xa9)", ""));
	expect_asked(&r, &i, "inspections", "Bond,Day,R (m\xce\xa9)\nJ1,2023-05-01,0.35\n", "columns",
		"State in which unit the column R (m\xce\xa9) is: uohm, mohm");
	importing_release(&i);
	importing_settings(&i, METERED("R", ",'unit':'km'"));
	expect_asked(&r, &i, "inspections", "Bond,Day,R\nJ1,2023-05-01,0.35\n", "columns",
		"cannot be in km");
	importing_release(&i);
	for (size_t n = 0; n < sizeof not_shown / sizeof not_shown[0]; n++) {
		snprintf(json, sizeof json, "{" AS_CSV ",'columns':[" VISIT
			",{'field':'quantity','constant':'end_to_end'},{'field':'method','constant':'four_wire'},"
			"{'field':'shown_uohm','column':'%s'%s}]}", not_shown[n].heading, not_shown[n].unit);
		importing_settings(&i, json);
		snprintf(text, sizeof text, "Bond,Day,%s\nJ1,2023-05-01,\"%s\"\n", not_shown[n].heading,
			not_shown[n].cell);
		importing_expect(&r, &i, "inspections", text, 0, 0, 0, 1);
		ck_assert_msg(strstr(i.result.wrongs[0].reason, not_shown[n].sentence) != NULL, "%s: %s",
			not_shown[n].cell, i.result.wrongs[0].reason);
		importing_release(&i);
	}
	railway_remove(&r);
}
END_TEST

static const struct { const char *unit, *cell; double c; } temperatures[] = {
	{ "f", "50", 10 }, { "f", "-40", -40 }, { "k", "273.15", 0 }, { "c", "-3.5", -3.5 },
	{ "cell", "32 \xc2\xb0" "F", 0 },
};

START_TEST(lengths_sections_and_temperatures_are_converted_to_the_registers_unit)
{
	static const struct import_kind *kind;
	struct railway r;
	struct importing i;
	struct problem why = { 0 };
	struct bond bond;
	int64_t line, id;

	kind = import_kind_find("inspections");
	for (size_t n = 0; n < sizeof temperatures / sizeof temperatures[0]; n++) {
		struct import_fields fields;
		struct text text = { 0 };
		struct problem one = { 0 };
		double c = NAN;

		import_kind_fields(kind, &fields);
		ck_assert_msg(unit_convert(form_member(&fields.form, "temp_c"), temperatures[n].unit,
			temperatures[n].cell, strlen(temperatures[n].cell), '.', &text, &one), "%s", one.detail);
		ck_assert(decimal_read(text.data, text.len, '.', &c));
		ck_assert_msg(fabs(c - temperatures[n].c) < 1e-12, "%s %s: %.17g", temperatures[n].cell,
			temperatures[n].unit, c);
		text_release(&text);
	}
	railway_make(&r, "2024-01-01");
	importing_settings(&i, PLACES("{'field':'a_chainage','column':'at'},"
		"{'field':'length_m','column':'length','unit':'cm'},"
		"{'field':'area_mm2','column':'section','unit':'kcmil'}"));
	importing_expect(&r, &i, "bonds", "label,at,length,section\nJ1,1+200,85,250\n", 1, 0, 0, 0);
	ck_assert(store_line_find(r.store, "VAL", &line, &why));
	ck_assert(store_bond_find(r.store, line, "J1", &id, &why) && store_bond_get(r.store, id, &bond, &why));
	ck_assert_double_eq(bond.length_m, 0.85);
	/* 250 kcmil are 126.7 mm² (NEC chapter 9, table 8: 127 mm², from memory) */
	ck_assert_double_eq_tol(bond.area_mm2, 126.7, 0.05);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(metres_on_a_line_of_kilometres_are_no_kilometres)
{
	/* (what the file has stands beside what was made of it) */
	static const struct { const char *unit, *cell; int64_t mm; const char *wrong, *written; }
		places[] = {
		{ ",'unit':'m'", "12345", 12345000, NULL, "12345 m" },
		{ ",'unit':'m'", "12345.678 m", 12345678, NULL, "12345.678 m" },
		{ ",'unit':'km'", "12.345", 12345000, NULL, "12.345 km" },
		{ ",'unit':'mi'", "1", 1609344, NULL, "1 miles" },
		{ ",'unit':'line'", "12345.0", 0, "would be 12345 km from the line's zero" },
		{ ",'unit':'line'", "9999.9", 9999900000, NULL, "9999.9" },
		{ ",'unit':'m'", "12+345", 0, "no unit of" },
	};
	const struct line_new line = { "KM", "Kilometre line", NOTATION_KM, ELECTRIFICATION_AC };
	struct railway r;
	struct importing i;
	struct problems why = { 0 };
	struct recorded recorded;
	char json[512], text[128];

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	railway_must(line_register(&r.act, &line, &recorded, &why), &why);
	railway_end(&r);
	for (size_t n = 0; n < sizeof places / sizeof places[0]; n++) {
		struct problem one = { 0 };
		struct bond bond;

		snprintf(json, sizeof json, "{" AS_CSV ",'columns':[{'field':'line','constant':'KM'},"
			"{'field':'label','column':'label'},{'field':'kind','constant':'rail_joint'},"
			"{'field':'a_chainage','column':'at'%s}]}", places[n].unit);
		importing_settings(&i, json);
		snprintf(text, sizeof text, "label,at\nP%zu,%s\n", n, places[n].cell);
		importing_expect(&r, &i, "bonds", text, places[n].wrong == NULL, 0, 0, places[n].wrong != NULL);
		if (places[n].wrong != NULL) {
			ck_assert_msg(strstr(i.result.wrongs[0].reason, places[n].wrong) != NULL, "%s: %s",
				places[n].cell, i.result.wrongs[0].reason);
		} else {
			int64_t id;

			snprintf(text, sizeof text, "P%zu", n);
			ck_assert(store_bond_find(r.store, recorded.id, text, &id, &one) &&
				store_bond_get(r.store, id, &bond, &one));
			ck_assert_msg(bond.end[END_A].distance_mm == places[n].mm, "%s%s: %lld", places[n].cell,
				places[n].unit, (long long)bond.end[END_A].distance_mm);
			ck_assert_str_eq(bond.place_written, places[n].written);
		}
		importing_release(&i);
	}
	/* plain numbers could be either: asked before any row is read */
	importing_settings(&i, "{" AS_CSV ",'columns':[{'field':'line','constant':'KM'},"
		"{'field':'label','column':'label'},{'field':'kind','constant':'rail_joint'},"
		"{'field':'a_chainage','column':'at'}]}");
	expect_asked(&r, &i, "bonds", "label,at\nP1,345\nP2,12345\n", "columns",
		"The places in at are plain numbers: state their unit");
	expect_asked(&r, &i, "bonds", "label,at\nP1,543.2\nP2,there\n", "columns", "plain numbers");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

static size_t finding(const struct importing *i, const char *what)
{
	for (size_t n = 0; n < i->result.n_findings; n++) {
		if (strcmp(i->result.findings[n].what, what) == 0) {
			return i->result.findings[n].count;
		}
	}
	return 0;
}

#define LOG(unit, more) "{" AS_CSV more ",'columns':[" VISIT \
	",{'field':'quantity','constant':'end_to_end'},{'field':'method','constant':'four_wire'}," \
	"{'field':'temp_c','constant':'20'},{'field':'seen_a','column':'A'},{'field':'seen_b','column':'B'}," \
	"{'field':'shown_uohm','column':'R','unit':'" unit "'}]}"

/* A cross bond of 2 m, 95 mm² of copper, class 2: 0.193 mΩ/m (IEC 60228, table 2), so 386 µΩ. */
static void make_log(struct railway *r)
{
	struct bond_new form = railway_bond("J1", "1+200");
	struct problems why = { 0 };
	struct recorded recorded;

	railway_make(r, "2024-01-01");
	railway_begin(r, "2024-05-01");
	form.kind = BOND_RAIL_CROSS;
	form.material = MATERIAL_COPPER;
	form.conductor_class = 2;
	form.area_mm2 = 95;
	form.length_m = 2;
	form.cables = 1;
	railway_must(bond_register(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
}

static const char milliohms[] = "Bond,Day,R,A,B\n"
	"J1,2021-05-01,0.391,good,good\nJ1,2022-05-01,0.392,good,good\nJ1,2023-05-01,0.393,,\n";

START_TEST(a_trial_tells_of_readings_that_can_hardly_be_right_before_any_is_taken)
{
	struct railway r;
	struct importing i;

	make_log(&r);
	importing_settings(&i, LOG("uohm", ""));
	railway_must(importing(&r, &i, "inspections", milliohms, true), &i.why);
	ck_assert_uint_eq(i.result.added, 3);
	ck_assert_uint_eq(finding(&i, "far_below"), 3);
	ck_assert_uint_eq(finding(&i, "asked"), 3);
	ck_assert_uint_eq(finding(&i, "no_meter"), 3);
	ck_assert_uint_eq(finding(&i, "partly"), 1);
	ck_assert_ptr_nonnull(strstr(i.result.findings[0].sentence, "Is the unit of the column right?"));
	importing_release(&i);
	importing_settings(&i, LOG("mohm", ""));
	railway_must(importing(&r, &i, "inspections", milliohms, true), &i.why);
	ck_assert_uint_eq(finding(&i, "far_below"), 0);
	ck_assert_uint_eq(finding(&i, "asked"), 0);
	/* what the register has already is not told of again */
	importing_expect(&r, &i, "inspections", milliohms, 3, 0, 0, 0);
	importing_expect(&r, &i, "inspections", milliohms, 0, 3, 0, 0);
	ck_assert_uint_eq(i.result.n_findings, 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* Half of what the evidence before it says: with no meter known nothing is evidence, and so nothing
 * is away from it. (0.180 mΩ is over 0.3 of the conductor's 0.386, so it is not far below.) */
START_TEST(a_trial_counts_what_would_be_asked_with_the_meter_that_is_stated_with_the_file)
{
	static const char halved[] = "Bond,Day,R,A,B\nJ1,2021-05-01,0.391,good,good\n"
		"J1,2022-05-01,0.180,good,good\n";
	struct railway r;
	struct importing i;

	make_log(&r);
	importing_settings(&i, LOG("mohm", ""));
	railway_must(importing(&r, &i, "inspections", halved, true), &i.why);
	ck_assert_uint_eq(finding(&i, "asked"), 0);
	importing_release(&i);
	importing_settings(&i, LOG("mohm",
		",'meter_percent':1,'meter_uohm':0.5,'stated_reason':'One.'"));
	i.stated_by = r.person_id;
	railway_must(importing(&r, &i, "inspections", halved, true), &i.why);
	ck_assert_uint_eq(finding(&i, "asked"), 1);
	ck_assert_int_eq(i.result.import_id, 0);
	ck_assert_uint_eq(importing_count(&r, &ruling_list), 0);
	importing_expect(&r, &i, "inspections", halved, 2, 0, 0, 0);
	ck_assert_uint_eq(finding(&i, "asked"), 1);
	ck_assert_uint_eq(importing_count(&r, &ruling_list), 1);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_trial_tells_of_days_to_come_and_of_places_beyond_the_line)
{
	struct railway r;
	struct importing i;

	make_log(&r);
	importing_settings(&i, LOG("mohm", ""));
	i.settings.leave_wrong_out = 1;
	/* today is 2024-05-01: the next day may be the shift's */
	importing_expect(&r, &i, "inspections", "Bond,Day,R,A,B\nJ1,2024-05-01,0.391,good,good\n"
		"J1,2024-05-02,0.391,good,good\nJ1,2024-05-03,0.391,good,good\n", 2, 0, 0, 1);
	ck_assert_uint_eq(finding(&i, "to_come"), 2);
	importing_release(&i);
	importing_settings(&i, PLACES("{'field':'a_chainage','column':'at'}"));
	i.settings.leave_wrong_out = 1;
	importing_expect(&r, &i, "bonds", "label,at\nP1,999+0\nP2,1000+1\nP3,12345+0\n", 1, 0, 0, 2);
	ck_assert_uint_eq(finding(&i, "beyond"), 2);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* The outcome of the visits, as a word for each in the order of their days. */
static void outcomes(struct railway *r, char to[200])
{
	struct list_query query;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct table table;
	struct list_run *run;
	struct cell cells[64];
	bool failed = false;
	size_t at = 0;

	railway_must(list_query_read(&inspection_list, (const struct query_pair[]){
		{ "sort", "oldest" } }, 1, 0, &query, &why), &why);
	run = list_open(r->store, &query, &table, &one);
	ck_assert_msg(run != NULL, "%s", one.detail);
	to[0] = '\0';
	while (table.next(table.source, cells, &failed)) {
		for (size_t n = 0; n < table.n_columns; n++) {
			if (strcmp(table.columns[n].name, "outcome") == 0) {
				at += (size_t)snprintf(to + at, 200 - at, "%s%s", at > 0 ? " " : "",
					outcome_words.code[cells[n].integer]);
			}
		}
	}
	list_close(run);
}

START_TEST(a_row_without_a_word_for_each_end_is_no_complete_visit_until_an_engineer_states_it)
{
	static const char *const meant[] = { "", ",'row_meant':'not_known'",
		",'row_meant':'measured_only'",
		",'row_meant':'both_seen','stated_reason':'The form had a tick for both.'" };
	struct railway r;
	struct importing i;
	char said[200];

	for (size_t n = 0; n < sizeof meant / sizeof meant[0]; n++) {
		char json[1024];

		make_log(&r);
		snprintf(json, sizeof json, LOG("mohm", "%s"), meant[n]);
		importing_settings(&i, json);
		if (n == 3) {
			expect_asked(&r, &i, "inspections", milliohms, "row_meant", "for an engineer to state");
			ck_assert_int_eq(problems_code(&i.why), PROBLEM_RIGHT);
			i.stated_by = r.person_id;
		}
		importing_expect(&r, &i, "inspections", milliohms, 3, 0, 0, 0);
		ck_assert_uint_eq(finding(&i, "partly"), n < 3);
		outcomes(&r, said);
		ck_assert_str_eq(said, n < 3 ? "complete complete partly" : "complete complete complete");
		importing_expect(&r, &i, "inspections", milliohms, 0, 3, 0, 0);
		importing_release(&i);
		railway_remove(&r);
	}
}
END_TEST

START_TEST(an_end_that_could_not_be_seen_needs_its_reason_to_be_a_complete_visit)
{
	struct railway r;
	struct importing i;
	char said[200];

	make_log(&r);
	importing_settings(&i, "{" AS_CSV ",'columns':[" VISIT ",{'field':'seen_a','column':'A'},"
		"{'field':'seen_b','column':'B'},{'field':'why_not_seen','column':'why'},"
		"{'field':'outcome','column':'done'}]}");
	importing_expect(&r, &i, "inspections", "Bond,Day,A,B,why,done\n"
		"J1,2021-05-01,good,not_visible,,complete\n"
		"J1,2021-05-02,good,not_visible,ballast,complete\nJ1,2021-05-03,good,,,complete\n"
		"J1,2021-05-04,good,good,,not_reached\n", 4, 0, 0, 0);
	outcomes(&r, said);
	ck_assert_str_eq(said, "partly complete partly not_reached");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_visit_that_came_in_as_complete_before_stays_so_when_its_file_comes_again)
{
	struct railway r;
	struct importing i;
	char said[200];

	make_log(&r);
	/* as it was before the question: every row complete */
	importing_settings(&i, LOG("mohm", ",'row_meant':'both_seen','stated_reason':'As before.'"));
	i.stated_by = r.person_id;
	importing_expect(&r, &i, "inspections", milliohms, 3, 0, 0, 0);
	importing_release(&i);
	importing_settings(&i, LOG("mohm", ""));
	importing_expect(&r, &i, "inspections", milliohms, 0, 3, 0, 0);
	outcomes(&r, said);
	ck_assert_str_eq(said, "complete complete complete");
	ck_assert_uint_eq(finding(&i, "partly"), 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_meter_that_is_stated_with_a_file_is_a_ruling_of_its_import)
{
	static const char *const wrong[] = { ",'meter_percent':1,'stated_reason':'x'",
		",'meter_uohm':1,'stated_reason':'x'", ",'meter_percent':1,'meter_uohm':1" };
	static const char *const field[] = { "meter_uohm", "meter_percent", "stated_reason" };
	struct railway r;
	struct importing i;
	char json[1024];

	make_log(&r);
	for (size_t n = 0; n < 3; n++) {
		snprintf(json, sizeof json, LOG("mohm", "%s"), wrong[n]);
		importing_settings(&i, json);
		i.stated_by = r.person_id;
		expect_asked(&r, &i, "inspections", milliohms, field[n], n < 2 ? "both figures" : "the reason");
		importing_release(&i);
	}
	importing_settings(&i, LOG("mohm", ",'meter_percent':1,'meter_uohm':0.5,'stated_reason':'One meter.'"));
	expect_asked(&r, &i, "inspections", milliohms, "row_meant", "for an engineer to state");
	i.stated_by = r.person_id;
	railway_must(importing(&r, &i, "inspections", milliohms, true), &i.why);
	ck_assert_uint_eq(finding(&i, "no_meter"), 0);
	ck_assert_uint_eq(importing_count(&r, &ruling_list), 0);
	importing_expect(&r, &i, "inspections", milliohms, 3, 0, 0, 0);
	ck_assert_uint_eq(importing_count(&r, &ruling_list), 1);
	/* nothing is new, so nothing is stated */
	importing_expect(&r, &i, "inspections", milliohms, 0, 3, 0, 0);
	ck_assert_uint_eq(importing_count(&r, &ruling_list), 1);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(what_is_stated_of_one_log_is_kept_with_no_mapping)
{
	struct railway r;
	struct importing i;
	const struct import_kind *kind;
	struct import_settings again;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };

	make_log(&r);
	importing_settings(&i, LOG("mohm", ",'row_meant':'both_seen','meter_percent':1,"
		"'meter_uohm':0.5,'stated_reason':'One meter.'"));
	railway_begin(&r, "2024-05-01");
	railway_must(import_mapping_save(&r.act, "old logs", import_kind_find("inspections"), &i.settings,
		&why), &why);
	railway_end(&r);
	railway_must(import_mapping_load(r.store, "old logs", &kind, &again, &memory, &why), &why);
	ck_assert_int_eq(again.row_meant, -1);
	ck_assert(isnan(again.meter_percent) && isnan(again.meter_uohm));
	ck_assert_ptr_null(again.stated_reason);
	ck_assert_str_eq(import_settings_column(&again, "shown_uohm")->unit, "mohm");
	form_memory_release(&memory);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_problem_names_headings_and_words_no_codes_and_bytes)
{
	static const struct { const char *row, *column, *sentence; } rows[] = {
		{ "J1,1+2,Sideways,,,", "Schiene", "Schiene must be one of left, right; it is \"Sideways\"" },
		{ "J1,1+2,,yes,,", "Art", "Art must be one of rail joint bond, " },
		{ "J1,1+2,,,thick,", "mm2", "mm2 must be a number from 0.5 to 2000 mm" },
		{ "J1,1+2,,,,2024-02-30", "seit", "seit must be a date that exists" },
		{ ",1+2,,,,", "Nr", "Nr is needed, and the row has none" },
		{ "J1,1+2,,track_cross,,", "", "name it in Track of end B" },
	};
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, "{" AS_CSV ",'columns':[{'field':'line','constant':'VAL'},"
		"{'field':'label','column':'Nr'},{'field':'kind','column':'Art'},"
		"{'field':'a_track','constant':'Up'},"
		"{'field':'a_chainage','column':'km'},{'field':'a_rail','column':'Schiene'},"
		"{'field':'area_mm2','column':'mm2','unit':'mm2'},"
		"{'field':'installed_day','column':'seit'}],"
		"'words':[{'field':'kind','to':'rail_joint'}]}");
	for (size_t n = 0; n < sizeof rows / sizeof rows[0]; n++) {
		char text[200];

		snprintf(text, sizeof text, "Nr,km,Schiene,Art,mm2,seit\n%s\n", rows[n].row);
		importing_expect(&r, &i, "bonds", text, 0, 0, 0, 1);
		ck_assert_msg(strstr(i.result.wrongs[0].reason, rows[n].sentence) != NULL &&
			strcmp(i.result.wrongs[0].column, rows[n].column) == 0, "%s: %s: %s", rows[n].row,
			i.result.wrongs[0].column, i.result.wrongs[0].reason);
	}
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_label_has_forty_characters_whatever_bytes_they_are)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, PLACES("{'field':'a_chainage','column':'km'}"));
	for (int n = 40; n <= 41; n++) {
		struct text text = { 0 };

		text_add_z(&text, "label,km\n");
		for (int c = 0; c < n; c++) {
			text_add_z(&text, "\xc3\xa4");
		}
		text_add(&text, ",1+200\n", sizeof ",1+200\n");
		importing_expect(&r, &i, "bonds", text.data, n == 40, 0, 0, n == 41);
		text_release(&text);
	}
	ck_assert_msg(strstr(i.result.wrongs[0].reason, "at most 40 characters long; it has 41") != NULL,
		"%s", i.result.wrongs[0].reason);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		kilometres_metres_and_centimetres_of_three_columns_are_filled_up_to_one_place,
		kilometres_metres_and_centimetres_of_three_columns_are_added_up_by_their_units,
		a_template_that_adds_says_every_unit_and_the_largest_first,
		the_unit_of_a_template_counts_though_it_begins_with_a_sign,
		a_hyphen_after_the_letters_of_a_milepost_is_asked_not_dropped,
		readings_in_a_column_that_nothing_takes_are_asked_by_its_name,
		a_file_without_headings_loses_no_first_row,
		headings_that_are_figures_are_headings_where_that_is_said,
		a_column_without_a_heading_is_a_column_like_others,
		a_reading_in_milliohms_is_no_reading_in_microohms,
		a_unit_that_nobody_stated_is_asked_and_a_cell_that_says_another_is_wrong,
		lengths_sections_and_temperatures_are_converted_to_the_registers_unit,
		metres_on_a_line_of_kilometres_are_no_kilometres,
		a_trial_tells_of_readings_that_can_hardly_be_right_before_any_is_taken,
		a_trial_counts_what_would_be_asked_with_the_meter_that_is_stated_with_the_file,
		a_trial_tells_of_days_to_come_and_of_places_beyond_the_line,
		a_row_without_a_word_for_each_end_is_no_complete_visit_until_an_engineer_states_it,
		an_end_that_could_not_be_seen_needs_its_reason_to_be_a_complete_visit,
		a_visit_that_came_in_as_complete_before_stays_so_when_its_file_comes_again,
		a_meter_that_is_stated_with_a_file_is_a_ruling_of_its_import,
		what_is_stated_of_one_log_is_kept_with_no_mapping,
		a_problem_names_headings_and_words_no_codes_and_bytes,
		a_label_has_forty_characters_whatever_bytes_they_are,
		NULL };

	return case_run("import_silent", tests);
}
