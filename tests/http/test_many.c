/* Many clients, slow clients, clients that leave, and the end of the server. */
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "case.h"
#include "http/served.h"

static struct served s;

static const char post[] = POST_BOND "Content-Length: 2\r\n\r\n{}";

static void sleep_ms(long ms)
{
	nanosleep(&(struct timespec){ ms / 1000, ms % 1000 * 1000000 }, NULL);
}

/* The HTTP library in epoll mode freezes when exactly 128, 256 ... connections are active. */
static void all_are_answered(int count)
{
	static int fd[512];

	for (int i = 0; i < count; i++) {
		fd[i] = dial(&s);
	}
	for (int round = 0; round < 3; round++) {
		for (int i = 0; i < count; i++) {
			say(fd[i], GET("/api/bonds/%d"), i);
		}
		for (int i = 0; i < count; i++) {
			ck_assert_int_eq(hear(fd[i], false)->status, 200);
		}
		served_hold(&s, true);
		for (int i = 0; i < count; i++) {
			say(fd[i], "%s", post);
		}
		ck_assert(wait_suspended(&s, (uint64_t)count));
		served_hold(&s, false);
		for (int i = 0; i < count; i++) {
			ck_assert_int_eq(hear(fd[i], false)->status, 201);
		}
	}
	for (int i = 0; i < count; i++) {
		close(fd[i]);
	}
	ck_assert(wait_no_connections(&s));
}

START_TEST(answers_127_to_512_at_once)
{
	static const int counts[] = { 127, 128, 129, 256, 512 };

	for (unsigned threads = 1; threads <= 2; threads++) {
		served_start(&s, (struct http_options){ .threads = threads });
		for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
			all_are_answered(counts[i]);
		}
		served_stop(&s, 5);
	}
}
END_TEST

/* Who comes while all threads work waits for a thread, not for its turn to be taken as well. */
START_TEST(a_crowd_is_taken_while_the_threads_work)
{
	int fd[100];

	served_start(&s, (struct http_options){ .threads = 1 });
	fd[0] = dial(&s);
	say(fd[0], "%s", GET("/api/bonds/1"));
	ck_assert(wait_connections(&s, 1));
	atomic_store(&s.gate, true);
	say(fd[0], "%s", GET("/api/bonds/1"));
	for (int i = 1; i < 100; i++) {
		fd[i] = dial(&s);
		say(fd[i], "%s", GET("/api/bonds/1"));
	}
	ck_assert(wait_connections(&s, 100));
	atomic_store(&s.gate, false);
	for (int i = 0; i < 100; i++) {
		ck_assert_int_eq(hear(fd[i], false)->status, 200);
		close(fd[i]);
	}
	served_stop(&s, 5);
}
END_TEST

START_TEST(a_client_may_hang_up_while_suspended)
{
	int fd[50];

	served_start(&s, (struct http_options){ 0 });
	served_hold(&s, true);
	for (int i = 0; i < 50; i++) {
		fd[i] = dial(&s);
		say(fd[i], i % 2 == 0 ? "%s" : "POST /api/prepared HTTP/1.1\r\n" HOST JSON
			"Content-Length: 4\r\n\r\n{  }", post);
	}
	ck_assert(wait_suspended(&s, 50));
	for (int i = 0; i < 50; i++) {
		struct linger reset = { 1, 0 };

		if (i % 3 == 0) { /* an abrupt end, as when the signal is lost */
			setsockopt(fd[i], SOL_SOCKET, SO_LINGER, &reset, sizeof reset);
		}
		close(fd[i]);
	}
	served_hold(&s, false);
	ck_assert(wait_no_connections(&s));
	ck_assert_int_eq(atomic_load(&s.handled), 50); /* what was sent was done */
	ck_assert_int_eq(ask(&s, "%s", post)->status, 201);
	served_stop(&s, 5);
}
END_TEST

START_TEST(a_stop_answers_what_was_accepted)
{
	int fd[40];
	int idle;
	struct answer *a;

	served_start(&s, (struct http_options){ 0 });
	idle = dial(&s);
	say(idle, GET("/api/bonds/1"));
	ck_assert_int_eq(hear(idle, false)->status, 200);
	served_hold(&s, true);
	for (int i = 0; i < 40; i++) {
		fd[i] = dial(&s);
		say(fd[i], "%s", post);
	}
	ck_assert(wait_suspended(&s, 40));
	served_hold(&s, false);
	http_server_stop(s.server, 5);
	for (int i = 0; i < 40; i++) {
		a = hear(fd[i], false);
		ck_assert_int_eq(a->status, 201);
		close(fd[i]);
	}
	ck_assert(ends_within(idle, 1000));
	close(idle);
	s.server = NULL;
	served_stop(&s, 0);
}
END_TEST

START_TEST(a_stop_does_not_wait_for_ever)
{
	int64_t began_ms;
	struct answer *a;
	int fd;

	served_start(&s, (struct http_options){ 0 });
	served_hold(&s, true);
	fd = dial(&s);
	say(fd, "POST /api/prepared HTTP/1.1\r\n" HOST JSON "Cookie: session=crew\r\n"
		"Content-Length: 4\r\n\r\n{  }");
	ck_assert(wait_suspended(&s, 1));
	began_ms = clock_monotonic_ms();
	http_server_stop(s.server, 1);
	ck_assert_int_lt(clock_monotonic_ms() - began_ms, 3000);
	a = hear(fd, false);
	ck_assert_int_eq(a->status, 503);
	ck_assert_ptr_nonnull(strstr(a->body, "not certain"));
	close(fd);
	s.server = NULL;
	served_stop(&s, 0); /* the writer goes on: the job runs into memory that is still there */
	ck_assert_int_eq(atomic_load(&s.handled), 1);
}
END_TEST

START_TEST(ends_an_idle_connection)
{
	int silent, kept;

	served_start(&s, (struct http_options){ .idle_s = 1 });
	silent = dial(&s);
	kept = dial(&s);
	say(kept, GET("/api/bonds/1"));
	ck_assert_int_eq(hear(kept, false)->status, 200);
	ck_assert(!ends_within(kept, 500));
	ck_assert(ends_within(silent, 3000));
	ck_assert(ends_within(kept, 3000));
	close(silent);
	close(kept);
	served_stop(&s, 5);
}
END_TEST

/* A byte every 50 ms is never idle: the deadline ends it. */
static int64_t drip(const char *first, const char *byte)
{
	int64_t began_ms = clock_monotonic_ms();
	int fd = dial(&s);

	say(fd, "%s", first);
	while (clock_monotonic_ms() - began_ms < 6000 && !ends_within(fd, 50)) {
		say(fd, "%s", byte);
	}
	close(fd);
	return clock_monotonic_ms() - began_ms;
}

START_TEST(ends_a_request_that_drips)
{
	static const struct { const char *first, *byte; } drips[] = {
		{ "", "G" },
		{ "GET /api/bonds/1 HTTP/1.1\r\n", "X: y\r\n" },
		{ POST_BOND "Content-Length: 5000\r\n\r\n", " " },
		{ POST_BOND "Transfer-Encoding: chunked\r\n\r\n", "1\r\n \r\n" },
	};

	served_start(&s, (struct http_options){ .idle_s = 1, .deadline_s = 1 });
	for (size_t i = 0; i < sizeof drips / sizeof drips[0]; i++) {
		int64_t took_ms = drip(drips[i].first, drips[i].byte);

		ck_assert_msg(took_ms >= 900 && took_ms < 2500, "drip %zu took %lld ms", i, (long long)took_ms);
	}
	ck_assert(wait_no_connections(&s));
	served_stop(&s, 5);
}
END_TEST

/* Takes bytes a second from a large answer for so long, and then is the connection there yet? */
static bool is_taken(size_t a_second, int ms)
{
	int64_t began_ms = clock_monotonic_ms();
	size_t taken = 0;
	int fd = dial(&s);
	int small = 4096;
	bool there = true;

	setsockopt(fd, SOL_SOCKET, SO_RCVBUF, &small, sizeof small);
	say(fd, GET("/api/file/16"));
	while (there && clock_monotonic_ms() - began_ms < ms) {
		char waste[4096];
		struct pollfd p = { .fd = fd, .events = 0 };

		if (taken < a_second * (size_t)(clock_monotonic_ms() - began_ms) / 1000) {
			ssize_t got = recv(fd, waste, sizeof waste, MSG_DONTWAIT);

			taken += got > 0 ? (size_t)got : 0;
		}
		sleep_ms(2);
		there = poll(&p, 1, 0) == 0;
	}
	close(fd);
	return there;
}

START_TEST(ends_who_takes_an_answer_too_slowly)
{
	served_start(&s, (struct http_options){ .pace_s = 1 });
	ck_assert(!is_taken(0, 20000));
	ck_assert(!is_taken(2000, 20000));
	ck_assert(is_taken(100000, 4000));
	ck_assert(wait_no_connections(&s));
	served_stop(&s, 5);
}
END_TEST

START_TEST(a_long_request_knows_that_its_client_has_gone)
{
	int fd[3];

	served_start(&s, (struct http_options){ 0 });
	served_hold_jobs(&s, true);
	for (int i = 0; i < 3; i++) {
		struct linger reset = { 1, 0 };

		fd[i] = dial(&s);
		say(fd[i], GET("/api/file/1"));
		ck_assert(wait_suspended(&s, (uint64_t)i + 1));
		if (i == 1) {
			setsockopt(fd[i], SOL_SOCKET, SO_LINGER, &reset, sizeof reset);
		}
	}
	sleep_ms(300);
	ck_assert_int_eq(served_jobs_gone(&s), 0);
	close(fd[0]);
	close(fd[1]);
	for (int i = 0; i < 250 && served_jobs_gone(&s) < 2; i++) {
		sleep_ms(20);
	}
	ck_assert_int_eq(served_jobs_gone(&s), 2);
	served_hold_jobs(&s, false);
	ck_assert_int_eq(hear(fd[2], false)->status, 200);
	close(fd[2]);
	served_stop(&s, 5);
}
END_TEST

START_TEST(a_waiting_writer_is_no_slow_client)
{
	int fd;

	served_start(&s, (struct http_options){ .idle_s = 1, .deadline_s = 1 });
	served_hold(&s, true);
	fd = dial(&s);
	say(fd, "%s", post);
	ck_assert(wait_suspended(&s, 1));
	sleep_ms(2500);
	served_hold(&s, false);
	ck_assert_int_eq(hear(fd, false)->status, 201);
	close(fd);
	served_stop(&s, 5);
}
END_TEST

START_TEST(more_connections_than_the_limit_wait)
{
	int fd[8], late;

	served_start(&s, (struct http_options){ .threads = 2, .connections_most = 8, .idle_s = 1 });
	for (int i = 0; i < 8; i++) {
		fd[i] = dial(&s);
		say(fd[i], GET("/api/bonds/1"));
		ck_assert_int_eq(hear(fd[i], false)->status, 200);
	}
	late = dial(&s); /* in the kernel's queue */
	say(late, GET("/api/bonds/1"));
	ck_assert(!ends_within(late, 200));
	ck_assert_int_eq(hear(late, false)->status, 200); /* once idle ones were ended */
	for (int i = 0; i < 8; i++) {
		close(fd[i]);
	}
	close(late);
	served_stop(&s, 5);
}
END_TEST

START_TEST(says_why_it_cannot_listen)
{
	struct http_options options = { .address = "127.0.0.1" };
	struct problem why = { 0 };

	served_start(&s, (struct http_options){ 0 });
	options.port = s.port;
	ck_assert_ptr_null(http_server_start(&options, NULL, &(struct http_hooks){ 0 }, &why));
	ck_assert_ptr_nonnull(strstr(why.detail, "in use"));
	options.address = "localhost";
	ck_assert_ptr_null(http_server_start(&options, NULL, &(struct http_hooks){ 0 }, &why));
	options.address = "127.0.0.1";
	options.port = 65536;
	ck_assert_ptr_null(http_server_start(&options, NULL, &(struct http_hooks){ 0 }, &why));
	served_stop(&s, 5);
	http_server_stop(NULL, 0);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { answers_127_to_512_at_once,
		a_crowd_is_taken_while_the_threads_work, a_client_may_hang_up_while_suspended,
		a_stop_answers_what_was_accepted, a_stop_does_not_wait_for_ever, ends_an_idle_connection,
		ends_a_request_that_drips, ends_who_takes_an_answer_too_slowly,
		a_long_request_knows_that_its_client_has_gone, a_waiting_writer_is_no_slow_client,
		more_connections_than_the_limit_wait, says_why_it_cannot_listen, NULL };

	return case_run("many", tests);
}
