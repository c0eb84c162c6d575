#include <string.h>
#include <sys/stat.h>

#include "case.h"
#include "store/fork.h"
#include "store/register.h"
#include "store/sql.h"

enum { ROWS = 2000, CHANGED = 5 };

struct forked {
	struct register_file file;
	struct store *writer, *reader, *fork;
};

static void run(struct store *store, const char *sql)
{
	struct problem why = { 0 };

	ck_assert_msg(sql_run(store, sql, NULL, 0, &why), "%s: %s", sql, why.detail);
}

static int64_t ask(struct store *store, const char *sql)
{
	struct problem why = { 0 };
	int64_t got;

	ck_assert_msg(sql_integer(store, sql, NULL, 0, -1, &got, &why), "%s: %s", sql, why.detail);
	return got;
}

#define SUM "SELECT sum(said) FROM told"
#define FILL "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n LIMIT 2000) "

static void make(struct forked *f)
{
	register_file_make(&f->file);
	f->writer = register_open(&f->file, STORE_WRITE);
	run(f->writer, "CREATE TABLE told (id INTEGER PRIMARY KEY, said INTEGER, filling BLOB)");
	run(f->writer, "INSERT INTO told " FILL "SELECT i, 1, zeroblob(1000) FROM n");
}

static void fork_it(struct forked *f)
{
	struct problem why = { 0 };

	f->reader = register_open(&f->file, STORE_READ);
	ck_assert(store_read_begin(f->reader, &why));
	ck_assert_int_eq(ask(f->reader, SUM), ROWS);
	f->fork = store_fork(f->reader, &why);
	ck_assert_msg(f->fork != NULL, "%s", why.detail);
}

static void end(struct forked *f)
{
	store_close(f->fork);
	store_read_end(f->reader);
	store_close(f->reader);
	store_close(f->writer);
	register_file_remove(&f->file);
}

static void whole(struct store *store)
{
	struct problem why = { 0 };

	ck_assert_msg(store_check_file(store, &why), "%s", why.detail);
}

START_TEST(what_a_fork_writes_nobody_sees_and_nobody_waits_for)
{
	struct forked f = { 0 };
	struct problem why = { 0 };
	int64_t log;

	make(&f);
	fork_it(&f);
	log = store_log_bytes(f.reader);
	ck_assert(store_begin(f.fork, &why));
	run(f.fork, "UPDATE told SET said = 3");
	run(f.fork, "INSERT INTO told " FILL "SELECT 10000 + i, 0, zeroblob(20000) FROM n"); /* 40 MB */
	ck_assert_int_eq(ask(f.fork, SUM), 3 * ROWS);
	ck_assert_int_eq(ask(f.fork, "SELECT count(*) FROM told"), 2 * ROWS);
	ck_assert_int_eq(store_log_bytes(f.reader), log);
	ck_assert_int_eq(ask(f.reader, SUM), ROWS);
	run(f.writer, "UPDATE told SET said = 2 WHERE id = 1");    /* at once */
	ck_assert_int_eq(ask(f.fork, SUM), 3 * ROWS);
	whole(f.fork);
	store_rollback(f.fork);
	ck_assert_int_eq(ask(f.fork, SUM), ROWS);
	ck_assert_int_eq(ask(f.writer, SUM), ROWS + 1);
	whole(f.writer);
	end(&f);
}
END_TEST

START_TEST(savepoints_of_a_fork_go_back)
{
	struct forked f = { 0 };
	struct problem why = { 0 };

	make(&f);
	fork_it(&f);
	ck_assert(store_begin(f.fork, &why) && store_save(f.fork, &why));
	run(f.fork, "INSERT INTO told " FILL "SELECT 10000 + i, 9, zeroblob(20000) FROM n");
	ck_assert(store_save_undo(f.fork, &why) && store_save(f.fork, &why));
	run(f.fork, "INSERT INTO told VALUES (9999, 5, NULL)");
	ck_assert(store_save_keep(f.fork, &why));
	ck_assert_int_eq(ask(f.fork, SUM), ROWS + 5);
	store_rollback(f.fork);
	end(&f);
}
END_TEST

/* The writer changes every page, folds its log as far as it may, and changes them again. */
static void go_on(struct forked *f)
{
	for (int i = 0; i < CHANGED; i++) {
		run(f->writer, "UPDATE told SET said = said + 1, filling = randomblob(1000)");
		store_checkpoint(f->writer, 0);
	}
}

START_TEST(a_fork_of_a_log_that_is_in_use_stays_as_it_was)
{
	struct forked f = { 0 };

	make(&f);
	fork_it(&f);
	go_on(&f);
	ck_assert_int_eq(ask(f.fork, SUM), ROWS);
	whole(f.fork);
	end(&f);
}
END_TEST

/* All is in the register's file, so the log begins anew under the reader and its fork. */
START_TEST(a_fork_of_a_log_that_begins_anew_stays_as_it_was)
{
	struct forked f = { 0 };
	struct problem why = { 0 };
	struct stat st;
	char log[128];

	make(&f);
	run(f.writer, "PRAGMA wal_checkpoint(FULL)");       /* the log is kept, and all of it folded */
	snprintf(log, sizeof log, "%s-wal", f.file.path);
	ck_assert(stat(log, &st) == 0 && st.st_size > ROWS * 1000);
	fork_it(&f);
	run(f.writer, "UPDATE told SET said = said + 1, filling = randomblob(1000)");
	ck_assert_int_eq(ask(f.fork, SUM), ROWS);
	go_on(&f);
	whole(f.fork);
	ck_assert(store_begin(f.fork, &why));
	run(f.fork, "UPDATE told SET said = 2");
	ck_assert_int_eq(ask(f.fork, SUM), 2 * ROWS);
	store_rollback(f.fork);
	end(&f);
}
END_TEST

START_TEST(a_fork_where_there_is_no_log)
{
	struct forked f = { 0 };
	struct problem why = { 0 };

	make(&f);
	ck_assert(store_checkpoint(f.writer, 0));                  /* cut off */
	fork_it(&f);
	ck_assert(store_begin(f.fork, &why));
	run(f.fork, "UPDATE told SET said = 2");
	go_on(&f);
	ck_assert_int_eq(ask(f.fork, SUM), 2 * ROWS);
	store_rollback(f.fork);
	ck_assert_int_eq(ask(f.fork, SUM), ROWS);
	end(&f);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { what_a_fork_writes_nobody_sees_and_nobody_waits_for,
		savepoints_of_a_fork_go_back, a_fork_of_a_log_that_is_in_use_stays_as_it_was,
		a_fork_of_a_log_that_begins_anew_stays_as_it_was, a_fork_where_there_is_no_log, NULL };

	return case_run("fork", tests);
}
