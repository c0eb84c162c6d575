/* A repeat place explained, on a line small enough to count by hand. */
#include <math.h>

#include "case.h"
#include "derived/repeat.h"
#include "service/railway.h"
#include "service/record/failure.h"
#include "service/report/explain.h"
#include "store/kept/repeat_facts.h"
#include "store/sql.h"

static int sent;

static const double CHANCE_OF_FOUR = 0.3612505326, TREND_OF_FOUR = 0.32350510266;

static void break_end(struct railway *r, int64_t bond_id, const char *day, enum failure_mode mode)
{
	struct failure_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&failure_form, &form);
	railway_uuid(++sent, form.uuid);
	form.of.bond_id = bond_id;
	form.end = END_A;
	form.found_day = railway_day(day);
	form.mode = mode;
	railway_must(failure_record(&r->act, &form, 0, &recorded, &why), &why);
}

static void attach(struct railway *r, int64_t bond_id, const char *day, int64_t offset_mm,
	const char *batch)
{
	struct attachment_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&attachment_form, &form);
	railway_uuid(++sent, form.uuid);
	form.of.bond_id = bond_id;
	form.end = END_A;
	form.made_day = railway_day(day);
	form.method = ATTACH_BRAZED_PIN;
	form.offset_mm = offset_mm;
	form.batch = batch;
	railway_must(attachment_record(&r->act, &form, &recorded, &why), &why);
}

/* Twelve bonds at 2+000, 3+000 ... of which one failed each, one of them by detachment; and a
 * joint at 1+200 that failed so often, detached each time, with batch B1. The repair of a failure
 * is made on its day. */
static int64_t make_line(struct railway *r, int times)
{
	static const char *const days[] = { "2022-01-10", "2023-01-10", "2023-07-10", "2023-10-10" };
	static const int64_t offsets_mm[] = { 120, 20, 220, 320 };
	int64_t joint;
	char label[8], chainage[16];

	sent = 0;
	railway_make(r, "2024-01-01");
	railway_begin(r, "2024-01-01");
	for (int i = 0; i < 12; i++) {
		int64_t bond;

		snprintf(label, sizeof label, "K%d", i);
		snprintf(chainage, sizeof chainage, "%d+000", i + 2);
		bond = railway_add_bond(r, label, chainage);
		attach(r, bond, "2021-01-01", 0, "B2");
		break_end(r, bond, "2021-06-01", i == 0 ? FAILURE_DETACHED : FAILURE_CORRODED);
	}
	joint = railway_add_bond(r, "J1", "1+200");
	attach(r, joint, "2021-01-01", 20, "B1");
	for (int i = 0; i < times; i++) {
		break_end(r, joint, days[i], FAILURE_DETACHED);
		attach(r, joint, days[i], offsets_mm[i], "B1");
	}
	railway_end(r);
	return joint;
}

/* The only place there is. */
static void explain(struct railway *r, struct explained *to)
{
	struct repeat_row *places;
	struct failure_group group = { .line_id = 1, .track_id = 1, .rail = RAIL_LEFT };
	struct problem why = { 0 };
	size_t count;

	railway_begin(r, "2024-01-01");
	ck_assert(store_repeat_of_group(r->store, &group, &places, &count, &why));
	ck_assert_uint_eq(count, 1);
	ck_assert_msg(repeat_explain(&r->view, &places[0], to, &why), "%s", why.detail);
	free(places);
	railway_end(r);
}

static const struct explained_share *share_of(const struct explained *e, enum factor factor,
	const char *what)
{
	for (size_t i = 0; i < e->n_shares; i++) {
		if (e->shares[i].factor == factor && strcmp(e->shares[i].what, what) == 0) {
			return &e->shares[i];
		}
	}
	ck_abort_msg("there is a share of %s", what);
	return NULL;
}

START_TEST(says_what_four_failed_jobs_have_in_common)
{
	struct railway r;
	static struct explained e;
	const struct explained_share *s;

	make_line(&r, 4);
	explain(&r, &e);
	/* what was attached before each failure is a job: of 2021, and of the first three repairs; the
	 * last one has not failed. All jobs: 12 of the others, 5 of the joint. 4 of 4 of B1, which 5 of
	 * 17 had: C(5,4) of C(17,4) = 5 of 2380; four values were asked about: B1, B2, the
	 * method, and who made them all */
	s = share_of(&e, FACTOR_BATCH, "B1");
	ck_assert_uint_eq(e.n_asked, 4);
	ck_assert(fabs(s->share.p - 5.0 / 2380) < 1e-12 && fabs(s->share.q - 20.0 / 2380) < 1e-12);
	ck_assert_int_eq(s->share.meaning, SHARE_TELLING);
	ck_assert_str_eq(s->words, "4 of 4 jobs that failed here, 5 of 17 on the line: more than "
		"chance would bring.");
	s = share_of(&e, FACTOR_METHOD, "brazed pin with lug");
	ck_assert(s->share.meaning == SHARE_CHANCE && s->share.p == 1);
	ck_assert_int_eq(s->share.of_line, 17);
	ck_assert(e.shares[0].share.meaning == SHARE_TELLING);
	/* B2 is asked about and not listed: none of it failed here */
	ck_assert_uint_eq(e.n_shares, 3);
	/* and what failures here had, each counted */
	ck_assert_int_eq(e.involved[0].factor, FACTOR_MODE);
	ck_assert_str_eq(e.involved[0].what, "attachment detached");
	ck_assert_int_eq(e.involved[0].count, 4);
	railway_remove(&r);
}
END_TEST

START_TEST(says_how_surprising_it_is_and_whether_it_gets_worse)
{
	struct railway r;
	static struct explained e;

	make_line(&r, 4);
	explain(&r, &e);
	/* 16 events at 13 joints of two ends each, all within the period: four or more at one joint by
	 * 1 - 16! [x^16] (1 + x + x^2/2 + x^3/6)^13 / 13^16, in exact fractions */
	ck_assert_uint_eq(e.chance.ends, 26);
	ck_assert_uint_eq(e.chance.events, 16);
	ck_assert_uint_eq(e.chance.here, 4);
	ck_assert_uint_eq(e.chance.rails, 1);
	ck_assert(e.chance.is_told && !e.chance.rail.is_bound);
	ck_assert(fabs(e.chance.p - CHANCE_OF_FOUR) < 3 * e.chance.rail.error);
	ck_assert(!e.chance.is_more);
	/* the line's record begins on 2021-06-01, 944 days before 2024-01-01; they come at 223, 588,
	 * 769 and 861: U = (610.25 / 944 - 1/2) sqrt(48), and the exact chance of four uniform numbers */
	ck_assert_uint_eq(e.trend.events, 4);
	ck_assert_int_eq(e.record_days, 944);
	ck_assert(fabs(e.trend.u - (610.25 / 944 - 0.5) * sqrt(48)) < 1e-9);
	ck_assert(fabs(e.trend.p - TREND_OF_FOUR) < 1e-9);
	ck_assert_int_eq(e.trend.meaning, TREND_NONE);
	ck_assert(!e.has_mean);
	ck_assert_str_eq(e.mean_words, "No mean time is told: chance may have picked this place.");
	railway_remove(&r);
}
END_TEST

START_TEST(names_each_attachment_inside_the_clearance_of_a_spot)
{
	struct railway r;
	static struct explained e;

	/* offsets 20 (2021), 120, 20, 220, 320: the clearance is 100; only the second 20 is inside */
	make_line(&r, 4);
	explain(&r, &e);
	ck_assert_uint_eq(e.n_spots, 1);
	ck_assert_int_eq(e.spots[0].made_day, railway_day("2023-01-10"));
	ck_assert_int_eq(e.spots[0].spoilt_day, railway_day("2021-01-01"));
	ck_assert_str_eq(e.spots[0].words, "Attached again on 2023-01-10 on the very spot of "
		"2021-01-01: a new attachment keeps 100 mm away.");
	railway_remove(&r);
}
END_TEST

START_TEST(says_plainly_that_two_are_too_few)
{
	struct railway r;
	static struct explained e;

	make_line(&r, 2);
	explain(&r, &e);
	ck_assert_int_eq(e.trend.meaning, TREND_TOO_FEW);
	ck_assert_str_eq(e.mean_words, "No mean time is told: there are too few events.");
	/* 2 of 2 jobs of B1, which 3 of 15 had: 3 of 105, and 0.11 after the allowance for four */
	ck_assert_int_eq(share_of(&e, FACTOR_BATCH, "B1")->share.meaning, SHARE_CHANCE);
	ck_assert(fabs(share_of(&e, FACTOR_BATCH, "B1")->share.p - 3.0 / 105) < 1e-12);
	railway_remove(&r);
}
END_TEST

/* How many rows a list has; the failures that the first counts, or -1, into *first. */
static size_t rows_of(struct store *store, const struct list *list, int64_t *first)
{
	struct list_query q;
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	struct table table;
	struct cell row[64];
	struct list_run *run;
	bool failed = false;
	size_t rows = 0;

	ck_assert(list_query_read(list, NULL, 0, railway_day("2024-01-01"), &q, &wrong));
	run = list_open(store, &q, &table, &why);
	ck_assert_msg(run != NULL, "%s", why.detail);
	while (table.next(table.source, row, &failed)) {
		for (size_t i = 0; rows == 0 && i < table.n_columns; i++) {
			*first = strcmp(table.columns[i].name, "count") == 0 ? row[i].integer : *first;
		}
		rows++;
	}
	ck_assert(!failed);
	list_close(run);
	return rows;
}

START_TEST(finds_places_by_other_settings_and_keeps_none_of_them)
{
	struct railway r;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct repeat_settings settings = { .window_m = 1000, .period_months = 12,
		.least_count = FORM_NO_INTEGER };
	struct rulebook tried = rulebook_default();
	struct store *reader;
	struct view with;
	int64_t failures = -1;
	bool changed;

	make_line(&r, 4);
	railway_must(repeat_settings_apply(&settings, &tried, &changed, &why), &why);
	ck_assert(changed);
	reader = register_open(&r.file, STORE_READ);
	with = (struct view){ .store = reader, .today = railway_day("2024-01-01"), .rulebook = &tried };
	for (int again = 0; again < 2; again++) {
		ck_assert(store_read_begin(reader, &one) && store_trial_begin(reader, &one));
		ck_assert_msg(repeat_places_with(&with, 0, &one), "%s", one.detail);
		/* by hand: 2+000 with 3+000, ..., 12+000 with 13+000; and the joint: 2022-01-10 is a year
		 * before 2023-01-10, which is the first day that is too late; the other three of it are
		 * one */
		ck_assert_uint_eq(rows_of(reader, &repeat_trial_list, &failures), 7);
		/* what is kept is read beside them as it is, by this connection too */
		ck_assert_uint_eq(rows_of(reader, &repeat_list, &failures), 1);
		ck_assert_int_eq(failures, 4);
		store_read_end(reader);
	}
	store_close(reader);
	railway_remove(&r);
}
END_TEST

/* (the failures of the joint are the line's last) */
START_TEST(finds_the_one_place_of_a_failure_and_whose_failures_it_counts)
{
	struct railway r;
	struct problem one = { 0 };
	struct rulebook tried = rulebook_default();
	struct repeat_row kept, row;
	struct failure_fact *facts;
	struct store *reader;
	struct view with;
	size_t n, here = 0;
	int64_t none;
	char chainage[CHAINAGE_SIZE];
	int64_t place = 0, failure_id;

	make_line(&r, 4);
	tried.repeat_period_months = 12;
	reader = register_open(&r.file, STORE_READ);
	with = (struct view){ .store = reader, .today = railway_day("2024-01-01"), .rulebook = &tried };
	ck_assert(store_read_begin(reader, &one) && store_trial_begin(reader, &one));
	ck_assert(sql_integer(reader, "SELECT min(id) FROM repeat_place", NULL, 0, 0, &place, &one));
	ck_assert(store_repeat_get(reader, place, &kept, &one));
	ck_assert_int_eq(kept.failures, 4);
	/* a year leaves three of the four: without the first, after which the place is named */
	ck_assert(!repeat_place_with(&with, place, &row, &one));
	ck_assert_int_eq(one.code, PROBLEM_NOT_FOUND);
	one = (struct problem){ 0 };
	ck_assert(sql_integer(reader, "SELECT max(failure_id) FROM failure_state WHERE place_id IS NOT NULL",
		NULL, 0, 0, &failure_id, &one));
	ck_assert_msg(repeat_place_with(&with, failure_id, &row, &one), "%s", one.detail);
	ck_assert(row.is_tried && row.failures == 3);
	ck_assert(store_failure_facts(reader, &row, &facts, &n, &one));
	for (size_t i = 0; i < n; i++) {
		here += facts[i].here;
	}
	free(facts);
	ck_assert_uint_eq(here, 3);
	ck_assert_uint_eq(rows_of(reader, &failure_trial_list, &none), rows_of(reader, &failure_list, &none));
	/* and by what is kept it is of the place that it was */
	ck_assert(store_failure_state_get(reader, failure_id, chainage, &place, &one));
	ck_assert_int_eq(place, kept.id);
	store_read_end(reader);
	store_close(reader);
	railway_remove(&r);
}
END_TEST

START_TEST(takes_settings_within_the_bounds_of_the_rulebook)
{
	const struct { double window_m; int64_t period_months, least; bool ok, changed; } rows[] = {
		{ NAN, FORM_NO_INTEGER, FORM_NO_INTEGER, true, false },
		{ 10, 60, 2, true, false },
		{ 7.5, FORM_NO_INTEGER, FORM_NO_INTEGER, true, true },
		{ 0.001, 1, 500, true, true }, { 1000, 600, 1, true, true },
		{ 0.0009, 60, 2, false, false }, { 1000.1, 60, 2, false, false },
		{ 10, 0, 2, false, false }, { 10, 601, 2, false, false },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct rulebook rulebook = rulebook_default();
		const struct repeat_settings s = { rows[i].window_m, rows[i].period_months, rows[i].least };
		struct problems why = { 0 };
		bool changed;

		ck_assert_msg(repeat_settings_apply(&s, &rulebook, &changed, &why) == rows[i].ok, "row %zu", i);
		ck_assert(!rows[i].ok || changed == rows[i].changed);
		ck_assert_int_eq(rulebook.repeat_least_count, 2);
	}
}
END_TEST

START_TEST(says_chances_as_people_say_them)
{
	static const struct { double chance; const char *words; } rows[] = {
		{ 1.0 / 4321, "one of 4,300" }, { 0.1, "one of 10" }, { 0.374, "37 of 100" },
		{ 1e-7, "fewer than one of a million" }, { 1.0 / 123456, "one of 120,000" },
		{ 0.999, "nearly all" }, { 1.0 / 15.2, "one of 15" },
	};
	char words[80];

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		explain_odds(rows[i].chance, words, sizeof words);
		ck_assert_str_eq(words, rows[i].words);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { says_what_four_failed_jobs_have_in_common,
		says_how_surprising_it_is_and_whether_it_gets_worse,
		names_each_attachment_inside_the_clearance_of_a_spot, says_plainly_that_two_are_too_few,
		finds_places_by_other_settings_and_keeps_none_of_them,
		finds_the_one_place_of_a_failure_and_whose_failures_it_counts,
		takes_settings_within_the_bounds_of_the_rulebook, says_chances_as_people_say_them, NULL };

	return case_run("explain", tests);
}
