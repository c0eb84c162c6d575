/* Passwords, devices and sessions. */
#include <fcntl.h>
#include <sodium.h>
#include <stdio.h>
#include <sys/resource.h>
#include <unistd.h>

#include "case.h"
#include "service/railway.h"


#define PASSWORD "ninety nine sleepers"

static struct railway r;
static int64_t crew_id;

static void change(const char *password, int active)
{
	const struct person_new form = { "crew", "The Crew", ROLE_CREW, password, active };
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
	device_token(&crew.person, token);
	device_token(&crew.person, second);
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
	device_token(&ada.person, token);   /* what anybody could compute */
	ck_assert(!device_is_known(&ada.person, token));
	device_token(&crew.person, token);
	change("a hundred sleepers", 1);
	look_up("crew", &crew);
	ck_assert(!device_is_known(&crew.person, token));
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { name_and_password_belong_together,
		no_memory_is_no_wrong_password, a_device_is_known_until_the_password_changes, NULL };

	return sodium_init() < 0 ? EXIT_FAILURE : case_run("person", tests);
}
