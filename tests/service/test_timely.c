/*
 * Which inspections were on time, as it is kept of each bond and added up by line and day: it is
 * what judging each inspection anew gives, whatever was done to the bond before and since, in
 * whatever order.
 *
 * By hand: a rail joint bond, normal, is inspected every 12 months with 14 days of grace
 * (rules/rulebook.h). Installed on 2020-03-31, it is due on 2021-03-31, and the last day of grace
 * is 2021-04-14. Contacts of 5 µΩ are well within what they may have.
 */
#include "case.h"
#include "derived/derived.h"
#include "derived/rebuild.h"
#include "rules/edition.h"
#include "service/railway.h"
#include "service/record/renewal.h"
#include "service/record/ruling.h"
#include "service/report/report.h"
#include "store/kept/visit_count.h"
#include "store/sql.h"

#define TODAY "2024-06-01"

static void must(bool ok, const struct problem *why)
{
	ck_assert_msg(ok, "%s", why->detail);
}

static void derive(struct railway *r)
{
	struct problems why = { 0 };

	railway_must(derived_end(&r->act, &why), &why);
}

static void expect_content(struct railway *r)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_must(derived_end(&r->act, &why) && check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
}

static int outcome = OUTCOME_COMPLETE;

static bool inspect(struct railway *r, int n, int64_t bond_id, int32_t day, double uohm,
	enum purpose purpose, int corrects, struct problems *why)
{
	struct reading_new readings[2];
	struct inspection_new form;
	struct recorded recorded;

	for (int i = 0; i < 2; i++) {
		form_clear(&reading_form, &readings[i]);
		readings[i].quantity = i == 0 ? QUANTITY_CONTACT_A : QUANTITY_CONTACT_B;
		readings[i].method = READING_FOUR_WIRE;
		readings[i].instrument = "M-1";
		readings[i].shown_uohm = i == 0 ? uohm : 5;
	}
	form_clear(&inspection_form, &form);
	railway_uuid(n, form.uuid);
	if (corrects > 0) {
		railway_uuid(corrects, form.corrects);
		form.reason = "It was another day.";
	}
	form.of.bond_id = bond_id;
	form.day = day;
	form.purpose = (int)purpose;
	form.outcome = outcome;
	form.seen_a = form.seen_b = SEEN_GOOD;
	form.cables_whole = 1;
	form.readings = (struct form_list){ readings, 2 };
	return inspection_record(&r->act, &form, &recorded, why) && derived_end(&r->act, why);
}

static bool break_bond(struct railway *r, int n, int64_t bond_id, int32_t day, int32_t good_day,
	struct problems *why)
{
	struct failure_new form;
	struct recorded recorded;

	form_clear(&failure_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.found_day = day;
	form.mode = FAILURE_CORRODED;
	form.made_good_day = good_day;
	form.made_good_how = "Cleaned.";
	return failure_record(&r->act, &form, 0, &recorded, why) && derived_end(&r->act, why);
}

static bool make_good(struct railway *r, int n, int failure, int32_t day, struct problems *why)
{
	struct repair_new form;
	struct recorded recorded;

	form_clear(&repair_form, &form);
	railway_uuid(n, form.uuid);
	railway_uuid(failure, form.failure);
	form.day = day;
	form.how = "Made anew.";
	return repair_record(&r->act, &form, &recorded, why);
}

static bool defer(struct railway *r, int n, int64_t bond_id, int32_t until_day,
	struct problems *why)
{
	struct deferral_new form;
	struct recorded recorded;

	form_clear(&deferral_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.until_day = until_day;
	form.reason = "No possession.";
	return deferral_record(&r->act, &form, &recorded, why) && derived_end(&r->act, why);
}

static bool attach_end(struct railway *r, int n, int64_t bond_id, int32_t day, int end_of,
	struct problems *why)
{
	struct attachment_new form;
	struct recorded recorded;

	form_clear(&attachment_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.end = end_of;
	form.made_day = day;
	form.method = ATTACH_DIRECT_BRAZE;
	return attachment_record(&r->act, &form, &recorded, why);
}

static bool clear_over(struct railway *r, int n, int64_t bond_id, struct problems *why)
{
	struct ruling_new form;
	struct recorded recorded;

	form_clear(&ruling_form, &form);
	railway_uuid(n, form.uuid);
	form.kind = 0;
	form.of.bond_id = bond_id;
	form.quantity = QUANTITY_CONTACT_A;
	form.reason = "The probe was loose.";
	return ruling_record(&r->act, &form, &recorded, why);
}

static void visit(struct railway *r, int n, const char *day)
{
	struct problems why = { 0 };

	railway_must(inspect(r, n, 1, railway_day(day), 5, PURPOSE_ROUTINE, 0, &why), &why);
}

/* What is kept of bond 1, a letter an inspection by day: t on time, l late, n not judged, d
 * deferred. */
static void expect_kept(struct railway *r, const char *letters)
{
	struct records records = { 0 };
	struct problem why = { 0 };
	char said[40] = "";

	must(store_records_read(r->store, 1, 1, RECORD_ALL, &records, &why), &why);
	for (size_t at = 0; at < records.bonds[0].state.visits_len; at += VISIT_BYTES) {
		said[at / VISIT_BYTES] =
			"tlnd"[visit_kept_read(&records.bonds[0].state.visits[at]).timely];
	}
	ck_assert_str_eq(said, letters);
	records_release(&records);
	expect_content(r);
}

static void begin(struct railway *r)
{
	railway_make(r, TODAY);
	railway_begin(r, TODAY);
	railway_calibrate(r, 1, 0.1, "2020-01-10", "2026-01-10");
	ck_assert_int_eq(railway_add_bond(r, "A", "1+000"), 1);
	derive(r);
}

/* On a past day bonds are judged many at a time: as each is by itself. */
static void expect_each_as_alone(struct railway *r, int32_t day)
{
	struct state_rows rows;
	struct state_row row;
	struct view on_day = { 0 };
	struct judging alone = { .on_day = NULL };
	struct problem why = { 0 };
	bool ok = state_rows_open(r->act.view, NULL, day, NULL, &rows, &why);

	must(ok, &why);
	view_on_day(r->act.view, day, &on_day);
	while (state_rows_next(&rows, &row, &why)) {
		must(judging_one_on(&on_day, &alone, row.s.bond.bond_id, day, &why), &why);
		ck_assert_int_eq(row.due.due_day, alone.judgement.due.due_day);
		ck_assert_int_eq(row.due.overdue_from_day, alone.judgement.due.overdue_from_day);
		ck_assert_int_eq(row.due.deferred_until_day, alone.judgement.due.deferred_until_day);
		ck_assert_int_eq(row.due.inspect_day, alone.judgement.due.inspect_day);
		ck_assert_int_eq(row.due.mend_day, alone.judgement.due.mend_day);
		ck_assert_int_eq(row.due.basis, alone.judgement.due.basis);
		ck_assert_int_eq(row.asked, alone.judgement.asked);
	}
	must(why.code == PROBLEM_NONE, &why);
	judging_release(&alone);
	state_rows_close(&rows);
}

static void make_report(struct railway *r, const char *lines, int32_t day, struct report *to)
{
	struct problem why = { 0 };

	must(report_make(r->act.view, lines, day, NULL, to, &why), &why);
}

enum { BONDS_MOST = 64 };

/* Marks the bonds of the rows, by number; of those that stand alone, and were in service. */
static void mark_bonds(struct report_rows *rows, const struct report_states_of *of, bool standing,
	bool marked[BONDS_MOST])
{
	struct report_state s;
	struct problem why = { 0 };

	while (store_report_state_next(rows, &s, &why)) {
		ck_assert_int_lt(s.bond.bond_id, BONDS_MOST);
		marked[s.bond.bond_id] = marked[s.bond.bond_id] || !standing || (s.stands &&
			report_in_service_on(s.bond.status, s.bond.installed_day, s.bond.removed_day,
			s.bond.known_since_day, of->day));
	}
	must(why.code == PROBLEM_NONE, &why);
}

/* What is said to have moved since a day is whatever does not stand. */
static void expect_moved_or_standing(struct railway *r, int32_t day)
{
	const struct report_states_of of = { 0, 0, day, r->act.view->rulebook->version,
		RULES_EDITION };
	bool marked[BONDS_MOST] = { false };
	struct report_lines lines;
	struct report_rows rows;
	struct problem why = { 0 };
	int64_t highest;

	must(store_report_moved(r->store, &of, &rows, &why), &why);
	mark_bonds(&rows, &of, false, marked);
	must(report_lines_read(r->act.view, NULL, &lines, &why), &why);
	for (size_t i = 0; i < lines.count; i++) {
		must(store_report_states(r->store, lines.line[i].id, &of, &rows, &why), &why);
		mark_bonds(&rows, &of, true, marked);
	}
	must(store_report_highest(r->store, &highest, &why), &why);
	for (int64_t id = 1; id <= highest; id++) {
		ck_assert_msg(marked[id], "bond %d neither moved nor stands", (int)id);
	}
	report_lines_release(&lines);
}

/* Over all lines a past day is counted from what is kept of today; line by line each bond is
 * judged. Both say the same. */
static void expect_all_lines_as_each(struct railway *r, int32_t day)
{
	struct report all, each;
	struct text codes = { 0 };

	expect_moved_or_standing(r, day);
	make_report(r, NULL, day, &all);
	for (size_t i = 0; i < all.lines.count; i++) {
		text_addf(&codes, "%s%s", i > 0 ? "," : "", all.lines.line[i].code);
	}
	make_report(r, codes.data, day, &each);
	ck_assert_uint_eq(each.lines.count, all.lines.count);
	for (size_t i = 0; i < all.lines.count; i++) {
		ck_assert_int_eq(each.lines.line[i].id, all.lines.line[i].id);
	}
	ck_assert_mem_eq(all.of_line, each.of_line, all.lines.count * sizeof *all.of_line);
	ck_assert_mem_eq(all.month, each.month, sizeof all.month);
	text_release(&codes);
	report_release(&all);
	report_release(&each);
}

static void finish(struct railway *r)
{
	for (int32_t back = 1; back < 2000; back += back < 60 ? 1 : 19) {
		expect_all_lines_as_each(r, r->act.view->today - back);
		expect_each_as_alone(r, r->act.view->today - back);
	}
	railway_end(r);
	railway_remove(r);
}

START_TEST(both_sides_of_the_last_day_of_grace)
{
	static const struct { const char *day, *letters; } rows[] = {
		{ "2021-04-14", "t" }, { "2021-04-15", "l" } };

	for (size_t i = 0; i < 2; i++) {
		struct railway r;

		begin(&r);
		visit(&r, 1, rows[i].day);
		expect_kept(&r, rows[i].letters);
		/* a year later each, by the one before: the due day, and one day too late */
		visit(&r, 2, i == 0 ? "2022-04-14" : "2022-04-15");
		visit(&r, 3, i == 0 ? "2023-04-29" : "2023-04-30");
		expect_kept(&r, i == 0 ? "ttl" : "ltl");
		finish(&r);
	}
}
END_TEST

START_TEST(what_is_entered_later_of_a_day_before_moves_those_after_it)
{
	struct railway r;
	struct problems why = { 0 };

	begin(&r);
	visit(&r, 1, "2021-03-31");
	visit(&r, 2, "2023-04-29");     /* due 2022-03-31 */
	expect_kept(&r, "tl");
	visit(&r, 3, "2022-06-30");     /* itself late; the other was due on 2023-06-30 then */
	expect_kept(&r, "tlt");
	/* it was in 2022-04, in its grace; due 2023-04-14 then, and 2023-04-29 is one day too late */
	railway_must(inspect(&r, 4, 1, railway_day("2022-04-14"), 5, PURPOSE_ROUTINE, 3, &why), &why);
	expect_kept(&r, "ttl");
	/* two on one day: as both were due */
	visit(&r, 5, "2023-04-29");
	expect_kept(&r, "ttll");
	finish(&r);
}
END_TEST

START_TEST(what_no_inspection_asked_for_is_not_judged)
{
	struct railway r;
	struct problems why = { 0 };
	struct bond_new a = railway_bond("A", "1+000");

	begin(&r);
	railway_must(inspect(&r, 1, 1, railway_day("2022-06-30"), 5, PURPOSE_COMMISSIONING, 0, &why),
		&why);
	visit(&r, 2, "2022-06-30");     /* of the same day: due 2021-03-31 */
	expect_kept(&r, "nl");
	a.installed_day = DAY_NONE;     /* the first of a bond whose day is not known; the second is not */
	railway_must(bond_change(&r.act, 1, &a, &why) && derived_end(&r.act, &why), &why);
	railway_must(inspect(&r, 3, 1, railway_day("2022-06-30"), 5, PURPOSE_ROUTINE, 1, &why), &why);
	ck_assert_int_eq(r.act.view->judged_id, 1);
	expect_content(&r);
	finish(&r);
}
END_TEST

START_TEST(another_interval_or_day_of_installation_judges_all_anew)
{
	struct railway r;
	struct problems why = { 0 };
	struct bond_new a = railway_bond("A", "1+000");

	begin(&r);
	visit(&r, 1, "2021-03-31");
	visit(&r, 2, "2022-03-31");
	expect_kept(&r, "tt");
	a.criticality = CRITICALITY_HIGH;      /* every 6 months */
	railway_must(bond_change(&r.act, 1, &a, &why) && derived_end(&r.act, &why), &why);
	expect_kept(&r, "ll");
	a.criticality = CRITICALITY_NORMAL;
	a.installed_day = railway_day("2020-03-16");   /* due 2021-03-16: 15 days before */
	railway_must(bond_change(&r.act, 1, &a, &why) && derived_end(&r.act, &why), &why);
	expect_kept(&r, "lt");
	finish(&r);
}
END_TEST

static int64_t count(struct railway *r, const char *sql)
{
	int64_t n = -1;
	struct problem why = { 0 };

	must(sql_integer(r->store, sql, NULL, 0, 0, &n, &why), &why);
	return n;
}

START_TEST(inspections_are_counted_with_the_line_that_their_bond_stands_on)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	const struct line_new line = { "NEW", "New line", NOTATION_KM_M, ELECTRIFICATION_AC };
	struct bond_new a = railway_bond("A", "1+000");

	begin(&r);
	visit(&r, 1, "2021-03-31");
	visit(&r, 2, "2023-04-29");
	ck_assert_int_eq(count(&r, "SELECT sum(visits) FROM visit_count WHERE line_id = 1"), 2);
	railway_must(line_register(&r.act, &line, &recorded, &why), &why);
	a.line = "NEW";
	a.a.track = NULL;
	railway_must(bond_change(&r.act, 1, &a, &why) && derived_end(&r.act, &why), &why);
	ck_assert_int_eq(count(&r, "SELECT sum(visits) FROM visit_count WHERE line_id = 1"), 0);
	ck_assert_int_eq(count(&r, "SELECT sum(visits) FROM visit_count WHERE line_id = 2 "
		"AND timely = 1 AND visits > 0"), 1);
	expect_content(&r);
	finish(&r);
}
END_TEST

START_TEST(check_finds_what_is_kept_otherwise_and_rebuild_makes_it_right)
{
	static const char *const wrong[] = { "UPDATE bond_state SET visits = x''",
		"UPDATE bond_state SET visits = x'00012345'",
		"UPDATE visit_count SET visits = visits + 1", "DELETE FROM visit_count",
		"UPDATE visit_count SET day = day + 1", "UPDATE visit_count SET timely = 3" };
	struct railway r;
	struct problem one = { 0 };
	struct problems why = { 0 };
	static struct check_result result;

	begin(&r);
	visit(&r, 1, "2021-03-31");
	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		must(sql_run(r.store, wrong[i], NULL, 0, &one), &one);
		railway_must(check_all(&r.act, &result, &why), &why);
		ck_assert_msg(result.differences > 0, "%s", wrong[i]);
		railway_must(rebuild_all(&r.act, NULL, NULL, &why), &why);
		expect_kept(&r, "t");
	}
	finish(&r);
}
END_TEST

static int64_t late_in_report(struct railway *r)
{
	struct report report;
	struct problem why = { 0 };
	int64_t late = 0;

	must(report_make(r->act.view, NULL, r->act.view->today, NULL, &report,
		&why), &why);
	for (int i = 0; i < REPORT_MONTHS; i++) {
		late += report.month[i].late;
	}
	report_release(&report);
	return late;
}

static void renew_rail(struct railway *r, const char *from, const char *to, const char *day)
{
	struct renewal_new form;
	struct recorded recorded;
	struct problems why = { 0 };

	form_clear(&renewal_form, &form);
	railway_uuid(99, form.uuid);
	form.line = "VAL";
	form.track = "Up";
	form.rails = RENEWED_LEFT;
	form.from = from;
	form.to = to;
	form.day = railway_day(day);
	form.reason = "Worn.";
	railway_must(renewal_record(&r->act, &form, &recorded, &why), &why);
	derive(r);
}

/* All registered long before; then, of each bond, one thing alone by which today's state is not
 * that of a past day. The first stands. */
START_TEST(a_bond_stands_as_it_is_kept_unless_anything_came_since)
{
	static const char *const at[] = { "1+000", "2+000", "3+000", "4+000", "5+000" };
	struct bond_new b = railway_bond("J2", "2+000");
	struct problem one = { 0 };
	struct problems why = { 0 };
	struct railway r;

	railway_make(&r, "2020-04-01");
	railway_begin(&r, "2020-04-01");
	for (int i = 0; i < 5; i++) {
		railway_add_bond(&r, (const char[]){ 'J', (char)('1' + i), '\0' }, at[i]);
	}
	railway_end(&r);
	railway_begin(&r, TODAY);
	b.installed_day = railway_day("2024-03-01");
	railway_must(bond_change(&r.act, 2, &b, &why), &why);
	b = railway_bond("J3", "3+000");
	b.status = BOND_REMOVED;
	b.removed_day = railway_day("2024-04-20");
	railway_must(bond_change(&r.act, 3, &b, &why), &why);
	renew_rail(&r, "4+900", "5+100", "2024-02-10");
	must(sql_run(r.store, "UPDATE bond_state SET edition = edition - 1 "
		"WHERE bond_id = 4", NULL, 0, &one), &one);
	finish(&r);
}
END_TEST

enum { VISITS_MOST = 400 };

/* Cells one by one, each as one number. */
struct counted {
	int64_t at[VISITS_MOST];
	size_t n;
};

static void see(void *arg, const struct visit_cell *c)
{
	struct counted *s = arg;

	for (int i = 0; i < c->by; i++) {
		ck_assert_uint_lt(s->n, VISITS_MOST);
		s->at[s->n++] = (int64_t)c->day << 8 | c->line_id << 4 | (int64_t)c->timely;
	}
}

static int ascending(const void *a, const void *b)
{
	int64_t one = *(const int64_t *)a, two = *(const int64_t *)b;

	return one < two ? -1 : one > two;
}

static void list_visits(struct railway *r, const struct report_visits_of *of, struct counted *to)
{
	struct visit_rows rows;
	struct visit_row row;
	struct problem why = { 0 };
	bool ok = visit_rows_open(r->act.view, NULL, of, &rows, &why);

	to->n = 0;
	while (ok && visit_rows_next(&rows, &row, &why)) {
		see(to, &(struct visit_cell){ row.v.day, row.line->id, row.timely.is, 1 });
	}
	visit_rows_close(&rows);
	must(why.code == PROBLEM_NONE, &why);
}

START_TEST(while_something_is_made_again_report_and_list_judge_each_inspection)
{
	struct railway r;
	struct problem one = { 0 };
	struct counted late;
	const struct report_visits_of of = { .to_day = railway_day(TODAY),
		.timely = 1u << TIMELY_LATE };

	begin(&r);
	visit(&r, 1, "2021-03-31");
	visit(&r, 2, "2023-04-29");
	must(sql_run(r.store, "DELETE FROM visit_count", NULL, 0, &one), &one);
	ck_assert_int_eq(late_in_report(&r), 0);      /* what is kept is added up */
	list_visits(&r, &of, &late);
	ck_assert_uint_eq(late.n, 0);
	must(store_stale_all(r.store, &one), &one);
	ck_assert_int_eq(late_in_report(&r), 1);
	list_visits(&r, &of, &late);
	ck_assert_uint_eq(late.n, 1);
	finish(&r);
}
END_TEST

/* (finish holds each past day against the bond judged by itself) */
START_TEST(what_was_attached_or_cleared_later_makes_no_past_day_another)
{
	struct railway r;
	struct problems why = { 0 };

	begin(&r);
	visit(&r, 1, "2022-01-10");
	railway_must(attach_end(&r, 2, 1, railway_day("2022-03-01"), 0, &why), &why);
	derive(&r);
	finish(&r);

	begin(&r);
	visit(&r, 1, "2022-01-10");
	railway_must(inspect(&r, 2, 1, railway_day("2022-02-10"), 60, PURPOSE_ROUTINE, 0, &why), &why);
	visit(&r, 3, "2022-03-10");
	railway_must(clear_over(&r, 4, 1, &why), &why);
	derive(&r);
	finish(&r);
}
END_TEST

/* Adopted on a day on which an inspection had been made already: by the stricter one it was
 * late. */
START_TEST(a_rulebook_counts_for_the_inspections_of_its_first_day_too)
{
	struct railway r;
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;

	begin(&r);
	visit(&r, 1, "2023-06-10");
	visit(&r, 2, TODAY);
	expect_kept(&r, "lt");
	form.rulebook.from_day = railway_day(TODAY);
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_NORMAL] = 6;
	railway_must(rulebook_adopt(&r.act, &form, &recorded, &why), &why);
	railway_end(&r);
	railway_follow(&r, TODAY, 1000);
	railway_begin(&r, TODAY);
	expect_kept(&r, "ll");
	finish(&r);
}
END_TEST

/* What is entered of a day makes no difference to an inspection of that day: by the record of the
 * day before it was due on 2023-03-31. With a failure, or a reading that is over, the interval is
 * half as long, and it would have been overdue since 2022-10. */
START_TEST(what_comes_on_the_day_of_an_inspection_makes_it_neither_late_nor_deferred)
{
	struct railway r;
	struct problems why = { 0 };

	begin(&r);
	visit(&r, 1, "2022-03-31");
	railway_must(break_bond(&r, 2, 1, railway_day("2023-01-31"), DAY_NONE, &why), &why);
	visit(&r, 3, "2023-01-31");
	expect_kept(&r, "lt");
	finish(&r);

	begin(&r);
	visit(&r, 1, "2022-03-31");
	outcome = OUTCOME_PARTLY;
	railway_must(inspect(&r, 2, 1, railway_day("2023-01-31"), 60, PURPOSE_ROUTINE, 0, &why), &why);
	outcome = OUTCOME_COMPLETE;
	visit(&r, 3, "2023-01-31");
	expect_kept(&r, "lt");
	visit(&r, 4, "2023-10-31");    /* and now it is late: due 2023-07-31 */
	expect_kept(&r, "ltl");
	finish(&r);

	begin(&r);
	railway_must(defer(&r, 1, 1, railway_day("2024-07-01"), &why), &why);
	visit(&r, 2, TODAY);
	expect_kept(&r, "l");
	finish(&r);
}
END_TEST

/* Found on 2022-06-30 and made good on 2023-03-01: in between the interval was half as long, due
 * 2022-09-30. */
START_TEST(a_failure_counts_until_the_day_on_which_it_was_made_good)
{
	struct railway r;
	struct problems why = { 0 };

	begin(&r);
	visit(&r, 1, "2022-03-31");
	railway_must(break_bond(&r, 2, 1, railway_day("2022-06-30"), railway_day("2023-03-01"), &why),
		&why);
	visit(&r, 3, "2023-01-31");
	expect_kept(&r, "ll");
	finish(&r);
}
END_TEST

/* 12 months after 2023-06-10, or 6 by the rulebook that is adopted today. */
START_TEST(each_inspection_is_judged_by_the_rulebook_of_its_day)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;

	form.rulebook.from_day = railway_day(TODAY);
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_NORMAL] = 6;
	for (int followed = 0; followed < 2; followed++) {
		struct railway r;

		begin(&r);
		visit(&r, 1, "2023-06-10");
		railway_must(rulebook_adopt(&r.act, &form, &recorded, &why), &why);
		railway_end(&r);
		if (followed) {
			railway_follow(&r, TODAY, 1000);
		}
		railway_begin(&r, TODAY);
		visit(&r, 2, followed ? "2024-05-31" : TODAY);
		expect_kept(&r, followed ? "lt" : "ll");
		finish(&r);
	}
}
END_TEST

START_TEST(an_inspection_of_a_bond_that_was_removed_is_judged_as_if_it_were_in_service)
{
	struct railway r;
	struct problems why = { 0 };
	struct bond_new a = railway_bond("A", "1+000");

	begin(&r);
	a.status = BOND_REMOVED;
	a.removed_day = railway_day("2024-05-30");
	railway_must(bond_change(&r.act, 1, &a, &why) && derived_end(&r.act, &why), &why);
	visit(&r, 1, "2024-05-29");
	expect_kept(&r, "l");
	finish(&r);
}
END_TEST

/* Any acts: a quarter of them, all with BONDBOOK_LONG in the environment. */

enum { BONDS = 3, ACTS = 160 };

/* The inspections that there are: of which bond and day each number is. */
static struct { int64_t bond_id; int32_t day; } sent[ACTS + 1];

static unsigned draw(unsigned *seed, unsigned below)
{
	*seed = *seed * 1103515245u + 12345u;
	return (*seed >> 16) % below;
}

static bool adopt(struct railway *r, unsigned *seed, struct problems *why)
{
	struct rulebook_new form = { .rulebook = *r->act.view->rulebook, .reason = "For the test." };
	struct recorded recorded;

	form.rulebook.from_day = r->act.view->today + (int32_t)draw(seed, 2) * 20;
	/* (short ones, so that a little makes an inspection late) */
	form.rulebook.grace_days = 3;
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_NORMAL] = 2 + draw(seed, 3);
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_HIGH] = 2;
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_SAFETY] = 2;
	form.rulebook.limits[BOND_RAIL_JOINT].contact_uohm = 10 + (double)r->act.view->rulebook->version;
	return rulebook_adopt(&r->act, &form, &recorded, why);
}

static bool change(struct railway *r, int64_t bond_id, unsigned *seed, struct problems *why)
{
	char label[16];
	struct bond_new b;

	snprintf(label, sizeof label, "J%d", (int)bond_id);
	b = railway_bond(label, "1+000");
	b.criticality = (int)draw(seed, 2);
	b.installed_day = draw(seed, 3) == 0 ? DAY_NONE : railway_day("2020-03-31");
	b.status = draw(seed, 6) == 0 ? BOND_REMOVED : BOND_IN_SERVICE;
	return bond_change(&r->act, bond_id, &b, why);
}

/* Mostly another reading of the same day. */
static bool correct(struct railway *r, int n, int former, unsigned *seed, struct problems *why)
{
	if (sent[former].bond_id == 0) {
		return false;
	}
	sent[n] = sent[former];
	sent[n].day -= draw(seed, 4) == 0 ? (int32_t)draw(seed, 40) : 0;
	outcome = draw(seed, 6) == 0 ? OUTCOME_PARTLY : OUTCOME_COMPLETE;
	return inspect(r, n, sent[n].bond_id, sent[n].day, draw(seed, 2) == 0 ? 60 : 5,
		PURPOSE_ROUTINE, former, why);
}

/* Some are refused, as they would be. */
static bool act_at_random(struct railway *r, int n, unsigned *seed)
{
	struct problems why = { 0 };
	int64_t bond_id = 1 + draw(seed, BONDS);
	int32_t day = r->act.view->today - (int32_t)(draw(seed, 3) == 0 ? draw(seed, 200) : draw(seed, 3));

	switch (draw(seed, 14)) {
	case 0:
		return break_bond(r, n, bond_id, day, draw(seed, 2) == 0 ? DAY_NONE : day + 1, &why);
	case 1:
		return make_good(r, n, (int)draw(seed, (unsigned)n), day, &why);
	case 2:
		return defer(r, n, bond_id, r->act.view->today + (int32_t)draw(seed, 60), &why);
	case 3:
		return attach_end(r, n, bond_id, day, (int)draw(seed, 2), &why);
	case 4:
		return adopt(r, seed, &why);
	case 5:
		return change(r, bond_id, seed, &why);
	case 6:
		return clear_over(r, n, bond_id, &why);
	case 7:
	case 8:
		return correct(r, n, 1 + (int)draw(seed, (unsigned)n), seed, &why);
	default:
		sent[n].bond_id = bond_id;
		sent[n].day = day;
		outcome = draw(seed, 4) == 0 ? OUTCOME_PARTLY : OUTCOME_COMPLETE;
		return inspect(r, n, bond_id, day, draw(seed, 4) == 0 ? 60 : 5 + draw(seed, 9),
			draw(seed, 3) == 0 ? (enum purpose)draw(seed, 4) : PURPOSE_ROUTINE, 0, &why);
	}
}

/* Those that a filter should leave. */
static void leave(struct counted *all, const struct report_visits_of *of)
{
	size_t n = 0;

	for (size_t i = 0; i < all->n; i++) {
		int64_t day = all->at[i] >> 8;

		if (day >= of->from_day && day <= of->to_day && (of->timely >> (all->at[i] & 3) & 1) != 0) {
			all->at[n++] = all->at[i];
		}
	}
	all->n = n;
}

static void expect_same(struct counted *one, struct counted *other)
{
	ck_assert_uint_eq(one->n, other->n);
	qsort(one->at, one->n, sizeof one->at[0], ascending);
	qsort(other->at, other->n, sizeof other->at[0], ascending);
	for (size_t i = 0; i < one->n; i++) {
		ck_assert_int_eq(one->at[i], other->at[i]);
	}
}

/* What is added up is what the list says, which reads and judges each inspection for itself while
 * what is kept is not sure; and what is looked for by what is kept is what each is judged. */
static void expect_as_listed(struct railway *r)
{
	struct counted kept = { .n = 0 }, listed, found;
	struct problem why = { 0 };
	struct report_visits_of of = { .to_day = r->act.view->today };

	must(store_save(r->store, &why) && store_stale_all(r->store, &why), &why);
	list_visits(r, &of, &listed);
	must(store_save_undo(r->store, &why), &why);
	must(store_visit_counts(r->store, 0, r->act.view->today, see, &kept, &why), &why);
	expect_same(&kept, &listed);
	for (of.timely = 1; of.timely < 16; of.timely++) {
		of.from_day = r->act.view->today - 100 * (int32_t)of.timely;
		list_visits(r, &of, &found);
		kept = listed;
		leave(&kept, &of);
		expect_same(&kept, &found);
	}
}

static void live(unsigned seed)
{
	struct railway r;
	int32_t today = railway_day("2022-01-01");
	int acts = getenv("BONDBOOK_LONG") != NULL ? ACTS : ACTS / 4, done = 0;
	struct problems why = { 0 };

	memset(sent, 0, sizeof sent);
	railway_make(&r, "2021-12-01");
	railway_begin(&r, "2021-12-01");
	railway_calibrate(&r, 1, 0.1, "2018-01-10", "2026-01-10");
	for (int i = 0; i < BONDS; i++) {
		char label[16], at[16];

		snprintf(label, sizeof label, "J%d", i + 1);
		snprintf(at, sizeof at, "1+00%d", BONDS - i);   /* along the line the last is first */
		railway_add_bond(&r, label, at);
	}
	railway_must(adopt(&r, &seed, &why), &why);
	railway_end(&r);
	for (int n = 1; n <= acts; n++) {
		char day[DAY_TEXT_SIZE];

		today += (int32_t)draw(&seed, 25);
		day_write(today, day);
		railway_follow(&r, day, 1000);
		railway_begin(&r, day);
		if (act_at_random(&r, n, &seed)) {
			railway_end(&r);
			done++;
		} else {
			railway_undo(&r);
		}
		railway_follow(&r, day, 1000);
		railway_begin(&r, day);
		expect_as_listed(&r);
		for (int32_t back = 1; back < 600; back *= 2) {
			expect_each_as_alone(&r, today - back);
			expect_all_lines_as_each(&r, today - back);
		}
		if (n % 10 == 0) {
			expect_content(&r);
		}
		railway_end(&r);
	}
	ck_assert_int_gt(done, acts / 2);
	outcome = OUTCOME_COMPLETE;
	railway_remove(&r);
}

START_TEST(after_any_acts_what_is_added_up_is_what_each_inspection_is_judged)
{
	for (unsigned seed = 1; seed <= 6; seed++) {
		live(seed);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { both_sides_of_the_last_day_of_grace,
		what_is_entered_later_of_a_day_before_moves_those_after_it,
		what_no_inspection_asked_for_is_not_judged,
		another_interval_or_day_of_installation_judges_all_anew,
		inspections_are_counted_with_the_line_that_their_bond_stands_on,
		check_finds_what_is_kept_otherwise_and_rebuild_makes_it_right,
		while_something_is_made_again_report_and_list_judge_each_inspection,
		what_was_attached_or_cleared_later_makes_no_past_day_another,
		a_rulebook_counts_for_the_inspections_of_its_first_day_too,
		what_comes_on_the_day_of_an_inspection_makes_it_neither_late_nor_deferred,
		a_failure_counts_until_the_day_on_which_it_was_made_good,
		each_inspection_is_judged_by_the_rulebook_of_its_day,
		a_bond_stands_as_it_is_kept_unless_anything_came_since,
		an_inspection_of_a_bond_that_was_removed_is_judged_as_if_it_were_in_service,
		after_any_acts_what_is_added_up_is_what_each_inspection_is_judged, NULL };

	return case_run("timely", tests);
}
