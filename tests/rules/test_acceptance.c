#include <math.h>
#include <string.h>

#include "case.h"
#include "rules/judge/acceptance.h"

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
		.stub_mm = 1, .reading = VERDICT_WITHIN, .spot_taken = 0 };
}

static struct acceptance_facts empty(enum attach_method method)
{
	return (struct acceptance_facts){ .method = method, .ground_bright = -1, .battery_charged = -1,
		.gun_flush = -1, .hammer_passed = -1, .solder_all_round = -1, .arc_s = NAN, .hold_s = NAN,
		.stub_mm = NAN, .reading = VERDICT_NONE, .spot_taken = 0 };
}

static struct acceptance judged(const struct acceptance_facts *facts)
{
	const struct rulebook rulebook = rules();
	struct acceptance to;

	acceptance_compute(&rulebook, facts, &to);
	return to;
}

/* Which of the checks apply, in their order: ground, battery, gun, arc, hold, hammer, solder, stub,
 * reading, spot. */
static const struct { enum attach_method method; const char *apply; } methods[] = {
	{ ATTACH_BRAZED_PIN, "1111111111" }, { ATTACH_DIRECT_BRAZE, "1111111011" },
	{ ATTACH_EXOTHERMIC_WELD, "1000011011" }, { ATTACH_BOLTED, "1000000011" },
	{ ATTACH_CLAMP, "1000000011" }, { ATTACH_NOT_KNOWN, "1111111111" },
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
				open.is[check] == (check == CHECK_SPOT ? CHECK_GOOD :
				applies ? CHECK_NOT_RECORDED : CHECK_DOES_NOT_APPLY), "%s, %s",
				attach_method_words.code[methods[i].method], acceptance_check_words.code[check]);
		}
	}
}
END_TEST

START_TEST(what_does_not_apply_refuses_nothing)
{
	struct acceptance_facts facts = good(ATTACH_CLAMP);

	facts.arc_s = 9, facts.stub_mm = 9, facts.battery_charged = 0;
	ck_assert_int_eq(judged(&facts).accepted, ACCEPTED);
}
END_TEST

START_TEST(a_failed_hammer_test_is_bad_whatever_the_method)
{
	for (int method = ATTACH_BRAZED_PIN; method <= ATTACH_NOT_KNOWN; method++) {
		struct acceptance_facts facts = good((enum attach_method)method);
		struct acceptance failed;

		facts.hammer_passed = 0;
		failed = judged(&facts);
		ck_assert_int_eq(failed.is[CHECK_HAMMER], CHECK_BAD);
		ck_assert_int_eq(failed.accepted, NOT_ACCEPTED);
		ck_assert(acceptance_spoils_spot(&failed));
	}
}
END_TEST

START_TEST(a_spot_inside_a_clearance_refuses_it_and_one_that_is_not_known_says_nothing)
{
	struct acceptance_facts facts = good(ATTACH_BOLTED);

	facts.spot_taken = 1;
	ck_assert_int_eq(judged(&facts).is[CHECK_SPOT], CHECK_BAD);
	ck_assert_int_eq(judged(&facts).accepted, NOT_ACCEPTED);
	facts.spot_taken = -1;
	ck_assert_int_eq(judged(&facts).is[CHECK_SPOT], CHECK_DOES_NOT_APPLY);
	ck_assert_int_eq(judged(&facts).accepted, ACCEPTED);
}
END_TEST

/* Whether it can be mended where it is, and what is asked for. */
static const struct { const char *label; enum acceptance_check bad; bool spoils; const char *asked; }
spoiling[] = {
	{ "nothing", ACCEPTANCE_CHECKS, false, "" },
	{ "stub", CHECK_STUB, false, "Grind the stub to at most 2 mm, then record it again." },
	{ "ground", CHECK_GROUND_BRIGHT, false, "What was not done" },
	{ "battery", CHECK_BATTERY_CHARGED, false, "What was not done" },
	{ "gun", CHECK_GUN_FLUSH, false, "What was not done" },
	{ "arc", CHECK_ARC, false, "What was not done" },
	{ "hold", CHECK_HOLD, false, "What was not done" },
	{ "reading", CHECK_READING, false, "What was not done" },
	{ "hammer", CHECK_HAMMER, true, "This cannot be mended here" },
	{ "solder", CHECK_SOLDER_ALL_ROUND, true, "This cannot be mended here" },
	{ "spot", CHECK_SPOT, true, "This cannot be mended here" },
};

START_TEST(what_can_be_mended_here_is_asked_for_and_only_what_cannot_spoils_the_spot)
{
	for (size_t i = 0; i < sizeof spoiling / sizeof spoiling[0]; i++) {
		const struct rulebook rulebook = rules();
		struct acceptance_facts facts = good(ATTACH_BRAZED_PIN);
		struct acceptance made;
		char asked[ACCEPTANCE_ASKED_SIZE];

		switch (spoiling[i].bad) {
		case CHECK_STUB: facts.stub_mm = 3; break;
		case CHECK_GROUND_BRIGHT: facts.ground_bright = 0; break;
		case CHECK_BATTERY_CHARGED: facts.battery_charged = 0; break;
		case CHECK_GUN_FLUSH: facts.gun_flush = 0; break;
		case CHECK_ARC: facts.arc_s = 1.2; break;
		case CHECK_HOLD: facts.hold_s = 1; break;
		case CHECK_READING: facts.reading = VERDICT_OVER; break;
		case CHECK_HAMMER: facts.hammer_passed = 0; break;
		case CHECK_SOLDER_ALL_ROUND: facts.solder_all_round = 0; break;
		case CHECK_SPOT: facts.spot_taken = 1; break;
		default: break;
		}
		made = judged(&facts);
		acceptance_asked(&rulebook, &made, asked, sizeof asked);
		ck_assert_msg(acceptance_spoils_spot(&made) == spoiling[i].spoils, "%s", spoiling[i].label);
		ck_assert_msg(strncmp(asked, spoiling[i].asked, strlen(spoiling[i].asked)) == 0 &&
			(spoiling[i].asked[0] != '\0') == (asked[0] != '\0'), "%s: %s", spoiling[i].label, asked);
		ck_assert_int_eq(made.accepted, spoiling[i].asked[0] != '\0' ? NOT_ACCEPTED : ACCEPTED);
	}
}
END_TEST

START_TEST(a_stub_too_high_and_a_short_arc_are_both_asked_for)
{
	const struct rulebook rulebook = rules();
	struct acceptance_facts facts = good(ATTACH_BRAZED_PIN);
	struct acceptance made;
	char asked[ACCEPTANCE_ASKED_SIZE];

	facts.stub_mm = 3;
	facts.arc_s = 1.2;
	made = judged(&facts);
	acceptance_asked(&rulebook, &made, asked, sizeof asked);
	ck_assert_ptr_nonnull(strstr(asked, "Grind the stub"));
	ck_assert_ptr_nonnull(strstr(asked, "What was not done"));
	ck_assert_int_eq(asked[strlen(asked) - 1], '.');
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
		a_failed_hammer_test_is_bad_whatever_the_method,
		a_spot_inside_a_clearance_refuses_it_and_one_that_is_not_known_says_nothing,
		what_can_be_mended_here_is_asked_for_and_only_what_cannot_spoils_the_spot,
		a_stub_too_high_and_a_short_arc_are_both_asked_for,
		one_check_that_is_not_done_refuses_it, a_bad_check_outweighs_what_is_not_recorded,
		the_limits_of_what_is_measured_are_good_themselves,
		a_reading_over_refuses_it_and_an_unproven_one_leaves_it_open, says_each_check_in_words,
		every_sentence_fits, NULL };

	return case_run("acceptance", tests);
}
