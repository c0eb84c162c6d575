/* Long work: fair between people, and ended when nobody waits for it. */
#include <pthread.h>
#include <string.h>
#include <time.h>

#include "run/jobs.h"
#include "case.h"
#include "store/register.h"
#include "store/sql.h"

enum { ANN = 1, BEN = 2 };

static struct register_file file;
static struct jobs *jobs;
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static char order[100];                /* the names of the jobs as they were begun */
static atomic_bool open_gate, log_is_long;
static atomic_int done, not_done;

struct try {
	struct job job;
	char name;
	bool endless;
	atomic_bool gone;
};

static void wait_ms(long ms)
{
	nanosleep(&(struct timespec){ ms / 1000, ms % 1000 * 1000000 }, NULL);
}

static bool run(struct job *job, void *store)
{
	struct try *t = (struct try *)job;
	struct problem why = { 0 };
	int64_t n;

	pthread_mutex_lock(&lock);
	order[strlen(order)] = t->name;
	pthread_mutex_unlock(&lock);
	if (t->endless) {
		return sql_integer(store, "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
			"SELECT count(*) FROM n", NULL, 0, 0, &n, &why);
	}
	while (!atomic_load(&open_gate)) {
		wait_ms(1);
	}
	return true;
}

static void ended(struct job *job, bool committed)
{
	(void)job;
	atomic_fetch_add(committed ? &done : &not_done, 1);
}

static bool give(struct try *t, int64_t person_id, char name, struct problem *why)
{
	*t = (struct try){
		.job = { .run = run, .done = ended, .person_id = person_id, .gone = &t->gone }, .name = name
	};
	return jobs_give(jobs, &t->job, why);
}

/* Until so many were begun, or 5 s are over. */
static const char *begun(size_t count)
{
	static char copy[sizeof order];

	for (int i = 0; i < 5000; i++) {
		pthread_mutex_lock(&lock);
		memcpy(copy, order, sizeof order);
		pthread_mutex_unlock(&lock);
		if (strlen(copy) >= count) {
			break;
		}
		wait_ms(1);
	}
	return copy;
}

static void wait_ended(int count)
{
	for (int i = 0; i < 5000 && atomic_load(&done) + atomic_load(&not_done) < count; i++) {
		wait_ms(1);
	}
	ck_assert_int_eq(atomic_load(&done) + atomic_load(&not_done), count);
}

static bool is_log_long(void *arg)
{
	(void)arg;
	return atomic_load(&log_is_long);
}

static void start(unsigned threads)
{
	struct problem why = { 0 };

	register_file_make(&file);
	store_close(register_open(&file, STORE_WRITE));
	memset(order, 0, sizeof order);
	atomic_store(&open_gate, false);
	atomic_store(&done, 0);
	atomic_store(&not_done, 0);
	atomic_store(&log_is_long, false);
	jobs = jobs_start(file.path, threads, is_log_long, NULL, &why);
	ck_assert_ptr_nonnull(jobs);
}

static void stop(void)
{
	jobs_stop(jobs);
	register_file_remove(&file);
}

START_TEST(one_person_has_at_most_two_running)
{
	struct try ann[4], ben;
	struct problem why = { 0 };

	start(3);
	for (int i = 0; i < 4; i++) {
		ck_assert(give(&ann[i], ANN, 'a', &why));
	}
	ck_assert_str_eq(begun(2), "aa");
	wait_ms(50);
	ck_assert_str_eq(begun(2), "aa");     /* though a thread is free */
	ck_assert(give(&ben, BEN, 'b', &why));
	ck_assert_str_eq(begun(3), "aab");
	atomic_store(&open_gate, true);
	wait_ended(5);
	ck_assert_str_eq(begun(5), "aabaa");
	ck_assert_int_eq(atomic_load(&done), 5);
	stop();
}
END_TEST

START_TEST(people_take_turns)
{
	struct try ann[4], ben[2];
	struct problem why = { 0 };

	start(1);
	for (int i = 0; i < 4; i++) {
		ck_assert(give(&ann[i], ANN, 'a', &why));
	}
	for (int i = 0; i < 2; i++) {
		ck_assert(give(&ben[i], BEN, 'b', &why));
	}
	atomic_store(&open_gate, true);
	wait_ended(6);
	ck_assert_str_eq(begun(6), "ababaa");
	stop();
}
END_TEST

START_TEST(what_nobody_waits_for_is_ended)
{
	struct try endless[2], waiting, after;
	struct problem why = { 0 };

	start(1);
	atomic_store(&open_gate, true);
	for (int i = 0; i < 2; i++) {
		endless[i] = (struct try){ .job = { .run = run, .done = ended, .person_id = ANN,
			.gone = &endless[i].gone }, .name = 'a', .endless = true };
		ck_assert(jobs_give(jobs, &endless[i].job, &why));
	}
	ck_assert(give(&waiting, ANN, 'w', &why));
	ck_assert_str_eq(begun(1), "a");
	atomic_store(&waiting.gone, true);
	atomic_store(&endless[0].gone, true);
	ck_assert_str_eq(begun(2), "aa");
	atomic_store(&endless[1].gone, true);
	wait_ended(3);
	ck_assert_int_eq(atomic_load(&not_done), 3);
	ck_assert_str_eq(begun(2), "aa");        /* what waited was not even begun */
	ck_assert(give(&after, ANN, 'n', &why)); /* and the thread goes on */
	wait_ended(4);
	ck_assert_int_eq(atomic_load(&done), 1);
	stop();
}
END_TEST

START_TEST(a_stop_ends_what_runs_and_what_waits)
{
	struct try endless, waiting;
	struct problem why = { 0 };

	start(1);
	endless = (struct try){ .job = { .run = run, .done = ended, .person_id = ANN,
		.gone = &endless.gone }, .name = 'a', .endless = true };
	ck_assert(jobs_give(jobs, &endless.job, &why));
	ck_assert(give(&waiting, BEN, 'b', &why));
	ck_assert_str_eq(begun(1), "a");
	jobs_end(jobs);
	wait_ended(2);
	ck_assert_int_eq(atomic_load(&not_done), 2);
	ck_assert(!give(&waiting, BEN, 'b', &why));
	ck_assert_int_eq(why.code, PROBLEM_BUSY);
	stop();
}
END_TEST

START_TEST(a_person_who_asks_for_too_much_is_told_so_alone)
{
	static struct try ann[JOBS_OF_PERSON + JOBS_WAITING_OF_PERSON + 1], ben;
	struct problem why = { 0 };

	start(3);
	for (int i = 0; i < JOBS_OF_PERSON + JOBS_WAITING_OF_PERSON; i++) {
		ck_assert(give(&ann[i], ANN, 'a', &why));
		if (i < JOBS_OF_PERSON) {
			begun((size_t)i + 1);
		}
	}
	ck_assert(!give(&ann[JOBS_OF_PERSON + JOBS_WAITING_OF_PERSON], ANN, 'a', &why));
	ck_assert_int_eq(why.code, PROBLEM_TOO_MANY);
	why = (struct problem){ 0 };
	ck_assert(give(&ben, BEN, 'b', &why));
	ck_assert_str_eq(begun(3), "aab");
	atomic_store(&open_gate, true);
	stop();
}
END_TEST

/* While the log is too long under it the oldest is ended every two seconds. */
START_TEST(what_keeps_the_log_too_long_is_begun_again_twice_and_then_told_so)
{
	struct try endless, after;
	struct problem why = { 0 };

	start(2);
	endless = (struct try){ .job = { .run = run, .done = ended, .person_id = ANN,
		.gone = &endless.gone }, .name = 'a', .endless = true };
	ck_assert(jobs_give(jobs, &endless.job, &why));
	ck_assert_str_eq(begun(1), "a");
	atomic_store(&open_gate, true);
	for (unsigned tries = 1; tries <= 2; tries++) {
		atomic_store(&log_is_long, true);
		wait_ms(tries == 1 ? 300 : 2300);
		ck_assert_uint_eq(endless.job.tries, tries);
		ck_assert_uint_eq(strlen(begun(tries)), tries);   /* and waits until the log is short */
		atomic_store(&log_is_long, false);
		ck_assert_uint_eq(strlen(begun(tries + 1)), tries + 1);
	}
	atomic_store(&log_is_long, true);
	ck_assert(give(&after, BEN, 'b', &why));
	wait_ended(1);
	ck_assert(endless.job.outrun);
	ck_assert_int_eq(atomic_load(&not_done), 1);
	ck_assert_str_eq(begun(3), "aaa");
	atomic_store(&log_is_long, false);
	wait_ended(2);
	ck_assert_str_eq(begun(4), "aaab");
	ck_assert(!after.job.outrun);
	stop();
}
END_TEST

/* It leaves gaps in which the log can be folded, and nobody else is ended for it. */
START_TEST(what_renews_its_view_is_not_ended_for_the_log)
{
	struct try renewing, endless;
	struct problem why = { 0 };

	start(2);
	renewing = (struct try){ .job = { .run = run, .done = ended, .person_id = ANN,
		.gone = &renewing.gone, .renews = true }, .name = 'a', .endless = true };
	ck_assert(jobs_give(jobs, &renewing.job, &why));
	ck_assert_str_eq(begun(1), "a");
	endless = (struct try){ .job = { .run = run, .done = ended, .person_id = BEN,
		.gone = &endless.gone }, .name = 'b', .endless = true };
	ck_assert(jobs_give(jobs, &endless.job, &why));
	ck_assert_str_eq(begun(2), "ab");
	atomic_store(&log_is_long, true);
	wait_ms(300);
	ck_assert_uint_eq(endless.job.tries, 1);
	ck_assert_uint_eq(renewing.job.tries, 0);
	atomic_store(&renewing.gone, true);
	atomic_store(&endless.gone, true);
	atomic_store(&log_is_long, false);
	wait_ended(2);
	ck_assert(!renewing.job.outrun);
	stop();
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { one_person_has_at_most_two_running, people_take_turns,
		what_nobody_waits_for_is_ended, a_stop_ends_what_runs_and_what_waits,
		a_person_who_asks_for_too_much_is_told_so_alone,
		what_keeps_the_log_too_long_is_begun_again_twice_and_then_told_so,
		what_renews_its_view_is_not_ended_for_the_log, NULL };

	return case_run("jobs", tests);
}
