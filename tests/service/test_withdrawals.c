/*
 * An entry is taken back: it stays readable and counts for nothing, and what it replaced counts
 * again. Whoever made it may do so at once; what somebody else made, and what makes the bond better
 * without it, waits for an engineer.
 */
#include "case.h"
#include "service/importing.h"
#include "service/record/withdrawal.h"
#include "service/record/work.h"
#include "service/story.h"
#include "store/record/spot.h"
#include "store/record/work.h"
#include "store/sql.h"

static bool withdraw(struct story *s, int64_t by, const char *today, enum sent_noun noun,
	const char *entry)
{
	struct withdrawal_new form;

	form_clear(&withdrawal_form, &form);
	snprintf(form.entry_id, sizeof form.entry_id, "%s", entry);
	story_uuid(s, form.uuid);
	form.entry = (int)noun;
	form.reason = "It was the bond beside it.";
	story_begin(s, by, today);
	return story_end(s, withdrawal_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void expect_refused(const struct story *s, const char *field, const char *part)
{
	ck_assert_uint_eq(s->why.count, 1);
	ck_assert_str_eq(s->why.item[0].field, field);
	ck_assert_msg(strstr(s->why.item[0].detail, part) != NULL, "%s", s->why.item[0].detail);
}

static int64_t count(struct story *s, const char *sql)
{
	struct problem why = { 0 };
	int64_t n = -1;

	ck_assert_msg(sql_integer(s->r.store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

/* A sound bond, read within its limit in March 2024 by Bo. */
static int64_t sound(struct story *s, char visit[UUID_TEXT_SIZE])
{
	int64_t bond;

	story_make(s);
	bond = story_bond(s, "X1", "1+000", "2020-03-01");
	railway_must(story_visit(s, (struct story_visit){ s->bo, bond, "2024-03-01", NULL, 602 }),
		&s->why);
	memcpy(visit, s->uuid, UUID_TEXT_SIZE);
	STORY_IS(s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	return bond;
}

START_TEST(a_failure_that_was_none_is_taken_back_by_who_reported_it)
{
	struct story s;
	char visit[UUID_TEXT_SIZE], failure[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(story_fail(&s, (struct story_failure){ s.bo, bond, "2024-04-01", NULL,
		FAILURE_CABLE_BROKEN }), &s.why);
	memcpy(failure, s.uuid, sizeof failure);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	railway_must(withdraw(&s, s.bo, "2024-04-02", SENT_FAILURE, failure), &s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	ck_assert_int_eq(story_state(&s, bond).failures_open, 0);
	ck_assert_uint_eq(importing_count(&s.r, &failure_list), 1);      /* it stays readable */
	ck_assert_uint_eq(importing_count(&s.r, &withdrawal_list), 1);
	ck_assert_uint_eq(importing_count(&s.r, &better_list), 1);       /* and in sight */
	ck_assert_int_eq(count(&s, "SELECT count(*) FROM correction_open WHERE withdrawn = 0"), 0);
	story_over(&s, "2024-04-03");
}
END_TEST

START_TEST(by_somebody_else_it_stands_until_an_engineer_confirms)
{
	struct story s;
	char visit[UUID_TEXT_SIZE], failure[UUID_TEXT_SIZE], withdrawal[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(story_fail(&s, (struct story_failure){ s.bo, bond, "2024-04-01", NULL,
		FAILURE_CABLE_BROKEN }), &s.why);
	memcpy(failure, s.uuid, sizeof failure);
	railway_must(withdraw(&s, s.ada, "2024-04-02", SENT_FAILURE, failure), &s.why);
	memcpy(withdrawal, s.uuid, sizeof withdrawal);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	ck_assert_int_eq(story_state(&s, bond).failures_open, 1);
	story_content(&s, "2024-04-03");
	ck_assert(!withdraw(&s, s.bo, "2024-04-03", SENT_FAILURE, failure));
	expect_refused(&s, "entry_id", "withdrawn before");
	story_confirm(&s, "2024-04-04", SENT_WITHDRAWAL, withdrawal);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	story_over(&s, "2024-04-05");
}
END_TEST

/* What the bond was before the visit it is again: no later day, no better grade. */
START_TEST(a_visit_that_was_none_leaves_the_bond_as_it_was_before)
{
	struct story s;
	char visit[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2025-02-01", NULL, 610 }),
		&s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2026-02-01");
	railway_must(withdraw(&s, s.ada, "2025-02-02", SENT_INSPECTION, s.uuid), &s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");    /* for the worse: at once */
	ck_assert_uint_eq(importing_count(&s.r, &better_list), 0);
	ck_assert_uint_eq(importing_count(&s.r, &inspection_list), 2);
	story_over(&s, "2025-02-03");
}
END_TEST

START_TEST(what_a_withdrawn_correction_replaced_counts_again_and_neither_is_corrected)
{
	struct story s;
	char visit[UUID_TEXT_SIZE], correction[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(story_visit(&s, (struct story_visit){ .by = s.bo, .bond = bond,
		.today = "2024-03-05", .day = "2024-03-01", .uohm = 820, .corrects = visit }), &s.why);
	memcpy(correction, s.uuid, sizeof correction);
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	ck_assert(!withdraw(&s, s.bo, "2024-03-06", SENT_INSPECTION, visit));
	expect_refused(&s, "entry_id", "withdraw the correction first");
	railway_must(withdraw(&s, s.bo, "2024-03-06", SENT_INSPECTION, correction), &s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	ck_assert(!story_visit(&s, (struct story_visit){ .by = s.bo, .bond = bond,
		.today = "2024-03-07", .day = "2024-03-01", .uohm = 700, .corrects = correction }));
	expect_refused(&s, "corrects", "was withdrawn");
	railway_must(withdraw(&s, s.bo, "2024-03-08", SENT_INSPECTION, visit), &s.why);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_UNKNOWN);
	story_over(&s, "2024-03-09");
}
END_TEST

START_TEST(a_repair_that_was_none_leaves_the_failure_open)
{
	struct story s;
	char visit[UUID_TEXT_SIZE], failure[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(story_fail(&s, (struct story_failure){ s.bo, bond, "2024-04-01", NULL,
		FAILURE_CABLE_BROKEN }), &s.why);
	memcpy(failure, s.uuid, sizeof failure);
	railway_must(story_mend(&s, (struct story_repair){ s.bo, "2024-04-02", NULL, failure }), &s.why);
	ck_assert_int_eq(story_state(&s, bond).failures_open, 0);
	railway_must(withdraw(&s, s.ada, "2024-04-03", SENT_REPAIR, s.uuid), &s.why);
	ck_assert_int_eq(story_state(&s, bond).failures_open, 1);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	story_over(&s, "2024-04-04");
}
END_TEST

static bool defer(struct story *s, int64_t bond, const char *until, const char *corrects)
{
	struct deferral_new form;

	form_clear(&deferral_form, &form);
	story_uuid(s, form.uuid);
	form.of.bond_id = bond;
	form.until_day = railway_day(until);
	form.reason = "No possession.";
	snprintf(form.corrects, sizeof form.corrects, "%s", corrects);
	story_begin(s, s->ada, "2025-03-10");
	return story_end(s, deferral_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void expect_deferred(struct story *s, int64_t bond, const char *until)
{
	ck_assert_int_eq(story_state(s, bond).due.deferred_until_day, railway_day(until));
}

START_TEST(a_deferral_that_is_taken_back_defers_nothing)
{
	struct story s;
	char visit[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(defer(&s, bond, "2025-12-01", ""), &s.why);
	expect_deferred(&s, bond, "2025-12-01");
	railway_must(withdraw(&s, s.ada, "2025-03-11", SENT_DEFERRAL, s.uuid), &s.why);
	ck_assert_int_eq(story_state(&s, bond).due.deferred_until_day, DAY_NONE);
	story_over(&s, "2025-03-12");
}
END_TEST

START_TEST(a_deferral_is_corrected_again_after_its_correction_was_taken_back)
{
	struct story s;
	char visit[UUID_TEXT_SIZE], first[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(defer(&s, bond, "2025-12-01", ""), &s.why);
	memcpy(first, s.uuid, sizeof first);
	railway_must(defer(&s, bond, "2025-11-01", first), &s.why);
	expect_deferred(&s, bond, "2025-11-01");
	railway_must(withdraw(&s, s.ada, "2025-03-11", SENT_DEFERRAL, s.uuid), &s.why);
	expect_deferred(&s, bond, "2025-12-01");
	railway_must(defer(&s, bond, "2025-10-01", first), &s.why);
	expect_deferred(&s, bond, "2025-10-01");
	story_over(&s, "2025-03-12");
}
END_TEST

/* How many attachments, and ends without one, stand or stood at the mark of a bond's end A. */
static void expect_spots(struct story *s, int64_t bond_id, size_t attachments, size_t live)
{
	struct problem why = { 0 };
	struct bond bond;
	struct rail_spot *all = NULL;
	size_t n = 0, attached = 0, standing = 0;

	ck_assert(store_bond_get(s->r.store, bond_id, &bond, &why));
	const struct rail_stretch at = { bond.end[END_A].track_id, bond.end[END_A].rail,
		bond.end[END_A].distance_mm, bond.end[END_A].distance_mm };

	ck_assert(store_rail_spots(s->r.store, &at, 0, railway_day("2030-01-01"), &all, &n, &why));
	for (size_t i = 0; i < n; i++) {
		attached += all[i].uuid[0] != '\0';
		standing += all[i].kind == MARK_LIVE;
	}
	free(all);
	ck_assert_uint_eq(attached, attachments);
	ck_assert_uint_eq(standing, live);
}

/* Where the entry is taken back the end stands where it was said to be, and not nowhere. */
START_TEST(an_attachment_that_was_none_neither_spoils_its_spot_nor_hides_the_end)
{
	struct story s;
	char visit[UUID_TEXT_SIZE], first[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);

	railway_must(story_attach(&s, (struct story_end){ s.bo, bond, "2024-05-01", NULL, END_A, 1 }),
		&s.why);
	memcpy(first, s.uuid, sizeof first);
	railway_must(story_attach(&s, (struct story_end){ s.bo, bond, "2024-06-01", NULL, END_A, 0 }),
		&s.why);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);   /* the test has failed */
	expect_spots(&s, bond, 2, 1);
	railway_must(withdraw(&s, s.bo, "2024-06-02", SENT_ATTACHMENT, s.uuid), &s.why);
	ck_assert_int_ne(story_state(&s, bond).grade.grade, GRADE_ACT);
	expect_spots(&s, bond, 1, 1);
	railway_must(withdraw(&s, s.bo, "2024-06-03", SENT_ATTACHMENT, first), &s.why);
	expect_spots(&s, bond, 0, 1);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	story_over(&s, "2024-06-04");
}
END_TEST

/* A first correction that was itself taken back does not stand in the way of the right one. */
START_TEST(an_attachment_is_corrected_again_after_its_correction_was_taken_back)
{
	struct story s;
	char visit[UUID_TEXT_SIZE], first[UUID_TEXT_SIZE], correction[UUID_TEXT_SIZE];
	int64_t bond = sound(&s, visit);
	struct story_end again = { s.bo, bond, "2024-05-03", "2024-05-01", END_A, 0, NULL, first,
		"The hammer test failed." };

	railway_must(story_attach(&s, (struct story_end){ s.bo, bond, "2024-05-01", NULL, END_A, 1 }),
		&s.why);
	memcpy(first, s.uuid, sizeof first);
	railway_must(story_attach(&s, again), &s.why);
	memcpy(correction, s.uuid, sizeof correction);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	ck_assert(!story_attach(&s, again));
	expect_refused(&s, "corrects", "corrected before");
	railway_must(withdraw(&s, s.bo, "2024-05-04", SENT_ATTACHMENT, correction), &s.why);
	ck_assert_int_ne(story_state(&s, bond).grade.grade, GRADE_ACT);
	railway_must(story_attach(&s, again), &s.why);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	story_over(&s, "2024-06-04");
}
END_TEST

START_TEST(sent_twice_it_is_kept_once_and_nonsense_is_refused_with_a_sentence)
{
	struct story s;
	char visit[UUID_TEXT_SIZE];
	struct withdrawal_new form;

	sound(&s, visit);
	form_clear(&withdrawal_form, &form);
	story_uuid(&s, form.uuid);
	form.entry = SENT_INSPECTION;
	memcpy(form.entry_id, visit, sizeof form.entry_id);
	form.reason = "Twice.";
	for (int i = 0; i < 2; i++) {
		story_begin(&s, s.bo, "2024-03-02");
		railway_must(withdrawal_record(&s.r.act, &form, &s.recorded, &s.why), &s.why);
		story_end(&s, true);
		ck_assert_int_eq(s.recorded.already, i == 1);
	}
	ck_assert_uint_eq(importing_count(&s.r, &withdrawal_list), 1);
	ck_assert(!withdraw(&s, s.bo, "2024-03-03", SENT_FAILURE, visit));
	expect_refused(&s, "entry_id", "Nothing of that kind");
	ck_assert(!withdraw(&s, s.bo, "2024-03-03", SENT_RENEWAL, visit));
	expect_refused(&s, "entry", "a correction of it");
	ck_assert(!withdraw(&s, s.bo, "2024-03-03", SENT_WITHDRAWAL, form.uuid));
	expect_refused(&s, "entry", "is not withdrawn");
	ck_assert(!withdraw(&s, 0, "2024-03-03", SENT_INSPECTION, visit));
	expect_refused(&s, "", "sign in");
	story_over(&s, "2024-03-04");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_failure_that_was_none_is_taken_back_by_who_reported_it,
		by_somebody_else_it_stands_until_an_engineer_confirms,
		a_visit_that_was_none_leaves_the_bond_as_it_was_before,
		what_a_withdrawn_correction_replaced_counts_again_and_neither_is_corrected,
		a_repair_that_was_none_leaves_the_failure_open,
		a_deferral_that_is_taken_back_defers_nothing,
		a_deferral_is_corrected_again_after_its_correction_was_taken_back,
		an_attachment_is_corrected_again_after_its_correction_was_taken_back,
		an_attachment_that_was_none_neither_spoils_its_spot_nor_hides_the_end,
		sent_twice_it_is_kept_once_and_nonsense_is_refused_with_a_sentence, NULL };

	return case_run("withdrawals", tests);
}
