/*
 * A slip that is corrected. By its author it counts at once; by somebody else what it makes better
 * counts once an engineer has confirmed it; both stay readable. What is corrected of another bond
 * improves nothing.
 */
#include "case.h"
#include "service/importing.h"
#include "service/story.h"
#include "store/sql.h"

/* How many corrections for the better there are, and how many of them wait. */
static void expect_better(struct story *s, int64_t all, int64_t waiting)
{
	struct problem why = { 0 };
	int64_t n = -1, open = -1;

	ck_assert(sql_integer(s->r.store, "SELECT count(*) FROM correction_better", NULL, 0, -1, &n,
		&why) && sql_integer(s->r.store, "SELECT count(*) FROM correction_open", NULL, 0, -1, &open,
		&why));
	ck_assert_int_eq(n, all);
	ck_assert_int_eq(open, waiting);
	ck_assert_uint_eq(importing_count(&s->r, &better_list), (size_t)all);
}

static void expect_refused(const struct story *s, const char *field, const char *part)
{
	ck_assert_uint_eq(s->why.count, 1);
	ck_assert_str_eq(s->why.item[0].field, field);
	ck_assert_msg(strstr(s->why.item[0].detail, part) != NULL, "%s", s->why.item[0].detail);
}

/* A bond that Bo has found over its limit on 1 March, 8 for 6: his visit's id into wrong. */
static int64_t slipped(struct story *s, char wrong[UUID_TEXT_SIZE])
{
	int64_t bond;

	story_make(s);
	bond = story_bond(s, "X1", "1+000", "2020-03-01");
	railway_must(story_visit(s, (struct story_visit){ s->bo, bond, "2024-03-01", NULL, 820 }),
		&s->why);
	memcpy(wrong, s->uuid, UUID_TEXT_SIZE);
	STORY_IS(s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	return bond;
}

static bool correct(struct story *s, int64_t by, int64_t bond, const char *today,
	const char *corrects, double uohm, const char *reason)
{
	return story_visit(s, (struct story_visit){ .by = by, .bond = bond, .today = today,
		.day = "2024-03-01", .uohm = uohm, .corrects = corrects, .reason = reason });
}

START_TEST(its_author_corrects_it_after_a_week_with_a_reason_and_it_counts_at_once)
{
	struct story s;
	char wrong[UUID_TEXT_SIZE];
	int64_t bond = slipped(&s, wrong);

	ck_assert(!correct(&s, s.bo, bond, "2024-03-08", wrong, 602, NULL));
	expect_refused(&s, "reason", "sound instead of act");
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	ck_assert_uint_eq(importing_count(&s.r, &inspection_list), 1);
	expect_better(&s, 0, 0);
	railway_must(correct(&s, s.bo, bond, "2024-03-08", wrong, 602, "Typed 820 for 602."), &s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	expect_better(&s, 1, 0);
	ck_assert_uint_eq(importing_count(&s.r, &inspection_list), 2);
	ck_assert(!correct(&s, s.bo, bond, "2024-03-09", wrong, 603, "Again."));
	expect_refused(&s, "corrects", "corrected before");
	story_over(&s, "2024-03-10");
}
END_TEST

START_TEST(somebody_else_corrects_it_and_it_stands_until_an_engineer_confirms)
{
	struct story s;
	char wrong[UUID_TEXT_SIZE], right[UUID_TEXT_SIZE];
	int64_t bond = slipped(&s, wrong);

	ck_assert(!correct(&s, s.ada, bond, "2024-03-08", wrong, 602, NULL));
	expect_refused(&s, "reason", "sound instead of act");
	railway_must(correct(&s, s.ada, bond, "2024-03-08", wrong, 602, "The sheet says so."), &s.why);
	memcpy(right, s.uuid, sizeof right);
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	expect_better(&s, 1, 1);
	ck_assert_uint_eq(importing_count(&s.r, &inspection_list), 2);
	story_content(&s, "2024-03-20");
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	story_confirm(&s, "2024-03-20", SENT_INSPECTION, right);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	expect_better(&s, 1, 0);
	ck_assert_uint_eq(importing_count(&s.r, &inspection_list), 2);
	story_over(&s, "2024-03-21");
}
END_TEST

START_TEST(for_the_worse_it_counts_at_once_whoever_makes_it)
{
	struct story s;
	int64_t bond;
	char first[UUID_TEXT_SIZE];

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-03-01", NULL, 602 }),
		&s.why);
	memcpy(first, s.uuid, sizeof first);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	railway_must(correct(&s, s.ada, bond, "2024-03-08", first, 820, NULL), &s.why);
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	expect_better(&s, 0, 0);
	story_over(&s, "2024-03-10");
}
END_TEST

/* Ada writes 830 for Bo's 820, which makes nothing better, and then corrects what is now her
 * own. */
START_TEST(what_somebody_else_wrote_first_is_not_ones_own_by_a_correction_between)
{
	struct story s;
	char wrong[UUID_TEXT_SIZE], between[UUID_TEXT_SIZE], right[UUID_TEXT_SIZE];
	int64_t bond = slipped(&s, wrong);

	railway_must(correct(&s, s.ada, bond, "2024-03-08", wrong, 830, NULL), &s.why);
	memcpy(between, s.uuid, sizeof between);
	railway_must(correct(&s, s.ada, bond, "2024-03-09", between, 602, "Looked again."), &s.why);
	memcpy(right, s.uuid, sizeof right);
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	expect_better(&s, 1, 1);
	story_confirm(&s, "2024-03-10", SENT_INSPECTION, right);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	story_over(&s, "2024-03-11");
}
END_TEST

static bool break_down(struct story *s, int64_t by, int64_t bond, const char *today,
	enum failure_mode mode, const char *corrects, const char *reason)
{
	return story_fail(s, (struct story_failure){ by, bond, today, "2024-03-01", mode, corrects,
		reason });
}

static bool mend(struct story *s, int64_t by, const char *today, const char *failure,
	const char *day, const char *corrects, const char *reason)
{
	return story_mend(s, (struct story_repair){ by, today, day, failure, corrects, reason });
}

static void sound(struct story *s, int64_t bond, const char *day)
{
	railway_must(story_visit(s, (struct story_visit){ s->bo, bond, day, NULL, 602 }), &s->why);
}

START_TEST(a_failure_moved_to_another_bond_counts_at_neither_until_it_is_confirmed)
{
	struct story s;
	int64_t one, other;
	char wrong[UUID_TEXT_SIZE], moved[UUID_TEXT_SIZE];

	story_make(&s);
	one = story_bond(&s, "X1", "1+000", "2020-03-01");
	other = story_bond(&s, "X2", "2+000", "2020-03-01");
	sound(&s, one, "2024-02-01");
	sound(&s, other, "2024-02-01");
	railway_must(break_down(&s, s.bo, one, "2024-03-01", FAILURE_CABLE_BROKEN, "", NULL), &s.why);
	memcpy(wrong, s.uuid, sizeof wrong);
	STORY_IS(&s, one, ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(NO_EVIDENCE), ACT, "2024-03-15");
	ck_assert(!break_down(&s, s.ada, other, "2024-03-08", FAILURE_CABLE_BROKEN, wrong, NULL));
	expect_refused(&s, "reason", "sound instead of act");
	STORY_IS(&s, other, SOUND, 0, AFTER_INSPECTION, "2025-02-01");
	railway_must(break_down(&s, s.ada, other, "2024-03-08", FAILURE_CABLE_BROKEN, wrong, "Labels."),
		&s.why);
	memcpy(moved, s.uuid, sizeof moved);
	STORY_IS(&s, one, ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(NO_EVIDENCE), ACT, "2024-03-15");
	STORY_IS(&s, other, SOUND, 0, AFTER_INSPECTION, "2025-02-01");
	story_content(&s, "2024-03-08");
	story_confirm(&s, "2024-03-09", SENT_FAILURE, moved);
	STORY_IS(&s, one, SOUND, 0, AFTER_INSPECTION, "2025-02-01");
	STORY_IS(&s, other, ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(NO_EVIDENCE), ACT, "2024-03-15");
	story_over(&s, "2024-03-10");
}
END_TEST

/* Made good on the 20th, said Bo; read on the 12th. Were it made good on the 10th, that would
 * do. */
START_TEST(an_earlier_day_of_a_repair_waits_for_the_engineer_too)
{
	struct story s;
	int64_t bond;
	char failure[UUID_TEXT_SIZE], repair[UUID_TEXT_SIZE], earlier[UUID_TEXT_SIZE];

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	sound(&s, bond, "2024-02-01");
	railway_must(break_down(&s, s.bo, bond, "2024-03-01", FAILURE_CABLE_BROKEN, "", NULL), &s.why);
	memcpy(failure, s.uuid, sizeof failure);
	sound(&s, bond, "2024-03-12");
	railway_must(mend(&s, s.bo, "2024-03-20", failure, "2024-03-20", "", NULL), &s.why);
	memcpy(repair, s.uuid, sizeof repair);
	STORY_IS(&s, bond, ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE), ACT, "2024-03-15");
	ck_assert(!mend(&s, s.ada, "2024-03-21", failure, "2024-03-10", repair, NULL));
	expect_refused(&s, "reason", "sound instead of act");
	railway_must(mend(&s, s.ada, "2024-03-21", failure, "2024-03-10", repair, "The log."), &s.why);
	memcpy(earlier, s.uuid, sizeof earlier);
	STORY_IS(&s, bond, ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE), ACT, "2024-03-15");
	expect_better(&s, 1, 1);
	story_confirm(&s, "2024-03-22", SENT_REPAIR, earlier);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-12");
	story_over(&s, "2024-03-23");
}
END_TEST

static bool attach(struct story *s, int64_t by, int64_t bond, const char *today, int hammer,
	const char *corrects, const char *reason)
{
	return story_attach(s, (struct story_end){ by, bond, today, "2024-03-01", END_A, hammer, NULL,
		corrects, reason });
}

START_TEST(a_failed_strength_test_is_corrected_by_the_same_rule)
{
	struct story s;
	int64_t bond;
	char wrong[UUID_TEXT_SIZE], right[UUID_TEXT_SIZE];

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	railway_must(attach(&s, s.bo, bond, "2024-03-01", 0, "", NULL), &s.why);
	memcpy(wrong, s.uuid, sizeof wrong);
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-03-01", NULL, 602,
		PURPOSE_COMMISSIONING }), &s.why);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	ck_assert(!attach(&s, s.ada, bond, "2024-03-08", 1, wrong, NULL));
	expect_refused(&s, "reason", "instead of act");
	railway_must(attach(&s, s.ada, bond, "2024-03-08", 1, wrong, "It rang."), &s.why);
	memcpy(right, s.uuid, sizeof right);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	expect_better(&s, 1, 1);
	story_confirm(&s, "2024-03-09", SENT_ATTACHMENT, right);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	story_over(&s, "2024-03-10");
}
END_TEST

START_TEST(what_names_an_entry_of_another_bond_improves_neither)
{
	struct story s;
	char wrong[UUID_TEXT_SIZE], made[UUID_TEXT_SIZE], one_failed[UUID_TEXT_SIZE],
		other_failed[UUID_TEXT_SIZE], mended[UUID_TEXT_SIZE];
	int64_t bond = slipped(&s, wrong), other = story_bond(&s, "X2", "2+000", "2020-03-01");

	ck_assert(!correct(&s, s.bo, other, "2024-03-08", wrong, 602, "Of another."));
	expect_refused(&s, "corrects", "another bond");
	railway_must(attach(&s, s.bo, bond, "2024-03-01", 0, "", NULL), &s.why);
	memcpy(made, s.uuid, sizeof made);
	ck_assert(!attach(&s, s.bo, other, "2024-03-08", 1, made, "Of another."));
	expect_refused(&s, "corrects", "");
	railway_must(break_down(&s, s.bo, bond, "2024-03-01", FAILURE_BURNT, "", NULL), &s.why);
	memcpy(one_failed, s.uuid, sizeof one_failed);
	railway_must(break_down(&s, s.bo, other, "2024-03-01", FAILURE_BURNT, "", NULL), &s.why);
	memcpy(other_failed, s.uuid, sizeof other_failed);
	railway_must(mend(&s, s.bo, "2024-03-05", one_failed, "2024-03-05", "", NULL), &s.why);
	memcpy(mended, s.uuid, sizeof mended);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	/* the repair was of the other: there it is made good and not proved, here it is open again */
	railway_must(mend(&s, s.bo, "2024-03-08", other_failed, "2024-03-05", mended, "Of another."),
		&s.why);
	ck_assert_uint_ne(story_state(&s, bond).grade.reasons & BECAUSE(FAILURE_OPEN), 0);
	ck_assert_uint_ne(story_state(&s, other).grade.reasons & BECAUSE(FAILURE_NOT_PROVED), 0);
	ck_assert_int_eq(story_state(&s, other).grade.grade, GRADE_ACT);
	expect_better(&s, 0, 0);
	story_over(&s, "2024-03-10");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		its_author_corrects_it_after_a_week_with_a_reason_and_it_counts_at_once,
		somebody_else_corrects_it_and_it_stands_until_an_engineer_confirms,
		for_the_worse_it_counts_at_once_whoever_makes_it,
		what_somebody_else_wrote_first_is_not_ones_own_by_a_correction_between,
		a_failure_moved_to_another_bond_counts_at_neither_until_it_is_confirmed,
		an_earlier_day_of_a_repair_waits_for_the_engineer_too,
		a_failed_strength_test_is_corrected_by_the_same_rule,
		what_names_an_entry_of_another_bond_improves_neither, NULL };

	return case_run("corrections", tests);
}
