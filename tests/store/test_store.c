#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>

#include "case.h"
#include "store/record/bond.h"
#include "store/register.h"
#include "store/sql.h"

static const struct origin origin = { .now_ms = 1767225600000 };   /* 2026-01-01 */

START_TEST(a_new_register_has_its_mark_and_schema)
{
	struct register_file f;
	struct store *store;
	struct problem why = { 0 };
	int64_t id, newest;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	ck_assert(sql_integer(store, "PRAGMA application_id", NULL, 0, 0, &id, &why));
	ck_assert_int_eq(id, 0x426e6442);
	ck_assert(sql_integer(store, "SELECT max(number) FROM schema_version", NULL, 0, 0, &newest,
		&why));
	ck_assert_int_ge(newest, 5);
	ck_assert(store_check_file(store, &why));
	store_close(store);
	store_close(register_open(&f, STORE_WRITE));   /* again: nothing to do */
	store_close(register_open(&f, STORE_READ));
	register_file_remove(&f);
}
END_TEST

static void make_with(const char *path, const char *sql)
{
	sqlite3 *db;

	ck_assert_int_eq(sqlite3_open(path, &db), SQLITE_OK);
	ck_assert_int_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
	sqlite3_close(db);
}

static void expect_refused(struct register_file *f, enum store_mode mode, const char *words)
{
	struct problem why = { 0 };
	struct store *store = store_open(f->path, mode, &why);

	ck_assert_ptr_null(store);
	ck_assert_msg(strstr(why.detail, words) != NULL, "%s", why.detail);
}

START_TEST(refuses_another_programs_database_and_leaves_it_alone)
{
	struct register_file f;
	char wal[128];
	struct stat st;

	register_file_make(&f);
	make_with(f.path, "CREATE TABLE note (x); PRAGMA application_id = 7;");
	expect_refused(&f, STORE_WRITE, "another program");
	expect_refused(&f, STORE_READ, "another program");
	snprintf(wal, sizeof wal, "%s-wal", f.path);
	ck_assert_int_ne(stat(wal, &st), 0);
	register_file_remove(&f);
}
END_TEST

START_TEST(refuses_a_file_that_is_no_database)
{
	struct register_file f;
	FILE *out;

	register_file_make(&f);
	out = fopen(f.path, "w");
	for (int i = 0; i < 1000; i++) {
		fputs("these are not the bonds of a railway\n", out);
	}
	fclose(out);
	expect_refused(&f, STORE_WRITE, "not a bond register");
	register_file_remove(&f);
}
END_TEST

/* The register with so many lines, of which the file has `cut` fewer pages than it had. */
static void make_and_cut(struct register_file *f, int64_t cut, bool leave_log)
{
	struct store *store;
	struct problem why = { 0 };
	struct stat st;
	char wal[128], kept[128];

	register_file_make(f);
	store = register_open(f, STORE_WRITE);
	ck_assert(store_checkpoint(store, 0));
	ck_assert(sql_run(store, "CREATE TABLE filler (x)", NULL, 0, &why));
	ck_assert(sql_run(store, "INSERT INTO filler SELECT randomblob(40000)", NULL, 0, &why));
	snprintf(wal, sizeof wal, "%s-wal", f->path);
	snprintf(kept, sizeof kept, "%s-kept", f->path);
	ck_assert_int_eq(link(wal, kept), 0);
	store_close(store);
	ck_assert_int_eq(leave_log ? rename(kept, wal) : unlink(kept), 0);
	ck_assert_int_eq(stat(f->path, &st), 0);
	ck_assert_int_eq(truncate(f->path, st.st_size - cut * 4096), 0);
}

START_TEST(refuses_an_empty_file_and_leaves_its_log_alone)
{
	struct register_file f;
	struct stat st;
	char wal[128];
	FILE *out;

	register_file_make(&f);
	snprintf(wal, sizeof wal, "%s-wal", f.path);
	out = fopen(wal, "w");
	fputs("what was acknowledged", out);
	fclose(out);
	close(open(f.path, O_WRONLY | O_CREAT, 0600));
	expect_refused(&f, STORE_WRITE, "is an empty file");
	expect_refused(&f, STORE_READ, "is an empty file");
	ck_assert_int_eq(stat(wal, &st), 0);
	ck_assert_int_eq(st.st_size, 21);
	register_file_remove(&f);
}
END_TEST

START_TEST(refuses_a_path_where_no_register_is_and_makes_none)
{
	struct register_file f;
	struct stat st;

	register_file_make(&f);
	expect_refused(&f, STORE_WRITE, "bondbook init makes one");
	expect_refused(&f, STORE_READ, "bondbook init makes one");
	ck_assert_int_ne(stat(f.path, &st), 0);
	register_file_remove(&f);
}
END_TEST

START_TEST(makes_none_over_another)
{
	struct register_file f;

	register_file_make(&f);
	store_close(register_open(&f, STORE_WRITE));
	expect_refused(&f, STORE_MAKE, "already");
	register_file_remove(&f);
}
END_TEST

START_TEST(refuses_a_register_that_is_cut_short)
{
	struct register_file f;

	make_and_cut(&f, 1, false);
	expect_refused(&f, STORE_WRITE, "cut short");
	expect_refused(&f, STORE_READ, "cut short");
	register_file_remove(&f);
}
END_TEST

START_TEST(pages_that_the_log_holds_are_not_missing)
{
	struct register_file f;

	make_and_cut(&f, 9, true);      /* (of the ten pages of the filler, all in the log) */
	store_close(register_open(&f, STORE_READ));
	register_file_remove(&f);
}
END_TEST

START_TEST(pages_that_neither_the_file_nor_the_log_holds_are_missing)
{
	struct register_file f;

	make_and_cut(&f, 30, true);
	expect_refused(&f, STORE_WRITE, "cut short");
	register_file_remove(&f);
}
END_TEST

START_TEST(refuses_a_register_of_a_newer_program)
{
	struct register_file f;

	register_file_make(&f);
	store_close(register_open(&f, STORE_WRITE));
	make_with(f.path, "INSERT INTO schema_version VALUES (9999, '9999-later.sql', 0)");
	expect_refused(&f, STORE_WRITE, "newer version");
	expect_refused(&f, STORE_READ, "newer version");
	register_file_remove(&f);
}
END_TEST

START_TEST(a_step_of_the_schema_is_not_put_in_below_a_later_one_nor_passed_over)
{
	struct register_file f;

	register_file_make(&f);
	store_close(register_open(&f, STORE_WRITE));
	make_with(f.path, "DELETE FROM schema_version WHERE number = 25");
	expect_refused(&f, STORE_WRITE, "lacks an earlier one, 0025-assets-withdrawn.sql");
	expect_refused(&f, STORE_READ, "lacks an earlier one, 0025-assets-withdrawn.sql");
	register_file_remove(&f);
}
END_TEST

START_TEST(a_reader_asks_for_a_register_that_is_up_to_date)
{
	struct register_file f;

	register_file_make(&f);
	store_close(register_open(&f, STORE_WRITE));
	make_with(f.path, "DELETE FROM schema_version WHERE number >= 5");
	expect_refused(&f, STORE_READ, "older schema");
	register_file_remove(&f);
}
END_TEST

START_TEST(the_record_can_neither_be_changed_nor_deleted)
{
	static const char *const record[] = { "person", "person_fact", "competence", "line", "track",
		"line_map", "map_stretch", "bond", "bond_fact", "end_fact", "instrument", "calibration",
		"kit", "kit_check", "attachment", "inspection", "reading", "failure", "repair", "deferral",
		"rulebook", "round", "round_bond", "round_person", "round_step", "round_minutes", "bridge",
		"bridge_off", "photo", "found_bond", "found_answer", "kit_service", "import",
		"import_mapping", "conductor", "rail_profile",
		"track_fact", "rail_mark", "verdict_former", "ruling", "renewal", "attachment_end",
		"correction_better", "withdrawal", "rulebook_withdrawal", "register_setting" };
	struct register_file f;
	struct store *store;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	for (size_t i = 0; i < sizeof record / sizeof record[0]; i++) {
		struct problem why = { 0 };
		int64_t triggers = 0;
		const struct value name = value_text(record[i]);

		ck_assert(sql_integer(store, "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' "
			"AND tbl_name = $1 AND sql LIKE '%the record only grows%'", &name, 1, 0, &triggers, &why));
		ck_assert_msg(triggers == 2, "%s: updates and deletes are refused", record[i]);
	}
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(of_the_lines_that_stand_no_two_have_one_code)
{
	struct line line = { .code = "T", .name = "Test" };
	struct register_file f;
	struct store *store;
	struct problem why = { 0 };

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	ck_assert(store_line_insert(store, &line, &origin, &why));
	ck_assert(!store_line_insert(store, &line, &origin, &why));
	why = (struct problem){ 0 };
	ck_assert(sql_run(store, "INSERT INTO correction_open (noun, row_id, bond_id, withdrawn) "
		"VALUES (14, 1, 0, 1)", NULL, 0, &why));
	ck_assert(store_line_insert(store, &line, &origin, &why));
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(an_update_of_the_record_fails)
{
	struct line line = { .code = "T", .name = "Test" };
	struct register_file f;
	struct store *store;
	struct problem why = { 0 };

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	ck_assert(store_line_insert(store, &line, &origin, &why));
	ck_assert(!sql_run(store, "UPDATE line SET name = 'Other'", NULL, 0, &why));
	ck_assert(!sql_run(store, "DELETE FROM line", NULL, 0, &why));
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(every_table_is_strict)
{
	struct register_file f;
	struct store *store;
	struct problem why = { 0 };
	int64_t loose;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	ck_assert(sql_integer(store, "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' "
		"AND type = 'table' AND strict = 0 AND name NOT LIKE 'sqlite%'", NULL, 0, 0, &loose, &why));
	ck_assert_int_eq(loose, 0);
	store_close(store);
	register_file_remove(&f);
}
END_TEST

static int64_t lines_seen(struct store *store)
{
	struct problem why = { 0 };
	int64_t n = -1;

	ck_assert(sql_integer(store, "SELECT count(*) FROM line", NULL, 0, -1, &n, &why));
	return n;
}

static void add_line(struct store *store, const char *code)
{
	struct line line = { .name = "A line" };
	struct problem why = { 0 };

	snprintf(line.code, sizeof line.code, "%s", code);
	ck_assert(store_begin(store, &why) && store_line_insert(store, &line, &origin, &why) &&
		store_commit(store, &why));
}

START_TEST(two_readers_that_begin_at_one_moment_see_one_state)
{
	struct register_file f;
	struct store *writer, *one, *other;
	struct problem why = { 0 };

	register_file_make(&f);
	writer = register_open(&f, STORE_WRITE);
	one = register_open(&f, STORE_READ);
	other = register_open(&f, STORE_READ);
	ck_assert(store_read_begin(one, &why));   /* sees what its first statement does, */
	add_line(writer, "A");
	ck_assert_int_eq(lines_seen(one), 1);
	add_line(writer, "B");
	ck_assert_int_eq(lines_seen(one), 1);
	ck_assert(store_read_now(one, &why) && store_read_now(other, &why));
	add_line(writer, "C");                    /* and this one what was there before any */
	ck_assert_int_eq(lines_seen(one), 2);
	ck_assert_int_eq(lines_seen(other), 2);
	store_read_end(one);
	store_read_end(other);
	ck_assert_int_eq(lines_seen(one), 3);
	store_close(one);
	store_close(other);
	store_close(writer);
	register_file_remove(&f);
}
END_TEST

START_TEST(a_rolled_back_map_leaves_nothing_in_the_cache)
{
	const struct map_stretch one[] = { { 0, 0, 1000000, false } };
	const struct map_stretch two[] = { { 0, 5000000, 6000000, false } };
	struct line line = { .code = "T", .name = "Test", .notation = NOTATION_KM_M };
	struct register_file f;
	struct store *store;
	struct problem why = { 0 };

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	ck_assert(store_line_insert(store, &line, &origin, &why));
	ck_assert(store_begin(store, &why) && store_save(store, &why));
	ck_assert(store_map_insert(store, line.id, 0, one, 1, &origin, &why));
	ck_assert_int_eq(store_map_get(store, line.id, 0, &why)->stretches[0].start_mm, 0);
	ck_assert(store_save_undo(store, &why));
	ck_assert(store_map_insert(store, line.id, 0, two, 1, &origin, &why));
	ck_assert_int_eq(store_map_get(store, line.id, 0, &why)->stretches[0].start_mm, 5000000);
	ck_assert(store_commit(store, &why));
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(a_reader_sees_a_new_map_and_a_track_prefers_its_own)
{
	const struct map_stretch lines[] = { { 0, 0, 1000000, false } };
	const struct map_stretch own[] = { { 0, 0, 500000, false }, { 500000, 900000, 1400000, false } };
	struct line line = { .code = "T", .name = "Test", .notation = NOTATION_KM_M };
	struct track up = { .name = "Up" }, down = { .name = "Down" };
	struct register_file f;
	struct store *writer, *reader;
	struct problem why = { 0 };

	register_file_make(&f);
	writer = register_open(&f, STORE_WRITE);
	reader = register_open(&f, STORE_READ);
	ck_assert(store_line_insert(writer, &line, &origin, &why));
	up.line_id = down.line_id = line.id;
	ck_assert(store_track_insert(writer, &up, &origin, &why));
	ck_assert(store_track_insert(writer, &down, &origin, &why));
	ck_assert_int_eq(store_map_get(reader, line.id, up.id, &why)->count, 0);
	ck_assert(store_map_insert(writer, line.id, 0, lines, 1, &origin, &why));
	ck_assert(store_map_insert(writer, line.id, up.id, own, 2, &origin, &why));
	ck_assert_int_eq(store_map_get(reader, line.id, up.id, &why)->count, 2);
	ck_assert_int_eq(store_map_get(reader, line.id, down.id, &why)->count, 1);
	store_close(reader);
	store_close(writer);
	register_file_remove(&f);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_new_register_has_its_mark_and_schema,
		refuses_another_programs_database_and_leaves_it_alone, refuses_a_file_that_is_no_database,
		refuses_an_empty_file_and_leaves_its_log_alone,
		refuses_a_path_where_no_register_is_and_makes_none, makes_none_over_another,
		refuses_a_register_that_is_cut_short, pages_that_the_log_holds_are_not_missing,
		pages_that_neither_the_file_nor_the_log_holds_are_missing,
		refuses_a_register_of_a_newer_program,
		a_step_of_the_schema_is_not_put_in_below_a_later_one_nor_passed_over,
		a_reader_asks_for_a_register_that_is_up_to_date,
		the_record_can_neither_be_changed_nor_deleted, of_the_lines_that_stand_no_two_have_one_code,
		an_update_of_the_record_fails,
		every_table_is_strict, two_readers_that_begin_at_one_moment_see_one_state,
		a_rolled_back_map_leaves_nothing_in_the_cache,
		a_reader_sees_a_new_map_and_a_track_prefers_its_own, NULL };

	return case_run("store", tests);
}
