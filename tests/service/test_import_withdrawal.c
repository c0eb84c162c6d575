/*
 * The withdrawal of an import of many entries, in pieces: wherever it is cut, the import counts in
 * every list or in none, and in the end the register is as if its file had never come.
 */
#include "case.h"
#include "service/importing.h"
#include "service/record/import_withdrawal.h"
#include "service/record/inspection.h"
#include "service/record/ruling.h"
#include "store/record/book.h"
#include "store/record/correction.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"

#define TODAY "2024-05-02"
#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"

static const char visit_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
	"{'field':'day','column':'day'},{'field':'seen_a','constant':'good'},"
	"{'field':'seen_b','constant':'good'},{'field':'reference','column':'ref'},"
	"{'field':'quantity','constant':'contact_a'},{'field':'method','constant':'four_wire'},"
	"{'field':'shown_uohm','column':'shown','unit':'uohm'},"
	"{'field':'instrument','constant':'M-1'}]}";
static const char place_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'chainage','column':'at'},"
	"{'field':'found_day','column':'day'},{'field':'reference','column':'ref'},"
	"{'field':'made_good_day','column':'good'},{'field':'mode','constant':'cable_broken'},"
	"{'field':'within_m','constant':'5'}]}";

enum { VISITS = 520, FAILURES = 260 };
_Static_assert((int)VISITS > (int)IMPORT_WITHDRAWN_AT_ONCE &&
	2 * (int)FAILURES > (int)IMPORT_WITHDRAWN_AT_ONCE, "each is withdrawn in pieces");

static const char *const labels[] = { "J1", "J2", "J3" };

/* J1 is over its limit by the last of them. */
static char *visits(void)
{
	struct text file = { 0 };

	text_add_z(&file, "bond,day,ref,shown\n");
	for (int n = 0; n < VISITS; n++) {
		text_addf(&file, "%s,2023-%02d-%02d,W%d,%d\n", labels[n % 3], 1 + n % 12, 1 + n % 28, n,
			n == 519 ? 900 : 12);
	}
	ck_assert(!file.failed);
	return file.data;
}

/* Two at J1, and of the others, where no bond is known, six at three places that fail again; all of
 * them made good. */
static char *failures(void)
{
	struct text file = { 0 };

	text_add_z(&file, "at,day,ref,good\n");
	for (int n = 0; n < FAILURES; n++) {
		text_addf(&file, "%d+%03d,2023-%02d-%02d,F%d,2023-12-31\n", n < 2 ? 1 : 2 + n / 16, n < 2 ?
			200 : n < 8 ? n / 2 * 60 : n % 16 * 60, 1 + n % 12, 1 + n % 28, n);
	}
	ck_assert(!file.failed);
	return file.data;
}

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
	size_t added)
{
	struct importing i;

	importing_settings(&i, settings);
	importing_expect(r, &i, kind, text, added, 0, 0, 0);
	importing_release(&i);
	railway_follow(r, TODAY, 1000);
}

static int64_t count(struct railway *r, const char *sql)
{
	struct problem why = { 0 };
	int64_t n = -1;

	ck_assert_msg(sql_integer(r->store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

static int64_t counting(struct railway *r)
{
	return count(r, "SELECT (SELECT count(*) FROM inspection i WHERE "
		SQL_COUNTS("inspection", NOUN_INSPECTION, "i.id") ") + (SELECT count(*) FROM failure f "
		"WHERE " SQL_COUNTS("failure", NOUN_FAILURE, "f.id") ") + (SELECT count(*) FROM repair p "
		"WHERE " SQL_COUNTS("repair", NOUN_REPAIR, "p.id") ")");
}

static bool send(struct railway *r, int n, const struct withdrawal_new *what, bool is_live,
	struct recorded *recorded, struct problems *why)
{
	struct withdrawal_new form = *what;
	bool ok;

	railway_uuid(n, form.uuid);
	form.reason = "The meter was set to another range.";
	*why = (struct problems){ 0 };
	railway_begin(r, TODAY);
	r->act.is_live = is_live;
	ok = withdrawal_record(&r->act, &form, recorded, why);
	if (ok) {
		railway_end(r);
	} else {
		railway_undo(r);
	}
	return ok;
}

static struct withdrawal_new of_import(int64_t import_id)
{
	struct withdrawal_new form;

	form_clear(&withdrawal_form, &form);
	form.entry = SENT_IMPORT;
	form.import_id = import_id;
	return form;
}

static bool begin(struct railway *r, int n, struct problems *why)
{
	const struct withdrawal_new form = of_import(1);
	struct recorded recorded;

	return send(r, n, &form, true, &recorded, why);
}

/* One piece; kept false: the program died before it was on disk, and begins again. */
static bool piece(struct railway *r, struct import_withdrawal *t, bool kept)
{
	struct problems why = { 0 };
	bool more;

	railway_begin(r, TODAY);
	railway_must(import_withdrawal_piece(&r->act, t, 0, &more, &why), &why);
	if (kept) {
		railway_end(r);
	} else {
		railway_undo(r);
		*t = (struct import_withdrawal){ 0 };
	}
	return more;
}

/* All counts with what is derived as before, or nothing does. */
static void expect_all_or_none(struct railway *r, int64_t all, int64_t none, const char *before)
{
	const bool counts = count(r, "SELECT count(*) FROM withdrawal") == 0;
	char *now = importing_derived(r);

	ck_assert_int_eq(counting(r), counts ? all : none);
	ck_assert(!counts || strcmp(now, before) == 0);
	free(now);
	importing_content(r);
}

/* Withdrawn in pieces, of which one is lost with the program; a start goes on. Returns how many
 * there were. In the end the register is as it was before the file. */
static int withdrawn(const char *kind, const char *settings, const char *file, size_t rows,
	int lost)
{
	struct railway r, other;
	struct problems why = { 0 };
	struct import_withdrawal t = { 0 };
	char *got, *wanted, *before;
	int64_t all;
	int pieces = 0;

	make(&r);
	take(&r, kind, settings, file, rows);
	all = counting(&r);
	before = importing_derived(&r);
	railway_must(begin(&r, 1, &why), &why);
	for (bool more = true; more; pieces++) {
		expect_all_or_none(&r, all, 0, before);
		more = piece(&r, &t, pieces != lost) || pieces == lost;
	}
	ck_assert_int_eq(count(&r, "SELECT count(*) FROM better_watch"), 0);
	make(&other);
	got = importing_derived(&r);
	wanted = importing_derived(&other);
	ck_assert_str_eq(got, wanted);
	ck_assert_uint_eq(importing_count(&r, &failure_list) + importing_count(&r, &inspection_list),
		rows);                                      /* all stay readable */
	ck_assert_int_eq(count(&r, "SELECT count(*) FROM repeat_place"), 0);
	take(&r, kind, settings, file, rows);           /* and it may come again */
	importing_content(&r);
	free(got);
	free(wanted);
	free(before);
	railway_remove(&other);
	railway_remove(&r);
	return pieces;
}

/* Lost at each piece in turn, or at a few of them. */
static void withdrawn_wherever(const char *kind, const char *settings, char *file, size_t rows)
{
	const int pieces = withdrawn(kind, settings, file, rows, -1);
	const int step = getenv("BONDBOOK_LONG") != NULL ? 1 : 5;

	ck_assert_int_gt(pieces, 8);
	for (int lost = 0; lost < pieces; lost += step) {
		withdrawn(kind, settings, file, rows, lost);
	}
	free(file);
}

START_TEST(visits_count_all_until_one_row_and_then_none_does)
{
	withdrawn_wherever("inspections", visit_settings, visits(), VISITS);
}
END_TEST

START_TEST(failures_and_the_bonds_that_they_made_go_so_too)
{
	char *file = failures();
	const int pieces = withdrawn("failures", place_settings, file, FAILURES, -1);

	/* (repeat places take their time) */
	for (int lost = pieces - 2; getenv("BONDBOOK_LONG") != NULL && lost > 0; lost -= 3) {
		withdrawn("failures", place_settings, file, FAILURES, lost);
	}
	free(file);
}
END_TEST

/* What a crew did meanwhile stands. A grade that is better by the withdrawal is listed, by what it
 * was when the import ceased to count, and not by what it was when that was begun. */
START_TEST(a_visit_between_stands_and_what_gets_better_is_listed)
{
	struct railway r, other;
	struct problems why = { 0 };
	struct recorded recorded;
	struct import_withdrawal t = { 0 };
	const struct withdrawal_new form = of_import(1);
	struct inspection_new visit;
	char *file = visits(), *got, *wanted;

	make(&r);
	make(&other);
	take(&r, "inspections", visit_settings, file, VISITS);
	take(&other, "inspections", visit_settings, file, VISITS);
	railway_must(begin(&r, 1, &why), &why);
	for (int n = 0; n < 3; n++) {
		ck_assert(piece(&r, &t, true));
	}
	form_clear(&inspection_form, &visit);
	railway_uuid(77, visit.uuid);
	visit.of.bond_id = 1;
	visit.day = railway_day("2024-05-01");
	visit.seen_a = visit.seen_b = SEEN_GOOD;
	for (int n = 0; n < 2; n++) {
		struct railway *one = n == 0 ? &r : &other;

		railway_begin(one, TODAY);
		railway_must(inspection_record(&one->act, &visit, &recorded, &why), &why);
		railway_end(one);
		importing_content(one);
	}
	while (piece(&r, &t, true)) {
	}
	railway_must(send(&other, 1, &form, false, &recorded, &why), &why);
	railway_follow(&other, TODAY, 1000);
	got = importing_derived(&r);
	wanted = importing_derived(&other);
	ck_assert_str_eq(got, wanted);
	ck_assert_uint_gt(importing_count(&r, &better_list), 0);
	ck_assert_uint_eq(importing_count(&r, &better_list), importing_count(&other, &better_list));
	ck_assert_int_eq(counting(&r), 1);
	free(file);
	free(got);
	free(wanted);
	railway_remove(&other);
	railway_remove(&r);
}
END_TEST

static void refused(bool ok, const struct problems *why, const char *field, const char *part)
{
	ck_assert(!ok);
	ck_assert_uint_eq(why->count, 1);
	ck_assert_str_eq(why->item[0].field, field);
	ck_assert_msg(strstr(why->item[0].detail, part) != NULL, "%s", why->item[0].detail);
}

START_TEST(meanwhile_it_is_not_withdrawn_again_nor_is_an_entry_of_it)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct import_withdrawal t = { 0 };
	struct withdrawal_new of_one;
	char *file = visits();
	sqlite3_stmt *row;
	struct problem one = { 0 };

	make(&r);
	take(&r, "inspections", visit_settings, file, VISITS);
	railway_must(begin(&r, 1, &why), &why);
	ck_assert(piece(&r, &t, true));
	railway_must(begin(&r, 1, &why), &why);         /* sent again: it is kept once */
	refused(begin(&r, 2, &why), &why, "import_id", "is being withdrawn");
	form_clear(&withdrawal_form, &of_one);
	of_one.entry = SENT_INSPECTION;
	row = sql_select(r.store, "SELECT uuid FROM inspection WHERE id = 5", NULL, 0, &one);
	ck_assert(sql_row(r.store, row, &one));
	column_text(row, 0, of_one.entry_id, sizeof of_one.entry_id);
	sql_done(row);
	refused(send(&r, 3, &of_one, true, &recorded, &why), &why, "entry_id", "is being withdrawn");
	while (piece(&r, &t, true)) {
	}
	railway_must(begin(&r, 1, &why), &why);         /* also when it counts */
	refused(begin(&r, 2, &why), &why, "import_id", "withdrawn before");
	ck_assert_int_eq(count(&r, "SELECT count(*) FROM withdrawal"), 1);
	free(file);
	railway_remove(&r);
}
END_TEST

/* Who is alone with the register waits for nobody; a small one is done in a moment. */
START_TEST(a_small_one_and_one_by_who_is_alone_with_the_register_go_at_once)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct withdrawal_new form = of_import(1);
	char *file = visits();

	make(&r);
	take(&r, "inspections", visit_settings, file, VISITS);
	railway_must(send(&r, 1, &form, false, &recorded, &why), &why);
	ck_assert_int_eq(counting(&r), 0);
	take(&r, "inspections", visit_settings, "bond,day,ref,shown\nJ1,2023-05-01,X,12\n", 1);
	form = of_import(2);
	railway_must(send(&r, 2, &form, true, &recorded, &why), &why);
	ck_assert_int_eq(counting(&r), 0);
	railway_follow(&r, TODAY, 1000);
	importing_content(&r);
	free(file);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { visits_count_all_until_one_row_and_then_none_does,
		failures_and_the_bonds_that_they_made_go_so_too,
		a_visit_between_stands_and_what_gets_better_is_listed,
		meanwhile_it_is_not_withdrawn_again_nor_is_an_entry_of_it,
		a_small_one_and_one_by_who_is_alone_with_the_register_go_at_once, NULL };

	return case_run("import_withdrawal", tests);
}
