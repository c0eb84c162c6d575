#include <pthread.h>
#include <string.h>
#include <unistd.h>

#include "case.h"
#include "store/register.h"
#include "store/sql.h"
#include "store/writer.h"

static const struct writer_options made = { .make = true };

/* A job that keeps one line, or is refused after it. */
struct entry {
	struct job job;
	char code[32];
	bool refuse;
	bool committed;
	int told;
	struct barrier {
		pthread_mutex_t lock;
		pthread_cond_t all;
		int left;
	} *barrier;
};

static bool keep(struct job *job, void *context)
{
	struct entry *e = (struct entry *)job;
	struct problem why = { 0 };
	const struct value code = value_text(e->code);

	return sql_run(context, "INSERT INTO line (code, name, notation, electrification, "
		"recorded_at_ms) VALUES ($1, 'x', 0, 0, 0)", &code, 1, &why) && !e->refuse;
}

static void told(struct job *job, bool committed)
{
	struct entry *e = (struct entry *)job;

	e->committed = committed;
	e->told++;
	if (e->barrier != NULL) {
		pthread_mutex_lock(&e->barrier->lock);
		e->barrier->left--;
		pthread_cond_signal(&e->barrier->all);
		pthread_mutex_unlock(&e->barrier->lock);
	}
}

static int64_t count_lines(struct register_file *f)
{
	struct problem why = { 0 };
	struct store *store = register_open(f, STORE_READ);
	int64_t lines = 0;

	ck_assert(sql_integer(store, "SELECT count(*) FROM line", NULL, 0, 0, &lines, &why));
	store_close(store);
	return lines;
}

START_TEST(what_was_told_committed_is_there_and_a_refused_one_is_not)
{
	enum { JOBS = 500 };
	static struct entry jobs[JOBS];
	struct barrier barrier = { PTHREAD_MUTEX_INITIALIZER, PTHREAD_COND_INITIALIZER, JOBS };
	struct register_file f;
	struct problem why = { 0 };
	struct writer_counts counts;
	struct writer *w;

	register_file_make(&f);
	w = writer_start(f.path, &made, &why);
	ck_assert_msg(w != NULL, "%s", why.detail);
	for (int i = 0; i < JOBS; i++) {
		jobs[i] = (struct entry){ .job = { .run = keep, .done = told }, .refuse = i % 5 == 0,
			.barrier = &barrier };
		snprintf(jobs[i].code, sizeof jobs[i].code, "L%d", i);
		ck_assert(writer_give(w, &jobs[i].job));
	}
	pthread_mutex_lock(&barrier.lock);
	while (barrier.left > 0) {
		pthread_cond_wait(&barrier.all, &barrier.lock);
	}
	pthread_mutex_unlock(&barrier.lock);
	for (int i = 0; i < JOBS; i++) {
		ck_assert_int_eq(jobs[i].told, 1);
		ck_assert(jobs[i].committed);
		ck_assert(jobs[i].job.ok == (i % 5 != 0));
	}
	writer_counts(w, &counts);
	ck_assert_int_eq(counts.jobs, JOBS);
	ck_assert_msg(counts.commits < JOBS / 2, "many jobs share one commit, not %d for %d",
		(int)counts.commits, JOBS);
	ck_assert_int_eq(count_lines(&f), JOBS * 4 / 5);
	writer_stop(w);
	register_file_remove(&f);
}
END_TEST

START_TEST(one_jobs_broken_constraint_does_not_touch_the_others)
{
	struct entry first = { .job = { .run = keep, .done = told }, .code = "A" };
	struct entry again = { .job = { .run = keep, .done = told }, .code = "A" };
	struct entry other = { .job = { .run = keep, .done = told }, .code = "B" };
	struct register_file f;
	struct problem why = { 0 };
	struct writer *w;

	register_file_make(&f);
	w = writer_start(f.path, &made, &why);
	ck_assert_ptr_nonnull(w);
	ck_assert(writer_do(w, &first.job) && first.job.ok);
	ck_assert(writer_do(w, &again.job) && !again.job.ok);
	ck_assert(writer_do(w, &other.job) && other.job.ok);
	writer_stop(w);
	ck_assert_int_eq(count_lines(&f), 2);
	register_file_remove(&f);
}
END_TEST

START_TEST(a_second_writer_is_refused)
{
	struct register_file f;
	struct problem why = { 0 };
	struct writer *w;

	register_file_make(&f);
	w = writer_start(f.path, &made, &why);
	ck_assert_ptr_nonnull(w);
	ck_assert_ptr_null(writer_start(f.path, NULL, &why));
	ck_assert_msg(strstr(why.detail, "Another bondbook is writing") != NULL, "%s", why.detail);
	writer_stop(w);
	why = (struct problem){ 0 };
	w = writer_start(f.path, NULL, &why);
	ck_assert_ptr_nonnull(w);
	writer_stop(w);
	register_file_remove(&f);
}
END_TEST

START_TEST(stopping_finishes_what_was_taken)
{
	enum { JOBS = 50 };
	static struct entry jobs[JOBS];
	struct register_file f;
	struct problem why = { 0 };
	struct writer *w;

	register_file_make(&f);
	w = writer_start(f.path, &made, &why);
	for (int i = 0; i < JOBS; i++) {
		jobs[i] = (struct entry){ .job = { .run = keep, .done = told } };
		snprintf(jobs[i].code, sizeof jobs[i].code, "L%d", i);
		ck_assert(writer_give(w, &jobs[i].job));
	}
	writer_stop(w);
	ck_assert_int_eq(count_lines(&f), JOBS);
	for (int i = 0; i < JOBS; i++) {
		ck_assert(jobs[i].told == 1 && jobs[i].committed);
	}
	register_file_remove(&f);
}
END_TEST

/* ---- files that are changed under the writer */

static bool ended;

static void end(void *app)
{
	(void)app;
	ended = true;
}

/* Copies the register, and puts the copy in its place. */
static void replace(const char *path, const char *ending)
{
	char command[800];

	snprintf(command, sizeof command, "cp %s%s %s.copy && mv %s.copy %s%s", path, ending, path,
		path, path, ending);
	ck_assert_int_eq(system(command), 0);
}

static void take_away(const char *path, const char *ending)
{
	char name[128];

	snprintf(name, sizeof name, "%s%s", path, ending);
	ck_assert_int_eq(unlink(name), 0);
}

static void take_folder_away(const char *path, const char *ending)
{
	char command[160];

	(void)ending;
	snprintf(command, sizeof command, "rm -r %.*s", (int)(strrchr(path, '/') - path), path);
	ck_assert_int_eq(system(command), 0);
}

static const struct change {
	const char *label;
	void (*change)(const char *path, const char *ending);
	const char *ending;
	bool is_readable;           /* what was acknowledged before is there */
	bool log_is_left;           /* one that may be of use, or somebody else's */
} changes[] = {
	{ "the register is replaced", replace, "", false, true },
	{ "the register is removed", take_away, "", false, true },
	{ "the log is replaced", replace, "-wal", false, true },
	{ "the log is removed", take_away, "-wal", true, false },
	{ "the index is removed", take_away, "-shm", true, true },
	{ "the index is replaced", replace, "-shm", true, true },
	{ "the folder is deleted", take_folder_away, NULL, false, false },
};

static void expect_no_more_after(const struct change *c)
{
	struct entry before = { .job = { .run = keep, .done = told }, .code = "before" };
	struct entry after = { .job = { .run = keep, .done = told }, .code = "after" };
	const struct writer_options options = { .make = true, .broken = end };
	struct register_file f;
	struct problem why = { 0 };
	struct writer *w;
	char wal[128];

	register_file_make(&f);
	snprintf(wal, sizeof wal, "%s-wal", f.path);
	w = writer_start(f.path, &options, &why);
	ck_assert_msg(w != NULL, "%s", why.detail);
	ck_assert_msg(writer_do(w, &before.job), "%s", c->label);
	c->change(f.path, c->ending);
	ck_assert_msg(!writer_do(w, &after.job), "%s", c->label);
	ck_assert_msg(!after.committed, "%s", c->label);
	writer_stop(w);
	ck_assert_msg(ended, "%s", c->label);
	ck_assert_msg((access(wal, F_OK) == 0) == c->log_is_left, "%s", c->label);
	ck_assert_msg(!c->is_readable || count_lines(&f) >= 1, "%s: what was acknowledged is there",
		c->label);
	register_file_remove(&f);
}

START_TEST(after_a_file_was_changed_nothing_is_acknowledged_and_nothing_removed)
{
	for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
		ended = false;
		expect_no_more_after(&changes[i]);
	}
}
END_TEST

START_TEST(files_that_are_changed_are_seen_also_when_nobody_writes)
{
	const struct writer_options options = { .make = true, .broken = end };
	struct register_file f;
	struct problem why = { 0 };
	struct writer *w;

	register_file_make(&f);
	w = writer_start(f.path, &options, &why);
	ck_assert_ptr_nonnull(w);
	ended = false;
	take_away(f.path, "-wal");
	for (int i = 0; i < 200 && !ended; i++) {
		usleep(50000);
	}
	ck_assert(ended);
	writer_stop(w);
	register_file_remove(&f);
}
END_TEST

START_TEST(stopping_leaves_a_log_that_is_not_its_own)
{
	struct entry before = { .job = { .run = keep, .done = told }, .code = "before" };
	struct register_file f;
	struct problem why = { 0 };
	struct writer *w;
	char wal[128];

	register_file_make(&f);
	snprintf(wal, sizeof wal, "%s-wal", f.path);
	w = writer_start(f.path, &made, &why);
	ck_assert(writer_do(w, &before.job));
	replace(f.path, "-wal");
	writer_stop(w);
	ck_assert_int_eq(access(wal, F_OK), 0);
	register_file_remove(&f);
}
END_TEST

/* 72 MB, in one transaction. */
static bool fill_log(struct job *job, void *context)
{
	struct problem why = { 0 };

	(void)job;
	return sql_run(context, "CREATE TABLE ballast (bytes BLOB)", NULL, 0, &why) &&
		sql_run(context, "INSERT INTO ballast WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL "
		"SELECT i + 1 FROM n WHERE i < 72) SELECT zeroblob(1 << 20) FROM n", NULL, 0, &why);
}

/* Its length is seen when the next job comes. */
static int64_t log_after_a_job(struct writer *w, const char *code)
{
	struct entry one = { .job = { .run = keep, .done = told } };

	snprintf(one.code, sizeof one.code, "%s", code);
	ck_assert(writer_do(w, &one.job));
	return writer_log_bytes(w);
}

START_TEST(a_log_that_grew_under_a_reader_is_folded_when_it_has_gone)
{
	const int64_t most = 64 << 20;
	struct job fill = { .run = fill_log };
	struct register_file f;
	struct store *reader;
	struct problem why = { 0 };
	struct writer *w;
	int64_t lines;

	register_file_make(&f);
	w = writer_start(f.path, &made, &why);
	ck_assert_msg(w != NULL, "%s", why.detail);
	reader = register_open(&f, STORE_READ);
	ck_assert(store_read_begin(reader, &why));
	ck_assert(sql_integer(reader, "SELECT count(*) FROM line", NULL, 0, 0, &lines, &why));
	ck_assert(writer_do(w, &fill) && fill.ok);
	ck_assert_int_gt(log_after_a_job(w, "A"), most);
	ck_assert(sql_integer(reader, "SELECT count(*) FROM line", NULL, 0, 0, &lines, &why));
	ck_assert_int_eq(lines, 0);               /* it goes on seeing what it saw */
	store_read_end(reader);
	sleep(2);                                 /* looked at once a second, also without a job */
	ck_assert_int_lt(writer_log_bytes(w), most);
	ck_assert_int_lt(log_after_a_job(w, "B"), most);
	store_close(reader);
	writer_stop(w);
	ck_assert_int_eq(count_lines(&f), 2);
	register_file_remove(&f);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { what_was_told_committed_is_there_and_a_refused_one_is_not,
		one_jobs_broken_constraint_does_not_touch_the_others, a_second_writer_is_refused,
		stopping_finishes_what_was_taken,
		after_a_file_was_changed_nothing_is_acknowledged_and_nothing_removed,
		files_that_are_changed_are_seen_also_when_nobody_writes,
		stopping_leaves_a_log_that_is_not_its_own,
		a_log_that_grew_under_a_reader_is_folded_when_it_has_gone, NULL };

	return case_run("writer", tests);
}
