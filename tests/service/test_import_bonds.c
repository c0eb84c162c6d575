/*
 * Bonds that come in pieces: until the last one they are in no list and nobody can use them, and
 * then it is as if the file had come at once; wherever it is cut, carried on, ended or withdrawn.
 */
#include "case.h"
#include "service/pieces.h"
#include "service/record/renewal.h"
#include "service/record/withdrawal.h"
#include "store/record/bond_coming.h"
#include "store/record/failure.h"

#define TODAY PIECES_TODAY
#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"
#define COLUMNS "'columns':[{'field':'line','constant':'VAL'},{'field':'label','column':'label'}," \
	"{'field':'kind','constant':'rail_joint'},{'field':'a_chainage','column':'at'}," \
	"{'field':'a_track','constant':'Up'},{'field':'a_rail','constant':'left'}," \
	"{'field':'installed_day','constant':'2020-03-31'}]}"

static const char bond_settings[] = "{" AS_CSV COLUMNS;
static const char known_settings[] = "{" AS_CSV "'known':'takes','take':['a_chainage']," COLUMNS;
static const char place_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'chainage','column':'at'},"
	"{'field':'found_day','column':'day'},{'field':'mode','constant':'cable_broken'},"
	"{'field':'within_m','constant':'5'}]}";

/* J0 is known; J2 stands twice. */
static const char bonds[] = "label,at\nJ1,1+200\nJ2,1+300\nJ0,0+100\nJ2,1+300\nJ3,1+400\n";
enum { ROWS = 5, ADDED = 3 };
/* Two of one place, one near J0, one of a place of its own. */
static const char failures[] = "at,day\n5+000,2023-06-01\n0+102,2023-06-02\n5+003,2023-07-01\n"
	"7+000,2023-06-01\n";

static void make(struct railway *r)
{
	railway_make(r, "2024-01-01");
	railway_begin(r, "2024-05-01");
	railway_add_bond(r, "J0", "0+100");
	railway_end(r);
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

/* Nothing but J0, in any list. */
static void expect_nothing(struct railway *r, const char *before)
{
	char *now = importing_derived(r);

	ck_assert_str_eq(now, before);
	free(now);
	ck_assert_uint_eq(importing_count(r, &bond_list), 1);
	ck_assert_uint_eq(importing_count(r, &bond_change_list), 1);
	ck_assert_uint_eq(importing_count(r, &due_list), 1);
	ck_assert_uint_eq(importing_count(r, &failure_list), 0);
	importing_content(r);
}

static void expect_same(struct railway *r, struct railway *other)
{
	char *got = importing_derived(r), *wanted = importing_derived(other);

	ck_assert_str_eq(got, wanted);
	ck_assert_uint_eq(importing_count(r, &bond_list), importing_count(other, &bond_list));
	ck_assert_uint_eq(importing_count(r, &failure_list), importing_count(other, &failure_list));
	ck_assert_int_eq(pieces_left_out(r), 0);
	importing_content(r);
	free(got);
	free(wanted);
}

static void expect_rows(struct railway *r, int64_t id, int64_t added, int64_t already)
{
	struct import_row row;
	struct problem one = { 0 };

	ck_assert(store_import_rows(r->store, id, &row, &one));
	ck_assert_int_eq(row.rows_added, added);
	ck_assert_int_eq(row.rows_already, already);
}

static void expect_as_at_once(struct railway *r, const char *kind, const char *settings,
	const char *text, size_t added, size_t already)
{
	struct railway other;

	importing_content(r);
	ck_assert_int_ge(pieces_follow(r), 2);
	make(&other);
	take_at_once(&other, kind, settings, text, added, already);
	expect_same(r, &other);
	railway_remove(&other);
}

START_TEST(until_its_last_piece_no_list_has_a_bond_and_then_all_have)
{
	struct railway r;
	struct problems why = { 0 };
	struct import_pieces *take;
	char *before;
	int pieces = 0;

	make(&r);
	before = importing_derived(&r);
	pieces_begin(&r, "bonds", bond_settings, bonds);
	take = pieces_carry_on(&r, &why);
	for (; pieces_next(&r, take, true, &why); pieces++) {
		expect_nothing(&r, before);
	}
	railway_must(why.count == 0, &why);
	ck_assert_int_ge(pieces, ROWS - 1);
	import_pieces_free(take);
	expect_rows(&r, 1, ADDED, ROWS - ADDED);
	expect_as_at_once(&r, "bonds", bond_settings, bonds, ADDED, ROWS - ADDED);
	take_at_once(&r, "bonds", bond_settings, bonds, 0, ROWS);
	free(before);
	pieces_forget(&r);
}
END_TEST

/* Cut after each piece, and in each: nothing comes twice, and the counts are the same. */
static void cut(const char *kind, const char *settings, const char *text, int64_t added,
	int64_t already)
{
	struct railway r;
	struct problems why = { 0 };
	char *before;
	bool more = true;

	make(&r);
	before = importing_derived(&r);
	pieces_begin(&r, kind, settings, text);
	for (int n = 1; more; n++) {
		struct import_pieces *take = pieces_carry_on(&r, &why);

		railway_must(take != NULL, &why);
		for (int i = 0; i < n && more; i++) {
			more = pieces_next(&r, take, true, &why);
		}
		if (more) {
			pieces_next(&r, take, false, &why);
			expect_nothing(&r, before);
		}
		railway_must(why.count == 0, &why);
		import_pieces_free(take);
	}
	expect_rows(&r, 1, added, already);
	expect_as_at_once(&r, kind, settings, text, (size_t)added, (size_t)already);
	free(before);
	pieces_forget(&r);
}

START_TEST(one_that_was_cut_off_is_carried_on)
{
	cut("bonds", bond_settings, bonds, ADDED, ROWS - ADDED);
}
END_TEST

START_TEST(failures_that_make_bonds_known_come_so_too)
{
	cut("failures", place_settings, failures, 4, 0);
}
END_TEST

/* The first pieces of the file; NULL: none is carried on. */
static struct import_pieces *first_pieces(struct railway *r, int n)
{
	struct problems why = { 0 };
	struct import_pieces *take = pieces_carry_on(r, &why);

	railway_must(take != NULL, &why);
	for (int i = 0; i < n; i++) {
		ck_assert(pieces_next(r, take, true, &why));
	}
	return take;
}

static int uuids;

static bool withdraw(struct railway *r, enum sent_noun noun, int64_t number, struct problems *why)
{
	struct withdrawal_new form;
	struct recorded recorded;
	bool ok;

	form_clear(&withdrawal_form, &form);
	railway_uuid(700 + ++uuids, form.uuid);
	form.entry = (int)noun;
	*(noun == SENT_IMPORT ? &form.import_id : &form.entry_number) = number;
	form.reason = "It was the file of another line.";
	*why = (struct problems){ 0 };
	railway_begin(r, TODAY);
	ok = withdrawal_record(&r->act, &form, &recorded, why);
	if (ok) {
		railway_end(r);
	} else {
		railway_undo(r);
	}
	railway_follow(r, TODAY, 1000);
	return ok;
}

static bool add(struct railway *r, const char *label, const char *chainage, struct problems *why)
{
	struct bond_new form = railway_bond(label, chainage);
	struct recorded recorded;
	bool ok;

	*why = (struct problems){ 0 };
	railway_begin(r, TODAY);
	ok = bond_register(&r->act, &form, &recorded, why);
	if (ok) {
		railway_end(r);
	} else {
		railway_undo(r);
	}
	return ok;
}

static void refused(const struct problems *why, const char *field, const char *part)
{
	ck_assert_uint_eq(why->count, 1);
	ck_assert_str_eq(why->item[0].field, field);
	ck_assert_msg(strstr(why->item[0].detail, part) != NULL, "%s", why->item[0].detail);
}

START_TEST(one_withdrawn_in_the_middle_leaves_its_labels_to_others)
{
	struct railway r;
	struct problems why = { 0 };
	struct import_pieces *take;
	char *before;

	make(&r);
	before = importing_derived(&r);
	pieces_begin(&r, "bonds", bond_settings, bonds);
	take = first_pieces(&r, 3);
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	ck_assert(!pieces_next(&r, take, true, &why));
	railway_must(why.count == 0, &why);
	import_pieces_free(take);
	expect_nothing(&r, before);
	railway_must(add(&r, "J1", "1+250", &why), &why);
	importing_content(&r);
	free(before);
	pieces_forget(&r);
}
END_TEST

/* Else two bonds had one label when the import counts. */
START_TEST(a_label_that_is_coming_is_given_to_no_other)
{
	struct railway r;
	struct problems why;
	struct import_pieces *take;
	struct bond_new form = railway_bond("J1", "0+100");

	make(&r);
	pieces_begin(&r, "bonds", bond_settings, bonds);
	take = first_pieces(&r, 1);
	ck_assert(!add(&r, "J1", "1+200", &why));
	refused(&why, "label", "Import 1, which is being taken, brings a bond J1");
	why = (struct problems){ 0 };
	form.reason = "The plate says so.";
	railway_begin(&r, TODAY);
	ck_assert(!bond_change(&r.act, 1, &form, &why));
	railway_undo(&r);
	refused(&why, "label", "Import 1, which is being taken, brings a bond J1");
	railway_must(add(&r, "J3", "1+400", &why), &why);       /* whose row is not read yet: known */
	why = (struct problems){ 0 };
	while (pieces_next(&r, take, true, &why)) {
	}
	railway_must(why.count == 0, &why);
	import_pieces_free(take);
	expect_rows(&r, 1, ADDED - 1, ROWS - ADDED + 1);
	railway_must(add(&r, "J1", "1+200", &why), &why);   /* known before it is made */
	why = (struct problems){ 0 };
	ck_assert(!add(&r, "J1", "1+201", &why));
	refused(&why, "label", "This line has a bond J1 already");
	pieces_follow(&r);
	railway_must(add(&r, "J1", "1+200", &why), &why);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 4);
	importing_content(&r);
	pieces_forget(&r);
}
END_TEST

static bool inspect(struct railway *r, int64_t bond_id, struct problems *why)
{
	struct inspection_new form;
	struct recorded recorded;
	bool ok;

	form_clear(&inspection_form, &form);
	railway_uuid(800 + ++uuids, form.uuid);
	form.of.bond_id = bond_id;
	form.day = railway_day("2024-05-01");
	form.outcome = OUTCOME_PARTLY;
	form.seen_a = 0;
	*why = (struct problems){ 0 };
	railway_begin(r, TODAY);
	ok = inspection_record(&r->act, &form, &recorded, why);
	if (ok) {
		railway_end(r);
	} else {
		railway_undo(r);
	}
	return ok;
}

START_TEST(nothing_is_recorded_of_a_bond_that_may_never_count)
{
	struct railway r;
	struct problems why;
	struct problem one = { 0 };
	bool coming = false;

	make(&r);
	pieces_begin(&r, "bonds", bond_settings, bonds);
	import_pieces_free(first_pieces(&r, 1));
	ck_assert(!inspect(&r, 2, &why));
	refused(&why, "bond_id", "Bond 2 is of an import that does not count, or not yet.");
	ck_assert(store_bond_is_coming(r.store, 2, &coming, &one) && coming);
	pieces_take(&r);
	ck_assert(store_bond_is_coming(r.store, 2, &coming, &one) && !coming);
	railway_must(inspect(&r, 2, &why), &why);       /* and it is derived then, before its turn */
	ck_assert_uint_eq(importing_count(&r, &bond_list), 2);
	pieces_follow(&r);
	importing_content(&r);
	pieces_forget(&r);
}
END_TEST

/* Lines and tracks are withdrawn while nothing stands on them. */
START_TEST(what_is_coming_stands_on_its_line_and_track)
{
	static const char dale_settings[] = "{" AS_CSV "'columns':["
		"{'field':'line','constant':'DALE'},{'field':'label','column':'label'},"
		"{'field':'kind','constant':'rail_joint'},{'field':'a_chainage','column':'at'}]}";
	const struct line_new dale = { "DALE", "Dale line", NOTATION_KM_M, ELECTRIFICATION_AC };
	struct railway r;
	struct recorded recorded;
	struct problems why = { 0 };

	make(&r);
	railway_begin(&r, TODAY);
	railway_must(line_register(&r.act, &dale, &recorded, &why), &why);
	railway_end(&r);
	railway_must(withdraw(&r, SENT_BOND, 1, &why), &why);
	pieces_begin(&r, "bonds", bond_settings, "label,at\nJ1,1+200\nJ2,1+300\n");
	import_pieces_free(first_pieces(&r, 1));
	ck_assert(!withdraw(&r, SENT_TRACK, 1, &why));
	refused(&why, "entry_number", "Something stands on that track");
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	railway_must(withdraw(&r, SENT_TRACK, 1, &why), &why);
	pieces_begin(&r, "bonds", dale_settings, "label,at\nJ1,1+200\nJ2,1+300\n");
	import_pieces_free(first_pieces(&r, 1));
	ck_assert(!withdraw(&r, SENT_LINE, 2, &why));
	refused(&why, "entry_number", "Something stands on that line");
	railway_must(withdraw(&r, SENT_IMPORT, 2, &why), &why);
	railway_must(withdraw(&r, SENT_LINE, 2, &why), &why);
	pieces_forget(&r);
}
END_TEST

/* Inspections too, on their bond: else they counted on one that is withdrawn. */
START_TEST(what_is_coming_of_a_bond_keeps_it)
{
	static const char visit_settings[] = "{" AS_CSV "'columns':["
		"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
		"{'field':'day','column':'day'},{'field':'outcome','constant':'partly'},"
		"{'field':'seen_a','constant':'good'}]}";
	struct railway r;
	struct problems why;

	make(&r);
	pieces_begin(&r, "inspections", visit_settings, "bond,day\nJ0,2023-05-01\nJ0,2023-05-02\n");
	import_pieces_free(first_pieces(&r, 2));
	ck_assert(!withdraw(&r, SENT_BOND, 1, &why));
	refused(&why, "entry_number", "Something stands on that bond");
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	railway_must(withdraw(&r, SENT_BOND, 1, &why), &why);
	importing_content(&r);
	pieces_forget(&r);
}
END_TEST

static void renew(struct railway *r)
{
	struct renewal_new form;
	struct recorded recorded;
	struct problems why = { 0 };

	form_clear(&renewal_form, &form);
	railway_uuid(900, form.uuid);
	form.line = "VAL";
	form.track = "Up";
	form.rails = RENEWED_LEFT;
	form.from = "1+000";
	form.to = "2+000";
	form.day = railway_day("2024-05-01");
	form.reason = "Worn.";
	railway_begin(r, TODAY);
	railway_must(renewal_record(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
}

/* A rail that is renewed meanwhile took their ends off as if they had been there. */
START_TEST(a_renewal_meanwhile_takes_the_ends_off)
{
	struct railway r, other;
	int64_t ends = 0;
	struct problem one = { 0 };

	make(&r);
	pieces_begin(&r, "bonds", bond_settings, bonds);
	import_pieces_free(first_pieces(&r, 2));
	renew(&r);
	importing_content(&r);
	pieces_take(&r);
	pieces_follow(&r);
	make(&other);
	take_at_once(&other, "bonds", bond_settings, bonds, ADDED, ROWS - ADDED);
	renew(&other);
	expect_same(&r, &other);
	ck_assert(sql_integer(r.store, "SELECT count(*) FROM attachment_end", NULL, 0, 0, &ends, &one));
	ck_assert_int_eq(ends, 2 * ADDED);
	ck_assert(sql_integer(r.store, "SELECT count(*) FROM attachment_end WHERE recorded_by IS NULL",
		NULL, 0, -1, &ends, &one));
	ck_assert_int_eq(ends, 0);      /* who brought the file */
	railway_remove(&other);
	pieces_forget(&r);
}
END_TEST

START_TEST(withdrawn_and_imported_corrected_it_is_as_if_that_alone_had_come)
{
	static const char corrected[] = "label,at\nJ1,1+250\nJ4,1+300\n";
	struct railway r, other;
	struct problems why;
	size_t listed;

	make(&r);
	pieces_begin(&r, "bonds", bond_settings, bonds);
	pieces_take(&r);
	pieces_follow(&r);
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 1);
	pieces_begin(&r, "bonds", bond_settings, corrected);
	pieces_take(&r);
	pieces_follow(&r);
	make(&other);
	take_at_once(&other, "bonds", bond_settings, corrected, 2, 0);
	listed = importing_count(&r, &bond_list);
	ck_assert_uint_eq(listed, 3);
	ck_assert_uint_eq(importing_count(&other, &bond_list), listed);
	ck_assert_uint_eq(importing_count(&r, &due_list), importing_count(&other, &due_list));
	importing_content(&r);
	railway_remove(&other);
	pieces_forget(&r);
}
END_TEST

/* A version of a bond that counts cannot count for nothing: such a file is taken at once. */
START_TEST(what_changes_known_bonds_does_not_come_so)
{
	struct railway r;
	struct importing i;
	struct problems why = { 0 };
	struct import_pieces *take;
	struct bond_new form = railway_bond("J0", "0+150");
	const struct import_request request = { .kind = import_kind_find("bonds") };

	make(&r);
	importing_settings(&i, known_settings);
	railway_must(importing(&r, &i, "bonds", "label,at\nJ0,0+120\n", true), &i.why);
	ck_assert_uint_eq(i.result.changed, 1);
	ck_assert(!import_pieces_may(&request, &i.result));
	importing_release(&i);
	pieces_begin(&r, "bonds", known_settings, bonds);
	take = first_pieces(&r, 1);
	form.reason = "Measured again.";
	railway_begin(&r, TODAY);
	railway_must(bond_change(&r.act, 1, &form, &why), &why);
	railway_end(&r);
	while (pieces_next(&r, take, true, &why)) {
	}
	import_pieces_free(take);
	ck_assert_msg(strstr(why.item[0].detail, "The register says something else of the bond J0 "
		"since the file was tried.") != NULL, "%s", why.item[0].detail);
	ck_assert(import_pieces_is_refusal(&why));
	importing_content(&r);
	pieces_forget(&r);
}
END_TEST

/* A failure of a bond that is withdrawn before its row is taken would make a bond of its own, and
 * hide there. */
START_TEST(a_failure_whose_bond_is_gone_when_it_is_taken_makes_none)
{
	struct railway r;
	struct problems why = { 0 };
	struct import_pieces *take;
	char *before, *after;

	make(&r);
	railway_must(add(&r, "J9", "1+600", &why), &why);
	pieces_begin(&r, "failures", place_settings, "at,day\n1+600,2023-06-01\n1+900,2023-06-01\n");
	railway_must(withdraw(&r, SENT_BOND, 2, &why), &why);
	before = importing_derived(&r);
	take = first_pieces(&r, 0);
	while (pieces_next(&r, take, true, &why)) {
	}
	refused(&why, "", "is not there any more");
	ck_assert(import_pieces_is_refusal(&why));
	import_pieces_free(take);
	after = importing_derived(&r);
	ck_assert_str_eq(after, before);
	ck_assert_uint_eq(importing_count(&r, &failure_list), 0);
	importing_content(&r);
	free(before);
	free(after);
	pieces_forget(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { until_its_last_piece_no_list_has_a_bond_and_then_all_have,
		one_that_was_cut_off_is_carried_on, failures_that_make_bonds_known_come_so_too,
		one_withdrawn_in_the_middle_leaves_its_labels_to_others,
		a_label_that_is_coming_is_given_to_no_other,
		nothing_is_recorded_of_a_bond_that_may_never_count,
		what_is_coming_stands_on_its_line_and_track, what_is_coming_of_a_bond_keeps_it,
		a_renewal_meanwhile_takes_the_ends_off,
		a_failure_whose_bond_is_gone_when_it_is_taken_makes_none,
		withdrawn_and_imported_corrected_it_is_as_if_that_alone_had_come,
		what_changes_known_bonds_does_not_come_so, NULL };

	return case_run("import_bonds", tests);
}
