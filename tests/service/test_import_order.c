/*
 * An import in pieces and a crew's visit to one of its bonds: whichever comes first, and whichever
 * day is the newer, what counts for nothing yet judges nothing, and what counts is judged together.
 *
 * A contact may have 100 µΩ; the meter has 0.5 % and 0.5 µΩ and repeats to 2 % (by hand):
 * the import's 130: U^2 = (0.65 + 0.5)^2 + 2.6^2 = 8.08, over, since 130 - 2.8 > 100;
 * the crew's 70: U^2 = (0.35 + 0.5)^2 + 1.4^2 = 2.68, within, and 71.6 is below the watch at 80.
 * Nothing was mended between, so a reading that is within clears none that is over.
 */
#include <math.h>

#include "case.h"
#include "service/pieces.h"
#include "service/record/withdrawal.h"
#include "store/kept/judgement.h"
#include "store/record/inspection.h"

#define MIDDLE "2024-03-01"

static const char settings[] = "{'separator':'comma','encoding':'utf_8','decimal':'point',"
	"'day_order':'ymd','columns':["
	"{'field':'line','constant':'VAL'},{'field':'bond','column':'bond'},"
	"{'field':'day','constant':'" MIDDLE "'},"
	"{'field':'seen_a','constant':'good'},{'field':'seen_b','constant':'good'},"
	"{'field':'quantity','constant':'contact_a'},{'field':'method','constant':'four_wire'},"
	"{'field':'shown_uohm','column':'shown','unit':'uohm'},"
	"{'field':'instrument','constant':'M-1'}]}";
static const char visits[] = "bond,shown\nJ2,50\nJ1,130\nJ3,50\n";
enum { VISITS = 3, B = 1 };

static const struct { const char *crew_day, *last_day; } orders[] = {
	{ "2024-04-01", "2024-04-01" },   /* the import's is the older */
	{ "2024-02-01", MIDDLE },         /* the newer */
};

static void make(struct railway *r)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_make(r, "2024-01-01");
	railway_begin(r, "2024-01-01");
	form.rulebook.from_day = railway_day("2024-01-01");
	form.rulebook.limits[BOND_RAIL_JOINT].contact_uohm = 100;
	form.rulebook.limits[BOND_RAIL_JOINT].contact_allowance_uohm = NAN;
	railway_must(rulebook_adopt(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
	railway_follow(r, "2024-01-01", 1000);
	railway_begin(r, "2024-05-01");
	railway_calibrate(r, 0.5, 0.5, "2023-06-01", "2026-01-01");
	railway_add_bond(r, "J1", "1+200");
	railway_add_bond(r, "J2", "1+300");
	railway_add_bond(r, "J3", "1+400");
	railway_end(r);
	pieces_begin(r, "inspections", settings, visits);
}

static void crew(struct railway *r, const char *day)
{
	railway_begin(r, PIECES_TODAY);
	railway_measure(r, 9, B, day, 70);
	railway_end(r);
}

static void withdraw(struct railway *r)
{
	struct withdrawal_new form;
	struct recorded recorded;
	struct problems why = { 0 };

	form_clear(&withdrawal_form, &form);
	railway_uuid(1, form.uuid);
	form.entry = SENT_IMPORT;
	form.import_id = 1;
	form.reason = "It is the log of another line.";
	railway_begin(r, PIECES_TODAY);
	railway_must(withdrawal_record(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
	railway_follow(r, PIECES_TODAY, 1000);
}

static void expect(struct railway *r, enum grade grade, const char *last_day, size_t listed)
{
	struct bond_state s;
	struct problem why = { 0 };
	char words[GRADE_REASONS_SIZE];

	ck_assert_msg(store_bond_state_get(r->store, B, &s, &why), "%s", why.detail);
	grade_sentence(s.grade.reasons, words, sizeof words);
	ck_assert_msg(s.grade.grade == grade, "%s: %s", grade_words.code[s.grade.grade], words);
	ck_assert_int_eq((s.grade.reasons & 1u << REASON_OVER) != 0, grade == GRADE_ACT);
	ck_assert_int_eq(s.last_inspection_day, railway_day(last_day));
	ck_assert_uint_eq(importing_count(r, &inspection_list), listed);
	importing_content(r);
}

/* The crew's visit comes after so many pieces; false: all had come before. */
static bool take_some(struct railway *r, struct import_pieces *take, int pieces)
{
	struct problems why = { 0 };
	bool more = true;

	for (int i = 0; i < pieces && more; i++) {
		more = pieces_next(r, take, true, &why);
	}
	railway_must(why.count == 0, &why);
	return more;
}

/* Returns whether the import was still under way when the crew's visit came. */
static bool begin(struct railway *r, size_t order, int pieces, struct import_pieces **take)
{
	struct problems why = { 0 };
	bool more;

	make(r);
	*take = pieces_carry_on(r, &why);
	railway_must(*take != NULL, &why);
	more = take_some(r, *take, pieces);
	crew(r, orders[order].crew_day);
	if (more) {
		expect(r, GRADE_SOUND, orders[order].crew_day, 1);
	}
	return more;
}

START_TEST(a_bond_is_judged_by_the_crew_alone_until_the_import_counts_and_then_by_both)
{
	for (size_t order = 0; order < 2; order++) {
		bool more = true;

		for (int pieces = 0; more; pieces++) {
			struct railway r;
			struct import_pieces *take;

			more = begin(&r, order, pieces, &take);
			take_some(&r, take, more ? 100 : 0);
			import_pieces_free(take);
			pieces_follow(&r);
			expect(&r, GRADE_ACT, orders[order].last_day, VISITS + 1);
			ck_assert_int_eq(pieces_left_out(&r), 0);
			pieces_forget(&r);
			ck_assert(more || pieces > VISITS);
		}
	}
}
END_TEST

START_TEST(when_the_import_is_withdrawn_in_the_middle_the_crew_s_visit_stands_alone)
{
	for (size_t order = 0; order < 2; order++) {
		for (int pieces = 0; pieces <= VISITS; pieces++) {
			struct railway r;
			struct problems why = { 0 };
			struct import_pieces *take;

			ck_assert(begin(&r, order, pieces, &take));
			withdraw(&r);
			ck_assert(!pieces_next(&r, take, true, &why));
			railway_must(why.count == 0, &why);
			import_pieces_free(take);
			expect(&r, GRADE_SOUND, orders[order].crew_day, 1);
			pieces_forget(&r);
		}
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_bond_is_judged_by_the_crew_alone_until_the_import_counts_and_then_by_both,
		when_the_import_is_withdrawn_in_the_middle_the_crew_s_visit_stands_alone, NULL };

	return case_run("import_order", tests);
}
