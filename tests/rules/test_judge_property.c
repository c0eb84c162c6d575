/*
 * Making a record worse in another way than by a reading (test_judge_claims.c has those) never
 * improves a grade nor postpones a due day, over random bonds; nor does finding the same again.
 */
#include "case.h"
#include "rules/any_record.h"

enum { BONDS = 10000, STEP = 22 };

static const char *worsen(struct record *r)
{
	static const enum seen worse[] = { SEEN_CORRODED, SEEN_LOOSE, SEEN_MISSING };
	size_t i = r->facts.n_visits == 0 ? 0 : any(r->facts.n_visits);
	struct judge_visit *v = &r->visits[i];

	switch (any(4)) {
	case 0:
		if (i >= r->facts.n_visits || v->seen_a != SEEN_GOOD) {
			return NULL;
		}
		v->seen_a = worse[any(3)];
		return "seen worse";
	case 1:
		if (i >= r->facts.n_visits || v->strength_b == 0) {
			return NULL;
		}
		v->strength_b = 0;
		return "strength test failed";
	case 2:
		if (r->facts.n_attachments == 0) {
			return NULL;
		}
		r->attachments[any(r->facts.n_attachments)].strength_failed = true;
		return "hammer test failed";
	default:
		failed(r, (enum failure_mode)any(FAILURE_MODE_NOT_STATED + 1), (int)any(3) - 1,
			FIRST + (int32_t)any(200), DAY_NONE);
		return "a further failure";
	}
}

START_TEST(a_defect_a_failed_test_or_a_failure_is_never_better)
{
	int worsened = 0;

	any_seed = 0x2545f4914f6cdd1d;
	for (int n = 0; n < BONDS; n++) {
		static struct record before, after;
		const char *what;

		any_record(&before, STEP);
		copy_record(&before, &after);
		what = worsen(&after);
		if (what != NULL) {
			judged(&before);
			judged(&after);
			refuse_better(what, n, &before, &after);
			worsened++;
		}
	}
	ck_assert_int_gt(worsened, BONDS / 3);
}
END_TEST

/* One µΩ after another from half of the limit to twice it; the last reading is by a good meter, of
 * what was opened, and the limit is the absolute one. */
START_TEST(no_step_of_a_microohm_is_better)
{
	int tried = 0;

	any_seed = 0xd1342543de82ef95;
	for (int n = 0; n < 300; n++) {
		static struct record before, after;
		struct judge_reading *one;
		struct judge_visit *v;

		any_record(&before, STEP);
		if (before.facts.n_visits == ANY_VISITS) {
			continue;
		}
		v = visit(&before, FIRST + 200, PURPOSE_ROUTINE);
		v->alone = true;
		one = reads(&before, QUANTITY_END_TO_END, 50);
		one->instrument_id = 3;
		judged(&before);
		for (double uohm = 50; uohm < 400; uohm++) {
			enum verdict verdict = one->would;

			copy_record(&before, &after);
			one = &after.readings[after.facts.n_readings - 1];
			one->values.shown_uohm = uohm + 1;
			judged(&after);
			ck_assert_int_ge(one->would, verdict);
			if ((before.readings[before.facts.n_readings - 1].asked & 1u << ASKED_AWAY) == 0 &&
				before.is.asked == after.is.asked) {
				refuse_better("a step", n, &before, &after);
				tried++;
			}
			copy_record(&after, &before);
			one = &before.readings[before.facts.n_readings - 1];
		}
	}
	ck_assert_int_gt(tried, 10000);
}
END_TEST

/* The last visit once more, some days later: the same seen, the same shown. */
static void find_again(struct record *r)
{
	size_t last = r->facts.n_visits - 1, n = r->facts.n_readings;

	r->visits[last + 1] = r->visits[last];
	r->visits[last + 1].day += 1 + (int32_t)any(60);
	r->facts.n_visits++;
	for (size_t i = 0; i < n; i++) {
		if (r->readings[i].visit == last) {
			r->readings[r->facts.n_readings] = r->readings[i];
			r->readings[r->facts.n_readings++].visit = last + 1;
		}
	}
}

/* A visit before any work: what is within again then shows nothing new. */
START_TEST(finding_the_same_again_does_not_put_off_what_is_to_be_done)
{
	int acted = 0;

	any_seed = 0x94d049bb133111eb;
	for (int n = 0; n < BONDS; n++) {
		static struct record before, after;

		any_record(&before, STEP);
		judged(&before);
		if (before.is.grade.grade != GRADE_ACT || before.facts.n_visits == 0 ||
			before.visits[before.facts.n_visits - 1].purpose != PURPOSE_ROUTINE ||
			before.facts.n_failures > 0 || before.facts.n_clearings > 0 ||
			before.facts.n_attachments > 0 || before.facts.n_spans > 0) {
			continue;
		}
		copy_record(&before, &after);
		find_again(&after);
		judged(&after);
		acted++;
		if (after.is.grade.grade != GRADE_ACT || after.is.act_since_day > before.is.act_since_day) {
			print_record(&after);
		}
		ck_assert_msg(after.is.grade.grade == GRADE_ACT &&
			after.is.act_since_day <= before.is.act_since_day,
			"bond %d: %s, since %d and not %d", n, grade_words.code[after.is.grade.grade],
			after.is.act_since_day, before.is.act_since_day);
	}
	ck_assert_int_gt(acted, 200);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_defect_a_failed_test_or_a_failure_is_never_better,
		no_step_of_a_microohm_is_better,
		finding_the_same_again_does_not_put_off_what_is_to_be_done, NULL };

	return case_run("judge_property", tests);
}
