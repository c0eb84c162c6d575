/*
 * What is kept of the judgement of bonds: that it is the rules', that former verdicts stay, that
 * all ways to make it anew give the same. A joint's contacts, each measured alone by a meter of 5 %
 * of the reading and 5 µΩ, that repeats to 2 %: U^2 = (5 % R + 5)^2 + (2 % R)^2, worked by hand.
 * Both ends seen good and the cable whole, the joint is proved by its contacts.
 */
#include <math.h>

#include "case.h"
#include "derived/judged.h"
#include "derived/rebuild.h"
#include "service/railway.h"
#include "service/record/rail.h"
#include "store/kept/judgement.h"
#include "store/record/rail.h"
#include "store/sql.h"

/* A contact may have 100 µΩ, and nothing else limits it. */
static void adopt(struct railway *r, const char *today, double contact_uohm, int months)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_begin(r, today);
	form.rulebook.from_day = railway_day(today);
	form.rulebook.limits[BOND_RAIL_JOINT].contact_uohm = contact_uohm;
	form.rulebook.limits[BOND_RAIL_JOINT].contact_allowance_uohm = NAN;   /* no other limit */
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_NORMAL] = months;
	railway_must(rulebook_adopt(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
}

static struct bond_state state_of(struct railway *r, int64_t bond_id)
{
	struct bond_state s;
	struct problem why = { 0 };

	ck_assert_msg(store_bond_state_get(r->store, bond_id, &s, &why), "%s", why.detail);
	return s;
}

/* What is kept of the first reading of an inspection. */
static struct reading_state kept_of(struct railway *r, int64_t bond_id, int64_t inspection_id)
{
	struct records records = { 0 };
	struct reading_state s = { .verdict = -1 };
	struct problem why = { 0 };

	ck_assert_msg(store_records_read(r->store, bond_id, bond_id, RECORD_ALL, &records, &why),
		"%s", why.detail);
	for (size_t i = 0; i < records.n_readings; i++) {
		if (records.reading_keys[i].inspection_id == inspection_id &&
			records.reading_keys[i].n == 0) {
			reading_state_read(&records.reading_keys[i].kept, &s);
		}
	}
	records_release(&records);
	return s;
}

static size_t differences(struct railway *r, const char *today)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, today);
	railway_must(check_all(&r->act, &result, &why), &why);
	railway_end(r);
	return result.differences;
}

static void expect_waiting(struct railway *r, const char *today, int64_t waiting)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, today);
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	ck_assert_int_eq(result.waiting, waiting);
	ck_assert_int_eq(result.places_wait, waiting > 0);
	railway_end(r);
}

static void expect_content(struct railway *r, const char *today)
{
	expect_waiting(r, today, 0);
}

static const struct { double uohm, u95; enum verdict verdict; enum grade grade; } rows[] = {
	{ 70, 8.6145, VERDICT_WITHIN, GRADE_SOUND },   /* (3.5 + 5)^2 + 1.4^2 = 74.21 */
	{ 85, 9.4049, VERDICT_WITHIN, GRADE_WATCH },   /* (4.25 + 5)^2 + 1.7^2 = 88.4525; over 80 % */
	{ 95, 9.9334, VERDICT_UNPROVEN, GRADE_WATCH }, /* (4.75 + 5)^2 + 1.9^2 = 98.6725 */
	{ 130, 11.7902, VERDICT_OVER, GRADE_ACT },     /* (6.5 + 5)^2 + 2.6^2 = 139.01 */
};
enum { ROWS = sizeof rows / sizeof rows[0] };

static void make(struct railway *r, int64_t inspections[ROWS])
{
	railway_make(r, "2024-01-01");
	adopt(r, "2024-01-01", 100, 12);
	railway_follow(r, "2024-01-01", 1000);
	railway_begin(r, "2024-05-01");
	railway_calibrate(r, 5, 5, "2024-01-10", "2025-01-10");
	for (int i = 0; i < ROWS; i++) {
		char label[16], chainage[16];

		snprintf(label, sizeof label, "J%d", i);
		snprintf(chainage, sizeof chainage, "%d+000", i + 1);
		ck_assert_int_eq(railway_add_bond(r, label, chainage), i + 1);
		inspections[i] = railway_measure(r, i + 1, i + 1, "2024-04-30", rows[i].uohm);
	}
	railway_end(r);
}

START_TEST(a_reading_is_judged_and_its_bond_graded_when_it_is_recorded)
{
	struct railway r;
	int64_t inspections[ROWS];

	make(&r, inspections);
	for (int i = 0; i < ROWS; i++) {
		const struct reading_state s = kept_of(&r, i + 1, inspections[i]);
		const struct bond_state bond = state_of(&r, i + 1);

		ck_assert_double_eq_tol(s.u95, rows[i].u95, 0.0001);
		ck_assert_int_eq(s.verdict, rows[i].verdict);
		ck_assert_int_eq(s.limit_kind, LIMIT_ABSOLUTE);
		ck_assert_double_eq(s.limit, 100);
		ck_assert_int_eq(s.meter, METER_IN_CALIBRATION);
		ck_assert_int_eq(s.rulebook_version, 2);
		ck_assert_int_eq(bond.grade.grade, rows[i].grade);
		ck_assert_int_eq(bond.worst_verdict, rows[i].verdict);
		ck_assert_int_eq(bond.limit_ppm, llround(rows[i].uohm * 10000));
	}
	/* 36 months of memory; graded act 14 days, not 12 months */
	ck_assert_int_eq(state_of(&r, 1).grade.evidence_until_day, railway_day("2027-04-30"));
	ck_assert_int_eq(state_of(&r, 4).due.due_day, railway_day("2024-05-14"));
	expect_content(&r, "2024-05-01");
	railway_remove(&r);
}
END_TEST

START_TEST(a_stricter_rulebook_changes_verdicts_and_the_former_ones_stay_with_their_version)
{
	struct railway r;
	int64_t inspections[ROWS];
	struct verdict_former *former;
	size_t count;
	struct problem why = { 0 };
	struct reading_state s;

	make(&r, inspections);
	adopt(&r, "2024-06-01", 60, 12);
	/* what still stands under the former one is no difference, however the server was stopped */
	expect_waiting(&r, "2024-06-01", ROWS);
	railway_follow(&r, "2024-06-01", 1000);
	s = kept_of(&r, 1, inspections[0]);
	ck_assert_int_eq(s.verdict, VERDICT_OVER);   /* 70 - 8.62 > 60 */
	ck_assert_int_eq(s.rulebook_version, 3);
	ck_assert_int_eq(state_of(&r, 1).grade.grade, GRADE_ACT);
	ck_assert(store_verdicts_former(r.store, inspections[0], 0, &former, &count, &why));
	ck_assert_int_eq(count, 1);
	ck_assert_int_eq(former[0].verdict, VERDICT_WITHIN);
	ck_assert_int_eq(former[0].rulebook_version, 2);
	ck_assert_int_eq(former[0].limit_kind, LIMIT_ABSOLUTE);
	ck_assert_double_eq(former[0].limit, 100);
	ck_assert_double_eq(former[0].value, 70);
	ck_assert_double_eq_tol(former[0].u95, 8.6145, 0.0001);
	free(former);
	/* over before and after: nothing was replaced */
	ck_assert(store_verdicts_former(r.store, inspections[3], 0, &former, &count, &why));
	ck_assert_int_eq(count, 0);
	free(former);
	expect_content(&r, "2024-06-01");
	railway_remove(&r);
}
END_TEST

/* The derived rows as one text, to hold two ways of making them against each other. */
static char *derived(struct railway *r)
{
	static const char *const sql[] = { "SELECT * FROM bond_state ORDER BY bond_id",
		"SELECT inspection_id, n, said, hex(figures) FROM reading_state ORDER BY inspection_id, n",
		("SELECT * FROM due_count ORDER BY line_id, kind, criticality, surveyed, "
			"counts_as, asked, due_day, soon_from_day, overdue_from_day, deferred_to_day, grade, evidence_until_day") };
	struct text all = { 0 };
	struct problem why = { 0 };

	for (size_t i = 0; i < 3; i++) {
		sqlite3_stmt *row = sql_select(r->store, sql[i], NULL, 0, &why);

		while (sql_row(r->store, row, &why)) {
			for (int c = 0; c < sqlite3_column_count(row); c++) {
				text_addf(&all, "%s|", (const char *)sqlite3_column_text(row, c));
			}
			text_add_char(&all, '\n');
		}
	}
	ck_assert_msg(why.code == PROBLEM_NONE && !all.failed, "%s", why.detail);
	return all.data;
}

/* Adopts a rulebook, follows it in pieces, then whole; the two must give the same. */
static void hold_pieces_against_rebuild(struct railway *r, const char *today, double contact_uohm,
	int months)
{
	struct problems why = { 0 };
	char *pieces, *whole;

	adopt(r, today, contact_uohm, months);
	railway_follow(r, today, 1000);
	pieces = derived(r);
	railway_begin(r, today);
	railway_must(rebuild_all(&r->act, NULL, NULL, &why), &why);
	railway_end(r);
	whole = derived(r);
	ck_assert_str_eq(pieces, whole);
	free(pieces);
	free(whole);
	expect_content(r, today);
}

START_TEST(made_again_in_pieces_it_is_what_a_rebuild_gives_due_days_alone_or_all)
{
	struct railway r;
	int64_t inspections[ROWS];

	make(&r, inspections);
	hold_pieces_against_rebuild(&r, "2024-06-01", 100, 9);   /* nothing but an interval */
	ck_assert_int_eq(state_of(&r, 1).due.due_day, railway_day("2025-01-30"));
	ck_assert_int_eq(state_of(&r, 1).grade.grade, GRADE_SOUND);
	ck_assert_int_eq(state_of(&r, 4).due.due_day, railway_day("2024-05-14"));
	hold_pieces_against_rebuild(&r, "2024-07-01", 90, 9);    /* nothing but a limit */
	ck_assert_int_eq(state_of(&r, 1).grade.grade, GRADE_SOUND);
	ck_assert_int_eq(state_of(&r, 2).grade.grade, GRADE_WATCH);
	hold_pieces_against_rebuild(&r, "2024-08-01", 60, 6);
	railway_remove(&r);
}
END_TEST

/* What is kept of the readings that are over, but for three of its figures. */
#define WITH_FIGURES(version, limit, u95) "UPDATE reading_state SET figures = reading_figures(" \
	version ", figure(figures, 'told_version'), figure(figures, 'r_uohm'), " \
	"figure(figures, 'r20_uohm'), figure(figures, 'thermal_uv'), figure(figures, 'equivalent_m'), " \
	limit ", " u95 ", figure(figures, 'p_within')) WHERE verdict = 3"

static const struct { const char *what, *sql; } tampered[] = {
	{ "a verdict", "UPDATE reading_state SET said = said - (2 << 24) WHERE verdict = 3" },
	{ "an uncertainty", WITH_FIGURES("figure(figures, 'rulebook_version')", "figure(figures, 'limit_value')", "0.1") },
	{ "a limit", WITH_FIGURES("figure(figures, 'rulebook_version')", "1000", "figure(figures, 'u95')") },
	{ "a version", WITH_FIGURES("99", "figure(figures, 'limit_value')", "figure(figures, 'u95')") },
	{ "a grade", "UPDATE bond_state SET grade = 3 WHERE grade = 4" },
	{ "a reason", "UPDATE bond_state SET reasons = 0 WHERE bond_id = 4" },
	{ "an evidence day", "UPDATE bond_state SET evidence_until_day = evidence_until_day + 1 "
		"WHERE bond_id = 2" },
	{ "a share", "UPDATE bond_state SET limit_ppm = 1 WHERE bond_id = 4" },
	{ "a due day", "UPDATE bond_state SET due_day = due_day + 1 WHERE bond_id = 2" },
	{ "an inspection's day", "UPDATE bond_state SET inspect_day = inspect_day + 1 WHERE bond_id = 4" },
	{ "a mending's day", "UPDATE bond_state SET mend_day = mend_day + 1 WHERE bond_id = 4" },
	{ "a mending", "UPDATE bond_state SET mend_day = NULL WHERE bond_id = 4" },
	{ "an interval", "UPDATE bond_state SET own_months = own_months + 1 WHERE bond_id = 1" },
	{ "a notice", "UPDATE bond_state SET notice_days = notice_days + 1 WHERE bond_id = 1" },
	{ "a total", "UPDATE due_cell SET bonds = bonds + 1 WHERE (alike >> 9 & 7) = 5 AND line_id = 0" },
	{ "a total of inspections", "UPDATE due_cell SET bonds = bonds + 1 WHERE (alike >> 9 & 7) = 2" },
	{ "what a total counts", "UPDATE due_cell SET alike = alike - (2 << 9) WHERE (alike >> 9 & 7) = 5" },
	{ "questions of a total", "UPDATE due_cell SET alike = alike | (1 << 12) WHERE (alike >> 13 & 7) = 2 AND line_id = 1" },
};

START_TEST(check_finds_what_was_tampered_with_and_rebuild_mends_it)
{
	struct railway r;
	int64_t inspections[ROWS];
	size_t n = sizeof tampered / sizeof tampered[0];

	make(&r, inspections);
	for (size_t i = 0; i < n; i++) {
		struct problems why = { 0 };
		struct problem one = { 0 };

		ck_assert(store_begin(r.store, &one));
		ck_assert_msg(sql_run(r.store, tampered[i].sql, NULL, 0, &one), "%s", one.detail);
		ck_assert_msg(sql_changes(r.store) > 0, "%s", tampered[i].what);
		ck_assert(store_commit(r.store, &one));
		ck_assert_msg(differences(&r, "2024-05-01") > 0, "%s", tampered[i].what);
		railway_begin(&r, "2024-05-01");
		railway_must(rebuild_all(&r.act, NULL, NULL, &why), &why);
		railway_end(&r);
		expect_content(&r, "2024-05-01");
	}
	railway_remove(&r);
}
END_TEST

START_TEST(a_new_attachment_ends_no_act_until_it_is_proved_and_what_was_measured_keeps_its_verdict)
{
	struct railway r;
	int64_t inspections[ROWS];
	struct attachment_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	make(&r, inspections);
	railway_begin(&r, "2024-06-01");
	form_clear(&attachment_form, &form);
	railway_uuid(50, form.uuid);
	form.of.bond_id = 4;
	form.end = END_A;
	form.made_day = railway_day("2024-05-20");
	form.method = ATTACH_BOLTED;
	railway_must(attachment_record(&r.act, &form, &recorded, &why), &why);
	railway_end(&r);
	ck_assert_int_eq(state_of(&r, 4).grade.grade, GRADE_ACT);
	ck_assert_int_eq(state_of(&r, 4).due.mend_day, railway_day("2024-05-14"));   /* of what was over */
	ck_assert_int_eq(kept_of(&r, 4, inspections[3]).verdict, VERDICT_OVER);
	expect_content(&r, "2024-06-01");
	railway_begin(&r, "2024-06-01");
	railway_measure(&r, 60, 4, "2024-05-21", 70);
	railway_end(&r);
	ck_assert_int_eq(state_of(&r, 4).grade.grade, GRADE_ACT);   /* that was no commissioning */
	railway_begin(&r, "2024-06-01");
	railway_measure_for(&r, PURPOSE_COMMISSIONING, 61, 4, "2024-05-22", 70);
	railway_end(&r);
	ck_assert_int_eq(state_of(&r, 4).grade.grade, GRADE_SOUND);
	ck_assert_int_eq(state_of(&r, 4).due.mend_day, DAY_NONE);
	ck_assert_int_eq(kept_of(&r, 4, inspections[3]).verdict, VERDICT_OVER);
	expect_content(&r, "2024-06-01");
	railway_remove(&r);
}
END_TEST

/* The rail of a track counts for the joint limit: 5 % of 18 m of rail. */
START_TEST(what_many_bonds_are_judged_by_is_followed_in_the_background)
{
	struct railway r;
	int64_t inspections[ROWS];
	struct problems why = { 0 };
	struct recorded recorded;
	struct profile_new profile = { .code = "OWN 50", .mass_kg_m = NAN, .area_cm2 = NAN,
		.uohm_per_m = 40, .source = "measured" };
	struct track_rail_new rail = { .line = "VAL", .track = "Up", .rail_profile = "OWN 50",
		.rail_between_joints_m = 18 };
	struct judging j = { 0 };
	struct problem one = { 0 };

	make(&r, inspections);
	railway_begin(&r, "2024-06-01");
	ck_assert(!track_rail_put(&r.act, &rail, &recorded, &why));    /* no such profile yet */
	ck_assert_str_eq(why.item[0].field, "rail_profile");
	why = (struct problems){ 0 };
	railway_must(profile_register(&r.act, &profile, &recorded, &why), &why);
	railway_must(track_rail_put(&r.act, &rail, &recorded, &why), &why);
	ck_assert(!recorded.already);
	railway_must(track_rail_put(&r.act, &rail, &recorded, &why), &why);
	ck_assert(recorded.already);
	railway_end(&r);
	ck_assert_int_eq(state_of(&r, 1).rulebook_version, 0);
	railway_follow(&r, "2024-06-01", 1000);
	ck_assert_int_eq(state_of(&r, 1).rulebook_version, 2);
	railway_begin(&r, "2024-06-01");
	ck_assert(judging_one(&r.view, &j, 1, &one));
	ck_assert_double_eq(j.records.bonds[0].rail.uohm_per_m, 40);
	ck_assert_double_eq(j.records.bonds[0].rail.between_joints_m, 18);
	judging_release(&j);
	railway_end(&r);
	expect_content(&r, "2024-06-01");
	railway_remove(&r);
}
END_TEST

START_TEST(a_late_calibration_makes_evidence_of_what_was_measured_with_the_instrument)
{
	struct railway r;
	int64_t bond, inspection;

	railway_make(&r, "2024-01-01");
	adopt(&r, "2024-01-01", 100, 12);
	railway_follow(&r, "2024-01-01", 1000);
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+000");
	railway_calibrate(&r, 1, 1, "2022-01-10", "2023-01-10");
	inspection = railway_measure(&r, 1, bond, "2024-04-30", 70);
	railway_end(&r);
	ck_assert_int_eq(kept_of(&r, bond, inspection).meter, METER_OUT_OF_CALIBRATION);
	ck_assert_int_eq(state_of(&r, bond).grade.grade, GRADE_UNKNOWN);
	railway_begin(&r, "2024-05-02");
	railway_calibrate(&r, 1, 1, "2024-01-10", "2025-01-10");
	railway_end(&r);
	railway_follow(&r, "2024-05-02", 1000);
	ck_assert_int_eq(kept_of(&r, bond, inspection).meter, METER_IN_CALIBRATION);
	/* (0.7 + 1)^2 + 1.4^2 = 4.85 */
	ck_assert_double_eq_tol(kept_of(&r, bond, inspection).u95, 2.2023, 0.0001);
	ck_assert_int_eq(state_of(&r, bond).grade.grade, GRADE_SOUND);
	expect_content(&r, "2024-05-02");
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_reading_is_judged_and_its_bond_graded_when_it_is_recorded,
		a_stricter_rulebook_changes_verdicts_and_the_former_ones_stay_with_their_version,
		made_again_in_pieces_it_is_what_a_rebuild_gives_due_days_alone_or_all,
		check_finds_what_was_tampered_with_and_rebuild_mends_it,
		a_new_attachment_ends_no_act_until_it_is_proved_and_what_was_measured_keeps_its_verdict,
		what_many_bonds_are_judged_by_is_followed_in_the_background,
		a_late_calibration_makes_evidence_of_what_was_measured_with_the_instrument, NULL };

	return case_run("judgement", tests);
}
