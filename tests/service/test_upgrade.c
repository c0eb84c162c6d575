/*
 * A register of the schema before the judgement: opened, it keeps every row of its record and every
 * bond on its lists, and the keeper makes what is derived again, piece by piece.
 */
#include <string.h>

#include "case.h"
#include "service/railway.h"
#include "service/rebuild.h"
#include "service/recompute.h"
#include "store/migrate.h"
#include "store/sql.h"

enum { BEFORE = 7, BONDS = 1200 };    /* the schema file of the judgement; more than one piece */

static void run(sqlite3 *db, const char *sql)
{
	char *error = NULL;

	ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, &error) == SQLITE_OK, "%s: %s", sql, error);
}

static void make_old(const char *path)
{
	/* line VAL, a person, bonds J0001 ... of which every third was inspected; 40 µΩ at end A */
	static const char *const record[] = {
		"INSERT INTO line VALUES (1, 'VAL', 'Vale line', 0, 2, 0, NULL, NULL)",
		"INSERT INTO track VALUES (1, 1, 'Up', NULL, NULL, 0, NULL, NULL)",
		"CREATE TABLE n AS WITH RECURSIVE c (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM c "
			"WHERE i < 1200) SELECT i FROM c",
		"INSERT INTO bond SELECT i, 1700000000000, NULL, NULL FROM n",
		"INSERT INTO bond_fact (bond_id, version, line_id, label, kind, criticality, status, "
			"surveyed, installed_day, recorded_at_ms) SELECT i, 1, 1, printf('J%04d', i), 0, 0, 0, 1, "
			"18000, 1700000000000 FROM n",
		"INSERT INTO end_fact (bond_id, version, bond_end, on_what, track_id, rail, distance_mm) "
			"SELECT i, 1, 0, 0, 1, 0, i * 20000 FROM n UNION ALL "
			"SELECT i, 1, 1, 0, 1, 0, i * 20000 + 700 FROM n",
		"INSERT INTO inspection (id, uuid, content_hash, bond_id, day, purpose, outcome, "
			"recorded_at_ms) SELECT i, printf('00000000-0000-7000-8000-%012d', i), 'x', i, 19800, 1, "
			"0, 1710000000000 FROM n WHERE i % 3 = 0",
		"INSERT INTO reading (inspection_id, n, quantity, method, shown_uohm) "
			"SELECT i, 0, 1, 0, 40 FROM n WHERE i % 3 = 0",
		"INSERT INTO bond_state (bond_id, version, line_id, label, kind, criticality, status, "
			"surveyed, track_id, rail, distance_mm, chainage, last_inspection_day, due_day, "
			"soon_from_day, overdue_from_day, due_basis, failures_open, rulebook_version) "
			"SELECT i, 1, 1, printf('J%04d', i), 0, 0, 0, 1, 1, 0, i * 20000, 'x', NULL, 18365, 18335, "
			"18380, 1, 0, 1 FROM n",
		"INSERT INTO reading_state (inspection_id, n, r_uohm, r20_uohm, remark) "
			"SELECT i, 0, 40, 40, 0 FROM n WHERE i % 3 = 0",
		"DROP TABLE n",
	};
	sqlite3 *db;

	ck_assert_int_eq(sqlite3_open(path, &db), SQLITE_OK);
	run(db, "PRAGMA journal_mode = WAL; PRAGMA application_id = 1114530882; "
		"CREATE TABLE schema_version (number INTEGER PRIMARY KEY, name TEXT NOT NULL, "
		"applied_at_ms INTEGER NOT NULL) STRICT;");
	for (const struct migration *m = store_migrations; m->number > 0 && m->number < BEFORE; m++) {
		char note[200];

		run(db, m->sql);
		snprintf(note, sizeof note, "INSERT INTO schema_version VALUES (%d, '%s', 0)", m->number,
			m->name);
		run(db, note);
	}
	for (size_t i = 0; i < sizeof record / sizeof record[0]; i++) {
		run(db, record[i]);
	}
	sqlite3_close(db);
}

static int64_t count(struct store *store, const char *sql)
{
	int64_t n = -1;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

static void expect(struct railway *r, size_t differences, int64_t waiting)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, "2024-06-01");
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == differences, "%zu: %s", result.differences,
		result.shown[0]);
	ck_assert_int_eq(result.waiting, waiting);
	ck_assert_int_eq(result.bonds, BONDS);
	railway_end(r);
}

START_TEST(a_register_of_the_schema_before_is_upgraded_and_made_again_in_pieces)
{
	struct railway r = { 0 };
	struct recompute at = { 0 };
	struct problem why = { 0 };
	struct bond_state s;
	bool more = true;
	int pieces = 0;

	register_file_make(&r.file);
	make_old(r.file.path);
	r.store = register_open(&r.file, STORE_WRITE);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM reading"), BONDS / 3);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM inspection"), BONDS / 3);
	/* on the due list before it was made again, and counted there */
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM bond_state WHERE due_day = 18365"), BONDS);
	ck_assert_int_eq(count(r.store, "SELECT sum(bonds) FROM due_count WHERE line_id = 0"), BONDS);
	expect(&r, 0, BONDS);
	while (more) {
		railway_begin(&r, "2024-06-01");
		ck_assert_msg(recompute_piece(&r.act, &at, &more, &why), "%s", why.detail);
		railway_end(&r);
		pieces += more;
	}
	ck_assert_int_gt(pieces, 2);
	expect(&r, 0, 0);
	/* 40 µΩ and U = sqrt(7^2 + 0.8^2) = 7.05: within the 50 of a contact, 80 % of it at most */
	ck_assert(store_bond_state_get(r.store, 3, &s, &why));
	ck_assert_int_eq(s.grade.grade, GRADE_SOUND);
	ck_assert_int_eq(s.limit_ppm, 800000);
	ck_assert_int_eq(s.last_inspection_day, 19800);
	ck_assert(store_bond_state_get(r.store, 4, &s, &why));
	ck_assert_int_eq(s.grade.grade, GRADE_UNKNOWN);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM verdict_former"), 0);
	store_close(r.store);
	store_close(register_open(&r.file, STORE_READ));
	register_file_remove(&r.file);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_register_of_the_schema_before_is_upgraded_and_made_again_in_pieces, NULL };

	return case_run("upgrade", tests);
}
