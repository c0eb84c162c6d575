/*
 * An import is withdrawn as a whole: its entries stay readable and count for nothing, and what
 * follows for its bonds is as if it had never come. The same file, corrected, comes in again.
 */
#include "case.h"
#include "service/importing.h"
#include "service/record/withdrawal.h"
#include "store/record/book.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"

#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"

static const char visit_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
	"{'field':'day','column':'day'},{'field':'outcome','column':'outcome'},"
	"{'field':'seen_a','column':'a'},{'field':'seen_b','column':'b'},"
	"{'field':'quantity','column':'quantity'},{'field':'method','column':'method'},"
	"{'field':'shown_uohm','column':'shown','unit':'uohm'},{'field':'instrument','column':'meter'}]}";

static const char failure_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
	"{'field':'found_day','column':'day'},{'field':'mode','column':'mode'}]}";

#define VISITS "bond,day,outcome,a,b,quantity,method,shown,meter\n"

/* In the first, J1 was read 250 instead of 25 and J2 is another bond's; the second is right. */
static const char wrong_visits[] = VISITS
	"J1,2023-05-01,complete,good,good,contact_a,four_wire,250,M-1\n"
	"J2,2023-05-01,complete,good,good,contact_a,four_wire,12,M-1\n";
static const char right_visits[] = VISITS
	"J1,2023-05-01,complete,good,good,contact_a,four_wire,25,M-1\n"
	"J3,2023-05-01,complete,good,good,contact_a,four_wire,12,M-1\n";
static const char failures[] = "bond,day,mode\nJ1,2023-06-01,cable_broken\nJ2,2023-06-01,burnt\n";

static void make(struct railway *r)
{
	railway_make(r, "2024-01-01");
	railway_begin(r, "2024-04-30");
	railway_calibrate(r, 1, 0.5, "2020-01-01", "2026-01-01");
	railway_add_bond(r, "J1", "1+200");
	railway_add_bond(r, "J2", "1+300");
	railway_add_bond(r, "J3", "1+400");
	railway_end(r);
}

static void take(struct railway *r, const char *kind, const char *settings, const char *text,
	size_t added, size_t already)
{
	struct importing i;

	importing_settings(&i, settings);
	importing_expect(r, &i, kind, text, added, already, 0, 0);
	importing_release(&i);
}

static bool withdraw(struct railway *r, int n, int64_t import_id, struct problems *why)
{
	struct withdrawal_new form;
	struct recorded recorded;
	bool ok;

	form_clear(&withdrawal_form, &form);
	railway_uuid(n, form.uuid);
	form.entry = SENT_IMPORT;
	form.import_id = import_id;
	form.reason = "The meter was set to another range.";
	railway_begin(r, "2024-05-02");
	ok = withdrawal_record(&r->act, &form, &recorded, why);
	if (ok) {
		railway_end(r);
	} else {
		railway_undo(r);
	}
	railway_follow(r, "2024-05-02", 1000);
	return ok;
}

START_TEST(a_file_withdrawn_and_imported_corrected_is_as_if_that_alone_had_come)
{
	struct railway r, other;
	struct problems why = { 0 };
	char *got, *wanted;

	make(&r);
	take(&r, "inspections", visit_settings, wrong_visits, 2, 0);
	railway_must(withdraw(&r, 1, 1, &why), &why);
	take(&r, "inspections", visit_settings, right_visits, 2, 0);
	railway_follow(&r, "2024-05-02", 1000);
	make(&other);
	take(&other, "inspections", visit_settings, right_visits, 2, 0);
	got = importing_derived(&r);
	wanted = importing_derived(&other);
	ck_assert_str_eq(got, wanted);
	ck_assert_uint_eq(importing_count(&r, &inspection_list), 4);      /* all stay readable */
	take(&r, "inspections", visit_settings, right_visits, 0, 2);      /* and this one is known */
	importing_content(&r);
	free(got);
	free(wanted);
	railway_remove(&other);
	railway_remove(&r);
}
END_TEST

START_TEST(withdrawn_failures_are_none_and_the_same_file_may_come_in_again)
{
	struct railway r;
	struct problems why = { 0 };
	char *before, *after;

	make(&r);
	before = importing_derived(&r);
	take(&r, "failures", failure_settings, failures, 2, 0);
	railway_must(withdraw(&r, 1, 1, &why), &why);
	after = importing_derived(&r);
	ck_assert_str_eq(after, before);
	importing_content(&r);
	take(&r, "failures", failure_settings, failures, 2, 0);
	take(&r, "failures", failure_settings, failures, 0, 2);
	ck_assert_uint_eq(importing_count(&r, &failure_list), 4);
	railway_must(withdraw(&r, 2, 2, &why), &why);
	free(after);
	after = importing_derived(&r);
	ck_assert_str_eq(after, before);
	importing_content(&r);
	free(before);
	free(after);
	railway_remove(&r);
}
END_TEST

static void refused(const struct problems *why, const char *part)
{
	ck_assert_uint_eq(why->count, 1);
	ck_assert_str_eq(why->item[0].field, "import_id");
	ck_assert_msg(strstr(why->item[0].detail, part) != NULL, "%s", why->item[0].detail);
}

START_TEST(all_that_was_ever_recorded_is_not_listed_side_by_side)
{
	struct list_query query;
	struct problems why = { 0 };

	ck_assert(!list_query_read(&recorded_since_list, NULL, 0, 0, &query, &why));
	ck_assert_str_eq(why.item[0].field, "import");
	ck_assert_str_eq(why.item[0].detail, "Of what? Send an import's number, or a bond's.");
	for (int i = 0; i < 2; i++) {
		const struct query_pair of[] = { { i == 0 ? "import" : "bond", "1" } };

		ck_assert(list_query_read(&recorded_since_list, of, 1, 0, &query, &why));
	}
}
END_TEST

START_TEST(what_was_recorded_since_is_named_and_nonsense_is_refused)
{
	struct railway r;
	struct problems why = { 0 };
	const struct query_pair of[] = { { "import", "1" } };
	struct list_query query;
	struct table table;
	struct problem one = { 0 };
	struct cell row[32];
	struct list_run *run;
	int64_t total = -1;
	bool failed;
	size_t n = 0;

	make(&r);
	take(&r, "inspections", visit_settings, wrong_visits, 2, 0);
	take(&r, "failures", failure_settings, failures, 2, 0);    /* of J1 and J2, a second import */
	ck_assert(list_query_read(&recorded_since_list, of, 1, 0, &query, &why));
	run = list_open(r.store, &query, &table, &one);
	ck_assert_msg(run != NULL, "%s", one.detail);
	while (table.next(table.source, row, &failed)) {
		n++;
	}
	ck_assert(!failed);
	list_close(run);
	ck_assert_uint_eq(n, 2);
	ck_assert(list_totals(r.store, &query, &total, &one));
	ck_assert_int_eq(total, 2);
	ck_assert(!withdraw(&r, 1, 9, &why));
	refused(&why, "Import 9 brought no inspection");
	why = (struct problems){ 0 };
	railway_must(withdraw(&r, 2, 1, &why), &why);
	ck_assert(!withdraw(&r, 3, 1, &why));
	refused(&why, "withdrawn before");
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_file_withdrawn_and_imported_corrected_is_as_if_that_alone_had_come,
		withdrawn_failures_are_none_and_the_same_file_may_come_in_again,
		all_that_was_ever_recorded_is_not_listed_side_by_side,
		what_was_recorded_since_is_named_and_nonsense_is_refused, NULL };

	return case_run("import_withdrawn", tests);
}
