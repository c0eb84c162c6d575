/* How often may be guessed: worked by hand from the delays that the header tells. */
#include <stdio.h>

#include "case.h"
#include "service/access/throttle.h"

enum { TEN_MINUTES_MS = 600 * 1000 };

static struct throttle *throttle;

static bool may(const char *key, int64_t now_ms, unsigned *wait_s)
{
	struct throttle_try try;

	return throttle_take(throttle, THROTTLE_PASSWORD, key, now_ms, &try, wait_s);
}

START_TEST(the_delay_doubles_from_the_third_wrong_try_and_ends_growing)
{
	static const unsigned of_password[] = { 0, 0, 0, 1, 2, 4, 8, 16, 30, 30 };

	for (unsigned wrong = 0; wrong < 10; wrong++) {
		ck_assert_uint_eq(throttle_delay_s(THROTTLE_PASSWORD, wrong), of_password[wrong]);
	}
	ck_assert_uint_eq(throttle_delay_s(THROTTLE_PASSWORD, 4000000000u), 30);
	ck_assert_uint_eq(throttle_delay_s(THROTTLE_CODE, 12), 512);
	ck_assert_uint_eq(throttle_delay_s(THROTTLE_CODE, 13), 900);
}
END_TEST

/* 3 at once, after 1, 3, 7, 15 and 31 s, then every 30 s: 18 times in the 569 s that are left */
START_TEST(of_a_thousand_guesses_in_ten_minutes_twenty_six_are_answered)
{
	unsigned answered = 0, wait_s = 0;
	int64_t began_ms = 777;

	throttle = throttle_new();
	for (int i = 0; i < 1000; i++) {
		answered += may("crew", began_ms + (int64_t)i * TEN_MINUTES_MS / 1000, &wait_s);
	}
	ck_assert_uint_le(answered, 26);
	ck_assert_uint_ge(answered, 24);   /* guesses come every 0.6 s, so some a little later */
	/* the device on which its person signed in before waits for none of them, nor anybody else */
	ck_assert(may("a device of theirs", began_ms + TEN_MINUTES_MS, &wait_s));
	ck_assert(may("planner", began_ms + TEN_MINUTES_MS, &wait_s));
	/* and on any other device nobody waits longer than this */
	ck_assert(may("crew", began_ms + TEN_MINUTES_MS + 30 * 1000, &wait_s));
	throttle_free(throttle);
}
END_TEST

START_TEST(how_long_to_wait_is_said_and_is_true)
{
	unsigned wait_s = 0;

	throttle = throttle_new();
	for (int i = 0; i < 4; i++) {
		ck_assert(may("crew", 1000 + (i == 3 ? 1000 : 0), &wait_s));   /* the fourth: 2 s */
	}
	ck_assert(!may("crew", 2001, &wait_s));
	ck_assert_uint_eq(wait_s, 2);
	ck_assert(!may("crew", 3999, &wait_s));
	ck_assert_uint_eq(wait_s, 1);
	ck_assert(may("crew", 4000, &wait_s));
	throttle_free(throttle);
}
END_TEST

START_TEST(what_was_right_or_not_looked_at_delays_nobody)
{
	struct throttle_try try;
	unsigned wait_s = 0;

	throttle = throttle_new();
	for (int i = 0; i < 100; i++) {
		ck_assert(throttle_take(throttle, THROTTLE_PASSWORD, "crew", 5000, &try, &wait_s));
		throttle_right(throttle, &try);
	}
	for (int i = 0; i < 100; i++) {
		ck_assert(throttle_take(throttle, THROTTLE_PASSWORD, "crew", 5000, &try, &wait_s));
		throttle_back(throttle, &try);
		throttle_back(throttle, &try);   /* once only */
	}
	for (int i = 0; i < 3; i++) {
		ck_assert(may("crew", 5000, &wait_s));
	}
	ck_assert(!may("crew", 5000, &wait_s));
	/* the code behind a password is counted apart */
	ck_assert(throttle_take(throttle, THROTTLE_CODE, "crew", 5000, &try, &wait_s));
	throttle_free(throttle);
}
END_TEST

START_TEST(an_hour_after_the_last_try_all_is_forgotten)
{
	unsigned wait_s = 0;

	throttle = throttle_new();
	for (int i = 0; i < 20; i++) {
		may("crew", i * 60000, &wait_s);
	}
	ck_assert(may("crew", 19 * 60000 + 30000 + 3600 * 1000 + 1, &wait_s));
	ck_assert(may("crew", 19 * 60000 + 30000 + 3600 * 1000 + 2, &wait_s));
	throttle_free(throttle);
}
END_TEST

/* ten thousand names take the places of others tried once, not of one that is guessed at */
START_TEST(many_names_do_not_push_out_one_that_is_guessed_at)
{
	unsigned wait_s = 0;
	char name[32];

	throttle = throttle_new();
	for (int i = 0; i < 8; i++) {
		may("crew", i * 30000, &wait_s);
	}
	for (int i = 0; i < 10000; i++) {
		snprintf(name, sizeof name, "name %d", i);
		ck_assert(may(name, 210001, &wait_s));
	}
	ck_assert(!may("crew", 210002, &wait_s));
	throttle_free(throttle);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { the_delay_doubles_from_the_third_wrong_try_and_ends_growing,
		of_a_thousand_guesses_in_ten_minutes_twenty_six_are_answered,
		how_long_to_wait_is_said_and_is_true, what_was_right_or_not_looked_at_delays_nobody,
		an_hour_after_the_last_try_all_is_forgotten,
		many_names_do_not_push_out_one_that_is_guessed_at, NULL };

	return case_run("throttle", tests);
}
