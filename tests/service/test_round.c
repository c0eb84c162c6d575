/* The temperatures of a round: those of the same person, day and surroundings that came before. */
#include <math.h>

#include "case.h"
#include "service/railway.h"
#include "store/record/inspection.h"

static struct railway railway;
static int64_t bond_id, ada, ben;
static int numbers;

static void begin(void)
{
	const struct person_new person = { "ben", "Ben Holt", ROLE_CREW, 1 };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_make(&railway, "2026-01-01");
	railway_begin(&railway, "2026-05-05");
	bond_id = railway_add_bond(&railway, "J1", "1+200");
	railway_must(person_register(&railway.act, &person, "", &recorded, &why), &why);
	ben = recorded.id;
	ada = railway.person_id;
	numbers = 0;
}

static void end(void)
{
	railway_end(&railway);
	railway_remove(&railway);
}

/* A visit with one reading end to end; NAN: no temperature was noted. Its number. */
static int64_t enter(int64_t person_id, const char *day, int surroundings, double temp_c,
	bool carried)
{
	const struct origin origin = { .person_id = person_id, .now_ms = 1 };
	const struct reading_row row = { .quantity = QUANTITY_END_TO_END, .method = READING_FOUR_WIRE,
		.forward_uv = NAN, .reverse_uv = NAN, .current_a = NAN, .shown_uohm = 600,
		.lead_uohm = NAN, .rail_uv = NAN, .rail_m = NAN, .joint_m = NAN, .temp_c = temp_c,
		.probed = -1, .temp_carried = carried ? 1 : -1, .round_temp_c = NAN };
	char uuid[UUID_TEXT_SIZE];
	struct inspection i = { .uuid = uuid, .content_hash = "-", .bond_id = bond_id,
		.day = railway_day(day), .purpose = PURPOSE_ROUTINE, .outcome = OUTCOME_COMPLETE,
		.seen_a = SEEN_GOOD, .seen_b = SEEN_GOOD, .cables_whole = FORM_NO_INTEGER,
		.strength_a = -1, .strength_b = -1, .surroundings = surroundings, .failed = -1,
		.at_ms = FORM_NO_INTEGER, .person_id = person_id };
	struct problem why = { 0 };

	railway_uuid(++numbers, uuid);
	ck_assert_msg(store_inspection_insert(railway.store, &i, &origin, &why), "%s", why.detail);
	ck_assert_msg(store_reading_insert(railway.store, i.id, 0, &row, &why), "%s", why.detail);
	return i.id;
}

/* What was noted until now, newest first, one after the other: "22 21". */
static const char *noted(int64_t person_id, const char *day, int surroundings)
{
	static char text[256];
	const struct inspection next = { .id = INT64_MAX, .day = railway_day(day),
		.surroundings = surroundings };
	double temps[ROUND_TEMPS_MOST];
	struct problem why = { 0 };
	size_t n;

	ck_assert_msg(store_round_temps(railway.store, &next, person_id, temps, &n, &why), "%s",
		why.detail);
	text[0] = '\0';
	for (size_t at = 0; at < n; at++) {
		size_t len = strlen(text);

		snprintf(text + len, sizeof text - len, at > 0 ? " %g" : "%g", temps[at]);
	}
	return text;
}

START_TEST(a_round_is_of_one_person_one_day_and_the_same_surroundings)
{
	begin();
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "");
	enter(ada, "2026-05-05", -1, 21, false);
	enter(ben, "2026-05-05", -1, 30, false);
	enter(ada, "2026-05-05", SURROUNDINGS_TUNNEL, 12, false);
	enter(ada, "2026-05-04", -1, 18, false);
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "21");
	enter(ada, "2026-05-05", SURROUNDINGS_OPEN, 22, false);
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "22 21");
	ck_assert_str_eq(noted(ada, "2026-05-05", SURROUNDINGS_OPEN), "22 21");
	ck_assert_str_eq(noted(ada, "2026-05-05", SURROUNDINGS_TUNNEL), "12");
	ck_assert_str_eq(noted(ben, "2026-05-05", -1), "30");
	ck_assert_str_eq(noted(ada, "2026-05-04", -1), "18");
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "22 21");
	end();
}
END_TEST

START_TEST(a_temperature_that_was_carried_or_not_noted_is_none_of_the_round)
{
	begin();
	enter(ada, "2026-05-05", -1, 21, false);
	enter(ada, "2026-05-05", -1, 40, true);
	enter(ada, "2026-05-05", -1, NAN, false);
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "21");
	end();
}
END_TEST

START_TEST(an_entry_that_is_taken_back_is_none_of_the_round)
{
	struct problem why = { 0 };

	begin();
	enter(ada, "2026-05-05", -1, 21, false);
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "21");
	ck_assert(store_save(railway.store, &why));
	enter(ada, "2026-05-05", -1, 38, false);
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "38 21");
	ck_assert(store_save_undo(railway.store, &why));
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "21");
	enter(ada, "2026-05-05", -1, 22, false);   /* has the number of the one taken back */
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "22 21");
	end();
}
END_TEST

START_TEST(an_entry_is_compared_with_what_came_before_it_alone)
{
	struct inspection early = { .day = railway_day("2026-05-05"), .surroundings = -1 };
	double temps[ROUND_TEMPS_MOST];
	struct problem why = { 0 };
	size_t n;

	begin();
	enter(ada, "2026-05-05", -1, 21, false);
	early.id = enter(ada, "2026-05-05", -1, 22, false);
	enter(ada, "2026-05-05", -1, 23, false);
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "23 22 21");
	ck_assert(store_round_temps(railway.store, &early, ada, temps, &n, &why));
	ck_assert_uint_eq(n, 1);
	ck_assert_double_eq(temps[0], 21);
	end();
}
END_TEST

START_TEST(a_round_is_of_the_newest_twenty_and_not_lost_among_those_of_other_crews)
{
	enum { OTHERS = 1999 };

	begin();
	for (int i = 1; i <= 25; i++) {
		enter(ada, "2026-05-05", -1, i, false);
		if (i % 4 == 0) {
			noted(ada, "2026-05-05", -1);
		}
	}
	ck_assert_str_eq(noted(ada, "2026-05-05", -1),
		"25 24 23 22 21 20 19 18 17 16 15 14 13 12 11 10 9 8 7 6");
	for (int i = 0; i < OTHERS; i++) {
		enter(ben, "2026-05-05", -1, 30, false);
		if (i % 500 == 0) {
			noted(ben, "2026-05-05", -1);
		}
	}
	ck_assert(strncmp(noted(ada, "2026-05-05", -1), "25", 2) == 0);
	for (int i = 0; i < OTHERS + 10; i++) {
		enter(ben, "2026-05-05", -1, 31, false);
	}
	ck_assert(strncmp(noted(ben, "2026-05-05", -1), "31 31", 5) == 0);
	ck_assert_str_eq(noted(ada, "2026-05-05", -1), "");   /* there is an end to it */
	end();
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_round_is_of_one_person_one_day_and_the_same_surroundings,
		a_temperature_that_was_carried_or_not_noted_is_none_of_the_round,
		an_entry_that_is_taken_back_is_none_of_the_round,
		an_entry_is_compared_with_what_came_before_it_alone,
		a_round_is_of_the_newest_twenty_and_not_lost_among_those_of_other_crews, NULL };

	return case_run("round", tests);
}
