/*
 * Bonds, lines, tracks and chainage maps are withdrawn while nothing stands on them: they are in no
 * list, total or proposal then, stay readable, and may come in again under the same name.
 */
#include "case.h"
#include "derived/rebuild.h"
#include "service/importing.h"
#include "service/record/failure.h"
#include "service/record/refer.h"
#include "service/record/renewal.h"
#include "service/record/withdrawal.h"
#include "store/lists/strip.h"
#include "store/record/bond.h"
#include "store/record/correction.h"
#include "store/record/line.h"
#include "store/record/spot.h"
#include "store/record/withdrawal.h"
#include "store/sql.h"

#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"

static const char line_settings[] = "{" AS_CSV "'columns':[{'field':'code','column':'code'},"
	"{'field':'name','column':'name'},{'field':'notation','column':'notation'}]}";
static const char track_settings[] = "{" AS_CSV "'columns':[{'field':'line','column':'line'},"
	"{'field':'name','column':'track'}]}";
static const char map_settings[] = "{" AS_CSV "'columns':[{'field':'line','column':'line'},"
	"{'field':'from','column':'from'},{'field':'to','column':'to'},"
	"{'field':'length_m','column':'length','unit':'m'}],'tolerance_m':1}";
static const char bond_settings[] = "{" AS_CSV "'columns':[{'field':'line','constant':'VAL'},"
	"{'field':'label','column':'label'},{'field':'kind','constant':'rail_joint'},"
	"{'field':'a_chainage','column':'at'},{'field':'a_track','constant':'Up'},"
	"{'field':'a_rail','constant':'left'}]}";
static const char failure_settings[] = "{" AS_CSV "'columns':[{'field':'line','constant':'VAL'},"
	"{'field':'chainage','column':'at'},{'field':'found_day','column':'day'},"
	"{'field':'mode','constant':'cable_broken'},{'field':'within_m','constant':'50'}]}";

static void take(struct railway *r, const char *kind, const char *settings, const char *text,
	size_t added, size_t already)
{
	struct importing i;

	importing_settings(&i, settings);
	importing_expect(r, &i, kind, text, added, already, 0, 0);
	importing_release(&i);
}

static int uuids;

/* As its form has it; what followed is made again. */
static bool withdraw(struct railway *r, enum sent_noun noun, int64_t number, struct problems *why)
{
	struct withdrawal_new form;
	struct recorded recorded;
	bool ok;

	form_clear(&withdrawal_form, &form);
	railway_uuid(500 + ++uuids, form.uuid);
	form.entry = (int)noun;
	*(noun == SENT_IMPORT ? &form.import_id : &form.entry_number) = number;
	form.reason = "It was the file of another line.";
	*why = (struct problems){ 0 };
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

static void refused(const struct problems *why, const char *field, const char *part)
{
	ck_assert_uint_eq(why->count, 1);
	ck_assert_str_eq(why->item[0].field, field);
	ck_assert_msg(strstr(why->item[0].detail, part) != NULL, "%s", why->item[0].detail);
}

static void content(struct railway *r)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, "2024-05-02");
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	railway_end(r);
}

static int64_t number(struct railway *r, const char *sql)
{
	struct problem why = { 0 };
	int64_t n = -1;

	ck_assert_msg(sql_integer(r->store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

/* A broken cable, under the n-th id. */
static void break_cable(struct railway *r, int n, int64_t bond_id)
{
	struct failure_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&failure_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.found_day = railway_day("2024-05-01");
	form.mode = FAILURE_CABLE_BROKEN;
	railway_begin(r, "2024-05-01");
	railway_must(failure_record(&r->act, &form, 0, &recorded, &why), &why);
	railway_end(r);
}

static int64_t bond_of(struct railway *r, const char *label)
{
	struct problem why = { 0 };
	int64_t line = 0, id = 0;

	ck_assert(store_line_find(r->store, "VAL", &line, &why) &&
		store_bond_find(r->store, line, label, &id, &why));
	return id;
}

static const char wrong_bonds[] = "label,at\nJ1,1+200\nJ2,1+300\n";
static const char right_bonds[] = "label,at\nJ1,1+250\nJ3,1+300\n";

/* What is shown and derived of all bonds that are in lists. */
#define SHOWN "SELECT group_concat(line_id || label || distance_mm || chainage || due_day || grade || odd, " \
	"'|') FROM (SELECT * FROM bond_state ORDER BY label)"
#define CELLS "SELECT group_concat(line_id || ' ' || due_day || ' ' || alike || ' ' || bonds, '|') " \
	"FROM (SELECT * FROM due_cell WHERE bonds > 0 ORDER BY 1, 2, 3, 4)"

static char *text_of(struct railway *r, const char *sql)
{
	struct problem why = { 0 };
	sqlite3_stmt *row = sql_select(r->store, sql, NULL, 0, &why);
	char *text = NULL;

	ck_assert_msg(sql_row(r->store, row, &why), "%s", why.detail);
	text = column_dup(row, 0);
	sql_done(row);
	return text;
}

static void same(struct railway *a, struct railway *b, const char *sql)
{
	char *one = text_of(a, sql), *other = text_of(b, sql);

	ck_assert_str_eq(one, other);
	free(one);
	free(other);
}

START_TEST(a_file_of_bonds_withdrawn_and_imported_corrected_is_as_if_that_alone_had_come)
{
	struct railway r, other;
	struct problems why;

	railway_make(&r, "2024-05-01");
	take(&r, "bonds", bond_settings, wrong_bonds, 2, 0);
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 0);
	ck_assert_uint_eq(importing_count(&r, &due_list), 0);
	ck_assert_int_eq(number(&r, "SELECT coalesce(sum(bonds), 0) FROM due_cell"), 0);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM bond_fact"), 2);   /* readable */
	content(&r);
	take(&r, "bonds", bond_settings, right_bonds, 2, 0);
	take(&r, "bonds", bond_settings, right_bonds, 0, 2);
	railway_make(&other, "2024-05-01");
	take(&other, "bonds", bond_settings, right_bonds, 2, 0);
	same(&r, &other, SHOWN);
	same(&r, &other, CELLS);
	content(&r);
	ck_assert(!withdraw(&r, SENT_IMPORT, 1, &why));
	refused(&why, "import_id", "withdrawn before");
	railway_remove(&other);
	railway_remove(&r);
}
END_TEST

START_TEST(a_bond_that_something_was_recorded_of_keeps_its_file_until_that_is_withdrawn)
{
	struct railway r;
	struct problems why;
	char failure[UUID_TEXT_SIZE];
	struct withdrawal_new back;
	struct recorded recorded;

	railway_make(&r, "2024-05-01");
	take(&r, "bonds", bond_settings, wrong_bonds, 2, 0);
	break_cable(&r, 1, bond_of(&r, "J2"));
	railway_uuid(1, failure);
	ck_assert(!withdraw(&r, SENT_IMPORT, 1, &why));
	refused(&why, "import_id", "on 1 of the 2");
	ck_assert(!withdraw(&r, SENT_BOND, bond_of(&r, "J2"), &why));
	refused(&why, "entry_number", "Withdraw first");
	ck_assert_uint_eq(importing_count(&r, &bond_list), 2);               /* all or nothing */
	form_clear(&withdrawal_form, &back);
	railway_uuid(2, back.uuid);
	back.entry = SENT_FAILURE;
	memcpy(back.entry_id, failure, sizeof failure);
	back.reason = "None.";
	railway_begin(&r, "2024-05-01");
	why = (struct problems){ 0 };
	railway_must(withdrawal_record(&r.act, &back, &recorded, &why), &why);
	railway_end(&r);
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 0);
	content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(of_a_withdrawn_bond_nothing_is_recorded_and_its_rail_is_free)
{
	struct railway r;
	struct problems why;
	struct problem one = { 0 };
	struct bond bond;
	struct bond_reference of = { .bond_id = 0 };
	struct rail_spot *all = NULL;
	size_t spots = 9;
	int64_t id;

	railway_make(&r, "2024-05-01");
	take(&r, "bonds", bond_settings, wrong_bonds, 2, 0);
	id = bond_of(&r, "J1");
	ck_assert(store_bond_get(r.store, id, &bond, &one));
	railway_must(withdraw(&r, SENT_BOND, id, &why), &why);
	ck_assert_int_eq(bond_of(&r, "J1"), 0);
	of.bond_id = id;
	railway_begin(&r, "2024-05-02");
	ck_assert(!refer_bond(&r.act, &of, &bond, &why));
	refused(&why, "bond_id", "was withdrawn");
	railway_undo(&r);
	const struct rail_stretch at = { bond.end[END_A].track_id, bond.end[END_A].rail,
		bond.end[END_A].distance_mm, bond.end[END_A].distance_mm };

	ck_assert(store_rail_spots(r.store, &at, 0, railway_day("2030-01-01"), &all, &spots, &one));
	free(all);
	ck_assert_uint_eq(spots, 0);
	ck_assert(!withdraw(&r, SENT_BOND, id, &why));
	refused(&why, "entry_number", "withdrawn before");
	ck_assert(!withdraw(&r, SENT_BOND, 99, &why));
	refused(&why, "entry_number", "There is no bond 99");
	content(&r);
	railway_begin(&r, "2024-05-02");
	why = (struct problems){ 0 };
	railway_must(rebuild_all(&r.act, NULL, NULL, &why), &why);           /* nor by a rebuild */
	railway_end(&r);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 1);
	railway_remove(&r);
}
END_TEST

/* Its rail was renewed: both ends are not attached until somebody says what became of the bond. */
START_TEST(a_bond_that_was_to_be_acted_on_does_not_go_without_a_word)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct renewal_new form;

	railway_make(&r, "2024-05-01");
	railway_begin(&r, "2024-05-01");
	railway_add_bond(&r, "J1", "1+200");
	railway_end(&r);
	form_clear(&renewal_form, &form);
	railway_uuid(7, form.uuid);
	form.line = "VAL";
	form.track = "Up";
	form.rails = RENEWED_BOTH;
	form.from = "1+000";
	form.to = "2+000";
	form.day = railway_day("2024-04-30");
	form.reason = "New rail.";
	railway_begin(&r, "2024-05-01");
	railway_must(renewal_record(&r.act, &form, &recorded, &why), &why);
	railway_end(&r);
	ck_assert_int_eq(number(&r, "SELECT grade FROM bond_state"), GRADE_ACT);
	railway_must(withdraw(&r, SENT_BOND, bond_of(&r, "J1"), &why), &why);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 0);
	ck_assert_uint_eq(importing_count(&r, &better_list), 1);
	content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(bonds_that_a_file_of_failures_made_go_with_it_unless_something_stands_on_them)
{
	static const char failures[] = "at,day\n1+000,2023-05-01\n5+000,2023-06-01\n";
	struct railway r;
	struct problems why;

	railway_make(&r, "2024-05-01");
	take(&r, "failures", failure_settings, failures, 2, 0);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 2);
	break_cable(&r, 1, bond_of(&r, "? 1+000"));
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 1);
	ck_assert_int_ne(bond_of(&r, "? 1+000"), 0);
	content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(lines_of_a_wrong_notation_are_withdrawn_and_come_in_again)
{
	struct railway r;
	struct problems why;
	struct problem one = { 0 };
	struct line line;
	int64_t first = 0, second = 0;

	railway_make(&r, "2024-05-01");
	take(&r, "lines", line_settings, "code,name,notation\nQ1,Quarry line,km_m\n", 1, 0);
	ck_assert(store_line_find(r.store, "Q1", &first, &one));
	take(&r, "tracks", track_settings, "line,track\nQ1,Up\n", 1, 0);
	ck_assert(!withdraw(&r, SENT_IMPORT, 1, &why));
	refused(&why, "import_id", "of each line: its bonds, failures, renewals, tracks and maps");
	railway_must(withdraw(&r, SENT_IMPORT, 2, &why), &why);
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	ck_assert(store_line_find(r.store, "Q1", &second, &one));
	ck_assert_int_eq(second, 0);
	take(&r, "lines", line_settings, "code,name,notation\nQ1,Quarry line,miles_chains\n", 1, 0);
	ck_assert(store_line_find(r.store, "Q1", &second, &one));
	ck_assert_int_ne(second, first);
	ck_assert(store_line_get(r.store, first, &line, &one));              /* readable */
	ck_assert_int_eq(line.notation, NOTATION_KM_M);
	ck_assert_uint_eq(importing_count(&r, &line_list), 2);               /* VAL and Q1 */
	content(&r);
	railway_remove(&r);
}
END_TEST

/* By the wrong map chainage 2+000 lies 1,500 m from the datum. */
START_TEST(a_wrong_map_is_withdrawn_while_no_place_was_read_by_it)
{
	static const char wrong[] = "line,from,to,length\nVAL,0+000,1+000,500\nVAL,1+000,9+000,8000\n";
	struct railway r;
	struct problems why;
	char *before, *after;

	railway_make(&r, "2024-05-01");
	railway_begin(&r, "2024-04-30");
	railway_add_bond(&r, "J1", "2+000");
	railway_end(&r);
	before = text_of(&r, SHOWN);
	take(&r, "maps", map_settings, wrong, 2, 0);
	after = text_of(&r, SHOWN);
	ck_assert_str_ne(after, before);                                     /* another chainage */
	free(after);
	railway_must(withdraw(&r, SENT_IMPORT, 1, &why), &why);
	after = text_of(&r, SHOWN);
	ck_assert_str_eq(after, before);
	content(&r);
	take(&r, "maps", map_settings, wrong, 2, 0);
	take(&r, "bonds", bond_settings, "label,at\nJ7,2+000\n", 1, 0);      /* read by it */
	ck_assert(!withdraw(&r, SENT_IMPORT, 2, &why));
	refused(&why, "import_id", "whose places were read by it");
	railway_must(withdraw(&r, SENT_IMPORT, 3, &why), &why);
	railway_must(withdraw(&r, SENT_IMPORT, 2, &why), &why);
	free(after);
	after = text_of(&r, SHOWN);
	ck_assert_str_eq(after, before);
	content(&r);
	free(before);
	free(after);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_file_of_bonds_withdrawn_and_imported_corrected_is_as_if_that_alone_had_come,
		a_bond_that_something_was_recorded_of_keeps_its_file_until_that_is_withdrawn,
		of_a_withdrawn_bond_nothing_is_recorded_and_its_rail_is_free,
		a_bond_that_was_to_be_acted_on_does_not_go_without_a_word,
		bonds_that_a_file_of_failures_made_go_with_it_unless_something_stands_on_them,
		lines_of_a_wrong_notation_are_withdrawn_and_come_in_again,
		a_wrong_map_is_withdrawn_while_no_place_was_read_by_it, NULL };

	return case_run("withdrawn_assets", tests);
}
