/*
 * A rulebook that changes due days alone is followed from what is kept of each bond, without its
 * record. That gives the same rows as judging every record anew, and the trial of such a rulebook
 * says beforehand what comes out.
 */
#include <math.h>

#include "case.h"
#include "derived/rebuild.h"
#include "derived/rulebook_trial.h"
#include "rules/judge/deferral.h"
#include "rules/rulebook_walk.h"
#include "service/railway.h"
#include "store/lists/due_filters.h"
#include "store/sql.h"

enum { BONDS = 64, VISITS = 4 };

/* What a rulebook says of due days. */
struct timing {
	const char *from_day;
	int64_t months, watch_percent, act_days, notice_days, grace_days, lead_days;
};
static const struct timing first = { "2022-06-01", 6, 100, 14, 30, 14, 60 };
static const struct timing timings[] = {
	{ "2024-06-01", 12, 100, 14, 30, 14, 60 },   /* an interval */
	{ "2024-07-01", 12, 100, 14, 30, 14, 300 },  /* how long before a forecast */
	{ "2024-08-01", 12, 50, 14, 30, 14, 300 },   /* what is watched is seen twice as often */
	{ "2024-09-01", 12, 50, 90, 10, 3, 300 },    /* mending, notice, grace */
	{ "2024-10-01", 1, 50, 7, 20, 14, 0 },
	{ "2024-11-01", 36, 100, 30, 60, 0, 30 },
};
enum { TIMINGS = sizeof timings / sizeof timings[0] };

/* A contact may have 100 µΩ, and nothing else limits it. */
static struct rulebook rulebook_of(const struct timing *t)
{
	struct rulebook to = rulebook_default();

	to.from_day = railway_day(t->from_day);
	to.limits[BOND_RAIL_JOINT].contact_uohm = 100;
	to.limits[BOND_RAIL_JOINT].contact_allowance_uohm = NAN;
	for (int c = 0; c < RULEBOOK_CRITICALITIES; c++) {
		to.interval_months[BOND_RAIL_JOINT][c] = t->months;
	}
	to.watch_interval_percent = t->watch_percent;
	to.act_days = t->act_days;
	to.notice_days = t->notice_days;
	to.grace_days = t->grace_days;
	to.forecast_lead_days = t->lead_days;
	return to;
}

static void adopt(struct railway *r, const struct timing *t)
{
	const struct rulebook_new form = { .rulebook = rulebook_of(t), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_begin(r, t->from_day);
	railway_must(rulebook_adopt(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
	railway_follow(r, t->from_day, 1000);
}

static void break_bond(struct railway *r, int n, int64_t bond_id)
{
	struct failure_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&failure_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.found_day = railway_day("2024-04-20");
	form.mode = FAILURE_CORRODED;
	railway_must(failure_record(&r->act, &form, 0, &recorded, &why), &why);
}

/* Naming the failure, where there is one. */
static void put_off(struct railway *r, int n, int64_t bond_id, bool failed)
{
	struct deferral_named named = { .key = ACT_FAILURE + 3 * FAILURE_CORRODED };
	struct deferral_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&deferral_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.until_day = railway_day("2025-06-30");
	form.names = (struct form_list){ &named, failed };
	form.reason = "No possession before the timetable changes.";
	railway_must(deferral_record(&r->act, &form, &recorded, &why), &why);
}

/* A reading that proves nothing, whatever the rulebook: one direction of the current alone. */
static void measure_in_vain(struct railway *r, int n, int64_t bond_id, const char *day)
{
	struct reading_new reading;
	struct inspection_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&reading_form, &reading);
	reading.quantity = QUANTITY_CONTACT_B;
	reading.method = READING_FOUR_WIRE;
	reading.instrument = "M-1";
	reading.forward_uv = 50;
	reading.current_a = 10;
	form_clear(&inspection_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.day = railway_day(day);
	form.seen_a = form.seen_b = SEEN_GOOD;
	form.cables_whole = 1;
	form.readings = (struct form_list){ &reading, 1 };
	railway_must(inspection_record(&r->act, &form, &recorded, &why), &why);
}

/* Contact A climbs by 8 to 39 µΩ a year, half a µΩ from one pair of bonds to the next; every second
 * bond has failed besides, so that its mending is due long before its inspection. Some were never
 * seen, wait for an answer (a reading of 3 µΩ after 75), or are put off. */
static void make(struct railway *r)
{
	static const char *const days[VISITS] = { "2023-01-15", "2023-06-15", "2023-11-15", "2024-04-15" };
	int n = 1;

	railway_make(r, "2022-06-01");
	adopt(r, &first);
	railway_begin(r, "2024-05-01");
	railway_calibrate(r, 1, 1, "2022-01-01", "2026-01-01");
	for (int i = 0; i < BONDS; i++) {
		char label[16], chainage[16];
		int64_t id;

		snprintf(label, sizeof label, "J%02d", i);
		snprintf(chainage, sizeof chainage, "%d+000", i + 1);
		id = railway_add_bond(r, label, chainage);
		for (int v = 0; v < VISITS && i % 16 != 9; v++) {
			double years = (railway_day(days[v]) - railway_day(days[0])) / 365.25;

			railway_measure(r, n++, id, days[v], i % 16 == 11 && v == VISITS - 1 ? 3 :
				40 + years * (8 + i / 2));
		}
		if (i % 16 == 7) {
			measure_in_vain(r, n++, id, "2024-02-01");
		}
		if (i % 2 == 0) {
			break_bond(r, n++, id);
		}
		if (i % 16 == 4 || i % 16 == 5) {
			put_off(r, n++, id, i % 2 == 0);
		}
	}
	railway_end(r);
}

/* The derived rows as one text, to hold two ways of making them against each other. */
static char *derived(struct railway *r)
{
	static const char *const sql[] = { "SELECT * FROM bond_state ORDER BY bond_id",
		"SELECT inspection_id, n, said, hex(figures) FROM reading_state ORDER BY inspection_id, n",
		("SELECT * FROM due_count ORDER BY line_id, kind, criticality, surveyed, counts_as, asked, "
			"due_day, soon_from_day, overdue_from_day, deferred_to_day, grade, evidence_until_day") };
	struct text all = { 0 };
	struct problem why = { 0 };

	for (size_t i = 0; i < 3; i++) {
		sqlite3_stmt *row = sql_select(r->store, sql[i], NULL, 0, &why);

		while (sql_row(r->store, row, &why)) {
			for (int c = 0; c < sqlite3_column_count(row); c++) {
				const char *text = (const char *)sqlite3_column_text(row, c);

				text_addf(&all, "%s=%s|", sqlite3_column_name(row, c), text != NULL ? text : "-");
			}
			text_add_char(&all, '\n');
		}
	}
	ck_assert_msg(why.code == PROBLEM_NONE && !all.failed, "%s", why.detail);
	return all.data;
}

/* The first line in which two differ, for the message. */
static void hold(const char *light, const char *whole, const char *day)
{
	size_t at = 0, line = 0;

	while (light[at] != '\0' && light[at] == whole[at]) {
		at++;
		line = light[at - 1] == '\n' ? at : line;
	}
	ck_assert_msg(light[at] == whole[at], "%s:\n%.*s\n%.*s", day, (int)strcspn(light + line, "\n"),
		light + line, (int)strcspn(whole + line, "\n"), whole + line);
}

static void expect_content(struct railway *r, const char *today)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, today);
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	railway_end(r);
}

START_TEST(due_days_made_again_without_the_record_are_those_of_the_whole_record)
{
	struct railway r;
	int64_t moved = 0;
	struct problem why = { 0 };

	make(&r);
	for (int i = 0; i < TIMINGS; i++) {
		const struct rulebook before = rulebook_of(i > 0 ? &timings[i - 1] : &first),
			after = rulebook_of(&timings[i]);
		struct problems trouble = { 0 };
		char *light, *whole;

		ck_assert(rulebook_judges_alike(&before, &after));   /* else it would not be light */
		adopt(&r, &timings[i]);
		light = derived(&r);
		railway_begin(&r, timings[i].from_day);
		railway_must(rebuild_all(&r.act, NULL, NULL, &trouble), &trouble);
		railway_end(&r);
		whole = derived(&r);
		hold(light, whole, timings[i].from_day);
		free(light);
		free(whole);
		expect_content(&r, timings[i].from_day);
	}
	/* a forecast has moved inspections of bonds whose mending is due first: that was looked at */
	adopt(&r, &(struct timing){ "2024-12-01", 12, 100, 14, 30, 14, 60 });
	ck_assert(sql_integer(r.store, "SELECT count(*) FROM bond_state WHERE due_basis = 4 "
		"AND inspect_day <> 20193", NULL, 0, 0, &moved, &why));   /* 2025-04-15 */
	ck_assert_int_gt(moved, 3);
	railway_remove(&r);
}
END_TEST

static void totals_of(struct railway *r, const char *today, int64_t *to)
{
	struct list_query q;
	struct problems wrong = { 0 };
	struct problem why = { 0 };

	ck_assert(list_query_read(&due_list, NULL, 0, railway_day(today), &q, &wrong));
	ck_assert_msg(list_totals(r->store, &q, to, &why), "%s", why.detail);
}

static int64_t total(const int64_t *totals, const char *name)
{
	for (size_t i = 0; i < DUE_TOTALS; i++) {
		if (strcmp(due_totals[i].name, name) == 0) {
			return totals[i];
		}
	}
	ck_abort_msg("there is no total %s", name);
	return -1;
}

/* What the trial says of a state, before and then. */
static int64_t told(int64_t counts[TRIAL_STATES][TRIAL_STATES], enum due_state state, bool then)
{
	int64_t sum = 0;

	for (int other = 0; other < TRIAL_STATES; other++) {
		sum += then ? counts[other][state] : counts[state][other];
	}
	return sum;
}

START_TEST(the_trial_says_what_comes_out_inspections_and_mendings_apart)
{
	struct railway r;

	make(&r);
	for (int i = 0; i < TIMINGS; i++) {
		const char *today = timings[i].from_day;
		const struct rulebook then = rulebook_of(&timings[i]);
		struct trial_count c = { 0 };
		struct progress progress = { 0 };
		struct rulebook_trial trial;
		struct problem why = { 0 };
		int64_t before[DUE_TOTALS], after[DUE_TOTALS];

		totals_of(&r, today, before);
		ck_assert_msg(rulebook_trial_begin(r.store, railway_day(today), &then, &progress, &trial,
			&why) && rulebook_trial_work(&trial, r.store, &c, &why), "%s", why.detail);
		ck_assert(trial.alike);
		adopt(&r, &timings[i]);
		totals_of(&r, today, after);
		ck_assert_int_eq(c.bonds, BONDS);
		ck_assert_int_eq(told(c.due, DUE_OVERDUE, false), total(before, "overdue"));
		ck_assert_int_eq(told(c.due, DUE_OVERDUE, true), total(after, "overdue"));
		for (int then_or_now = 0; then_or_now < 2; then_or_now++) {
			const int64_t *of = then_or_now == 0 ? before : after;

			ck_assert_int_eq(told(c.due_of[DUE_INSPECTION], DUE_OVERDUE, then_or_now),
				total(of, "inspections_overdue"));
			ck_assert_int_eq(told(c.due_of[DUE_MENDING], DUE_OVERDUE, then_or_now),
				total(of, "mendings_overdue"));
			ck_assert_int_eq(told(c.due_of[DUE_MENDING], DUE_DEFERRED, then_or_now),
				total(of, "mendings_deferred"));
		}
		/* the failed ones, and those that wait for an answer that would be over: none */
		ck_assert_int_eq(BONDS - told(c.due_of[DUE_MENDING], DUE_NOT, true), total(after, "act"));
		trial_count_release(&c);
	}
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		due_days_made_again_without_the_record_are_those_of_the_whole_record,
		the_trial_says_what_comes_out_inspections_and_mendings_apart, NULL };

	return case_run("due_light", tests);
}
