/* People who have not signed in get little: small bodies, few connections, and always a place. */
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "case.h"
#include "base/clock.h"
#include "http/route.h"
#include "http/served.h"

static struct served s;

#define SIGNED_IN "GET /api/bonds/1 HTTP/1.1\r\n" HOST "Cookie: session=crew\r\n\r\n"

static bool ended(int fd)
{
	char byte;

	return recv(fd, &byte, 1, MSG_DONTWAIT) == 0;
}

static int count_ended(const int *fd, int from, int to)
{
	int n = 0;

	for (int i = from; i < to; i++) {
		n += ended(fd[i]);
	}
	return n;
}

/* Until so many of them are ended; false after 5 s. */
static bool wait_ended(const int *fd, int count, int wanted)
{
	for (int i = 0; i < 250 && count_ended(fd, 0, count) < wanted; i++) {
		nanosleep(&(struct timespec){ 0, 20000000 }, NULL);
	}
	return count_ended(fd, 0, count) >= wanted;
}

static void sleep_ms(long ms)
{
	nanosleep(&(struct timespec){ ms / 1000, ms % 1000 * 1000000 }, NULL);
}

START_TEST(an_address_has_few_connections_of_strangers)
{
	int fd[20];

	served_start(&s, (struct http_options){ .per_address_most = 4 });
	for (int i = 0; i < 20; i++) {
		fd[i] = dial_from(&s, i < 14 ? 1 : 2);
		if (i < 6) {
			say(fd[i], SIGNED_IN);
			ck_assert_int_eq(hear(fd[i], false)->status, 200);
		} else if (i == 6) {
			say(fd[i], "GET /api/bonds/1 HTTP/1.1\r\nHost: "); /* begun is not signed in */
		}
		sleep_ms(5);
	}
	/* of the first address 8 are strangers', of the second 6; the oldest went */
	ck_assert(wait_ended(fd, 20, 6));
	sleep_ms(300);
	ck_assert_int_eq(count_ended(fd, 0, 6), 0);
	ck_assert_int_eq(count_ended(fd, 6, 10), 4);
	ck_assert_int_eq(count_ended(fd, 10, 14), 0);
	ck_assert_int_eq(count_ended(fd, 14, 16), 2);
	ck_assert_int_eq(count_ended(fd, 16, 20), 0);
	for (int i = 0; i < 20; i++) {
		close(fd[i]);
	}
	served_stop(&s, 5);
}
END_TEST

/* A crew's request that waited longer for a thread than a stranger may idle. */
START_TEST(who_is_asked_for_just_now_is_no_stranger)
{
	int crew, late, idle;

	served_start(&s, (struct http_options){ .threads = 1, .per_address_most = 1 });
	crew = dial(&s);
	say(crew, SIGNED_IN);
	ck_assert_int_eq(hear(crew, false)->status, 200);
	atomic_store(&s.gate, true);
	say(crew, SIGNED_IN);
	late = dial(&s);
	say(late, SIGNED_IN);
	idle = dial(&s);
	sleep_ms(1300);
	atomic_store(&s.let, 1);
	ck_assert_int_eq(hear(crew, false)->status, 200);
	sleep_ms(300);
	atomic_store(&s.gate, false);
	ck_assert_int_eq(hear(late, false)->status, 200);
	close(crew);
	close(late);
	close(idle);
	served_stop(&s, 5);
}
END_TEST

/* However many addresses they come from. */
START_TEST(idle_strangers_leave_a_place)
{
	int fd[60];
	int64_t began_ms;
	int visitor;

	served_start(&s, (struct http_options){ .threads = 1, .connections_most = 32 });
	for (int i = 0; i < 60; i++) {
		fd[i] = dial_from(&s, 10 + (unsigned)i);
		if (i < 4) {
			say(fd[i], SIGNED_IN);
			ck_assert_int_eq(hear(fd[i], false)->status, 200);
		}
	}
	began_ms = clock_monotonic_ms();
	visitor = dial_from(&s, 9);
	say(visitor, GET("/api/bonds/1"));
	ck_assert_int_eq(hear(visitor, false)->status, 200);
	ck_assert_int_lt(clock_monotonic_ms() - began_ms, 15000); /* not the 30 s of an idle one's end */
	ck_assert_int_eq(count_ended(fd, 0, 4), 0);
	for (int i = 0; i < 60; i++) {
		close(fd[i]);
	}
	close(visitor);
	served_stop(&s, 5);
}
END_TEST

/* One address cannot take the last places, not even for a moment. */
START_TEST(the_last_places_are_for_others)
{
	int fd[40], late;

	served_start(&s, (struct http_options){ .threads = 1, .connections_most = 32,
		.per_address_most = 4 });
	for (int i = 0; i < 40; i++) {
		fd[i] = dial_from(&s, 1);
	}
	late = dial_from(&s, 2);
	say(late, GET("/api/bonds/1"));
	ck_assert_int_eq(hear(late, false)->status, 200);
	ck_assert(wait_ended(fd, 40, 36));
	/* the first 28 were taken, and the last 12 never: those went before they were old */
	ck_assert_int_eq(count_ended(fd, 28, 40), 12);
	ck_assert_int_eq(count_ended(fd, 0, 28), 24);
	for (int i = 0; i < 40; i++) {
		close(fd[i]);
	}
	close(late);
	served_stop(&s, 5);
}
END_TEST

static int post(size_t len, const char *cookie)
{
	static char body[STRANGER_BODY_MOST + 1];

	memset(body, ' ', sizeof body);
	return ask(&s, "PUT /api/photo HTTP/1.1\r\n" HOST "Content-Type: image/png\r\n%s"
		"Content-Length: %zu\r\n\r\n%.*s", cookie, len, (int)len, body)->status;
}

START_TEST(a_stranger_sends_little)
{
	served_start(&s, (struct http_options){ 0 });
	ck_assert_int_eq(post(STRANGER_BODY_MOST, ""), 201);
	ck_assert_int_eq(post(STRANGER_BODY_MOST + 1, ""), 413);
	ck_assert_int_eq(post(STRANGER_BODY_MOST + 1, "Cookie: session=crew\r\n"), 201);
	ck_assert_int_eq(post(STRANGER_BODY_MOST + 1, "Cookie: session=old\r\n"), 413);
	served_stop(&s, 5);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { an_address_has_few_connections_of_strangers,
		who_is_asked_for_just_now_is_no_stranger,
		idle_strangers_leave_a_place, the_last_places_are_for_others, a_stranger_sends_little, NULL };

	return case_run("strangers", tests);
}
