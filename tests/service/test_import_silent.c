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

int main(void)
{
	const TTest *const tests[] = {
		kilometres_metres_and_centimetres_of_three_columns_are_filled_up_to_one_place,
		a_hyphen_after_the_letters_of_a_milepost_is_asked_not_dropped,
		NULL };

	return case_run("import_silent", tests);
}
