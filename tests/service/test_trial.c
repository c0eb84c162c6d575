/* What a rulebook would change, counted. The railway's days are worked by hand. */
#include "case.h"
#include "derived/rulebook_trial.h"
#include "service/railway.h"

static struct trial_bond moved(int64_t id, int64_t line_id, enum due_state before,
	enum due_state after, int32_t from_day, int32_t to_day)
{
	return (struct trial_bond){ id, line_id,
		{ before, { before, DUE_NOT }, from_day, GRADE_SOUND, { VERDICT_WITHIN, -1, -1, -1 } },
		{ after, { after, DUE_NOT }, to_day, GRADE_SOUND, { VERDICT_WITHIN, -1, -1, -1 } } };
}

START_TEST(counts_states_days_lines_and_which)
{
	struct trial_count c = { 0 };
	struct trial_bond b = moved(1, 3, DUE_LATER, DUE_OVERDUE, 1000, 969);

	ck_assert(trial_count_add(&c, &b));                 /* 31 days: the first step */
	b = moved(2, 3, DUE_SOON, DUE_SOON, 1000, 1032);    /* 32 days: the second */
	ck_assert(trial_count_add(&c, &b));
	b = moved(3, 1, DUE_OVERDUE, DUE_LATER, 1000, 9000);
	b.after.grade = GRADE_WATCH;
	b.after.verdict[0] = VERDICT_UNPROVEN;
	b.after.of[DUE_MENDING] = DUE_SOON;                 /* to be mended then, and due later */
	ck_assert(trial_count_add(&c, &b));
	ck_assert_int_eq(c.bonds, 3);
	ck_assert_int_eq(c.due_of[DUE_INSPECTION][DUE_OVERDUE][DUE_LATER], 1);
	ck_assert_int_eq(c.due_of[DUE_MENDING][DUE_NOT][DUE_SOON], 1);
	ck_assert_int_eq(c.due_of[DUE_MENDING][DUE_NOT][DUE_NOT], 2);
	ck_assert_int_eq(c.due[DUE_LATER][DUE_OVERDUE], 1);
	ck_assert_int_eq(c.due[DUE_SOON][DUE_SOON], 1);
	ck_assert_int_eq(c.earlier[0], 1);
	ck_assert_int_eq(c.later[1], 1);
	ck_assert_int_eq(c.later[TRIAL_STEPS - 1], 1);
	ck_assert_int_eq(c.verdict[VERDICT_WITHIN][VERDICT_WITHIN], 2);
	ck_assert_int_eq(c.verdict[VERDICT_WITHIN][VERDICT_UNPROVEN], 1);
	ck_assert_int_eq(c.grade[GRADE_SOUND][GRADE_WATCH], 1);
	ck_assert_int_eq(c.lines[3].overdue_after - c.lines[3].overdue_before, 1);
	ck_assert_int_eq(c.lines[1].overdue_after - c.lines[1].overdue_before, -1);
	ck_assert_int_eq(c.lines[1].verdicts, 1);
	ck_assert_uint_eq(c.overdue.count, 1);
	ck_assert_int_eq(c.overdue.bonds[0].bond_id, 1);
	ck_assert_int_eq(c.grades.bonds[0].bond_id, 3);
	ck_assert_int_eq(c.verdicts.bonds[0].bond_id, 3);
	trial_count_release(&c);
}
END_TEST

/* Each worker has every other bond; the lists have the lowest numbers of all. */
START_TEST(joins_what_two_counted)
{
	struct trial_count one = { 0 }, other = { 0 };

	for (int64_t id = 1; id <= 2 * TRIAL_LISTED; id++) {
		struct trial_bond b = moved(id, id % 7, DUE_LATER, DUE_OVERDUE, 1000, 900);

		ck_assert(trial_count_add(id % 2 == 0 ? &one : &other, &b));
	}
	ck_assert(trial_count_join(&one, &other));
	ck_assert_int_eq(one.bonds, 2 * TRIAL_LISTED);
	ck_assert_int_eq(one.overdue.all, 2 * TRIAL_LISTED);
	ck_assert_uint_eq(one.overdue.count, TRIAL_LISTED);
	ck_assert_int_eq(one.overdue.bonds[0].bond_id, 1);
	ck_assert_int_eq(one.overdue.bonds[TRIAL_LISTED - 1].bond_id, TRIAL_LISTED);
	ck_assert_int_eq(one.due_of[DUE_INSPECTION][DUE_LATER][DUE_OVERDUE], 2 * TRIAL_LISTED);
	ck_assert_int_eq(one.earlier[2], 2 * TRIAL_LISTED);   /* 100 days: over 92, up to 184 */
	ck_assert_int_eq(one.lines[0].bonds, 285);            /* 7, 14 ... 1995 */
	trial_count_release(&one);
	trial_count_release(&other);
}
END_TEST

static void inspect(struct railway *r, int64_t bond_id, int n, const char *day)
{
	struct inspection_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&inspection_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.day = railway_day(day);
	form.seen_a = form.seen_b = SEEN_GOOD;
	railway_must(inspection_record(&r->act, &form, &recorded, &why), &why);
}

static void try(struct railway *r, const struct rulebook *then, struct trial_count *count)
{
	struct progress progress = { 0 };
	struct rulebook_trial trial;
	struct problem why = { 0 };

	ck_assert_msg(rulebook_trial_begin(r->store, railway_day("2026-01-01"), then, &progress,
		&trial, &why) && rulebook_trial_work(&trial, r->store, count, &why), "%s", why.detail);
	ck_assert_int_ge(atomic_load(&progress.done), atomic_load(&progress.of));
}

/* Rail joints, 12 months: inspected 2025-05-10 due 2026-05-10, under six months 2025-11-10 and with
 * 14 days of grace overdue; inspected 2025-07-01, due on the day itself under six months. */
static void make(struct railway *r)
{
	railway_make(r, "2026-01-01");
	railway_seen_is_enough(r, "2026-01-01");
	railway_begin(r, "2026-01-01");
	inspect(r, railway_add_bond(r, "B1", "1+000"), 1, "2025-05-10");
	inspect(r, railway_add_bond(r, "B2", "2+000"), 2, "2025-07-01");
	railway_end(r);
}

START_TEST(says_what_would_change_today_and_changes_nothing)
{
	struct railway r;
	struct rulebook then = rulebook_default();
	struct trial_count count = { 0 };
	int64_t before;

	make(&r);
	then.proof[BOND_RAIL_JOINT] = PROOF_SEEN;
	before = store_changes(r.store);
	try(&r, &then, &count);
	ck_assert_int_eq(count.due[DUE_LATER][DUE_LATER], 2);
	trial_count_release(&count);
	then.interval_months[BOND_RAIL_JOINT][CRITICALITY_NORMAL] = 6;
	try(&r, &then, &count);
	ck_assert_int_eq(count.bonds, 2);
	ck_assert_int_eq(count.due[DUE_LATER][DUE_OVERDUE], 1);
	ck_assert_int_eq(count.due[DUE_LATER][DUE_DUE], 1);
	ck_assert_int_eq(count.overdue.bonds[0].before.due_day, railway_day("2026-05-10"));
	ck_assert_int_eq(count.overdue.bonds[0].after.due_day, railway_day("2025-11-10"));
	ck_assert_int_eq(count.earlier[2], 2);   /* 181 and 184 days */
	ck_assert_int_eq(store_changes(r.store), before);
	trial_count_release(&count);
	railway_remove(&r);
}
END_TEST

START_TEST(ends_when_nobody_waits_for_it)
{
	struct railway r;
	const struct rulebook then = rulebook_default();
	struct trial_count count = { 0 };
	struct progress progress = { 0 };
	struct rulebook_trial trial;
	struct problem why = { 0 };

	make(&r);
	ck_assert(rulebook_trial_begin(r.store, railway_day("2026-01-01"), &then, &progress, &trial,
		&why));
	atomic_store(&progress.stop, true);
	ck_assert(!rulebook_trial_work(&trial, r.store, &count, &why));
	ck_assert_int_eq(why.code, PROBLEM_BUSY);
	trial_count_release(&count);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { counts_states_days_lines_and_which, joins_what_two_counted,
		says_what_would_change_today_and_changes_nothing, ends_when_nobody_waits_for_it, NULL };

	return case_run("trial", tests);
}
