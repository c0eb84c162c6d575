#include <math.h>
#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/judge/grade.h"

enum { DAY = 20000 };   /* 2024-10-04 */

static struct grade_reading reading(enum verdict verdict, double value)
{
	return (struct grade_reading){ .there = true, .day = DAY, .value = value, .u95 = 1,
		.limit = 100, .verdict = verdict };
}

/* Nothing against it, one reading far within, proved on that day: sound. */
static struct grade_facts sound(void)
{
	return (struct grade_facts){ .in_service = true,
		.last = { [QUANTITY_END_TO_END] = reading(VERDICT_WITHIN, 50) },
		.calendar_due_day = DAY + 365, .early_day = DAY_NONE, .evidence_day = DAY };
}

static struct grade_result grade(const struct grade_facts *facts)
{
	struct rulebook rulebook = rulebook_default();
	struct grade_result to;

	rulebook.watch_percent = 80;
	rulebook.evidence_months = 36;
	grade_compute(&rulebook, facts, &to);
	return to;
}

static void expect(const struct grade_facts *facts, enum grade is, unsigned reasons)
{
	struct grade_result to = grade(facts);
	char told[GRADE_REASONS_SIZE];

	grade_sentence(to.reasons, told, sizeof told);
	ck_assert_msg(to.grade == is && to.reasons == reasons, "%s: %s", grade_words.code[to.grade],
		told);
}

START_TEST(is_sound_when_nothing_is_against_it)
{
	struct grade_facts facts = sound();

	expect(&facts, GRADE_SOUND, 0);
}
END_TEST

/* Domain 5, worst first. */
static const struct { enum grade_reason reason; enum grade grade; } alone[REASONS] = {
	{ REASON_FAILURE_OPEN, GRADE_ACT }, { REASON_NOT_ATTACHED, GRADE_ACT },
	{ REASON_OPEN_CIRCUIT, GRADE_ACT }, { REASON_OVER, GRADE_ACT },
	{ REASON_STRENGTH_FAILED, GRADE_ACT }, { REASON_CRITICAL_DEFECT, GRADE_ACT },
	{ REASON_FAILURE_NOT_PROVED, GRADE_ACT }, { REASON_ASKED_OVER, GRADE_ACT },
	{ REASON_NEVER_INSPECTED, GRADE_UNKNOWN }, { REASON_NO_EVIDENCE, GRADE_UNKNOWN },
	{ REASON_CABLES_NOT_SEEN, GRADE_UNKNOWN }, { REASON_NOT_SEEN_WHOLE, GRADE_UNKNOWN },
	{ REASON_NO_LIMIT, GRADE_UNKNOWN }, { REASON_EVIDENCE_OLD, GRADE_UNKNOWN },
	{ REASON_ASKED_WATCH, GRADE_WATCH }, { REASON_UNPROVEN, GRADE_WATCH },
	{ REASON_NEAR_LIMIT, GRADE_WATCH }, { REASON_NOT_ACCEPTED, GRADE_WATCH },
	{ REASON_DEFECT, GRADE_WATCH }, { REASON_FORECAST, GRADE_WATCH },
	{ REASON_ASKED, GRADE_SOUND },
};

START_TEST(each_reason_alone_gives_its_grade)
{
	for (int i = 0; i < REASONS; i++) {
		struct grade_facts f = sound();

		f.reasons = 1u << alone[i].reason;
		expect(&f, alone[i].grade, f.reasons);
		ck_assert_int_eq(grade_of_reason(alone[i].reason), alone[i].grade);
		ck_assert_int_eq(grade_reason_at(i), alone[i].reason);
		ck_assert_int_eq(grade_worst_reason(f.reasons), alone[i].reason);
		ck_assert_int_eq(grade_worst_reason(((1u << REASONS) - 1) & ~f.reasons),
			alone[i == 0 ? 1 : 0].reason);
	}
	ck_assert_int_eq(grade_worst_reason(0), REASONS);
}
END_TEST

/* What is over is told by who looks whether it was cleared. */
START_TEST(a_reading_alone_gives_no_act)
{
	struct grade_facts f = sound();
	struct grade_reading *last = &f.last[QUANTITY_END_TO_END];

	*last = reading(VERDICT_OVER, 120), expect(&f, GRADE_SOUND, 0);
	*last = reading(VERDICT_UNPROVEN, 100), expect(&f, GRADE_WATCH, 1u << REASON_UNPROVEN);
	*last = reading(VERDICT_NONE, NAN), last->open_circuit = true, expect(&f, GRADE_SOUND, 0);
}
END_TEST

START_TEST(is_watched_from_above_the_watch_fraction_of_its_limit)
{
	struct grade_facts f = sound();

	f.last[QUANTITY_END_TO_END].value = 80, expect(&f, GRADE_SOUND, 0);
	f.last[QUANTITY_END_TO_END].value = 80.001, expect(&f, GRADE_WATCH, 1u << REASON_NEAR_LIMIT);
}
END_TEST

START_TEST(any_quantity_counts)
{
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		struct grade_facts f = sound();

		f.last[q] = reading(VERDICT_UNPROVEN, 100);
		expect(&f, GRADE_WATCH, 1u << REASON_UNPROVEN);
	}
}
END_TEST

START_TEST(a_forecast_counts_when_it_crosses_before_the_next_inspection)
{
	struct grade_facts f = sound();

	f.early_day = DAY + 365, expect(&f, GRADE_SOUND, 0);
	f.early_day = DAY + 364, expect(&f, GRADE_WATCH, 1u << REASON_FORECAST);
}
END_TEST

START_TEST(all_reasons_are_told_and_the_worst_decides)
{
	struct grade_facts f = sound();
	struct grade_result to;
	char told[GRADE_REASONS_SIZE];

	f.reasons = 1u << REASON_NEVER_INSPECTED | 1u << REASON_DEFECT;
	f.last[QUANTITY_CONTACT_A] = reading(VERDICT_UNPROVEN, 99);
	expect(&f, GRADE_UNKNOWN, 1u << REASON_NEVER_INSPECTED | 1u << REASON_DEFECT |
		1u << REASON_UNPROVEN);
	f.reasons |= 1u << REASON_FAILURE_OPEN;
	to = grade(&f);
	ck_assert_int_eq(to.grade, GRADE_ACT);
	grade_sentence(to.reasons, told, sizeof told);
	ck_assert_str_eq(told, "a failure is not made good; never inspected; a reading proves neither "
		"within nor over its limit; a defect was seen");
	grade_sentence(0, told, sizeof told);
	ck_assert_str_eq(told, "");
}
END_TEST

START_TEST(the_reasons_all_fit_into_their_room)
{
	char told[GRADE_REASONS_SIZE];
	const char *last = grade_reason_words.title[REASON_ASKED];

	grade_sentence((1u << REASONS) - 1, told, sizeof told);
	ck_assert_str_eq(told + strlen(told) - strlen(last), last);
}
END_TEST

START_TEST(is_not_graded_out_of_service)
{
	struct grade_facts f = sound();
	struct grade_result to;

	f.in_service = false, f.reasons = 1u << REASON_FAILURE_OPEN;
	expect(&f, GRADE_NONE, 0);
	to = grade(&f);
	ck_assert_int_eq(to.evidence_until_day, DAY_NONE);
}
END_TEST

/* 36 months after 2024-02-29 is 2027-02-28 (calendar: 2027 is no leap year). */
START_TEST(what_is_sound_or_watched_is_unknown_after_the_last_day_of_its_proof)
{
	struct grade_facts f = sound();
	struct grade_result to;
	int32_t until_day;

	ck_assert(day_from_parts(2024, 2, 29, &f.evidence_day));
	ck_assert(day_from_parts(2027, 2, 28, &until_day));
	to = grade(&f);          /* whatever was read last, and when */
	ck_assert_int_eq(to.evidence_until_day, until_day);
	for (int g = GRADE_SOUND; g <= GRADE_WATCH; g++) {
		ck_assert_int_eq(grade_on((enum grade)g, until_day, until_day), g);
		ck_assert_int_eq(grade_on((enum grade)g, until_day, until_day + 1), GRADE_UNKNOWN);
		ck_assert_int_eq(grade_on((enum grade)g, DAY_NONE, until_day), GRADE_UNKNOWN);
	}
	/* memory that runs out ends no act */
	ck_assert_int_eq(grade_on(GRADE_ACT, until_day, until_day + 1), GRADE_ACT);
	ck_assert_int_eq(grade_on(GRADE_UNKNOWN, until_day, until_day), GRADE_UNKNOWN);
	ck_assert_int_eq(grade_on(GRADE_NONE, DAY_NONE, until_day), GRADE_NONE);
	f.evidence_day = DAY_NONE;
	ck_assert_int_eq(grade(&f).evidence_until_day, DAY_NONE);
}
END_TEST

START_TEST(act_is_worse_than_unknown_than_watch_than_sound_than_none)
{
	static const enum grade order[] = { GRADE_ACT, GRADE_UNKNOWN, GRADE_WATCH, GRADE_SOUND,
		GRADE_NONE };

	for (int a = 0; a < 5; a++) {
		for (int b = 0; b < 5; b++) {
			ck_assert(grade_worse(order[a], order[b]) == (a < b));
		}
	}
}
END_TEST

START_TEST(there_is_a_place_for_each_quantity_and_a_bit_for_each_reason)
{
	ck_assert_int_eq(quantity_words.n, GRADE_QUANTITIES);
	ck_assert_int_eq(grade_words.n, GRADE_ACT + 1);
	ck_assert_int_lt(REASONS, 32);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		is_sound_when_nothing_is_against_it, each_reason_alone_gives_its_grade,
		a_reading_alone_gives_no_act,
		is_watched_from_above_the_watch_fraction_of_its_limit, any_quantity_counts,
		a_forecast_counts_when_it_crosses_before_the_next_inspection,
		all_reasons_are_told_and_the_worst_decides, the_reasons_all_fit_into_their_room,
		is_not_graded_out_of_service,
		what_is_sound_or_watched_is_unknown_after_the_last_day_of_its_proof,
		act_is_worse_than_unknown_than_watch_than_sound_than_none,
		there_is_a_place_for_each_quantity_and_a_bit_for_each_reason, NULL };

	return case_run("grade", tests);
}
