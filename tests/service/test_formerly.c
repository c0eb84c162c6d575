/*
 * What was said stays readable when other rules say something else: a version of the rulebook that
 * is withdrawn as wrong, and another edition of the rules. Contact A as given, B good, with a meter
 * of 1 % and 0.5 µΩ: U^2 = (1 % R + 0.5)^2 + (2 % R)^2 by the default rulebook, worked by hand.
 */
#include "case.h"
#include "derived/rebuild.h"
#include "derived/recompute.h"
#include "derived/rulebook_trial.h"
#include "rules/edition.h"
#include "service/railway.h"
#include "service/record/rulebook.h"
#include "store/kept/judgement.h"
#include "store/sql.h"

/* A contact may have so much, and nothing else limits it. */
static void adopt(struct railway *r, const char *today, const char *from_day, double contact_uohm)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_begin(r, today);
	form.rulebook.from_day = railway_day(from_day);
	form.rulebook.limits[BOND_RAIL_JOINT].contact_allowance_uohm = NAN;
	form.rulebook.limits[BOND_RAIL_JOINT].contact_uohm = contact_uohm;
	railway_must(rulebook_adopt(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
}

/* NULL: it is done; else the problem's code is told. */
static enum problem_code withdraw(struct railway *r, const char *today, int64_t version,
	const char *reason, bool *already)
{
	const struct rulebook_withdrawal form = { version, reason };
	struct problems why = { 0 };
	struct recorded recorded;
	enum problem_code code = PROBLEM_NONE;

	railway_begin(r, today);
	if (rulebook_withdraw(&r->act, &form, &recorded, &why)) {
		railway_end(r);
		*already = recorded.already;
	} else {
		code = problems_code(&why);
		railway_undo(r);
	}
	return code;
}

static struct recompute follow(struct railway *r, const char *today)
{
	struct recompute at = { 0 };
	struct problem why = { 0 };
	bool more = true;

	while (more) {
		railway_begin(r, today);
		ck_assert_msg(recompute_piece(&r->act, &at, &more, &why), "%s", why.detail);
		railway_end(r);
	}
	return at;
}

static int64_t number(struct railway *r, const char *sql)
{
	int64_t n = -1;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(r->store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

static void change(struct railway *r, const char *sql)
{
	struct problem why = { 0 };

	ck_assert_msg(store_begin(r->store, &why) && sql_run(r->store, sql, NULL, 0, &why) &&
		store_commit(r->store, &why), "%s", why.detail);
}

static enum grade grade_of(struct railway *r, int64_t bond_id)
{
	struct bond_state s;
	struct problem why = { 0 };

	ck_assert_msg(store_bond_state_get(r->store, bond_id, &s, &why), "%s", why.detail);
	return s.grade.grade;
}

static void expect_content(struct railway *r, const char *today, int64_t waiting)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, today);
	railway_must(check_all(&r->act, &result, &why), &why);
	railway_end(r);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	ck_assert_int_eq(result.waiting, waiting);
}

/* The newest former grade of a bond; *count tells how many there are. */
static struct grade_former former_grade(struct railway *r, int64_t bond_id, size_t *count)
{
	struct grade_former *all, last = { 0 };
	struct problem why = { 0 };

	ck_assert_msg(store_grades_former(r->store, bond_id, &all, count, &why), "%s", why.detail);
	last = *count > 0 ? all[*count - 1] : last;
	free(all);
	return last;
}

static struct verdict_former former_verdict(struct railway *r, int64_t inspection_id, size_t *count)
{
	struct verdict_former *all, last = { 0 };
	struct problem why = { 0 };

	ck_assert_msg(store_verdicts_former(r->store, inspection_id, 0, &all, count, &why), "%s",
		why.detail);
	last = *count > 0 ? all[*count - 1] : last;
	free(all);
	return last;
}

/* Bond 1 has 70 µΩ, U = 1.84: within 100 and over 60. Bond 2 has 30, U = 1: within both. */
static int64_t make(struct railway *r)
{
	int64_t inspection;

	railway_make(r, "2024-01-01");
	adopt(r, "2024-01-01", "2024-01-01", 100);
	railway_begin(r, "2024-05-01");
	railway_calibrate(r, 1, 0.5, "2023-12-01", "2025-01-01");
	railway_add_bond(r, "J1", "1+000");
	railway_add_bond(r, "J2", "2+000");
	inspection = railway_measure(r, 1, 1, "2024-04-30", 70);
	railway_measure(r, 2, 2, "2024-04-30", 30);
	railway_end(r);
	follow(r, "2024-05-01");
	return inspection;
}

START_TEST(what_a_withdrawn_version_alone_called_over_is_over_no_more_and_both_are_kept)
{
	struct railway r;
	int64_t inspection = make(&r);
	struct grade_former grade;
	struct verdict_former verdict;
	size_t count;
	bool already = false;

	adopt(&r, "2024-06-01", "2024-06-01", 60);
	follow(&r, "2024-06-01");
	ck_assert_int_eq(grade_of(&r, 1), GRADE_ACT);
	grade = former_grade(&r, 1, &count);
	ck_assert_uint_eq(count, 1);
	ck_assert_int_eq(grade.grade, GRADE_SOUND);
	ck_assert_int_eq(grade.rulebook_version, 2);
	ck_assert_int_eq(grade.edition, RULES_EDITION);
	ck_assert_int_eq(withdraw(&r, "2024-07-01", 3, "A slipped decimal.", &already), PROBLEM_NONE);
	ck_assert(!already);
	expect_content(&r, "2024-07-01", 2);    /* all are still to be made again */
	follow(&r, "2024-07-01");
	ck_assert_int_eq(grade_of(&r, 1), GRADE_SOUND);
	grade = former_grade(&r, 1, &count);
	ck_assert_uint_eq(count, 2);
	ck_assert_int_eq(grade.grade, GRADE_ACT);
	ck_assert_int_eq(grade.rulebook_version, 3);
	ck_assert_uint_eq(grade.reasons, 1u << REASON_OVER);
	ck_assert_int_eq(grade.replaced_at_ms, (int64_t)railway_day("2024-07-01") * 86400000);
	verdict = former_verdict(&r, inspection, &count);
	ck_assert_uint_eq(count, 2);
	ck_assert_int_eq(verdict.verdict, VERDICT_OVER);
	ck_assert_int_eq(verdict.rulebook_version, 3);
	ck_assert_double_eq(verdict.limit, 60);
	former_grade(&r, 2, &count);
	ck_assert_uint_eq(count, 0);
	expect_content(&r, "2024-07-01", 0);
	/* nothing stands under it any more, nor was it in force */
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM reading_state s WHERE "
		FIGURE("rulebook_version") " = 3"), 0);
	railway_begin(&r, "2024-07-01");
	ck_assert_uint_eq(r.view.n_in_force, 2);
	ck_assert_int_eq(r.view.rulebook->version, 2);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

/* What is to be made again under the first version is counted like any other bond. */
START_TEST(a_trial_counts_what_a_withdrawal_has_made_stale)
{
	struct railway r;
	struct rulebook then = rulebook_default();
	struct progress progress = { 0 };
	struct rulebook_trial trial;
	struct trial_count count = { 0 };
	struct problem why = { 0 };
	bool already;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	railway_calibrate(&r, 1, 0.5, "2023-12-01", "2025-01-01");
	railway_add_bond(&r, "J1", "1+000");
	railway_measure(&r, 1, 1, "2024-04-30", 30);
	railway_end(&r);
	adopt(&r, "2024-06-01", "2024-06-01", 60);
	ck_assert_int_eq(withdraw(&r, "2024-06-01", 2, "Wrong.", &already), PROBLEM_NONE);
	ck_assert_int_eq(number(&r, "SELECT rulebook_version FROM bond_state"), -1);
	then.notice_days = 10;
	ck_assert_msg(rulebook_trial_begin(r.store, railway_day("2024-06-01"), &then, &progress, &trial,
		&why) && rulebook_trial_work(&trial, r.store, &count, &why), "%s", why.detail);
	ck_assert_int_eq(count.bonds, 1);
	trial_count_release(&count);
	railway_remove(&r);
}
END_TEST

/* The version in force stays the same, and all is made again nonetheless. */
START_TEST(a_version_between_is_withdrawn_and_all_is_made_again)
{
	struct railway r;
	struct recompute_progress progress;
	struct problem why = { 0 };
	bool already;

	make(&r);
	adopt(&r, "2024-06-01", "2024-06-01", 60);
	adopt(&r, "2024-06-10", "2024-06-10", 100);
	follow(&r, "2024-06-10");
	ck_assert_int_eq(withdraw(&r, "2024-07-01", 3, "Wrong.", &already), PROBLEM_NONE);
	railway_begin(&r, "2024-07-01");
	ck_assert_int_eq(r.view.rulebook->version, 4);
	ck_assert(recompute_progress(r.store, r.view.rulebook, &progress, &why));
	ck_assert(!progress.is_followed && !progress.is_new_edition);
	railway_end(&r);
	expect_content(&r, "2024-07-01", 2);
	follow(&r, "2024-07-01");
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM bond_state WHERE rulebook_version = 4"), 2);
	expect_content(&r, "2024-07-01", 0);
	railway_remove(&r);
}
END_TEST

START_TEST(a_withdrawal_is_refused_where_nothing_would_hold_and_kept_once)
{
	struct railway r;
	bool already = false;

	railway_make(&r, "2024-01-01");
	ck_assert_int_eq(withdraw(&r, "2024-01-01", 1, "Wrong.", &already), PROBLEM_RULE);
	adopt(&r, "2024-01-01", "2024-02-01", 100);
	/* one of a future day does not hold yet: the day before it, and on it */
	ck_assert_int_eq(withdraw(&r, "2024-01-31", 1, "Wrong.", &already), PROBLEM_RULE);
	ck_assert_int_eq(withdraw(&r, "2024-02-01", 1, "Wrong.", &already), PROBLEM_NONE);
	ck_assert(!already);
	ck_assert_int_eq(withdraw(&r, "2024-02-01", 1, "Wrong.", &already), PROBLEM_NONE);
	ck_assert(already);
	ck_assert_int_eq(withdraw(&r, "2024-02-01", 1, "Another reason.", &already), PROBLEM_CONFLICT);
	ck_assert_int_eq(withdraw(&r, "2024-02-01", 2, "Wrong.", &already), PROBLEM_RULE);
	ck_assert_int_eq(withdraw(&r, "2024-02-01", 7, "Wrong.", &already), PROBLEM_NOT_FOUND);
	ck_assert_int_eq(number(&r, "SELECT count(*) FROM rulebook_withdrawal"), 1);
	railway_remove(&r);
}
END_TEST

START_TEST(what_was_withdrawn_is_adopted_anew_when_it_is_sent_again)
{
	struct railway r;
	bool already;

	railway_make(&r, "2024-01-01");
	adopt(&r, "2024-01-01", "2024-01-01", 100);
	ck_assert_int_eq(withdraw(&r, "2024-01-01", 2, "Too early.", &already), PROBLEM_NONE);
	adopt(&r, "2024-01-01", "2024-01-01", 100);
	ck_assert_int_eq(number(&r, "SELECT max(version) FROM rulebook"), 3);
	adopt(&r, "2024-01-01", "2024-01-01", 100);    /* and once is enough */
	ck_assert_int_eq(number(&r, "SELECT max(version) FROM rulebook"), 3);
	railway_remove(&r);
}
END_TEST

/* Only due days are made again where every version since judges alike; not where one between was
 * stricter, although the newest judges as the one that a bond is kept under. */
START_TEST(a_stricter_version_between_has_the_whole_record_judged)
{
	struct railway r;
	struct recompute at;

	make(&r);
	adopt(&r, "2024-06-01", "2024-06-01", 60);
	adopt(&r, "2024-06-10", "2024-06-10", 100);
	at = follow(&r, "2024-06-10");
	ck_assert_int_eq(at.compared, 2);
	ck_assert(!at.alike);
	adopt(&r, "2024-07-01", "2024-07-01", 100);
	at = follow(&r, "2024-07-01");
	ck_assert_int_eq(at.compared, 4);
	ck_assert(at.alike);
	expect_content(&r, "2024-07-01", 0);
	railway_remove(&r);
}
END_TEST

/* As the first edition left it: another verdict and another grade, by its own formulas. */
static void make_first_edition(struct railway *r)
{
	change(r, "UPDATE bond_state SET edition = 1");
	change(r, "UPDATE bond_state SET grade = 4, reasons = 2 WHERE bond_id = 1");
	change(r, "UPDATE reading_state SET said = said | (3 << 24) WHERE inspection_id = 1");
	change(r, "DELETE FROM due_cell");
	ck_assert(store_begin(r->store, &(struct problem){ 0 }) &&
		store_due_count_make(r->store, &(struct problem){ 0 }) &&
		store_commit(r->store, &(struct problem){ 0 }));
	change(r, "UPDATE derived_mark SET value = 1 WHERE name = 'edition'");
	change(r, "UPDATE derived_mark SET value = 2 WHERE name = 'recomputed'");   /* of before */
	store_close(r->store);
	r->store = register_open(&r->file, STORE_WRITE);
}

static struct recompute_progress progress_of(struct railway *r, const char *today)
{
	struct recompute_progress progress;
	struct problem why = { 0 };

	railway_begin(r, today);
	ck_assert(recompute_progress(r->store, r->view.rulebook, &progress, &why));
	railway_end(r);
	return progress;
}

START_TEST(another_edition_of_the_rules_is_followed_and_what_the_former_said_stays)
{
	struct railway r;
	int64_t inspection = make(&r);
	struct recompute_progress progress;
	struct grade_former grade;
	struct verdict_former verdict;
	size_t count;

	ck_assert(progress_of(&r, "2024-05-01").is_followed);
	make_first_edition(&r);
	progress = progress_of(&r, "2024-05-02");
	ck_assert(!progress.is_followed && progress.is_new_edition);
	ck_assert_int_eq(progress.bonds, 0);
	ck_assert_int_eq(progress.of, 2);
	ck_assert_int_eq(grade_of(&r, 1), GRADE_ACT);   /* served as it was meanwhile */
	expect_content(&r, "2024-05-02", 2);
	follow(&r, "2024-05-02");
	progress = progress_of(&r, "2024-05-02");
	ck_assert(progress.is_followed && !progress.is_new_edition);
	ck_assert_int_eq(grade_of(&r, 1), GRADE_SOUND);
	grade = former_grade(&r, 1, &count);
	ck_assert_uint_eq(count, 1);
	ck_assert_int_eq(grade.grade, GRADE_ACT);
	ck_assert_int_eq(grade.rulebook_version, 2);
	ck_assert_int_eq(grade.edition, 1);
	verdict = former_verdict(&r, inspection, &count);
	ck_assert_uint_eq(count, 1);
	ck_assert_int_eq(verdict.verdict, VERDICT_OVER);
	ck_assert_int_eq(verdict.edition, 1);
	former_grade(&r, 2, &count);
	ck_assert_uint_eq(count, 0);
	expect_content(&r, "2024-05-02", 0);
	/* opened again: nothing is to be made */
	store_close(r.store);
	r.store = register_open(&r.file, STORE_WRITE);
	ck_assert(progress_of(&r, "2024-05-02").is_followed);
	railway_remove(&r);
}
END_TEST

START_TEST(a_program_that_was_stopped_half_way_goes_on)
{
	struct railway r;

	make(&r);
	make_first_edition(&r);
	/* as after a piece: one is made, the other is not */
	change(&r, "UPDATE bond_state SET edition = 2 WHERE bond_id = 2");
	store_close(r.store);
	r.store = register_open(&r.file, STORE_WRITE);
	expect_content(&r, "2024-05-02", 1);
	follow(&r, "2024-05-02");
	expect_content(&r, "2024-05-02", 0);
	railway_remove(&r);
}
END_TEST

START_TEST(an_entry_that_changes_a_grade_leaves_no_former_one)
{
	struct railway r;
	size_t count;

	make(&r);
	railway_begin(&r, "2024-05-10");
	railway_measure(&r, 3, 1, "2024-05-09", 130);    /* U = 3.16: over 100 */
	railway_end(&r);
	ck_assert_int_eq(grade_of(&r, 1), GRADE_ACT);
	former_grade(&r, 1, &count);
	ck_assert_uint_eq(count, 0);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		what_a_withdrawn_version_alone_called_over_is_over_no_more_and_both_are_kept,
		a_trial_counts_what_a_withdrawal_has_made_stale,
		a_version_between_is_withdrawn_and_all_is_made_again,
		a_withdrawal_is_refused_where_nothing_would_hold_and_kept_once,
		what_was_withdrawn_is_adopted_anew_when_it_is_sent_again,
		a_stricter_version_between_has_the_whole_record_judged,
		another_edition_of_the_rules_is_followed_and_what_the_former_said_stays,
		a_program_that_was_stopped_half_way_goes_on,
		an_entry_that_changes_a_grade_leaves_no_former_one, NULL };

	return case_run("formerly", tests);
}
