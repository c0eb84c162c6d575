#include <pthread.h>
#include <sqlite3.h>
#include <stdatomic.h>
#include <time.h>

#include "case.h"
#include "store/damage.h"
#include "store/register.h"

static void must(sqlite3 *db, const char *sql)
{
	ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK, "%s", sqlite3_errmsg(db));
}

struct looker {
	struct store *store;
	atomic_bool over;
};

static void *look_at_it(void *arg)
{
	struct looker *l = arg;

	store_look(l->store, false);
	atomic_store(&l->over, true);
	return NULL;
}

static void wait_ms(int ms)
{
	const struct timespec pause = { ms / 1000, ms % 1000 * 1000000 };

	nanosleep(&pause, NULL);
}

/* A table so large that looking at it takes seconds, and then more than 64 MB in the log. */
START_TEST(a_look_at_a_large_table_makes_way_for_the_log_and_ends_all_the_same)
{
	struct register_file f;
	struct looker l = { 0 };
	pthread_t thread;
	sqlite3 *db;
	int frames = -1;

	register_file_make(&f);
	store_close(register_open(&f, STORE_WRITE));
	ck_assert(sqlite3_open(f.path, &db) == SQLITE_OK);
	must(db, "PRAGMA synchronous = OFF; CREATE TABLE large (n INTEGER NOT NULL);"
		"WITH RECURSIVE c (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c WHERE n < 2000000) "
		"INSERT INTO large SELECT n FROM c; PRAGMA wal_checkpoint (TRUNCATE)");
	l.store = register_open(&f, STORE_READ);
	ck_assert(pthread_create(&thread, NULL, look_at_it, &l) == 0);
	wait_ms(300);   /* (it comes last: all others are empty) */
	must(db, "PRAGMA wal_autocheckpoint = 0; CREATE TABLE much (b BLOB);"
		"WITH RECURSIVE c (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c WHERE n < 70) "
		"INSERT INTO much SELECT zeroblob(1048576) FROM c");
	while (!atomic_load(&l.over) && frames != 0) {
		sqlite3_wal_checkpoint_v2(db, NULL, SQLITE_CHECKPOINT_TRUNCATE, &frames, NULL);
		wait_ms(1);
	}
	ck_assert_msg(!atomic_load(&l.over), "the log stayed until the look had ended");
	ck_assert_int_eq(store_log_bytes(l.store), 0);
	ck_assert(pthread_join(thread, NULL) == 0);
	store_close(l.store);
	sqlite3_close(db);
	register_file_remove(&f);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_look_at_a_large_table_makes_way_for_the_log_and_ends_all_the_same, NULL };

	return case_run("look", tests);
}
