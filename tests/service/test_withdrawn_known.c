/*
 * What many bonds are judged by is taken back: a wrong calibration, a conductor, a rail, an
 * engineer's word. Its bonds are judged as if it had never been said; what comes out better by that
 * is listed.
 */
#include "case.h"
#include "service/importing.h"
#include "service/record/rail.h"
#include "service/record/withdrawal.h"
#include "service/record/work.h"
#include "service/story.h"
#include "store/record/calibration.h"
#include "store/record/rail.h"
#include "store/record/withdrawal.h"
#include "store/sql.h"

static bool withdraw(struct story *s, const char *today, enum sent_noun noun, int64_t number,
	const char *entry_id)
{
	struct withdrawal_new form;
	bool ok;

	form_clear(&withdrawal_form, &form);
	story_uuid(s, form.uuid);
	form.entry = (int)noun;
	if (number != 0) {
		form.entry_number = number;
	}
	if (entry_id != NULL) {
		snprintf(form.entry_id, sizeof form.entry_id, "%s", entry_id);
	}
	form.reason = "The sheet is of another meter.";
	story_begin(s, s->eva, today);
	ok = story_end(s, withdrawal_record(&s->r.act, &form, &s->recorded, &s->why));
	railway_follow(&s->r, today, 1000);
	return ok;
}

static int64_t number(struct story *s, const char *sql)
{
	struct problem why = { 0 };
	int64_t n = -1;

	ck_assert_msg(sql_integer(s->r.store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

/* Read at 600 µΩ in March 2024, within 778.7 µΩ and not watched. */
static int64_t sound(struct story *s)
{
	int64_t bond;

	story_make(s);
	bond = story_bond(s, "X1", "1+000", "2020-03-01");
	railway_must(story_visit(s, (struct story_visit){ s->bo, bond, "2024-03-01", NULL, 602 }),
		&s->why);
	STORY_IS(s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	return bond;
}

static void calibrate(struct story *s, const char *today, const char *day, const char *due,
	enum as_found found)
{
	struct instrument_new meter;

	form_clear(&instrument_form, &meter);
	meter.serial = "M-1";
	meter.name = "Microhmmeter";
	meter.calibrated_day = railway_day(day);
	meter.calibration_due_day = railway_day(due);
	meter.uncertainty_percent = 1;
	meter.uncertainty_uohm = 0.5;
	meter.as_found = (int)found;
	story_begin(s, s->eva, today);
	railway_must(instrument_register(&s->r.act, &meter, &s->recorded, &s->why), &s->why);
	story_end(s, true);
	railway_follow(&s->r, today, 1000);
}

/* The meter was said to be out of its limits, which was another meter's sheet. */
START_TEST(a_calibration_that_condemned_the_wrong_meter_is_taken_back_in_sight_of_all)
{
	struct story s;
	int64_t bond = sound(&s);

	calibrate(&s, "2024-06-01", "2024-05-01", "2025-05-01", AS_FOUND_OUT);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_UNKNOWN);
	railway_must(withdraw(&s, "2024-06-02", SENT_CALIBRATION,
		number(&s, "SELECT max(id) FROM calibration"), NULL), &s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	ck_assert_uint_eq(importing_count(&s.r, &calibration_list), 2);   /* it stays readable */
	ck_assert_uint_eq(importing_count(&s.r, &withdrawal_list), 1);
	ck_assert_uint_eq(importing_count(&s.r, &better_list), 1);
	ck_assert_int_eq(number(&s, "SELECT recorded_by FROM correction_better"), s.eva);
	ck_assert_int_eq(number(&s, "SELECT grade_before * 10 + grade_after FROM correction_better"),
		GRADE_UNKNOWN * 10 + GRADE_SOUND);
	ck_assert_int_eq(number(&s, "SELECT count(*) FROM better_watch"), 0);
	story_over(&s, "2024-06-03");
}
END_TEST

/* Without the wrong day the meter was out of calibration: nothing good rests on it any longer. */
START_TEST(a_calibration_day_that_was_none_proves_nothing_from_then_on)
{
	struct story s;
	int64_t bond = sound(&s);

	calibrate(&s, "2026-02-01", "2026-01-15", "2027-01-15", AS_FOUND_NOT_STATED);
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2026-02-01", NULL, 602 }),
		&s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2027-02-01");
	railway_must(withdraw(&s, "2026-02-02", SENT_CALIBRATION,
		number(&s, "SELECT max(id) FROM calibration"), NULL), &s.why);
	ck_assert_int_ne(number(&s, "SELECT s.said >> 16 & 7 FROM reading_state s ORDER BY "
		"s.inspection_id DESC LIMIT 1"), 1);                           /* no evidence */
	ck_assert_uint_eq(importing_count(&s.r, &better_list), 0);
	/* the right day, entered then, is news */
	calibrate(&s, "2026-02-03", "2026-01-15", "2027-01-15", AS_FOUND_NOT_STATED);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2027-02-01");
	ck_assert_int_eq(number(&s, "SELECT s.said >> 16 & 7 FROM reading_state s ORDER BY "
		"s.inspection_id DESC LIMIT 1"), 1);
	story_over(&s, "2026-02-04");
}
END_TEST

/* 100 µΩ/m would make the limit (300 + 20) · 1.3 = 416 µΩ, 400 µΩ/m (1200 + 20) · 1.3 = 1586 µΩ. */
static int64_t conduct(struct story *s, const char *today, double uohm_per_m)
{
	struct conductor_new form = { MATERIAL_COPPER, 2, 95, uohm_per_m, "A sheet.", NULL };

	story_begin(s, s->eva, today);
	railway_must(conductor_register(&s->r.act, &form, &s->recorded, &s->why), &s->why);
	story_end(s, true);
	railway_follow(&s->r, today, 1000);
	return s->recorded.id;
}

START_TEST(a_conductor_that_is_none_of_the_railway_leaves_the_published_one)
{
	struct story s;
	int64_t bond = sound(&s), wrong = conduct(&s, "2024-04-01", 100);

	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	railway_must(withdraw(&s, "2024-04-02", SENT_CONDUCTOR, wrong, NULL), &s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	ck_assert_uint_eq(importing_count(&s.r, &better_list), 1);
	ck_assert_uint_eq(importing_count(&s.r, &conductor_list), 1);
	/* and for the worse, without a word */
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-05-01", NULL, 820 }),
		&s.why);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	wrong = conduct(&s, "2024-05-02", 400);
	railway_must(withdraw(&s, "2024-05-03", SENT_CONDUCTOR, wrong, NULL), &s.why);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	ck_assert_uint_eq(importing_count(&s.r, &better_list), 1);
	story_over(&s, "2024-05-04");
}
END_TEST

START_TEST(a_word_that_cleared_what_was_over_is_taken_back_and_it_is_over_again)
{
	struct story s;
	int64_t bond = sound(&s);
	struct ruling_new word = story_ruling(RULING_CLEARS_OVER, "The clip had slipped.");
	char ruling[UUID_TEXT_SIZE];

	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-05-01", NULL, 820 }),
		&s.why);
	word.of.bond_id = bond;
	word.quantity = QUANTITY_END_TO_END;
	railway_must(story_rule(&s, "2024-05-02", word), &s.why);
	memcpy(ruling, s.uuid, sizeof ruling);
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-05-03", NULL, 602 }),
		&s.why);
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-05-03");
	railway_must(withdraw(&s, "2024-05-04", SENT_RULING, 0, ruling), &s.why);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	ck_assert_uint_eq(importing_count(&s.r, &ruling_list), 1);
	ck_assert(!withdraw(&s, "2024-05-05", SENT_RULING, 0, ruling));
	ck_assert_msg(strstr(s.why.item[0].detail, "withdrawn before") != NULL, "%s",
		s.why.item[0].detail);
	story_over(&s, "2024-05-06");
}
END_TEST

START_TEST(what_is_not_there_or_has_another_way_back_is_refused_with_a_sentence)
{
	static const struct { enum sent_noun noun; int64_t number; const char *part; } cases[] = {
		{ SENT_CALIBRATION, 99, "There is no calibration 99" },
		{ SENT_CALIBRATION, 0, "Say which calibration" },
		{ SENT_CONDUCTOR, 1, "There is no conductor 1" },
		{ SENT_PROFILE, 7, "There is no rail profile 7" },
	};
	struct story s;

	sound(&s);
	for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
		ck_assert(!withdraw(&s, "2024-04-01", cases[i].noun, cases[i].number, NULL));
		ck_assert_str_eq(s.why.item[0].field, "entry_number");
		ck_assert_msg(strstr(s.why.item[0].detail, cases[i].part) != NULL, "%s",
			s.why.item[0].detail);
	}
	railway_must(withdraw(&s, "2024-04-01", SENT_CALIBRATION, 1, NULL), &s.why);
	ck_assert(!withdraw(&s, "2024-04-02", SENT_CALIBRATION, 1, NULL));
	ck_assert_msg(strstr(s.why.item[0].detail, "withdrawn before") != NULL, "%s",
		s.why.item[0].detail);
	story_over(&s, "2024-04-03");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_calibration_that_condemned_the_wrong_meter_is_taken_back_in_sight_of_all,
		a_calibration_day_that_was_none_proves_nothing_from_then_on,
		a_conductor_that_is_none_of_the_railway_leaves_the_published_one,
		a_word_that_cleared_what_was_over_is_taken_back_and_it_is_over_again,
		what_is_not_there_or_has_another_way_back_is_refused_with_a_sentence, NULL };

	return case_run("withdrawn_known", tests);
}
