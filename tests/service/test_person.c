/* Passwords, devices and sessions. */
#include <fcntl.h>
#include <sodium.h>
#include <stdio.h>
#include <sys/resource.h>
#include <unistd.h>

#include "case.h"
#include "service/access/session.h"
#include "service/access/sign_in.h"
#include "service/railway.h"


#define PASSWORD "ninety nine sleepers"

static struct railway r;
static int64_t crew_id;

static void change(const char *password, int active)
{
	const struct person_new form = { "crew", "The Crew", ROLE_CREW, active };
	struct problems why = { 0 };
	struct recorded recorded;
	char hash[PERSON_HASH_SIZE] = "";

	if (password != NULL) {
		railway_must(password_hash(password, hash, &why), &why);
	}
	railway_begin(&r, "2026-03-31");
	if (crew_id == 0) {
		railway_must(person_register(&r.act, &form, hash, &recorded, &why), &why);
		crew_id = recorded.id;
	} else {
		railway_must(person_change(&r.act, crew_id, &form, hash, &why), &why);
	}
	railway_end(&r);
}

static void make(void)
{
	crew_id = 0;
	railway_make(&r, "2026-03-31");
	change(PASSWORD, 1);
}

static void look_up(const char *login, struct sign_in_try *try)
{
	struct problems why = { 0 };

	railway_must(sign_in_look_up(r.store, login, try, &why), &why);
}

static enum problem_code code_of(const char *login, const char *password)
{
	struct sign_in_try try;
	struct problems why = { 0 };

	look_up(login, &try);
	return sign_in_check(&try, password, &why) ? PROBLEM_NONE : problems_code(&why);
}

START_TEST(name_and_password_belong_together)
{
	make();
	ck_assert_int_eq(code_of("crew", PASSWORD), PROBLEM_NONE);
	ck_assert_int_eq(code_of("CREW", PASSWORD), PROBLEM_NONE);
	ck_assert_int_eq(code_of("crew", "ninety eight sleepers"), PROBLEM_SIGN_IN);
	ck_assert_int_eq(code_of("nobody", PASSWORD), PROBLEM_SIGN_IN);
	ck_assert_int_eq(code_of("ada", PASSWORD), PROBLEM_SIGN_IN); /* without a password */
	ck_assert_int_eq(code_of("ada", ""), PROBLEM_SIGN_IN);
	change(NULL, 0);
	ck_assert_int_eq(code_of("crew", PASSWORD), PROBLEM_SIGN_IN);
	railway_remove(&r);
}
END_TEST

/* Pages of 4096 bytes that the process has mapped. */
static rlim_t mapped(void)
{
	char text[64] = "";
	int fd = open("/proc/self/statm", O_RDONLY);

	ck_assert_int_gt(read(fd, text, sizeof text - 1), 0);
	close(fd);
	return strtoull(text, NULL, 10) * 4096;
}

START_TEST(no_memory_is_no_wrong_password)
{
	struct rlimit all, few;

	make();
	getrlimit(RLIMIT_AS, &all);
	few = all;
	few.rlim_cur = mapped() + (12 << 20);  /* a hash takes 32 MB */
	ck_assert_int_eq(setrlimit(RLIMIT_AS, &few), 0);
	ck_assert_int_eq(code_of("crew", PASSWORD), PROBLEM_NO_MEMORY);
	ck_assert_int_eq(code_of("crew", "ninety eight sleepers"), PROBLEM_NO_MEMORY);
	ck_assert_int_eq(code_of("nobody", PASSWORD), PROBLEM_NO_MEMORY);
	ck_assert_int_eq(setrlimit(RLIMIT_AS, &all), 0);
	ck_assert_int_eq(code_of("crew", PASSWORD), PROBLEM_NONE);
	railway_remove(&r);
}
END_TEST

START_TEST(a_device_is_known_until_the_password_changes)
{
	struct sign_in_try crew, ada, other;
	char token[DEVICE_TOKEN_SIZE], second[DEVICE_TOKEN_SIZE];

	make();
	look_up("crew", &crew);
	look_up("ada", &ada);
	look_up("nobody", &other);
	device_token(&crew.person, "", token);
	device_token(&crew.person, "", second);
	ck_assert_str_ne(token, second);
	ck_assert(device_is_known(&crew.person, token));
	ck_assert(device_is_known(&crew.person, second));
	ck_assert(!device_is_known(&ada.person, token));
	ck_assert(!device_is_known(&other.person, token));
	ck_assert(!device_is_known(&crew.person, ""));
	ck_assert(!device_is_known(&crew.person, "A"));
	for (size_t i = 0; token[i] != '\0'; i++) {
		char changed[DEVICE_TOKEN_SIZE];

		memcpy(changed, token, sizeof changed);
		changed[i] = changed[i] == 'w' ? 'g' : 'w';
		ck_assert_msg(!device_is_known(&crew.person, changed), "%zu", i);
	}
	device_token(&ada.person, "", token);   /* what anybody could compute */
	ck_assert(!device_is_known(&ada.person, token));
	device_token(&crew.person, "", token);
	change("a hundred sleepers", 1);
	look_up("crew", &crew);
	ck_assert(!device_is_known(&crew.person, token));
	railway_remove(&r);
}
END_TEST

static int64_t now_ms(void)
{
	return (int64_t)railway_day("2026-03-31") * 86400000;
}

static bool begin_on(const struct person *person, const char *device, char *token)
{
	const struct session_place place = { .device = device, .agent = "A browser", .former = "" };
	struct session session;
	struct problems why = { 0 };
	bool ok;

	railway_begin(&r, "2026-03-31");
	ok = session_begin(&r.act, person, &place, token, &session, &why);
	ck_assert(ok || problems_code(&why) == PROBLEM_SIGN_IN);
	railway_end(&r);
	return ok;
}

static bool begin(const struct person *person, char *token)
{
	return begin_on(person, "", token);
}

static int64_t id_of(const char *token, int64_t after_ms)
{
	struct session session;
	struct person person;
	struct problem why = { 0 };

	ck_assert(session_of(r.store, token, now_ms() + after_ms, &session, &person, &why));
	ck_assert(session.id == 0 || person.id == session.person_id);
	return session.id;
}

static bool alive(const char *token, int64_t after_ms)
{
	return id_of(token, after_ms) != 0;
}

START_TEST(a_session_lasts_14_hours_and_no_clock_makes_it_longer)
{
	static const int64_t minute_ms = 60000, hour_ms = 60 * minute_ms;
	struct sign_in_try crew;
	char token[SESSION_TOKEN_SIZE];

	make();
	look_up("crew", &crew);
	ck_assert(begin(&crew.person, token));
	ck_assert(alive(token, 0));
	ck_assert(alive(token, 14 * hour_ms - 1));
	ck_assert(!alive(token, 14 * hour_ms));
	ck_assert(alive(token, -5 * minute_ms));      /* clocks are set right by a little */
	ck_assert(!alive(token, -5 * minute_ms - 1));
	ck_assert(!alive(token, -365 * 24 * hour_ms));
	railway_remove(&r);
}
END_TEST

static void give_role(enum role role)
{
	const struct person_new form = { "crew", "The Crew", (int)role, 1 };
	struct problems why = { 0 };

	railway_begin(&r, "2026-03-31");
	railway_must(person_change(&r.act, crew_id, &form, "", &why), &why);
	railway_end(&r);
}

/* Hours that a role's session may be silent, and lasts at most. */
START_TEST(a_session_that_is_not_used_ends_and_one_that_is_ends_later)
{
	static const int64_t hour_ms = 3600 * 1000;
	static const struct { enum role role; int idle_h, most_h; } rows[] = {
		{ ROLE_VIEWER, 4, 14 }, { ROLE_CREW, 14, 14 }, { ROLE_PLANNER, 4, 14 },
		{ ROLE_MANAGER, 4, 14 }, { ROLE_ADMINISTRATOR, 1, 10 } };
	struct sign_in_try crew;
	char token[SESSION_TOKEN_SIZE];
	struct problem why = { 0 };

	make();
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		int64_t idle_ms = rows[i].idle_h * hour_ms, most_ms = rows[i].most_h * hour_ms;

		give_role(rows[i].role);
		look_up("crew", &crew);
		ck_assert(begin(&crew.person, token));
		ck_assert(alive(token, idle_ms - 1));
		ck_assert(!alive(token, idle_ms));
		railway_begin(&r, "2026-03-31");
		ck_assert(store_session_seen(r.store, id_of(token, 0), now_ms() + most_ms - hour_ms / 2,
			&why));
		railway_end(&r);
		ck_assert(alive(token, most_ms - 1));
		ck_assert(!alive(token, most_ms));
	}
	railway_remove(&r);
}
END_TEST

START_TEST(signing_in_again_on_a_device_ends_what_was_there_and_nothing_elsewhere)
{
	struct sign_in_try crew;
	char here[SESSION_TOKEN_SIZE], there[SESSION_TOKEN_SIZE], again[SESSION_TOKEN_SIZE],
		unknown[SESSION_TOKEN_SIZE];
	char first[DEVICE_TOKEN_SIZE], second[DEVICE_TOKEN_SIZE];

	make();
	look_up("crew", &crew);
	device_token(&crew.person, "", first);
	device_token(&crew.person, first, second);   /* the device stays what it is */
	ck_assert_int_eq(strncmp(first, second, DEVICE_NUMBER), 0);
	ck_assert(begin_on(&crew.person, "tablet 7", here));
	ck_assert(begin_on(&crew.person, "tablet 8", there));
	ck_assert(begin_on(&crew.person, "", unknown));
	ck_assert(begin_on(&crew.person, "tablet 7", again));
	ck_assert(!alive(here, 0));
	ck_assert(alive(there, 0));
	ck_assert(alive(unknown, 0));
	ck_assert(alive(again, 0));
	railway_remove(&r);
}
END_TEST

START_TEST(who_was_changed_while_signing_in_has_no_session)
{
	struct sign_in_try crew;
	char token[SESSION_TOKEN_SIZE];

	make();
	look_up("crew", &crew);
	change("a hundred sleepers", 1);
	ck_assert(!begin(&crew.person, token));
	look_up("crew", &crew);
	ck_assert(begin(&crew.person, token));
	change(NULL, 0);
	ck_assert(!begin(&crew.person, token));
	railway_remove(&r);
}
END_TEST

START_TEST(the_edition_of_people_counts_before_and_after_the_disk)
{
	struct sign_in_try crew;
	struct problems why = { 0 };
	char token[SESSION_TOKEN_SIZE];
	uint64_t first, written;

	make();
	look_up("crew", &crew);
	first = store_people_edition();
	ck_assert(begin(&crew.person, token));
	ck_assert_uint_eq(store_people_edition(), first);   /* nobody's session ended */
	railway_begin(&r, "2026-03-31");
	railway_must(session_end(&r.act, token, &why), &why);
	written = store_people_edition();
	ck_assert_uint_gt(written, first);
	railway_end(&r);
	ck_assert_uint_gt(store_people_edition(), written);
	written = store_people_edition();
	change(NULL, 0);
	ck_assert_uint_gt(store_people_edition(), written);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { name_and_password_belong_together,
		no_memory_is_no_wrong_password, a_device_is_known_until_the_password_changes,
		a_session_lasts_14_hours_and_no_clock_makes_it_longer,
		a_session_that_is_not_used_ends_and_one_that_is_ends_later,
		signing_in_again_on_a_device_ends_what_was_there_and_nothing_elsewhere,
		who_was_changed_while_signing_in_has_no_session,
		the_edition_of_people_counts_before_and_after_the_disk, NULL };

	return sodium_init() < 0 ? EXIT_FAILURE : case_run("person", tests);
}
