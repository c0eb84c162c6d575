/*
 * What is kept of each bond for reports and lists: what looks wrong in its data. Whatever is done
 * to a bond or beside it, what is kept is what a look at the whole record gives.
 */
#include "case.h"
#include "derived/derived.h"
#include "derived/rebuild.h"
#include "service/railway.h"
#include "service/report/report.h"
#include "store/kept/odd.h"
#include "store/sql.h"

#define TODAY "2024-06-01"

static int64_t count(struct railway *r, const char *sql)
{
	int64_t n = -1;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(r->store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

/* (in a transaction that is open) */
static size_t differences(struct railway *r)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_must(derived_end(&r->act, &why) && check_all(&r->act, &result, &why), &why);
	return result.differences;
}

static void expect_content(struct railway *r)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_must(derived_end(&r->act, &why) && check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
}

static int64_t kept_of(struct railway *r, int64_t bond_id, enum odd what)
{
	struct bond_state s;
	struct problem why = { 0 };
	struct problems many = { 0 };
	int64_t rows[ODDS];

	railway_must(derived_end(&r->act, &many), &many);
	ck_assert_msg(store_bond_state_get(r->store, bond_id, &s, &why), "%s", why.detail);
	ck_assert_int_ge(s.odd, 0);
	odd_unpack(s.odd, rows);
	return rows[what];
}

static void change(struct railway *r, int64_t bond_id, const struct bond_new *form)
{
	struct problems why = { 0 };

	railway_must(bond_change(&r->act, bond_id, form, &why), &why);
}

/* The place at which one bond stands beside another, up to 0.1 m further along. */
static void begin_pair(struct railway *r)
{
	railway_make(r, TODAY);
	railway_begin(r, TODAY);
	ck_assert_int_eq(railway_add_bond(r, "A", "1+000"), 1);
	ck_assert_int_eq(railway_add_bond(r, "B", "1+000.1"), 2);
	kept_of(r, 1, ODD_SAME_PLACE);   /* derived */
}

static void expect_pairs(struct railway *r, int64_t of_a, int64_t of_b)
{
	ck_assert_int_eq(kept_of(r, 1, ODD_SAME_PLACE), of_a);
	ck_assert_int_eq(kept_of(r, 2, ODD_SAME_PLACE), of_b);
	expect_content(r);
}

static void end_pair(struct railway *r)
{
	railway_end(r);
	railway_remove(r);
}

START_TEST(a_bond_registered_beside_another_is_counted_with_the_first_along_the_line)
{
	struct railway r;

	begin_pair(&r);
	expect_pairs(&r, 1, 0);
	/* at the very place of B: A has both beside it, B the one that came later */
	ck_assert_int_eq(railway_add_bond(&r, "C", "1+000.1"), 3);
	expect_pairs(&r, 2, 1);
	ck_assert_int_eq(kept_of(&r, 3, ODD_SAME_PLACE), 0);
	/* 0.2 m from A, 0.1 m from B and C */
	ck_assert_int_eq(railway_add_bond(&r, "D", "1+000.2"), 4);
	expect_pairs(&r, 2, 2);
	end_pair(&r);
}
END_TEST

START_TEST(what_a_neighbour_does_is_counted_with_the_bond_that_stays)
{
	struct railway r;
	struct bond_new b = railway_bond("B", "1+000.1");

	begin_pair(&r);
	b.a.chainage = "1+000.101";   /* one millimetre too far */
	change(&r, 2, &b);
	expect_pairs(&r, 0, 0);
	b.a.chainage = "0+999.9";     /* now before A */
	change(&r, 2, &b);
	expect_pairs(&r, 0, 1);
	b.a.rail = RAIL_RIGHT;
	change(&r, 2, &b);
	expect_pairs(&r, 0, 0);
	b.a.rail = RAIL_LEFT;
	b.a.chainage = "1+000";       /* at one distance the one registered first has the row */
	change(&r, 2, &b);
	expect_pairs(&r, 1, 0);
	b.kind = BOND_FEEDER_LEAD;
	change(&r, 2, &b);
	expect_pairs(&r, 0, 0);
	b.kind = BOND_RAIL_JOINT;
	change(&r, 2, &b);
	expect_pairs(&r, 1, 0);
	b.status = BOND_REMOVED;
	b.removed_day = railway_day("2024-05-01");
	change(&r, 2, &b);
	expect_pairs(&r, 0, 0);
	end_pair(&r);
}
END_TEST

START_TEST(what_a_bond_lacks_is_counted_while_it_is_in_service_and_surveyed)
{
	struct railway r;
	struct bond_new a = railway_bond("A", "1+000");

	begin_pair(&r);
	a.installed_day = DAY_NONE;
	a.a.track = NULL;
	change(&r, 1, &a);
	ck_assert_int_eq(kept_of(&r, 1, ODD_NO_INSTALLATION_DAY), 1);
	ck_assert_int_eq(kept_of(&r, 1, ODD_NO_RAIL), 1);
	ck_assert_int_eq(kept_of(&r, 1, ODD_ENDS_ALIKE), 1);
	expect_pairs(&r, 0, 0);       /* on no track that is stated, it is beside nothing */
	a.surveyed = 0;
	change(&r, 1, &a);
	ck_assert_int_eq(kept_of(&r, 1, ODD_NO_INSTALLATION_DAY) + kept_of(&r, 1, ODD_NO_RAIL) +
		kept_of(&r, 1, ODD_ENDS_ALIKE), 0);
	expect_content(&r);
	end_pair(&r);
}
END_TEST

/* Contact A by hand: the median of 40, 41, 42 and 4201 µΩ is 41.5, and 4201 is over 100 times that;
 * of 40, 41 and 4100 it is 41, of which 4100 is 100 times, not over. Contact B is 40 each time. */
START_TEST(a_reading_far_from_the_others_is_counted_and_its_correction_takes_it_away)
{
	static const struct { double uohm; int64_t far_off; } rows[] = {
		{ 40, 0 }, { 41, 0 }, { 4100, 0 }, { 42, 0 }, { 4201, 1 } };
	struct railway r;
	struct inspection_new none;
	struct problems why = { 0 };
	struct recorded recorded;

	begin_pair(&r);
	railway_calibrate(&r, 5, 5, "2024-01-10", "2025-01-10");
	for (int i = 0; i < 3; i++) {
		railway_measure(&r, i + 1, 1, "2024-05-01", rows[i].uohm);
		ck_assert_int_eq(kept_of(&r, 1, ODD_READING_FAR_OFF), rows[i].far_off);
	}
	form_clear(&inspection_form, &none);
	railway_uuid(9, none.uuid);
	railway_uuid(3, none.corrects);
	none.of.bond_id = 1;
	none.day = railway_day("2024-05-01");
	none.reason = "A slip.";
	railway_must(inspection_record(&r.act, &none, &recorded, &why), &why);
	for (int i = 3; i < 5; i++) {
		railway_measure(&r, i + 1, 1, "2024-05-02", rows[i].uohm);
		ck_assert_int_eq(kept_of(&r, 1, ODD_READING_FAR_OFF), rows[i].far_off);
	}
	expect_content(&r);
	end_pair(&r);
}
END_TEST

/* Done by hand to what is kept, whatever it is. */
static void spoil(struct railway *r, const char *sql)
{
	struct problem why = { 0 };

	ck_assert_msg(sql_run(r->store, sql, NULL, 0, &why), "%s", why.detail);
}

START_TEST(check_finds_what_is_kept_otherwise_and_rebuild_makes_it_right)
{
	static const char *const wrong[] = { "UPDATE bond_state SET odd = 0 WHERE bond_id = 1",
		"UPDATE bond_state SET odd = odd + 1 WHERE bond_id = 2",
		"UPDATE bond_state SET odd = odd + 1048576 WHERE bond_id = 2",
		"UPDATE bond_state SET odd = odd + 1073741824 WHERE bond_id = 2" };
	struct railway r;
	struct problems why = { 0 };

	begin_pair(&r);
	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		spoil(&r, wrong[i]);
		ck_assert_msg(differences(&r) > 0, "%s", wrong[i]);
		railway_must(rebuild_all(&r.act, NULL, NULL, &why), &why);
		expect_pairs(&r, 1, 0);
	}
	end_pair(&r);
}
END_TEST

static int64_t odd_of_report(struct railway *r, enum odd what)
{
	struct report report;
	struct problem why = { 0 };
	int64_t rows;

	ck_assert_msg(report_make(r->act.view, NULL, r->act.view->today, NULL, &report,
		&why), "%s",
		why.detail);
	rows = report.of_line[0].odd[what];
	report_release(&report);
	return rows;
}

START_TEST(what_is_not_counted_yet_is_looked_at_and_never_taken_as_nothing)
{
	struct railway r;

	begin_pair(&r);
	spoil(&r, "UPDATE bond_state SET odd = -1");
	ck_assert_int_eq(odd_of_report(&r, ODD_SAME_PLACE), 1);
	ck_assert_int_eq(odd_of_report(&r, ODD_NO_INSTALLATION_DAY), 0);
	/* some are counted, and the other is not */
	spoil(&r, "UPDATE bond_state SET odd = 0 WHERE bond_id = 2");
	ck_assert_int_eq(odd_of_report(&r, ODD_SAME_PLACE), 1);
	ck_assert_int_eq(odd_of_report(&r, ODD_READING_NO_EVIDENCE), 0);
	end_pair(&r);
}
END_TEST

START_TEST(many_rows_of_a_thing_are_not_kept_rather_than_kept_as_few)
{
	int64_t rows[ODDS] = { 1, 2, ODD_MOST, 4, 0, 1 }, back[ODDS];

	odd_unpack(odd_pack(rows), back);
	for (int what = 0; what < ODDS; what++) {
		ck_assert_int_eq(back[what], rows[what]);
	}
	rows[ODD_READING_FAR_OFF]++;
	ck_assert_int_lt(odd_pack(rows), 0);
}
END_TEST

static unsigned draw(unsigned *seed, unsigned below)
{
	*seed = *seed * 1103515245u + 12345u;
	return (*seed >> 16) % below;
}

enum { BONDS = 8, ACTS = 240 };

/* Eight bonds within half a metre: whoever moves has neighbours. */
static void act_at_random(struct railway *r, int n, unsigned *seed)
{
	char label[16], chainage[24];
	int64_t bond_id = 1 + draw(seed, BONDS);
	struct bond_new b;

	snprintf(label, sizeof label, "J%d", (int)bond_id);
	snprintf(chainage, sizeof chainage, "1+000.%03u", draw(seed, 11) * 50);
	b = railway_bond(label, chainage);
	b.a.rail = draw(seed, 4) == 0 ? RAIL_RIGHT : RAIL_LEFT;
	b.installed_day = draw(seed, 4) == 0 ? DAY_NONE : b.installed_day;
	b.surveyed = draw(seed, 6) != 0;
	b.status = draw(seed, 8) == 0 ? BOND_REMOVED : BOND_IN_SERVICE;
	if (draw(seed, 3) == 0) {
		railway_measure(r, n + 1, bond_id, "2024-05-01", draw(seed, 5) == 0 ? 9000 : 40);
	} else {
		change(r, bond_id, &b);
	}
}

START_TEST(after_any_acts_what_is_kept_is_what_the_whole_record_gives)
{
	struct railway r;
	unsigned seed = 20240601;
	struct problems why = { 0 };
	int64_t before;

	railway_make(&r, TODAY);
	railway_begin(&r, TODAY);
	railway_calibrate(&r, 5, 5, "2024-01-10", "2025-01-10");
	for (int i = 0; i < BONDS; i++) {
		char label[16];

		snprintf(label, sizeof label, "J%d", i + 1);
		railway_add_bond(&r, label, "1+000");
	}
	for (int n = 0; n < ACTS; n++) {
		act_at_random(&r, n, &seed);
		expect_content(&r);
	}
	before = count(&r, "SELECT sum(odd) FROM bond_state");
	railway_must(rebuild_all(&r.act, NULL, NULL, &why), &why);
	ck_assert_int_eq(count(&r, "SELECT sum(odd) FROM bond_state"), before);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_bond_registered_beside_another_is_counted_with_the_first_along_the_line,
		what_a_neighbour_does_is_counted_with_the_bond_that_stays,
		what_a_bond_lacks_is_counted_while_it_is_in_service_and_surveyed,
		a_reading_far_from_the_others_is_counted_and_its_correction_takes_it_away,
		check_finds_what_is_kept_otherwise_and_rebuild_makes_it_right,
		what_is_not_counted_yet_is_looked_at_and_never_taken_as_nothing,
		many_rows_of_a_thing_are_not_kept_rather_than_kept_as_few,
		after_any_acts_what_is_kept_is_what_the_whole_record_gives, NULL };

	return case_run("counts", tests);
}
