#include <math.h>
#include <string.h>

#include "case.h"
#include "rules/acceptance.h"

static struct rulebook rules(void)
{
	struct rulebook rulebook = rulebook_default();

	rulebook.arc_least_s = 1.5;
	rulebook.arc_most_s = 2.5;
	rulebook.hold_least_s = 2;
	rulebook.stub_most_mm = 2;
	return rulebook;
}

static struct acceptance_facts good(enum attach_method method)
{
	return (struct acceptance_facts){ .method = method, .ground_bright = 1, .battery_charged = 1,
		.gun_flush = 1, .hammer_passed = 1, .solder_all_round = 1, .arc_s = 2, .hold_s = 2,
		.stub_mm = 1, .reading = VERDICT_WITHIN };
}

static struct acceptance_facts empty(enum attach_method method)
{
	return (struct acceptance_facts){ .method = method, .ground_bright = -1, .battery_charged = -1,
		.gun_flush = -1, .hammer_passed = -1, .solder_all_round = -1, .arc_s = NAN, .hold_s = NAN,
		.stub_mm = NAN, .reading = VERDICT_NONE };
}

static struct acceptance judged(const struct acceptance_facts *facts)
{
	const struct rulebook rulebook = rules();
	struct acceptance to;

	acceptance_compute(&rulebook, facts, &to);
	return to;
}

/* Which of the checks apply, in their order: ground, battery, gun, arc, hold, hammer, solder, stub,
 * reading. */
static const struct { enum attach_method method; const char *apply; } methods[] = {
	{ ATTACH_BRAZED_PIN, "111111111" }, { ATTACH_DIRECT_BRAZE, "111111101" },
	{ ATTACH_EXOTHERMIC_WELD, "100001101" }, { ATTACH_BOLTED, "100000001" },
	{ ATTACH_CLAMP, "100000001" }, { ATTACH_NOT_KNOWN, "111111111" },
};

START_TEST(the_method_decides_which_checks_apply)
{
	for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
		struct acceptance_facts all = good(methods[i].method), none = empty(methods[i].method);
		struct acceptance done = judged(&all), open = judged(&none);

		ck_assert_int_eq(done.accepted, ACCEPTED);
		ck_assert_int_eq(open.accepted, ACCEPTANCE_OPEN);
		for (int check = 0; check < ACCEPTANCE_CHECKS; check++) {
			bool applies = methods[i].apply[check] == '1';

			ck_assert_msg(done.is[check] == (applies ? CHECK_GOOD : CHECK_DOES_NOT_APPLY) &&
				open.is[check] == (applies ? CHECK_NOT_RECORDED : CHECK_DOES_NOT_APPLY), "%s, %s",
				attach_method_words.code[methods[i].method], acceptance_check_words.code[check]);
		}
	}
}
END_TEST

START_TEST(what_does_not_apply_refuses_nothing)
{
	struct acceptance_facts facts = good(ATTACH_CLAMP);

	facts.hammer_passed = 0, facts.arc_s = 9, facts.stub_mm = 9, facts.battery_charged = 0;
	ck_assert_int_eq(judged(&facts).accepted, ACCEPTED);
}
END_TEST

START_TEST(one_check_that_is_not_done_refuses_it)
{
	for (int which = 0; which < 5; which++) {
		static const enum acceptance_check checks[] = { CHECK_GROUND_BRIGHT,
			CHECK_BATTERY_CHARGED, CHECK_GUN_FLUSH, CHECK_HAMMER, CHECK_SOLDER_ALL_ROUND };
		struct acceptance_facts facts = good(ATTACH_BRAZED_PIN);
		int *flags[] = { &facts.ground_bright, &facts.battery_charged, &facts.gun_flush,
			&facts.hammer_passed, &facts.solder_all_round };

		*flags[which] = 0;
		ck_assert_int_eq(judged(&facts).is[checks[which]], CHECK_BAD);
		ck_assert_int_eq(judged(&facts).accepted, NOT_ACCEPTED);
		*flags[which] = -1;
		ck_assert_int_eq(judged(&facts).is[checks[which]], CHECK_NOT_RECORDED);
		ck_assert_int_eq(judged(&facts).accepted, ACCEPTANCE_OPEN);
	}
}
END_TEST

START_TEST(a_bad_check_outweighs_what_is_not_recorded)
{
	struct acceptance_facts facts = empty(ATTACH_BRAZED_PIN);

	facts.hammer_passed = 0;
	ck_assert_int_eq(judged(&facts).accepted, NOT_ACCEPTED);
	/* whatever the method was */
	facts.method = ATTACH_NOT_KNOWN;
	ck_assert_int_eq(judged(&facts).accepted, NOT_ACCEPTED);
}
END_TEST

START_TEST(the_limits_of_what_is_measured_are_good_themselves)
{
	static const struct { enum acceptance_check check; double value; enum check_result_is is; }
	rows[] = {
		{ CHECK_ARC, 1.499, CHECK_BAD }, { CHECK_ARC, 1.5, CHECK_GOOD },
		{ CHECK_ARC, 2.5, CHECK_GOOD }, { CHECK_ARC, 2.501, CHECK_BAD },
		{ CHECK_HOLD, 1.999, CHECK_BAD }, { CHECK_HOLD, 2, CHECK_GOOD },
		{ CHECK_HOLD, 600, CHECK_GOOD }, { CHECK_STUB, 0, CHECK_GOOD },
		{ CHECK_STUB, 2, CHECK_GOOD }, { CHECK_STUB, 2.001, CHECK_BAD }, { CHECK_ARC, NAN, CHECK_NOT_RECORDED },
		{ CHECK_HOLD, NAN, CHECK_NOT_RECORDED }, { CHECK_STUB, NAN, CHECK_NOT_RECORDED },
		{ CHECK_ARC, INFINITY, CHECK_BAD },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct acceptance_facts facts = good(ATTACH_BRAZED_PIN);

		*(rows[i].check == CHECK_ARC ? &facts.arc_s : rows[i].check == CHECK_HOLD ? &facts.hold_s :
			&facts.stub_mm) = rows[i].value;
		ck_assert_msg(judged(&facts).is[rows[i].check] == rows[i].is, "row %zu", i);
		ck_assert_int_eq(judged(&facts).accepted, rows[i].is == CHECK_GOOD ? ACCEPTED :
			rows[i].is == CHECK_BAD ? NOT_ACCEPTED : ACCEPTANCE_OPEN);
	}
}
END_TEST

START_TEST(a_reading_over_refuses_it_and_an_unproven_one_leaves_it_open)
{
	struct acceptance_facts facts = good(ATTACH_BOLTED);

	facts.reading = VERDICT_OVER;
	ck_assert_int_eq(judged(&facts).accepted, NOT_ACCEPTED);
	facts.reading = VERDICT_UNPROVEN;
	ck_assert_int_eq(judged(&facts).accepted, ACCEPTANCE_OPEN);
	facts.reading = VERDICT_NONE;
	ck_assert_int_eq(judged(&facts).accepted, ACCEPTANCE_OPEN);
}
END_TEST

static void says(const struct acceptance_facts *facts, enum acceptance_check check,
	const char *sentence)
{
	const struct rulebook rulebook = rules();
	struct acceptance acceptance = judged(facts);
	char to[ACCEPTANCE_SENTENCE_SIZE];

	acceptance_sentence(&rulebook, facts, &acceptance, check, to, sizeof to);
	ck_assert_str_eq(to, sentence);
}

START_TEST(says_each_check_in_words)
{
	struct acceptance_facts facts = good(ATTACH_BRAZED_PIN);

	facts.arc_s = 1.2, facts.stub_mm = 2.25, facts.hammer_passed = 0, facts.gun_flush = -1;
	says(&facts, CHECK_ARC, "The arc burned 1.2 s: from 1.5 to 2.5 s is asked for.");
	says(&facts, CHECK_HOLD, "The gun was held still for 2 s: at least 2 s is asked for.");
	says(&facts, CHECK_STUB, "The stub stands 2.25 mm proud: at most 2 mm is asked for.");
	says(&facts, CHECK_HAMMER, "The hammer test was not passed.");
	says(&facts, CHECK_GROUND_BRIGHT, "Both surfaces were ground to bright steel.");
	says(&facts, CHECK_GUN_FLUSH, "Not recorded: seat of the gun.");
	facts.reading = VERDICT_UNPROVEN;
	says(&facts, CHECK_READING,
		"The commissioning reading proves neither within nor over its limit: measure again.");
	facts.reading = VERDICT_OVER;
	says(&facts, CHECK_READING, "The commissioning reading is over its limit.");
	facts.method = ATTACH_CLAMP;
	says(&facts, CHECK_ARC, "Does not apply here: time of the arc.");
}
END_TEST

START_TEST(every_sentence_fits)
{
	const struct rulebook rulebook = rules();

	for (int check = 0; check < ACCEPTANCE_CHECKS; check++) {
		for (int is = CHECK_GOOD; is <= CHECK_DOES_NOT_APPLY; is++) {
			struct acceptance_facts facts = good(ATTACH_BRAZED_PIN);
			struct acceptance acceptance = judged(&facts);
			char to[ACCEPTANCE_SENTENCE_SIZE];

			facts.reading = VERDICT_UNPROVEN;
			acceptance.is[check] = (enum check_result_is)is;
			acceptance_sentence(&rulebook, &facts, &acceptance, (enum acceptance_check)check, to,
				sizeof to);
			ck_assert_int_eq(to[strlen(to) - 1], '.');
		}
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		the_method_decides_which_checks_apply, what_does_not_apply_refuses_nothing,
		one_check_that_is_not_done_refuses_it, a_bad_check_outweighs_what_is_not_recorded,
		the_limits_of_what_is_measured_are_good_themselves,
		a_reading_over_refuses_it_and_an_unproven_one_leaves_it_open, says_each_check_in_words,
		every_sentence_fits, NULL };

	return case_run("acceptance", tests);
}
