/*
 * What proves a bond, by its kind: what lies in parallel proves nothing.
 *
 * The joint bond of the figures: conductor 74 µΩ, two contacts of 10, so that its limit is
 * (74 + 2 × 10) + 20 % = 112.8 µΩ and that of a contact 10 + 20 % = 12 µΩ.
 */
#include <math.h>

#include "case.h"
#include "rules/record.h"

static struct record *with_cable(enum bond_kind kind, int64_t cables)
{
	struct record *r = record_of(kind);

	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		r->rulebook.limits[k] = (struct rulebook_limits){ 20, 10, NAN, NAN, 5, NAN,
			{ NAN, NAN, NAN } };
	}
	r->facts.limit.cables = cables;
	r->facts.limit.cable_uohm_per_m = 74 * (double)cables;
	r->facts.limit.length_m = 1;
	r->facts.limit.rail_between_joints_m = 18;   /* 5 % of it: 0.9 m */
	return r;
}

static struct record *joint(void)
{
	return with_cable(BOND_RAIL_JOINT, 1);
}

START_TEST(a_joint_bond_is_proved_by_both_contacts_and_by_sight)
{
	struct record *r = joint();
	struct judge_visit *v = contacts(r, FIRST, PURPOSE_ROUTINE, 9, 9);

	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.proof_day, FIRST);
	v->cables_whole = -1;
	expect(r, GRADE_UNKNOWN, BECAUSE(NOT_SEEN_WHOLE));
	v->cables_whole = 1;
	v->seen_b = -1;
	expect(r, GRADE_UNKNOWN, BECAUSE(NOT_SEEN_WHOLE));
	v->seen_b = SEEN_NOT_VISIBLE;
	expect(r, GRADE_UNKNOWN, BECAUSE(NOT_SEEN_WHOLE));
	v->seen_b = SEEN_CORRODED;
	expect(r, GRADE_UNKNOWN, BECAUSE(NOT_SEEN_WHOLE) | BECAUSE(DEFECT));
	v->seen_b = SEEN_GOOD;
	v->outcome = OUTCOME_PARTLY;
	expect(r, GRADE_SOUND, 0);
	v->cables_whole = -1;
	visit(r, FIRST + 1, PURPOSE_ROUTINE)->outcome = OUTCOME_NOT_REACHED;   /* who saw nothing */
	expect(r, GRADE_UNKNOWN, BECAUSE(NOT_SEEN_WHOLE));
	v->cables_whole = 1;
	r->facts.n_readings = 1;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
}
END_TEST

START_TEST(its_proof_is_as_old_as_the_oldest_part_of_it)
{
	struct record *r = joint();

	contacts(r, FIRST, PURPOSE_ROUTINE, 9, 9);
	visit(r, FIRST + 100, PURPOSE_ROUTINE);
	reads(r, QUANTITY_CONTACT_A, 9);
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.proof_day, FIRST);
	reads(r, QUANTITY_CONTACT_B, 9);
	ck_assert_int_eq(judged(r)->proof_day, FIRST + 100);
	r->visits[1].cables_whole = -1;            /* last seen whole on the first day */
	ck_assert_int_eq(judged(r)->proof_day, FIRST);
	/* a shift that says a later day counts as of its arrival */
	r->visits[0].counted_day = FIRST - 30;
	ck_assert_int_eq(judged(r)->proof_day, FIRST - 30);
}
END_TEST

/* A broken cable: what is read is the fishplate, so many times the conductor's 74. Each is under
 * the limit of 112.8, and the last two could be a good bond. */
static const double fishplate[] = { 0.05, 0.25, 0.7, 0.9, 1.1 };

START_TEST(a_fishplate_beside_a_broken_cable_is_never_within)
{
	for (size_t i = 0; i < sizeof fishplate / sizeof fishplate[0]; i++) {
		struct record *r = joint();

		measure(r, FIRST, 74 * fishplate[i]);
		r->visits[0].cables_whole = -1;
		judged(r);
		ck_assert_int_eq(r->readings[0].verdict, VERDICT_NONE);
		ck_assert_int_eq(r->readings[0].would, VERDICT_WITHIN);
		ck_assert(r->readings[0].only_over);
		ck_assert_int_eq(r->readings[0].parallel, fishplate[i] < 0.8);
		expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE) | BECAUSE(NOT_SEEN_WHOLE));
		/* with good contacts, and nobody looked at the cable */
		contacts(r, FIRST, PURPOSE_ROUTINE, 9, 9)->cables_whole = -1;
		expect(r, GRADE_UNKNOWN, BECAUSE(NOT_SEEN_WHOLE));
		/* somebody did */
		r->visits[1].cables_whole = 0;
		expect(r, GRADE_ACT, BECAUSE(CRITICAL_DEFECT) | BECAUSE(NOT_SEEN_WHOLE));
		ck_assert_int_eq(r->is.items[0].key, ACT_CABLE_LOST);
	}
}
END_TEST

/* By rail drop: the joint adds 0.2 to 0.7 m of rail where 0.9 are allowed. */
START_TEST(a_fishplate_is_never_within_by_rail_drop_either)
{
	for (size_t i = 0; i < sizeof fishplate / sizeof fishplate[0]; i++) {
		struct record *r = joint();

		visit(r, FIRST, PURPOSE_ROUTINE);
		reads(r, QUANTITY_RAIL_DROP, 0.6 * fishplate[i]);
		judged(r);
		ck_assert_int_eq(r->readings[0].would, VERDICT_WITHIN);
		ck_assert_int_eq(r->readings[0].verdict, VERDICT_NONE);
		expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
		r->rulebook.proof[BOND_RAIL_JOINT] = PROOF_IN_CIRCUIT;
		expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	}
}
END_TEST

START_TEST(in_circuit_a_joint_is_over_all_the_same)
{
	struct record *r = joint();

	contacts(r, FIRST, PURPOSE_ROUTINE, 9, 9);
	measure(r, FIRST + 1, 112.8);
	expect(r, GRADE_WATCH, BECAUSE(UNPROVEN));
	r->readings[2].values.shown_uohm = 118;
	expect(r, GRADE_ACT, BECAUSE(OVER));
	r->readings[2].values.shown_uohm = 107.79; /* within, were it alone */
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->readings[2].verdict, VERDICT_NONE);
	visit(r, FIRST + 2, PURPOSE_ROUTINE);
	reads(r, QUANTITY_RAIL_DROP, 1.1)->meter.percent = 1;   /* 1.1 - 2 % of 1.6 over 0.9 */
	expect(r, GRADE_ACT, BECAUSE(OVER));
}
END_TEST

/* Both fishplates off: then it is the bond, and within, but this kind is proved by its contacts. */
START_TEST(a_joint_that_was_opened_reads_within_and_is_still_proved_by_its_contacts)
{
	struct record *r = joint();

	measure(r, FIRST, 84);
	r->visits[0].alone = true;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	ck_assert_int_eq(r->readings[0].verdict, VERDICT_WITHIN);
	r->rulebook.proof[BOND_RAIL_JOINT] = PROOF_END_TO_END;
	expect(r, GRADE_SOUND, 0);
	r->visits[0].alone = false;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	ck_assert_int_eq(r->readings[0].verdict, VERDICT_NONE);
}
END_TEST

/* 0.8 of 74 is 59.2. */
START_TEST(a_railway_may_take_a_joint_in_circuit_but_not_below_0_8_of_its_conductor)
{
	struct record *r = joint();

	r->rulebook.proof[BOND_RAIL_JOINT] = PROOF_IN_CIRCUIT;
	measure(r, FIRST, 59.2);
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->readings[0].verdict, VERDICT_WITHIN);
	for (size_t i = 0; i < 3; i++) {           /* 0.05, 0.25 and 0.7 */
		r->readings[0].values.shown_uohm = 74 * fishplate[i];
		expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
		ck_assert_int_eq(r->readings[0].verdict, VERDICT_NONE);
	}
	r->readings[0].values.shown_uohm = 59.199;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	ck_assert(r->readings[0].parallel);
	ck_assert(isnan(r->is.baseline[QUANTITY_END_TO_END]));
}
END_TEST

START_TEST(another_kind_in_circuit_counts_unless_it_shows_a_parallel_path)
{
	struct record *r = with_cable(BOND_TRACK_CROSS, 1);

	commission(r, FIRST, 59.199);
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	ck_assert_int_eq(r->readings[0].verdict, VERDICT_NONE);
	ck_assert(isnan(r->is.baseline[QUANTITY_END_TO_END]));
	ck_assert(isnan(r->is.compared[QUANTITY_END_TO_END]));
	ck_assert_int_eq((int)r->is.trend[QUANTITY_END_TO_END].n, 0);
	r->readings[0].values.shown_uohm = 59.2;
	expect(r, GRADE_SOUND, 0);
	ck_assert_double_eq(r->is.baseline[QUANTITY_END_TO_END], 59.2);
	r->readings[0].values.shown_uohm = 50;
	r->visits[0].alone = true;                 /* lower than it should be, and nothing beside it */
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(where_the_conductor_is_not_known_0_8_of_the_commissioning_value_counts)
{
	struct record *r = record();

	commission(r, FIRST, 60);
	measure(r, FIRST + 1, 48);
	judged(r);
	ck_assert(!r->readings[1].parallel);
	r->readings[1].values.shown_uohm = 47.999;
	expect(r, GRADE_SOUND, 0);                 /* by the first */
	ck_assert(r->readings[1].parallel);
	ck_assert_int_eq(r->is.proof_day, FIRST);
}
END_TEST

/* Four cables of 296: three have 98.67, under 112.8, six of 444: five have 88.8. The absolute limit
 * decides whether a reading tells. */
START_TEST(one_cable_lost_of_four_or_six_is_not_told_by_a_reading_but_by_sight)
{
	const double without_one[] = { 98.6666667, 88.8 };

	for (int i = 0; i < 2; i++) {
		int64_t n = i == 0 ? 4 : 6;
		struct record *r = with_cable(BOND_FEEDER_LEAD, n);
		double *limit = r->rulebook.limits[BOND_FEEDER_LEAD].absolute_uohm;

		measure(r, FIRST, 82);                     /* n cables and contacts of 4 */
		r->visits[0].cables_whole = -1;
		expect(r, GRADE_UNKNOWN, BECAUSE(CABLES_NOT_SEEN));
		r->visits[0].cables_whole = n;
		expect(r, GRADE_SOUND, 0);
		r->visits[0].cables_whole = n - 1;
		expect(r, GRADE_ACT, BECAUSE(CABLES_NOT_SEEN) | BECAUSE(CRITICAL_DEFECT));
		/* a limit that one lost cable passes needs nobody to count */
		r->visits[0].cables_whole = -1;
		r->rulebook.watch_percent = 100;
		limit[0] = limit[1] = limit[2] = without_one[i] + 0.001;
		expect(r, GRADE_UNKNOWN, BECAUSE(CABLES_NOT_SEEN));
		limit[0] = limit[1] = limit[2] = without_one[i] - 0.001;
		expect(r, GRADE_SOUND, 0);
	}
}
END_TEST

START_TEST(a_kind_that_needs_no_reading_is_proved_by_being_seen)
{
	struct record *r = with_cable(BOND_STRUCTURE, 1);

	r->rulebook.proof[BOND_STRUCTURE] = PROOF_SEEN;
	visit(r, FIRST, PURPOSE_ROUTINE)->cables_whole = -1;
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.proof_day, FIRST);
	ck_assert(!r->is.wants_reading);
	r->visits[0].seen_a = SEEN_NOT_VISIBLE;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	r->visits[0].seen_a = -1;
	expect(r, GRADE_UNKNOWN, BECAUSE(NO_EVIDENCE));
	r->visits[0].seen_a = SEEN_GOOD;
	failed(r, FAILURE_BURNT, -1, FIRST + 1, FIRST + 2);
	expect(r, GRADE_ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE));
	visit(r, FIRST + 3, PURPOSE_ROUTINE)->seen_a = SEEN_LOOSE;   /* seen, and not good */
	expect(r, GRADE_ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(CRITICAL_DEFECT));
	r->visits[1].seen_a = SEEN_GOOD;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

/* 36 months after 2024-10-04. */
START_TEST(a_contact_reading_keeps_no_old_end_to_end_reading_fresh)
{
	struct record *r = with_cable(BOND_RAIL_CROSS, 1);
	int32_t until = day_add_months(FIRST, 36);

	measure(r, FIRST, 80);
	contacts(r, FIRST + 900, PURPOSE_ROUTINE, 9, 9);
	expect(r, GRADE_SOUND, 0);
	ck_assert_int_eq(r->is.grade.evidence_until_day, until);
	ck_assert_int_eq(grade_on(GRADE_SOUND, until, until), GRADE_SOUND);
	ck_assert_int_eq(grade_on(GRADE_SOUND, until, until + 1), GRADE_UNKNOWN);
	expect_due(&r->is, DUE_PROOF_OLD, until);  /* the calendar has it at day 1265 */
}
END_TEST

START_TEST(made_good_is_act_until_it_is_proved_and_within)
{
	struct record *r = joint();

	contacts(r, FIRST, PURPOSE_ROUTINE, 9, 9);
	failed(r, FAILURE_CABLE_BROKEN, -1, FIRST + 100, FIRST + 101);
	expect(r, GRADE_ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE) |
		BECAUSE(NOT_SEEN_WHOLE));
	expect_due(&r->is, DUE_PROOF_LACKS, FIRST + 101);
	ck_assert_int_eq(r->is.due.mend_day, FIRST + 114);
	/* what is wanted of the kind, all of it, and good */
	measure(r, FIRST + 102, 80);
	expect(r, GRADE_ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE));
	contacts(r, FIRST + 103, PURPOSE_AFTER_FAILURE, 9, 11.5);
	expect(r, GRADE_ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(UNPROVEN));
	ck_assert_int_eq(r->is.due.mend_day, FIRST + 114);
	r->readings[4].values.shown_uohm = 9;
	expect(r, GRADE_SOUND, 0);
	/* on the day of the repair a routine reading came before it */
	r->facts.n_visits = 1, r->facts.n_readings = 2;
	contacts(r, FIRST + 101, PURPOSE_ROUTINE, 9, 9);
	judged(r);
	ck_assert_int_eq(r->is.grade.grade, GRADE_ACT);
	r->visits[1].purpose = PURPOSE_AFTER_FAILURE;
	expect(r, GRADE_SOUND, 0);
}
END_TEST

START_TEST(what_was_proved_once_after_a_repair_is_not_undone_by_a_later_doubt)
{
	struct record *r = record();

	measure(r, FIRST, 50);
	failed(r, FAILURE_CABLE_BROKEN, -1, FIRST + 100, FIRST + 101);
	measure(r, FIRST + 102, 60);
	measure(r, FIRST + 150, 98);
	expect(r, GRADE_WATCH, BECAUSE(UNPROVEN));
}
END_TEST

START_TEST(a_broken_cable_is_due_for_mending_and_not_for_what_it_was_due_long_ago)
{
	struct record *r = record();

	r->facts.due.installed_day = FIRST - 5000;
	measure(r, FIRST, 50);
	failed(r, FAILURE_CABLE_BROKEN, -1, FIRST + 100, DAY_NONE);
	expect(r, GRADE_ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(NO_EVIDENCE));
	expect_due(&r->is, DUE_ACT, FIRST + 114);
	ck_assert_int_eq(r->is.due.inspect_day, day_add_months(FIRST, 6));
}
END_TEST

START_TEST(what_was_not_reached_or_not_read_puts_off_no_commissioning)
{
	struct record *r = record();

	r->facts.register_began_day = FIRST - 10;
	expect_due(judged(r), DUE_COMMISSIONING, FIRST);
	visit(r, FIRST + 1, PURPOSE_ROUTINE)->outcome = OUTCOME_NOT_REACHED;
	expect_due(judged(r), DUE_COMMISSIONING, FIRST);
	r->visits[0].outcome = OUTCOME_COMPLETE;   /* seen, and nothing read */
	expect_due(judged(r), DUE_COMMISSIONING, FIRST);
	attach(r, END_A, FIRST + 5);               /* nor does a later attachment */
	expect_due(judged(r), DUE_COMMISSIONING, FIRST);
	commission(r, FIRST + 6, 50);
	expect_due(judged(r), DUE_AFTER_INSPECTION, day_add_months(FIRST + 6, 12));
	attach(r, END_A, FIRST + 20);
	expect_due(judged(r), DUE_COMMISSIONING, FIRST + 20);
	r->facts.register_began_day = FIRST + 20;
	expect_due(judged(r), DUE_COMMISSIONING, FIRST + 20);
	/* what was there before the register began is not */
	r->facts.register_began_day = FIRST + 21;
	judged(r);
	ck_assert_int_eq(r->is.due.basis, DUE_AFTER_INSPECTION);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_joint_bond_is_proved_by_both_contacts_and_by_sight,
		its_proof_is_as_old_as_the_oldest_part_of_it,
		a_fishplate_beside_a_broken_cable_is_never_within,
		a_fishplate_is_never_within_by_rail_drop_either, in_circuit_a_joint_is_over_all_the_same,
		a_joint_that_was_opened_reads_within_and_is_still_proved_by_its_contacts,
		a_railway_may_take_a_joint_in_circuit_but_not_below_0_8_of_its_conductor,
		another_kind_in_circuit_counts_unless_it_shows_a_parallel_path,
		where_the_conductor_is_not_known_0_8_of_the_commissioning_value_counts,
		one_cable_lost_of_four_or_six_is_not_told_by_a_reading_but_by_sight,
		a_kind_that_needs_no_reading_is_proved_by_being_seen,
		a_contact_reading_keeps_no_old_end_to_end_reading_fresh,
		made_good_is_act_until_it_is_proved_and_within,
		what_was_proved_once_after_a_repair_is_not_undone_by_a_later_doubt,
		a_broken_cable_is_due_for_mending_and_not_for_what_it_was_due_long_ago,
		what_was_not_reached_or_not_read_puts_off_no_commissioning, NULL };

	return case_run("proof", tests);
}
