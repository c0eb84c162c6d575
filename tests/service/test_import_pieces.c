/*
 * An import in pieces: it counts for nothing until its last, wherever it is cut, carried on or
 * ended.
 */
#include "case.h"
#include "service/pieces.h"
#include "service/record/withdrawal.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"

#define TODAY PIECES_TODAY
#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"

static const char visit_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
	"{'field':'day','column':'day'},"
	"{'field':'seen_a','constant':'good'},{'field':'seen_b','constant':'good'},"
	"{'field':'quantity','column':'quantity'},{'field':'method','constant':'four_wire'},"
	"{'field':'shown_uohm','column':'shown','unit':'uohm'},"
	"{'field':'instrument','constant':'M-1'}]}";

static const char failure_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
	"{'field':'found_day','column':'day'},{'field':'mode','constant':'cable_broken'},"
	"{'field':'made_good_day','column':'good'}]}";

/* The last reading of J1 is over its limit; two rows are one visit, and one stands twice. */
static const char visits[] = "bond,day,quantity,shown\n"
	"J1,2023-05-01,contact_a,9\nJ2,2023-05-01,contact_a,12\nJ1,2023-05-01,contact_b,8\n"
	"J3,2023-05-02,contact_a,12\nJ2,2023-05-01,contact_a,12\nJ1,2024-02-01,contact_a,900\n";
enum { VISITS = 4, VISIT_ROWS = 6 };
static const char other_visits[] = "bond,day,quantity,shown\nJ1,2023-05-01,contact_a,10\n"
	"J3,2023-05-02,contact_a,12\n";
static const char failures[] = "bond,day,good\nJ1,2023-06-01,2023-06-02\nJ2,2023-06-01,\n";

static void make(struct railway *r)
{
	railway_make(r, "2024-01-01");
	railway_begin(r, "2024-05-01");
	railway_calibrate(r, 1, 0.5, "2020-01-01", "2026-01-01");
	railway_add_bond(r, "J1", "1+200");
	railway_add_bond(r, "J2", "1+300");
	railway_add_bond(r, "J3", "1+400");
	railway_end(r);
}

static void expect_nothing(struct railway *r, const char *before)
{
	char *now = importing_derived(r);

	ck_assert_str_eq(now, before);
	free(now);
	ck_assert_uint_eq(importing_count(r, &inspection_list), 0);
	ck_assert_uint_eq(importing_count(r, &reading_list), 0);
	ck_assert_uint_eq(importing_count(r, &entered_reading_list), 0);
	ck_assert_uint_eq(importing_count(r, &failure_list), 0);
	ck_assert_uint_eq(importing_count(r, &repair_list), 0);
	importing_content(r);
}

/* To its end; returns how many pieces there were. */
static int take_all(struct railway *r)
{
	char *before = importing_derived(r);
	struct problems why = { 0 };
	struct import_pieces *take = pieces_carry_on(r, &why);
	int pieces = 1;

	railway_must(take != NULL, &why);
	for (; pieces_next(r, take, true, &why); pieces++) {
		expect_nothing(r, before);
	}
	railway_must(why.count == 0, &why);
	import_pieces_free(take);
	free(before);
	return pieces;
}

static void take_at_once(struct railway *r, const char *kind, const char *settings,
	const char *text, size_t added, size_t already)
{
	struct importing i;

	importing_settings(&i, settings);
	importing_expect(r, &i, kind, text, added, already, 0, 0);
	importing_release(&i);
	railway_follow(r, TODAY, 1000);
}

static void expect_as_at_once(struct railway *r, const char *kind, const char *settings,
	const char *text, size_t rows)
{
	struct railway other;
	char *got, *wanted;

	importing_content(r);   /* what waits to be made again is no difference */
	ck_assert_int_ge(pieces_follow(r), 2);
	ck_assert_int_eq(railway_follow(r, TODAY, 1000), 0);
	ck_assert_int_eq(pieces_left_out(r), 0);
	make(&other);
	take_at_once(&other, kind, settings, text, rows, strcmp(kind, "failures") == 0 ? 0 : 1);
	got = importing_derived(r);
	wanted = importing_derived(&other);
	ck_assert_str_eq(got, wanted);
	ck_assert_uint_eq(importing_count(r, &inspection_list), importing_count(&other,
		&inspection_list));
	ck_assert_uint_eq(importing_count(r, &failure_list), importing_count(&other, &failure_list));
	ck_assert_uint_eq(importing_count(r, &repair_list), importing_count(&other, &repair_list));
	importing_content(r);
	free(got);
	free(wanted);
	railway_remove(&other);
}

static void expect_rows(struct railway *r, int64_t id, int64_t added, int64_t already)
{
	struct import_row row;
	struct problem one = { 0 };

	ck_assert(store_import_rows(r->store, id, &row, &one));
	ck_assert_int_eq(row.rows_added, added);
	ck_assert_int_eq(row.rows_already, already);
}

START_TEST(until_its_last_piece_nothing_counts_and_then_all_does)
{
	struct railway r;

	make(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	ck_assert_int_ge(take_all(&r), VISIT_ROWS);
	expect_rows(&r, 1, VISIT_ROWS - 1, 1);
	expect_as_at_once(&r, "inspections", visit_settings, visits, VISIT_ROWS - 1);
	take_at_once(&r, "inspections", visit_settings, visits, 0, VISIT_ROWS);
	pieces_forget(&r);
}
END_TEST

START_TEST(failures_with_what_made_them_good_come_so_too)
{
	struct railway r;

	make(&r);
	pieces_begin(&r, "failures", failure_settings, failures);
	take_all(&r);
	ck_assert_uint_eq(importing_count(&r, &repair_list), 1);
	expect_as_at_once(&r, "failures", failure_settings, failures, 2);
	pieces_forget(&r);
}
END_TEST

/* Cut after each piece, and in each: the file is begun again, and nothing comes twice. */
START_TEST(one_that_was_cut_off_is_carried_on)
{
	struct railway r;
	struct problems why = { 0 };
	struct import_pieces *take;
	char *before;
	bool more = true;

	make(&r);
	before = importing_derived(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	for (int n = 1; more; n++) {
		take = pieces_carry_on(&r, &why);
		railway_must(take != NULL, &why);
		for (int i = 0; i < n && more; i++) {
			more = pieces_next(&r, take, true, &why);
			if (more) {
				expect_nothing(&r, before);
			}
		}
		if (more) {
			pieces_next(&r, take, false, &why);
			expect_nothing(&r, before);
		}
		railway_must(why.count == 0, &why);
		import_pieces_free(take);
	}
	expect_rows(&r, 1, VISIT_ROWS - 1, 1);
	expect_as_at_once(&r, "inspections", visit_settings, visits, VISIT_ROWS - 1);
	free(before);
	pieces_forget(&r);
}
END_TEST

static void withdraw(struct railway *r, int64_t import_id)
{
	struct withdrawal_new form;
	struct recorded recorded;
	struct problems why = { 0 };

	form_clear(&withdrawal_form, &form);
	railway_uuid(1, form.uuid);
	form.entry = SENT_IMPORT;
	form.import_id = import_id;
	form.reason = "It is the log of another line.";
	railway_begin(r, TODAY);
	railway_must(withdrawal_record(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
	railway_follow(r, TODAY, 1000);
}

START_TEST(one_withdrawn_in_the_middle_ends_and_another_comes_as_if_alone)
{
	struct railway r;
	struct problems why = { 0 };
	struct import_pieces *take;
	char *before;

	make(&r);
	before = importing_derived(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	take = pieces_carry_on(&r, &why);
	for (int i = 0; i < 4; i++) {
		ck_assert(pieces_next(&r, take, true, &why));
	}
	withdraw(&r, 1);
	ck_assert(!pieces_next(&r, take, true, &why));
	railway_must(why.count == 0, &why);
	import_pieces_free(take);
	expect_nothing(&r, before);
	expect_rows(&r, 1, 0, 0);
	take_at_once(&r, "inspections", visit_settings, other_visits, 2, 0);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), 2);
	importing_content(&r);
	free(before);
	pieces_forget(&r);
}
END_TEST

START_TEST(one_withdrawn_before_its_first_piece_ends_too)
{
	struct railway r;
	struct import_begun begun;
	struct problem one = { 0 };

	make(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	withdraw(&r, 1);
	ck_assert(store_import_under_way(r.store, &begun, &one));
	ck_assert_int_eq(begun.id, 0);
	take_at_once(&r, "inspections", visit_settings, visits, VISIT_ROWS - 1, 1);
	pieces_forget(&r);
}
END_TEST

/* Some of it came before the file was lost: that counts for nothing, and comes in again. */
static void lose(const char *command, const char *word)
{
	struct railway r;
	struct problems why = { 0 };
	struct import_pieces *take;
	struct problem one = { 0 };
	char *before, line[160];

	make(&r);
	before = importing_derived(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	take = pieces_carry_on(&r, &why);
	for (int i = 0; i < 3; i++) {
		ck_assert(pieces_next(&r, take, true, &why));
	}
	import_pieces_free(take);
	snprintf(line, sizeof line, "cd %s/imports && %s", r.file.folder, command);
	ck_assert_int_eq(system(line), 0);
	ck_assert_ptr_null(pieces_carry_on(&r, &why));
	ck_assert_msg(strstr(why.item[0].detail, word) != NULL, "%s", why.item[0].detail);
	ck_assert(import_pieces_is_refusal(&why));
	railway_begin(&r, TODAY);
	ck_assert(store_import_end(r.store, 1, why.item[0].detail, 1, &one));
	railway_end(&r);
	expect_nothing(&r, before);
	take_at_once(&r, "inspections", visit_settings, visits, VISIT_ROWS - 1, 1);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), VISITS);
	importing_content(&r);
	free(before);
	pieces_forget(&r);
}

START_TEST(one_whose_file_is_gone_counts_for_nothing)
{
	lose("rm *", "No such file");
}
END_TEST

START_TEST(one_whose_file_was_changed_counts_for_nothing)
{
	lose("sed -i s/900/9/ *", "not the one that came");
}
END_TEST

START_TEST(no_other_is_tried_or_taken_meanwhile)
{
	struct railway r;
	struct importing i;

	make(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	importing_settings(&i, visit_settings);
	ck_assert(!importing(&r, &i, "inspections", other_visits, true));
	ck_assert_msg(strstr(i.why.item[0].detail, "Import 1, of file.csv, is under way") != NULL, "%s",
		i.why.item[0].detail);
	ck_assert_int_eq(problems_code(&i.why), PROBLEM_BUSY);
	importing_release(&i);
	take_all(&r);
	importing_settings(&i, visit_settings);
	/* nor until it is followed */
	ck_assert(!importing(&r, &i, "inspections", other_visits, true));
	ck_assert_msg(strstr(i.why.item[0].detail, "The bonds of import 1 are being made") != NULL,
		"%s", i.why.item[0].detail);
	ck_assert_int_eq(i.result.waits_for, 1);
	importing_release(&i);
	pieces_follow(&r);
	take_at_once(&r, "inspections", visit_settings, visits, 0, VISIT_ROWS);
	pieces_forget(&r);
}
END_TEST

/* Its bonds are not all made again yet, and what it brought is left out in part no more. */
START_TEST(one_withdrawn_while_its_bonds_are_made_again_is_as_if_it_had_not_come)
{
	struct railway r;
	struct import_follow at = { 0 };
	struct problems why = { 0 };
	char *before, *after;
	bool more;

	make(&r);
	before = importing_derived(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	take_all(&r);
	railway_begin(&r, TODAY);
	railway_must(import_follow_piece(&r.act, &at, 0, &more, &why), &why);
	railway_end(&r);
	ck_assert(more);
	withdraw(&r, 1);
	pieces_follow(&r);
	after = importing_derived(&r);
	ck_assert_str_eq(after, before);
	ck_assert_int_eq(pieces_left_out(&r), VISITS);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), VISITS);   /* they stay readable */
	importing_content(&r);
	free(before);
	free(after);
	pieces_forget(&r);
}
END_TEST

static int files(const struct railway *r)
{
	char line[160];
	FILE *out;
	int count = -1;

	snprintf(line, sizeof line, "ls %s/imports | wc -l", r->file.folder);
	out = popen(line, "r");
	ck_assert(out != NULL && fscanf(out, "%d", &count) == 1);
	pclose(out);
	return count;
}

START_TEST(a_kept_file_goes_when_nothing_is_under_way_with_it)
{
	struct railway r;
	struct problem one = { 0 };

	make(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	ck_assert(import_pieces_sweep(r.file.path, r.store, &one));
	ck_assert_int_eq(files(&r), 1);
	withdraw(&r, 1);
	ck_assert(import_pieces_sweep(r.file.path, r.store, &one));
	ck_assert_int_eq(files(&r), 0);
	pieces_forget(&r);
}
END_TEST

/* J3 gets another label before its row is read. */
START_TEST(a_row_that_is_wrong_meanwhile_ends_it)
{
	struct railway r;
	struct problems why = { 0 };
	struct bond_new form = railway_bond("J3b", "1+400");
	struct import_pieces *take;
	char *before;

	make(&r);
	pieces_begin(&r, "inspections", visit_settings, visits);
	take = pieces_carry_on(&r, &why);
	ck_assert(pieces_next(&r, take, true, &why));
	railway_begin(&r, TODAY);
	form.reason = "The plate says so.";
	railway_must(bond_change(&r.act, 3, &form, &why), &why);
	railway_end(&r);
	before = importing_derived(&r);
	while (pieces_next(&r, take, true, &why)) {
		expect_nothing(&r, before);
	}
	ck_assert_uint_eq(why.count, 1);
	ck_assert_msg(strstr(why.item[0].detail, "Row 5 was right when the file was tried, and is not "
		"any more: Line VAL has no bond J3.") != NULL, "%s", why.item[0].detail);
	ck_assert(import_pieces_is_refusal(&why));
	import_pieces_free(take);
	expect_nothing(&r, before);
	free(before);
	pieces_forget(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { until_its_last_piece_nothing_counts_and_then_all_does,
		failures_with_what_made_them_good_come_so_too,
		one_that_was_cut_off_is_carried_on,
		one_withdrawn_in_the_middle_ends_and_another_comes_as_if_alone,
		one_withdrawn_before_its_first_piece_ends_too, one_whose_file_is_gone_counts_for_nothing,
		one_whose_file_was_changed_counts_for_nothing,
		one_withdrawn_while_its_bonds_are_made_again_is_as_if_it_had_not_come,
		no_other_is_tried_or_taken_meanwhile,
		a_kept_file_goes_when_nothing_is_under_way_with_it,
		a_row_that_is_wrong_meanwhile_ends_it, NULL };

	return case_run("import_pieces", tests);
}
