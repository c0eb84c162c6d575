/*
 * A file that says something else of known inspections, failures and lines: what would change is
 * told field by field, and what is chosen is taken as a correction on record. Nothing else is.
 */
#include "case.h"
#include "service/import/pieces.h"
#include "service/importing.h"
#include "service/record/inspection.h"
#include "service/record/withdrawal.h"

#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"
#define VISIT_COLUMNS "'columns':[" \
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'}," \
	"{'field':'day','column':'day'},{'field':'seen_a','column':'a'}," \
	"{'field':'seen_b','column':'b'},{'field':'note','column':'note'}," \
	"{'field':'quantity','column':'quantity'},{'field':'method','constant':'four_wire'}," \
	"{'field':'shown_uohm','column':'shown','unit':'uohm'}," \
	"{'field':'instrument','column':'meter'}]}"
#define VISITS "bond,day,a,b,note,quantity,shown,meter\n"
#define FAILURE_COLUMNS "'columns':[{'field':'line','constant':'VAL'}," \
	"{'field':'chainage','column':'km'},{'field':'within_m','constant':'10'}," \
	"{'field':'found_day','column':'day'},{'field':'mode','column':'mode'}," \
	"{'field':'note','column':'note'},{'field':'reference','column':'ref'}," \
	"{'field':'made_good_day','column':'good'},{'field':'made_good_how','column':'how'}]}"
#define FAILURES "km,day,mode,note,ref,good,how\n"

static const char visits[] = VISITS "J1,2023-05-01,good,good,,contact_a,250,M-1\n"
	"J2,2023-05-01,good,good,dry,contact_a,12,M-1\n";

static void make(struct railway *r)
{
	railway_make(r, "2020-01-01");
	railway_begin(r, "2024-04-30");
	railway_calibrate(r, 1, 0.5, "2020-01-01", "2026-01-01");
	railway_add_bond(r, "J1", "1+200");
	railway_add_bond(r, "J2", "1+300");
	railway_end(r);
}

static void take(struct railway *r, struct importing *i, const char *kind, const char *choice,
	const char *columns, const char *text)
{
	char settings[2000];

	snprintf(settings, sizeof settings, "{" AS_CSV "%s%s", choice, columns);
	importing_settings(i, settings);
	railway_must(importing(r, i, kind, text, false), &i->why);
}

static int64_t number(struct railway *r, const char *sql)
{
	struct problem why = { 0 };
	int64_t to = 0;

	ck_assert_msg(sql_integer(r->store, sql, NULL, 0, 0, &to, &why), "%s", why.detail);
	return to;
}

static void difference(const struct importing *i, size_t n, size_t row, const char *what,
	const char *title, const char *known, const char *said, bool taken)
{
	const struct import_difference *d;

	ck_assert_uint_lt(n, i->result.n_differences);
	d = &i->result.differences[n];
	ck_assert_msg(d->row == row && strcmp(d->what, what) == 0 && strcmp(d->title, title) == 0 &&
		strcmp(d->known, known) == 0 && strcmp(d->said, said) == 0 && d->taken == taken,
		"row %zu, %s, %s: %s, %s, %d", d->row, d->what, d->title, d->known, d->said, d->taken);
}

static void nothing_differs_from_what_the_rules_give(struct railway *r)
{
	static struct check_result checked;
	struct problems why = { 0 };

	railway_begin(r, "2024-05-02");
	railway_must(check_all(&r->act, &checked, &why), &why);
	ck_assert_msg(checked.differences == 0, "%s", checked.shown[0]);
	railway_end(r);
}

/* What stands of J1: the reading that counts. */
#define STANDING "SELECT r.shown_uohm FROM reading r JOIN inspection i ON i.id = r.inspection_id " \
	"JOIN bond_state s ON s.bond_id = i.bond_id WHERE s.label = 'J1' AND r.quantity = 1 " \
	"AND NOT EXISTS (SELECT 1 FROM inspection c WHERE c.replaces_id = i.id AND NOT EXISTS " \
	"(SELECT 1 FROM correction_open o WHERE o.noun = 0 AND o.row_id = c.id)) AND NOT EXISTS " \
	"(SELECT 1 FROM correction_open o WHERE o.noun = 0 AND o.row_id = i.id)"

static const char otherwise[] = VISITS "J1,2023-05-01,loose,good,wet,contact_a,25,M-1\n"
	"J2,2023-05-01,good,good,dry,contact_a,12,M-1\nJ2,2023-05-01,,,,contact_b,14,M-1\n";

START_TEST(an_inspection_said_otherwise_is_told_field_by_field_and_wrong_without_a_choice)
{
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "inspections", "", VISIT_COLUMNS, visits);
	importing_release(&i);
	take(&r, &i, "inspections", "", VISIT_COLUMNS, otherwise);
	ck_assert_uint_eq(i.result.wrong, 3);
	ck_assert_uint_eq(i.result.n_differences, 4);
	difference(&i, 0, 2, "J1, 2023-05-01", "Seen at end A", "good", "loose", false);
	difference(&i, 1, 2, "J1, 2023-05-01", "Note", "not known", "wet", false);
	ck_assert_ptr_nonnull(strstr(i.result.differences[2].title, "that the meter showed"));
	ck_assert_str_eq(i.result.differences[2].known, "250 µΩ");
	ck_assert_str_eq(i.result.differences[2].said, "25 µΩ");
	ck_assert_uint_eq(i.result.differences[3].row, 4);       /* of its own reading */
	ck_assert_str_eq(i.result.differences[3].known, "not read");
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM inspection"), 2);
	importing_release(&i);
	/* what is known stays where that is chosen, and what differs is told all the same */
	take(&r, &i, "inspections", "'known':'stays',", VISIT_COLUMNS, otherwise);
	ck_assert_uint_eq(i.result.already, 3);
	ck_assert_uint_eq(i.result.n_differences, 4);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM inspection"), 2);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(what_is_chosen_of_an_inspection_is_a_correction_on_record_and_comes_back_with_its_import)
{
	static const char choice[] = "'known':'takes','take':['shown_uohm','quantity'],";
	struct withdrawal_new back;
	struct recorded recorded;
	struct problems why = { 0 };
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "inspections", "", VISIT_COLUMNS, visits);
	importing_release(&i);
	take(&r, &i, "inspections", choice, VISIT_COLUMNS, otherwise);
	ck_assert_uint_eq(i.result.changed, 2);
	ck_assert_uint_eq(i.result.already, 3);
	ck_assert_int_ne(i.result.import_id, 0);
	importing_release(&i);
	ck_assert_int_eq(number(&r, STANDING), 25);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM inspection WHERE replaces_id IS NOT NULL "
		"AND reason = 'As file.csv has it.' AND import_id IS NOT NULL "
		"AND recorded_by IS NOT NULL"), 2);
	/* what was not chosen is as it was */
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM inspection WHERE note = 'wet'"), 0);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM inspection WHERE seen_a <> 0"), 0);
	nothing_differs_from_what_the_rules_give(&r);
	take(&r, &i, "inspections", choice, VISIT_COLUMNS, otherwise);
	ck_assert_uint_eq(i.result.changed, 0);
	ck_assert_uint_eq(i.result.n_differences, 2);            /* the word and the note of J1 */
	importing_release(&i);

	form_clear(&withdrawal_form, &back);
	railway_uuid(77, back.uuid);
	back.entry = SENT_IMPORT;
	back.import_id = 2;
	back.reason = "It is of another year.";
	railway_begin(&r, "2024-05-02");
	railway_must(withdrawal_record(&r.act, &back, &recorded, &why), &why);
	railway_end(&r);
	railway_follow(&r, "2024-05-02", 1000);
	ck_assert_int_eq(number(&r, STANDING), 250);
	nothing_differs_from_what_the_rules_give(&r);
	/* and what was withdrawn does not stand in the way of taking it once more */
	take(&r, &i, "inspections", choice, VISIT_COLUMNS, otherwise);
	ck_assert_uint_eq(i.result.wrong, 0);
	ck_assert_uint_eq(i.result.changed, 2);
	importing_release(&i);
	ck_assert_int_eq(number(&r, STANDING), 25);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

/* An end of J1 was missing: to be acted on. Somebody else says that it was good. */
START_TEST(a_correction_by_a_file_that_betters_a_bond_waits_for_an_engineer)
{
	static const char over[] = VISITS "J1,2023-05-01,missing,good,,contact_a,50,M-1\n";
	static const char better[] = VISITS "J1,2023-05-01,good,good,,contact_a,12,M-1\n";
	struct railway r;
	struct importing i;
	int64_t grade, first;

	make(&r);
	take(&r, &i, "inspections", "", VISIT_COLUMNS, over);
	importing_release(&i);
	grade = number(&r, "SELECT grade FROM bond_state WHERE label = 'J1'");
	first = r.person_id;
	r.person_id = 0;                                         /* as nobody who signed in */
	take(&r, &i, "inspections", "'known':'takes','take':['shown_uohm','seen_a'],", VISIT_COLUMNS,
		better);
	ck_assert_uint_eq(i.result.changed, 1);
	importing_release(&i);
	r.person_id = first;
	ck_assert_int_eq(number(&r, "SELECT grade FROM bond_state WHERE label = 'J1'"), grade);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM correction_better WHERE waits = 1"), 1);
	ck_assert_int_eq(number(&r, STANDING), 50);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_word_for_each_end_makes_a_visit_complete_only_where_the_words_are_taken_too)
{
	static const char without[] = VISITS "J1,2023-05-01,,,,contact_a,25,M-1\n";
	static const char with[] = VISITS "J1,2023-05-01,good,good,,contact_a,25,M-1\n";
	static const char columns[] = "'columns':[{'field':'line','constant':'VAL'},"
		"{'field':'bond','column':'bond'},{'field':'day','column':'day'},"
		"{'field':'outcome','constant':'complete'},{'field':'seen_a','column':'a'},"
		"{'field':'seen_b','column':'b'},{'field':'quantity','column':'quantity'},"
		"{'field':'method','constant':'four_wire'},"
		"{'field':'shown_uohm','column':'shown','unit':'uohm'},"
		"{'field':'instrument','column':'meter'}]}";
	static const char complete[] = "SELECT count(*) FROM inspection WHERE outcome = 0";
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "inspections", "", columns, without);
	importing_release(&i);
	ck_assert_int_eq(number(&r, complete), 0);
	take(&r, &i, "inspections", "'known':'takes','take':['outcome','seen_a'],", columns, with);
	ck_assert_uint_eq(i.result.changed, 1);
	importing_release(&i);
	ck_assert_int_eq(number(&r, complete), 0);
	take(&r, &i, "inspections", "'known':'takes','take':['outcome','seen_b'],", columns, with);
	ck_assert_uint_eq(i.result.changed, 1);
	importing_release(&i);
	ck_assert_int_eq(number(&r, complete), 1);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

static const char failures[] = FAILURES "1+204,2023-06-01,burnt,,7,,\n";

START_TEST(what_is_chosen_of_a_failure_is_a_correction_where_it_was_found)
{
	static const char said[] = FAILURES "1+204,2023-06-01,cable_broken,seen at night,7,2023-06-03,"
		"new cable\n";
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "failures", "", FAILURE_COLUMNS, failures);
	importing_release(&i);
	/* a nearer bond is registered since: the failure is not its own */
	railway_begin(&r, "2024-05-01");
	railway_add_bond(&r, "J9", "1+204");
	railway_end(&r);
	take(&r, &i, "failures", "", FAILURE_COLUMNS, said);
	ck_assert_uint_eq(i.result.wrong, 1);
	importing_wrong(&i, 0, 2, "mode", "cable_broken", "of it: Mode, Note, Made good, How");
	importing_release(&i);
	take(&r, &i, "failures", "'known':'takes','take':['mode'],", FAILURE_COLUMNS, said);
	ck_assert_uint_eq(i.result.changed, 1);
	difference(&i, 0, 2, "1+204, 2023-06-01", "Mode", "burnt", "cable broken", true);
	difference(&i, 1, 2, "1+204, 2023-06-01", "Note", "not known", "seen at night", false);
	importing_release(&i);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM failure c JOIN failure f ON "
		"f.id = c.replaces_id AND f.bond_id = c.bond_id AND f.distance_mm = c.distance_mm "
		"WHERE c.note IS NULL AND c.mode <> f.mode AND c.reason = 'As file.csv has it.'"), 1);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM repair"), 0);
	nothing_differs_from_what_the_rules_give(&r);

	take(&r, &i, "failures", "'known':'takes','take':['made_good_day','made_good_how'],",
		FAILURE_COLUMNS, said);
	ck_assert_uint_eq(i.result.changed, 1);
	importing_release(&i);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM repair r JOIN failure f "
		"ON f.id = r.failure_id WHERE r.how = 'new cable' AND f.replaces_id IS NOT NULL"), 1);
	take(&r, &i, "failures", "'known':'takes','take':['made_good_how'],", FAILURE_COLUMNS,
		FAILURES "1+204,2023-06-01,cable_broken,,7,2023-06-03,brazed anew\n");
	ck_assert_uint_eq(i.result.changed, 1);
	importing_release(&i);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM repair r JOIN repair f "
		"ON f.id = r.replaces_id "
		"WHERE r.how = 'brazed anew' AND f.how = 'new cable' AND r.day = f.day"), 1);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(what_made_a_failure_good_is_taken_with_its_day_or_not_at_all)
{
	static const char open[] = FAILURES "1+200,2023-06-01,burnt,,,,\n";
	static const char good[] = FAILURES "1+200,2023-06-01,burnt,,,2023-06-03,brazed\n";
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "failures", "", FAILURE_COLUMNS, open);
	importing_release(&i);
	take(&r, &i, "failures", "'known':'takes','take':['made_good_how'],", FAILURE_COLUMNS, good);
	ck_assert_uint_eq(i.result.wrong, 1);
	importing_wrong(&i, 0, 2, "good", "2023-06-03", "take the day too");
	importing_release(&i);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM repair"), 0);
	take(&r, &i, "failures", "'known':'takes','take':['made_good_day','made_good_how'],",
		FAILURE_COLUMNS, good);
	ck_assert_uint_eq(i.result.changed, 1);
	importing_release(&i);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM failure"), 1);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM repair WHERE how = 'brazed'"), 1);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_file_that_takes_something_of_known_entries_is_not_taken_in_pieces)
{
	struct railway r;
	struct importing i;
	struct import_request request;

	make(&r);
	take(&r, &i, "inspections", "", VISIT_COLUMNS, visits);
	request = (struct import_request){ .kind = import_kind_find("inspections") };
	ck_assert(import_pieces_may(&request, &i.result));
	importing_release(&i);
	take(&r, &i, "inspections", "'known':'takes','take':['note'],", VISIT_COLUMNS, otherwise);
	ck_assert(!import_pieces_may(&request, &i.result));
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(what_is_chosen_of_a_line_is_a_further_version_and_never_how_its_places_are_written)
{
	static const char columns[] = "'columns':[{'field':'code','column':'code'},"
		"{'field':'name','column':'name'},{'field':'notation','column':'notation'},"
		"{'field':'electrification','column':'el'}]}";
	static const char said[] = "code,name,notation,el\nVAL,Valley Line,miles,dc\n"
		"VAL,Valley Line,miles,dc\nNEW,New line,km,ac\n";
	struct problem why = { 0 };
	struct railway r;
	struct importing i;
	struct line line;
	int64_t id;

	make(&r);
	ck_assert(store_line_find(r.store, "VAL", &id, &why));
	ck_assert(store_line_get(r.store, id, &line, &why));
	take(&r, &i, "lines", "", columns, said);
	ck_assert_uint_eq(i.result.wrong, 2);
	ck_assert_uint_eq(i.result.n_differences, 6);            /* of both rows */
	difference(&i, 0, 2, "VAL", "Name", line.name, "Valley Line", false);
	ck_assert_str_eq(i.result.differences[1].field, "notation");
	importing_release(&i);
	take(&r, &i, "lines", "'known':'takes','take':['notation'],", columns, said);
	ck_assert_uint_eq(i.result.wrong, 2);
	importing_wrong(&i, 0, 2, "notation", "miles", "its notation is not changed");
	importing_release(&i);
	take(&r, &i, "lines", "'known':'takes','take':['name','electrification'],", columns, said);
	ck_assert_uint_eq(i.result.changed, 1);                  /* the second row says what is so */
	ck_assert_uint_eq(i.result.added, 1);
	importing_release(&i);
	ck_assert(store_line_get(r.store, id, &line, &why));
	ck_assert_str_eq(line.name, "Valley Line");
	ck_assert_int_eq(line.electrification, ELECTRIFICATION_DC);
	ck_assert_int_eq(line.notation, NOTATION_KM_M);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM line_fact WHERE version = 2 "
		"AND reason = 'As file.csv has it.' AND recorded_by IS NOT NULL"), 1);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM line_word WHERE word = 'valley line'"), 1);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

/* 40 °C where the round had 10 and 11. The file says more of that visit, and what it is held
 * against stays. */
START_TEST(a_visit_that_was_held_against_a_round_stays_so_when_a_file_corrects_it)
{
	static const char held[] = "SELECT count(*) FROM reading WHERE round_temp_c = 10.5";
	static const double temps[] = { 10, 11, 40 };
	struct inspection_new form;
	struct reading_new reading;
	struct recorded recorded;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct railway r;
	struct importing i;
	sqlite3_stmt *row;

	make(&r);
	take(&r, &i, "inspections", "", VISIT_COLUMNS, visits);
	importing_release(&i);
	for (int n = 0; n < 3; n++) {
		form_clear(&inspection_form, &form);
		form_clear(&reading_form, &reading);
		railway_uuid(60 + n, form.uuid);
		form.of.bond_id = n == 2 ? 1 : 2;
		form.day = railway_day("2023-05-01");
		form.seen_a = form.seen_b = SEEN_GOOD;
		reading.quantity = QUANTITY_END_TO_END;
		reading.method = READING_FOUR_WIRE;
		reading.shown_uohm = 100;
		reading.temp_c = temps[n];
		reading.instrument = "M-1";
		form.readings = (struct form_list){ &reading, 1 };
		if (n == 2) {
			row = sql_select(r.store, "SELECT uuid FROM inspection WHERE id = 1", NULL, 0, &one);
			ck_assert(sql_row(r.store, row, &one));
			column_text(row, 0, form.corrects, sizeof form.corrects);
			sql_done(row);
			form.reason = "Read again.";
		}
		railway_begin(&r, "2024-05-01");
		r.act.is_live = true;
		railway_must(inspection_record(&r.act, &form, &recorded, &why), &why);
		railway_end(&r);
	}
	ck_assert_int_eq(number(&r, held), 1);
	take(&r, &i, "inspections", "'known':'takes','take':['note'],", VISIT_COLUMNS, otherwise);
	ck_assert_uint_eq(i.result.wrong, 0);
	ck_assert_uint_eq(i.result.changed, 1);
	importing_release(&i);
	ck_assert_int_eq(number(&r, held), 2);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(what_is_chosen_of_a_track_is_a_further_version)
{
	static const char columns[] = "'columns':[{'field':'line','constant':'VAL'},"
		"{'field':'name','column':'name'},{'field':'left_label','column':'left'},"
		"{'field':'right_label','column':'right'}]}";
	static const char said[] = "name,left,right\nUp,cess,six-foot\nUp,cess,\n";
	struct problem why = { 0 };
	struct track track;
	struct railway r;
	struct importing i;
	int64_t line, id;

	make(&r);
	ck_assert(store_line_find(r.store, "VAL", &line, &why));
	ck_assert(store_track_find(r.store, line, "Up", &id, &why));
	take(&r, &i, "tracks", "", columns, said);
	ck_assert_uint_eq(i.result.wrong, 2);
	importing_wrong(&i, 0, 2, "name", "Up", "with other words for its rails");
	difference(&i, 0, 2, "Up", "Left rail", "not known", "cess", false);
	importing_release(&i);
	take(&r, &i, "tracks", "'known':'takes','take':['left_label'],", columns, said);
	ck_assert_uint_eq(i.result.changed, 1);
	ck_assert_uint_eq(i.result.already, 2);
	importing_release(&i);
	ck_assert(store_track_get(r.store, id, &track, &why));
	ck_assert_str_eq(track.left_label, "cess");
	ck_assert_str_eq(track.right_label, "");                 /* not chosen */
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM track_word WHERE version = 2 "
		"AND reason = 'As file.csv has it.' AND recorded_by IS NOT NULL AND import_id = 1"), 1);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

/* J1 stands at 1,200 m from the datum, written 1+200. By the second map there are 100 m less before
 * it: no bond moves, and it would be written 1+300. */
START_TEST(a_map_that_is_another_says_which_bonds_it_would_write_elsewhere_and_is_chosen)
{
	static const char columns[] = "'tolerance_m':5,'columns':[{'field':'line','constant':'VAL'},"
		"{'field':'from','column':'from'},{'field':'to','column':'to'},"
		"{'field':'length_m','column':'length','unit':'m'},"
		"{'field':'is_jump','column':'jump'}]}";
	static const char first[] = "from,to,length,jump\n0+000,5+000,5000,\n";
	static const char other[] = "from,to,length,jump\n0+000,1+000,900,yes\n1+000,5+000,4000,\n";
	static const char at[] = "SELECT count(*) FROM bond_state WHERE label = 'J1' "
		"AND chainage = '1+300' AND distance_mm = 1200000";
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "maps", "", columns, first);
	ck_assert_uint_eq(i.result.added, 1);
	importing_release(&i);
	take(&r, &i, "maps", "", columns, other);
	ck_assert_uint_eq(i.result.wrong, 2);
	importing_wrong(&i, 0, 2, "length", "", "2 of its bonds would be written at other chainages");
	ck_assert_uint_eq(i.result.n_differences, 3);
	ck_assert_str_eq(i.result.differences[0].title, "Chainage map");
	difference(&i, 1, 2, "VAL", "Chainage of bond J1", "1+200", "1+300", false);
	difference(&i, 2, 2, "VAL", "Chainage of bond J2", "1+300", "1+400", false);
	importing_release(&i);
	ck_assert_int_eq(number(&r, at), 0);
	take(&r, &i, "maps", "'known':'stays',", columns, other);
	ck_assert_uint_eq(i.result.already, 2);
	ck_assert_uint_eq(i.result.changed, 0);
	importing_release(&i);
	ck_assert_int_eq(number(&r, at), 0);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM line_map"), 1);
	nothing_differs_from_what_the_rules_give(&r);
	take(&r, &i, "maps", "'known':'takes','take':['length_m'],", columns, other);
	ck_assert_uint_eq(i.result.changed, 2);
	ck_assert_int_ne(i.result.import_id, 0);
	importing_release(&i);
	ck_assert_int_eq(number(&r, at), 1);
	take(&r, &i, "maps", "", columns, other);
	ck_assert_uint_eq(i.result.already, 2);
	ck_assert_uint_eq(i.result.n_differences, 0);
	importing_release(&i);
	nothing_differs_from_what_the_rules_give(&r);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		an_inspection_said_otherwise_is_told_field_by_field_and_wrong_without_a_choice,
		what_is_chosen_of_an_inspection_is_a_correction_on_record_and_comes_back_with_its_import,
		a_correction_by_a_file_that_betters_a_bond_waits_for_an_engineer,
		a_word_for_each_end_makes_a_visit_complete_only_where_the_words_are_taken_too,
		what_is_chosen_of_a_failure_is_a_correction_where_it_was_found,
		what_made_a_failure_good_is_taken_with_its_day_or_not_at_all,
		a_file_that_takes_something_of_known_entries_is_not_taken_in_pieces,
		what_is_chosen_of_a_line_is_a_further_version_and_never_how_its_places_are_written,
		a_visit_that_was_held_against_a_round_stays_so_when_a_file_corrects_it,
		what_is_chosen_of_a_track_is_a_further_version,
		a_map_that_is_another_says_which_bonds_it_would_write_elsewhere_and_is_chosen, NULL };

	return case_run("import_differ", tests);
}
