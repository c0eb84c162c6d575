/*
 * Registers of older programs: opened, they keep every row of their record and every bond on its
 * lists, and the keeper makes what is derived again, piece by piece; what was said stays readable.
 */
#include <string.h>

#include "case.h"
#include "derived/rebuild.h"
#include "derived/recompute.h"
#include "service/railway.h"
#include "store/kept/judgement.h"
#include "store/migrate.h"
#include "store/record/book.h"
#include "store/sql.h"

enum { BONDS = 1200 };                /* more than one piece */

static void run(sqlite3 *db, const char *sql)
{
	char *error = NULL;

	ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, &error) == SQLITE_OK, "%s: %s", sql, error);
}

/* A register of the schema's files before one, with what was recorded and derived by then. */
static void make_old(const char *path, int before, const char *const *record, size_t count)
{
	sqlite3 *db;

	ck_assert_int_eq(sqlite3_open(path, &db), SQLITE_OK);
	run(db, "PRAGMA journal_mode = WAL; PRAGMA application_id = 1114530882; "
		"CREATE TABLE schema_version (number INTEGER PRIMARY KEY, name TEXT NOT NULL, "
		"applied_at_ms INTEGER NOT NULL) STRICT;");
	for (const struct migration *m = store_migrations; m->number > 0 && m->number < before; m++) {
		char note[200];

		run(db, m->sql);
		snprintf(note, sizeof note, "INSERT INTO schema_version VALUES (%d, '%s', 0)", m->number,
			m->name);
		run(db, note);
	}
	for (size_t i = 0; i < count; i++) {
		run(db, record[i]);
	}
	sqlite3_close(db);
}

static void make_of_7(const char *path)
{
	/* line VAL, a person, bonds J0001 ... of which every third was inspected; 40 µΩ at end A. From
	 * the 600th on they have numbers by 60,000 higher: more than one piece looks through. */
	static const char *const record[] = {
		"INSERT INTO line VALUES (1, 'VAL', 'Vale line', 0, 2, 0, NULL, NULL)",
		"INSERT INTO track VALUES (1, 1, 'Up', NULL, NULL, 0, NULL, NULL)",
		"CREATE TABLE n AS WITH RECURSIVE c (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM c "
			"WHERE i < 1200) SELECT i + i / 600 * 60000 AS i FROM c",
		"INSERT INTO bond SELECT i, 1700000000000, NULL, NULL FROM n",
		"INSERT INTO bond_fact (bond_id, version, line_id, label, kind, criticality, status, "
			"surveyed, installed_day, recorded_at_ms) SELECT i, 1, 1, printf('J%04d', i), 0, 0, 0, 1, "
			"18000, 1700000000000 FROM n",
		"INSERT INTO end_fact (bond_id, version, bond_end, on_what, track_id, rail, distance_mm) "
			"SELECT i, 1, 0, 0, 1, 0, i * 20000 FROM n UNION ALL "
			"SELECT i, 1, 1, 0, 1, 0, i * 20000 + 700 FROM n",
		"INSERT INTO inspection (id, uuid, content_hash, bond_id, day, purpose, outcome, "
			"recorded_at_ms) SELECT i, printf('00000000-0000-7000-8000-%012d', i), 'x', i, 19800, 1, "
			"0, 1710800000000 FROM n WHERE i % 3 = 0",
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

	make_old(path, 7, record, sizeof record / sizeof record[0]);
}

static int64_t count(struct store *store, const char *sql)
{
	int64_t n = -1;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

static void expect(struct railway *r, int64_t bonds, int64_t waiting)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, "2024-06-01");
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%zu: %s", result.differences, result.shown[0]);
	ck_assert_int_eq(result.waiting, waiting);
	ck_assert_int_eq(result.bonds, bonds);
	railway_end(r);
}

/* As the server does in the background; returns in how many pieces. */
static int follow(struct railway *r)
{
	struct recompute at = { 0 };
	struct problem why = { 0 };
	bool more = true;
	int pieces = 0;

	while (more) {
		railway_begin(r, "2024-06-01");
		ck_assert_msg(recompute_piece(&r->act, &at, &more, &why), "%s", why.detail);
		railway_end(r);
		pieces += more;
	}
	return pieces;
}

static void mark_stale(struct store *store, const char *bonds)
{
	struct problem why = { 0 };
	char sql[120];

	snprintf(sql, sizeof sql, "UPDATE bond_state SET rulebook_version = 0 WHERE bond_id IN (%s)",
		bonds);
	ck_assert(sql_run(store, sql, NULL, 0, &why));
	ck_assert(store_mark_put(store, "rulebook", -1, &why));
}

START_TEST(a_register_of_the_schema_before_is_upgraded_and_made_again_in_pieces)
{
	struct railway r = { 0 };
	struct problem why = { 0 };
	struct bond_state s;

	register_file_make(&r.file);
	make_of_7(r.file.path);
	r.store = register_open(&r.file, STORE_WRITE);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM reading"), BONDS / 3);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM inspection"), BONDS / 3);
	/* tables were made anew under others that refer to them: every reference leads somewhere
	 * still */
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM pragma_foreign_key_check"), 0);
	ck_assert_int_eq(count(r.store, "PRAGMA foreign_keys"), 1);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM pragma_foreign_key_list('bond_fact') "
		"WHERE \"table\" = 'line'"), 1);
	/* on the due list before it was made again, and counted there */
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM bond_state WHERE due_day = 18365"), BONDS);
	ck_assert_int_eq(count(r.store, "SELECT sum(bonds) FROM due_count WHERE line_id = 0"), BONDS);
	expect(&r, BONDS, BONDS);
	ck_assert_int_gt(follow(&r), 2);
	expect(&r, BONDS, 0);
	/* two of them, with more numbers between than one piece looks through */
	mark_stale(r.store, "1, 121200");
	expect(&r, BONDS, 2);
	ck_assert_int_gt(follow(&r), 3);
	expect(&r, BONDS, 0);
	/* 40 µΩ, no meter named, with 10 µΩ and 30 % for a contact: over three times 13, so it waits
	 * for an answer, and would be over; to be mended within 14 days. */
	ck_assert(store_bond_state_get(r.store, 3, &s, &why));
	ck_assert_int_eq(s.grade.grade, GRADE_ACT);
	ck_assert((s.grade.reasons >> REASON_ASKED_OVER & 1) != 0);
	ck_assert_int_eq(s.asked, 1);
	ck_assert_int_eq(s.limit_ppm, -1);
	ck_assert_int_eq(s.due.mend_day, 19814);
	ck_assert_int_eq(s.last_inspection_day, 19800);
	ck_assert_int_eq(count(r.store, "SELECT sum(bonds) FROM due_count WHERE line_id = 0 "
		"AND counts_as & 4"), BONDS / 3);
	ck_assert_int_eq(count(r.store, "SELECT sum(bonds) FROM due_count WHERE line_id = 0 "
		"AND counts_as & 1"), BONDS);
	ck_assert(store_bond_state_get(r.store, 4, &s, &why));
	ck_assert_int_eq(s.grade.grade, GRADE_UNKNOWN);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM verdict_former"), 0);
	store_close(r.store);
	store_close(register_open(&r.file, STORE_READ));
	register_file_remove(&r.file);
}
END_TEST

/*
 * As the program before edition 2 left it: X1, a cross bond with the limit (3 · 193 + 20) · 1.3 =
 * 778.7 µΩ, read 602 µΩ and then 4.8 for 4.8 mΩ: "within, sound". J1, a joint bond whose fishplate
 * was read with it, 100 µΩ of 176.5: "within, sound" too.
 */
static void make_of_11(const char *path)
{
	static const char *const record[] = {
		"INSERT INTO line VALUES (1, 'VAL', 'Vale line', 0, 2, 0, NULL, NULL)",
		"INSERT INTO track VALUES (1, 1, 'Up', NULL, NULL, 0, NULL, NULL), "
			"(2, 1, 'Down', NULL, NULL, 0, NULL, NULL)",
		"INSERT INTO instrument VALUES (1, 'M-1', 'Microhmmeter', 0, NULL)",
		"INSERT INTO calibration VALUES (1, 1, 19000, 20500, 1, 0.5, 0, NULL)",
		"INSERT INTO bond VALUES (1, 1500000000000, NULL, NULL), (2, 1500000000000, NULL, NULL)",
		"INSERT INTO bond_fact (bond_id, version, line_id, label, kind, criticality, status, "
			"surveyed, installed_day, material, conductor_class, area_mm2, length_m, cables, "
			"recorded_at_ms) VALUES (1, 1, 1, 'X1', 1, 0, 0, 1, 17000, 0, 2, 95, 3, 1, 0), "
			"(2, 1, 1, 'J1', 0, 0, 0, 1, 17000, 0, 2, 95, 0.6, 1, 0)",
		"INSERT INTO end_fact (bond_id, version, bond_end, on_what, track_id, rail, distance_mm) "
			"VALUES (1, 1, 0, 0, 1, 0, 0), (1, 1, 1, 0, 2, 0, 0), (2, 1, 0, 0, 1, 0, 20000), "
			"(2, 1, 1, 0, 1, 0, 20700)",
		"INSERT INTO inspection (id, uuid, content_hash, bond_id, day, purpose, outcome, seen_a, "
			"seen_b, recorded_at_ms) VALUES "
			"(1, '00000000-0000-7000-8000-000000000001', 'x', 1, 19500, 1, 0, 0, 0, 1690000000000), "
			"(2, '00000000-0000-7000-8000-000000000002', 'x', 1, 19800, 1, 0, 0, 0, 1711000000000), "
			"(3, '00000000-0000-7000-8000-000000000003', 'x', 2, 19800, 1, 0, 0, 0, 1711000000000)",
		"INSERT INTO reading (inspection_id, n, quantity, method, shown_uohm, temp_c, "
			"instrument_id) VALUES (1, 0, 0, 0, 602, 20, 1), (2, 0, 0, 0, 4.8, 20, 1), "
			"(3, 0, 0, 0, 100, 20, 1)",
		"INSERT INTO reading_state (inspection_id, n, r_uohm, r20_uohm, remark, u95, limit_value, "
			"limit_kind, verdict, p_within, meter, rulebook_version) VALUES "
			"(1, 0, 602, 602, 0, 14.5, 778.7, 0, 1, 1, 0, 1), "
			"(2, 0, 4.8, 4.8, 0, 0.6, 778.7, 0, 1, 1, 0, 1), "
			"(3, 0, 100, 100, 0, 3, 176.5, 0, 1, 1, 0, 1)",
		"INSERT INTO bond_state (bond_id, version, line_id, label, kind, criticality, status, "
			"surveyed, track_id, rail, distance_mm, chainage, last_inspection_day, due_day, "
			"soon_from_day, overdue_from_day, due_basis, failures_open, rulebook_version, grade, "
			"evidence_until_day) VALUES (1, 1, 1, 'X1', 1, 0, 0, 1, 1, 0, 0, '0+000', 19800, 20165, "
			"20135, 20180, 0, 0, 1, 2, 20895), (2, 1, 1, 'J1', 0, 0, 0, 1, 1, 0, 20000, '0+020', "
			"19800, 20165, 20135, 20180, 0, 0, 1, 2, 20895)",
	};

	make_old(path, 11, record, sizeof record / sizeof record[0]);
}

/* "Within" of the reading, by the rules of the edition before. */
static void expect_formerly_within(struct railway *r, int64_t inspection_id, double value)
{
	struct verdict_former *all;
	struct problem why = { 0 };
	size_t n;

	ck_assert(store_verdicts_former(r->store, inspection_id, 0, &all, &n, &why));
	ck_assert_uint_eq(n, 1);
	ck_assert_int_eq(all[0].verdict, VERDICT_WITHIN);
	ck_assert_int_eq(all[0].edition, 1);
	ck_assert_int_eq(all[0].rulebook_version, 1);
	ck_assert_double_eq(all[0].value, value);
	free(all);
}

START_TEST(what_was_called_sound_too_easily_is_judged_anew_and_what_was_said_stays_readable)
{
	struct railway r = { 0 };
	struct problem why = { 0 };
	struct bond_state slipped, joint;
	struct grade_former *former;
	size_t n;

	register_file_make(&r.file);
	make_of_11(r.file.path);
	r.store = register_open(&r.file, STORE_WRITE);
	expect(&r, 2, 2);
	ck_assert(store_bond_state_get(r.store, 1, &slipped, &why));
	ck_assert_int_eq(slipped.grade.grade, GRADE_SOUND);    /* still served as it was */
	follow(&r);
	expect(&r, 2, 0);
	expect_formerly_within(&r, 2, 4.8);
	expect_formerly_within(&r, 3, 100);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM verdict_former"), 2);
	ck_assert(store_bond_state_get(r.store, 1, &slipped, &why));
	ck_assert_int_eq(slipped.asked, 1);
	ck_assert(store_bond_state_get(r.store, 2, &joint, &why));
	ck_assert_int_eq(joint.grade.grade, GRADE_UNKNOWN);
	ck_assert(store_grades_former(r.store, 2, &former, &n, &why));
	ck_assert_uint_eq(n, 1);
	ck_assert_int_eq(former[0].grade, GRADE_SOUND);
	ck_assert_int_eq(former[0].edition, 1);
	free(former);
	store_close(r.store);
	register_file_remove(&r.file);
}
END_TEST

/* What was kept of readings before it was packed: all of it, and the least. */
static void make_of_21(const char *path)
{
	static const char *const record[] = {
		"INSERT INTO reading_state (inspection_id, n, r_uohm, r20_uohm, thermal_uv, equivalent_m, "
			"remark, u95, limit_value, limit_kind, verdict, p_within, meter, rulebook_version, said) "
			"VALUES (1, 0, 80.5, 82.25, -3, 1.75, 9, 4, 120, 5, 3, 0.125, 2, 6, "
			"513 | (4 << 16) | (1 << 19) | (2 << 20) | (7 << 24)), "
			"(1, 1, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, 0, NULL, 1, 0, 0)",
		"INSERT INTO due_cell VALUES (1, 100, 5, 0, 0, 2), (1, 101, 5, 0, 0, 0)",
	};

	make_old(path, 22, record, sizeof record / sizeof record[0]);
}

START_TEST(what_was_kept_of_readings_is_packed_and_says_the_same)
{
	struct railway r = { 0 };

	register_file_make(&r.file);
	make_of_21(r.file.path);
	r.store = register_open(&r.file, STORE_WRITE);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM reading_state s WHERE n = 0 AND "
		"asked = 513 AND status = 4 AND parallel = 1 AND told = 2 AND verdict = 3 AND remark = 9 "
		"AND meter = 2 AND limit_kind = 5"), 1);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM reading_state s WHERE n = 0 AND "
		FIGURE("told_version") " = 7 AND " FIGURE("rulebook_version") " = 6 AND "
		FIGURE("r_uohm") " = 80.5 AND " FIGURE("r20_uohm") " = 82.25 AND " FIGURE("thermal_uv")
		" = -3 AND " FIGURE("equivalent_m") " = 1.75 AND " FIGURE("limit_value") " = 120 AND "
		FIGURE("u95") " = 4 AND " FIGURE("p_within") " = 0.125"), 1);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM reading_state s WHERE n = 1 AND "
		"verdict = 0 AND meter = 1 AND limit_kind IS NULL AND " FIGURE("r_uohm") " IS NULL AND "
		FIGURE("p_within") " IS NULL AND " FIGURE("rulebook_version") " = 0"), 1);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM reading_state"), 2);
	ck_assert_int_eq(count(r.store, "SELECT count(*) FROM due_cell"), 1);
	store_close(r.store);
	register_file_remove(&r.file);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		what_was_kept_of_readings_is_packed_and_says_the_same,
		a_register_of_the_schema_before_is_upgraded_and_made_again_in_pieces,
		what_was_called_sound_too_easily_is_judged_anew_and_what_was_said_stays_readable, NULL };

	return case_run("upgrade", tests);
}
