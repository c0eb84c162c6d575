/* Inspections with readings, and failures, from files. */
#include "case.h"
#include "service/importing.h"
#include "store/record/book.h"
#include "store/record/inspection.h"

#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"

static const char visit_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
	"{'field':'day','column':'day'},{'field':'outcome','column':'outcome'},"
	"{'field':'seen_a','column':'a'},{'field':'inspector','column':'by'},"
	"{'field':'note','column':'note'},{'field':'reference','column':'ref'},"
	"{'field':'quantity','column':'quantity'},{'field':'method','column':'method'},"
	"{'field':'shown_uohm','column':'shown','unit':'uohm'},{'field':'instrument','column':'meter'}]}";

#define VISITS "bond,day,outcome,a,by,note,ref,quantity,method,shown,meter\n"

/* J1 is inspected once, in rows 2 and 4; J2 without a reading; J1 again under another number. */
static const char visits[] = VISITS
	"J1,2023-05-01,complete,good,Bo Finch,fine,W1,contact_a,four_wire,12.5,\n"
	"J2,2023-05-01,partly,,Bo Finch,,W2,,,,\n"
	"J1,2023-05-01,complete,,Bo Finch,,W1,contact_b,four_wire,13,\n"
	"J1,2023-05-01,complete,,Bo Finch,,W3,contact_b,four_wire,13.1,\n";

static void make(struct railway *r, struct importing *i, const char *settings)
{
	railway_make(r, "2024-01-01");
	railway_begin(r, "2024-05-01");
	railway_add_bond(r, "J1", "1+200");
	railway_add_bond(r, "J2", "1+300");
	railway_end(r);
	importing_settings(i, settings);
}

static void drop(struct railway *r, struct importing *i)
{
	importing_release(i);
	railway_remove(r);
}

START_TEST(rows_of_one_inspection_need_not_be_neighbours)
{
	struct railway r;
	struct importing i;

	make(&r, &i, visit_settings);
	importing_expect(&r, &i, "inspections", visits, 4, 0, 0, 0);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), 3);
	ck_assert_uint_eq(importing_count(&r, &reading_list), 3);
	importing_expect(&r, &i, "inspections", visits, 0, 4, 0, 0);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), 3);
	drop(&r, &i);
}
END_TEST

START_TEST(a_row_that_is_there_twice_counts_once)
{
	struct railway r;
	struct importing i;

	make(&r, &i, visit_settings);
	importing_expect(&r, &i, "inspections", VISITS
		"J1,2023-05-01,complete,,Bo Finch,,W1,contact_a,four_wire,12.5,\n"
		"J1,2023-05-01,complete,,Bo Finch,,W1,contact_a,four_wire,12.5,\n", 1, 1, 0, 0);
	ck_assert_uint_eq(i.result.repeated, 1);
	ck_assert_uint_eq(importing_count(&r, &reading_list), 1);
	drop(&r, &i);
}
END_TEST

START_TEST(one_wrong_row_of_an_inspection_spoils_all_of_it_wherever_it_stands)
{
	static const struct { const char *label, *text; size_t culprit, others; } cases[] = {
		{ "a wrong number, last", VISITS
			"J1,2023-05-01,,,,,W1,contact_a,four_wire,12.5,\n"
			"J2,2023-05-01,,,,,W1,contact_a,four_wire,12.5,\n"
			"J1,2023-05-01,,,,,W1,contact_b,four_wire,much,\n", 4, 1 },
		{ "a wrong number, first", VISITS
			"J1,2023-05-01,,,,,W1,contact_b,four_wire,much,\n"
			"J1,2023-05-01,,,,,W1,contact_a,four_wire,12.5,\n"
			"J2,2023-05-01,,,,,W1,contact_a,four_wire,12.5,\n", 2, 1 },
		{ "a quantity without a method", VISITS
			"J1,2023-05-01,,,,,W1,contact_b,,12,\n"
			"J2,2023-05-01,,,,,W1,contact_a,four_wire,12.5,\n", 2, 0 },
		{ "an instrument that is not registered", VISITS
			"J2,2023-05-01,,,,,W1,contact_a,four_wire,12.5,\n"
			"J1,2023-05-01,,,,,W1,contact_b,four_wire,12,\n"
			"J1,2023-05-01,,,,,W1,contact_b,four_wire,13,M9\n"
			"J1,2023-05-01,,,,,W1,contact_b,four_wire,14,\n", 4, 2 },
		{ "another outcome", VISITS
			"J2,2023-05-01,,,,,W1,contact_a,four_wire,12.5,\n"
			"J1,2023-05-01,complete,,,,W1,contact_b,four_wire,12,\n"
			"J1,2023-05-01,partly,,,,W1,contact_a,four_wire,12,\n"
			"J1,2023-05-01,complete,,,,W1,contact_b,four_wire,14,\n", 4, 2 },
	};

	for (size_t n = 0; n < sizeof cases / sizeof cases[0]; n++) {
		struct railway r;
		struct importing i;
		size_t reasons = 0;

		make(&r, &i, visit_settings);
		i.settings.leave_wrong_out = 1;
		importing_expect(&r, &i, "inspections", cases[n].text, 1, 0, 0, 1 + cases[n].others);
		for (size_t w = 0; w < i.result.n_wrongs; w++) {
			const struct import_wrong *wrong = &i.result.wrongs[w];
			bool is_other = strstr(wrong->reason, "of the same inspection is wrong") != NULL;

			reasons += !is_other;
			ck_assert_msg(is_other != (wrong->row == cases[n].culprit), "%s: row %zu: %s",
				cases[n].label, wrong->row, wrong->reason);
		}
		ck_assert_uint_eq(reasons, 1);
		ck_assert_uint_eq(importing_count(&r, &inspection_list), 1);
		drop(&r, &i);
	}
}
END_TEST

START_TEST(forty_readings_are_one_inspection_and_forty_one_are_too_many)
{
	struct railway r;
	struct importing i;

	make(&r, &i, visit_settings);
	for (int most = 40; most <= 41; most++) {
		struct text text = { 0 };

		text_add_z(&text, VISITS);
		for (int n = 0; n < most; n++) {
			text_addf(&text, "J1,2023-05-01,,,,,W%d,contact_a,four_wire,%d,\n", most, n);
		}
		importing_expect(&r, &i, "inspections", text.data, most == 40 ? 40 : 0, 0, 0,
			most == 40 ? 0 : 41);
		text_release(&text);
	}
	drop(&r, &i);
}
END_TEST

START_TEST(other_findings_under_the_same_identity_are_refused)
{
	struct railway r;
	struct importing i;

	make(&r, &i, visit_settings);
	importing_expect(&r, &i, "inspections", VISITS "J1,2023-05-01,,,,,W1,,,,\n", 1, 0, 0, 0);
	importing_expect(&r, &i, "inspections", VISITS "J1,2023-05-01,,loose,,,W1,,,,\n", 0, 0, 0, 1);
	importing_wrong(&i, 0, 2, "", "", "The register has this inspection already");
	importing_expect(&r, &i, "inspections", VISITS "J9,2023-05-01,,,,,W1,,,,\n"
		"J1,2020-03-30,,,,,W1,,,,\n", 0, 0, 0, 2);
	importing_wrong(&i, 0, 2, "bond", "J9", "has no bond J9");
	importing_wrong(&i, 1, 3, "day", "2020-03-30", "");
	drop(&r, &i);
}
END_TEST

static const char log_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'chainage','column':'km'},"
	"{'field':'bond','column':'bond'},{'field':'within_m','constant':'25'},"
	"{'field':'found_day','column':'day'},{'field':'mode','column':'code'},"
	"{'field':'reference','column':'ref'},{'field':'made_good_day','column':'good'},"
	"{'field':'note','column':'note'}],"
	"'words':[{'field':'mode','from':'T1','to':'detached'},{'field':'mode','from':'T2',"
	"'to':'cable_broken'}],'only':[{'column':'code','begins_with':'T'}]}";

#define LOG "km,bond,day,code,ref,good,note\n"

static void kept(struct railway *r, int64_t id, struct failure *f, struct bond *b)
{
	struct problem why = { 0 };

	ck_assert_msg(store_failure_get(r->store, id, f, &why), "%s", why.detail);
	ck_assert_msg(store_bond_get(r->store, f->bond_id, b, &why), "%s", why.detail);
}

START_TEST(a_place_goes_to_the_nearest_bond_within_the_distance_and_a_new_one_beyond_it)
{
	struct railway r;
	struct importing i;
	struct failure f;
	struct bond b;

	make(&r, &i, log_settings);
	importing_expect(&r, &i, "failures", LOG
		"1+225,,2022-01-01,T1,1,,\n"         /* 25 m past J1 */
		"1+225.001,,2022-01-02,T1,2,,\n"
		"1+280,,2022-01-03,T1,3,,\n"         /* 20 m before J2 */
		",J2,2022-01-04,T2,4,2022-02-01,\n", 4, 0, 0, 0);
	kept(&r, 1, &f, &b);
	ck_assert_str_eq(b.label, "J1");
	ck_assert_int_eq(f.distance_mm, 1225000);
	kept(&r, 2, &f, &b);
	ck_assert(!b.surveyed);
	ck_assert_int_eq(b.end[END_A].distance_mm, 1225001);
	kept(&r, 3, &f, &b);
	ck_assert_str_eq(b.label, "J2");
	kept(&r, 4, &f, &b);
	ck_assert_str_eq(b.label, "J2");
	ck_assert_int_eq(f.mode, FAILURE_CABLE_BROKEN);
	ck_assert_uint_eq(importing_count(&r, &repair_list), 1);
	drop(&r, &i);
}
END_TEST

/* J1 goes on 1 June 2022. On that day it failed, and was removed for it; a failure of a later day
 * is of what nobody registered, and at J1, of which nothing is due, no one would see it. */
START_TEST(a_failure_of_a_bond_that_was_gone_by_then_is_a_wrong_row)
{
	struct railway r;
	struct importing i;
	struct bond_new gone = railway_bond("J1", "1+200");
	struct problems why = { 0 };
	struct failure f;
	struct bond b;

	make(&r, &i, log_settings);
	gone.status = BOND_REMOVED;
	gone.removed_day = railway_day("2022-06-01");
	gone.reason = "Cut out with the joint.";
	railway_begin(&r, "2024-05-01");
	railway_must(bond_change(&r.act, 1, &gone, &why), &why);
	railway_end(&r);
	importing_expect(&r, &i, "failures", LOG
		"1+210,,2022-06-02,T1,1,,\n"
		",J1,2022-06-02,T1,2,,\n", 0, 0, 0, 2);
	importing_wrong(&i, 0, 2, "km", "1+210", "The only bond known there is J1, which was removed "
		"on 2022-06-01");
	importing_wrong(&i, 1, 3, "bond", "J1", "Bond J1 was removed on 2022-06-01");
	importing_expect(&r, &i, "failures", LOG
		"1+210,,2022-06-01,T1,1,,\n"
		",J1,2022-05-31,T1,2,,\n", 2, 0, 0, 0);
	kept(&r, 1, &f, &b);
	ck_assert_str_eq(b.label, "J1");
	drop(&r, &i);
}
END_TEST

START_TEST(the_same_log_twice_adds_nothing_and_what_is_not_wanted_is_counted)
{
	static const char text[] = LOG
		"1+225,,2022-01-01,T1,1,2022-01-02,\n"
		"1+400,,2022-01-02,E5,2,,\n"
		"1+400,,2022-01-02,T2,,,no number\n"
		"1+400,,2022-01-02,T2,,,no number\n"
		"1+225,,2022-01-01,T1,1,2022-01-02,\n";
	struct railway r;
	struct importing i;

	make(&r, &i, log_settings);
	importing_expect(&r, &i, "failures", text, 2, 2, 1, 0);
	ck_assert_uint_eq(i.result.repeated, 2);
	importing_expect(&r, &i, "failures", text, 0, 4, 1, 0);
	ck_assert_uint_eq(importing_count(&r, &failure_list), 2);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 3);
	drop(&r, &i);
}
END_TEST

START_TEST(other_content_of_the_same_event_is_wrong_and_says_what_differs)
{
	struct railway r;
	struct importing i;

	make(&r, &i, log_settings);
	importing_expect(&r, &i, "failures", LOG
		"1+225,,2022-01-01,T1,1,,\n1+225,,2022-01-01,T2,1,,burnt\n", 1, 0, 0, 1);
	importing_wrong(&i, 0, 3, "code", "T2", "Row 2 is the same event");
	ck_assert_ptr_nonnull(strstr(i.result.wrongs[0].reason, "code, note"));
	importing_expect(&r, &i, "failures", LOG "1+225,,2022-01-01,T1,1,,\n", 1, 0, 0, 0);
	importing_expect(&r, &i, "failures", LOG "1+225,,2022-01-01,T2,1,,\n", 0, 0, 0, 1);
	importing_wrong(&i, 0, 2, "code", "T2", "the file says otherwise of it: Mode.");
	drop(&r, &i);
}
END_TEST

START_TEST(a_log_without_references_does_not_double_what_was_made_good_since)
{
	struct railway r;
	struct importing i;

	make(&r, &i, log_settings);
	importing_expect(&r, &i, "failures", LOG "1+225,,2022-01-01,T1,,,\n", 1, 0, 0, 0);
	importing_expect(&r, &i, "failures", LOG "1+225,,2022-01-01,T1,,2022-02-01,\n", 0, 0, 0, 1);
	importing_wrong(&i, 0, 2, "good", "2022-02-01", "otherwise of it: Made good.");
	ck_assert_uint_eq(importing_count(&r, &failure_list), 1);
	importing_expect(&r, &i, "failures", LOG "1+225,,2022-01-02,T1,,2022-02-01,\n", 1, 0, 0, 0);
	importing_expect(&r, &i, "failures", LOG "1+225,,2022-01-02,T1,,2022-02-01,\n", 0, 1, 0, 0);
	drop(&r, &i);
}
END_TEST

START_TEST(a_log_names_what_cannot_be)
{
	struct railway r;
	struct importing i;

	make(&r, &i, log_settings);
	importing_expect(&r, &i, "failures", LOG
		",,2022-01-01,T1,1,,\n"
		"1+225,J1,2022-01-01,T1,2,,\n"
		"1+225,,2022-01-01,T9,3,,\n"
		"1+225,,2022-01-02,T1,4,2022-01-01,\n"
		",J1,2019-01-01,T1,5,,\n", 0, 0, 0, 5);
	importing_wrong(&i, 0, 2, "km", "", "names no bond, and no chainage");
	importing_wrong(&i, 1, 3, "km", "1+225", "not both");
	importing_wrong(&i, 2, 4, "code", "T9", "code must be one of cable broken, ");
	importing_wrong(&i, 3, 5, "good", "2022-01-01", "");
	importing_wrong(&i, 4, 6, "day", "2019-01-01", "");
	drop(&r, &i);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { rows_of_one_inspection_need_not_be_neighbours,
		a_row_that_is_there_twice_counts_once,
		one_wrong_row_of_an_inspection_spoils_all_of_it_wherever_it_stands,
		forty_readings_are_one_inspection_and_forty_one_are_too_many,
		other_findings_under_the_same_identity_are_refused,
		a_place_goes_to_the_nearest_bond_within_the_distance_and_a_new_one_beyond_it,
		a_failure_of_a_bond_that_was_gone_by_then_is_a_wrong_row,
		the_same_log_twice_adds_nothing_and_what_is_not_wanted_is_counted,
		other_content_of_the_same_event_is_wrong_and_says_what_differs,
		a_log_without_references_does_not_double_what_was_made_good_since,
		a_log_names_what_cannot_be, NULL };

	return case_run("import_record", tests);
}
