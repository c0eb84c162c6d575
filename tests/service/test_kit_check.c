/*
 * A kit's check before a shift, which is also the pattern of every kind of record that is a table
 * of data (store/record/record_kind.h): kept once, corrected by an entry, all that is wrong said at
 * once.
 */
#include "case.h"
#include "service/importing.h"
#include "service/record/kit_check.h"
#include "service/record/record_sent.h"
#include "service/record/sent.h"
#include "service/record/withdrawal.h"
#include "service/record/work.h"
#include "service/story.h"
#include "store/record/work.h"
#include "store/sql.h"

static void make(struct story *s)
{
	const struct kit_new kits[] = { { "K-1", "Brazing kit 1" }, { "K-2", "Brazing kit 2" } };

	story_make(s);
	story_begin(s, s->ada, "2024-03-01");
	for (int i = 0; i < 2; i++) {
		railway_must(kit_register(&s->r.act, &kits[i], &s->recorded, &s->why), &s->why);
	}
	story_end(s, true);
}

/* All of the kit good, by whoever sends it. */
static struct kit_check check_of(struct story *s, const char *kit, const char *day)
{
	struct kit_check check;

	form_clear(&kit_check_form, &check);
	story_uuid(s, check.uuid);
	check.kit = kit;
	check.checked_day = railway_day(day);
	for (int i = 0; i < KIT_PARTS; i++) {
		check.part[i] = KIT_GOOD;
	}
	return check;
}

static bool send(struct story *s, const struct kit_check *check, const char *today)
{
	story_begin(s, s->bo, today);
	return story_end(s, kit_check_record(&s->r.act, check, &s->recorded, &s->why));
}

/* Of one row and column; -1: NULL. */
static int64_t ask(struct story *s, const char *sql)
{
	struct problem why = { 0 };
	int64_t n = -2;

	ck_assert_msg(sql_integer(s->r.store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

/* The day of K-1's last good check, as the list of kits says it. */
static int64_t last_checked(struct story *s)
{
	struct list_query query = { .list = &kit_list, .sort = &kit_list.sorts[0], .today = 20000 };
	struct problem why = { 0 };
	struct cell row[8];
	struct table table;
	bool failed;
	struct list_run *run = list_open(s->r.store, &query, &table, &why);
	int64_t day;

	ck_assert_ptr_nonnull(run);
	ck_assert_uint_eq(table.n_columns, 5);
	ck_assert(table.next(table.source, row, &failed));
	ck_assert_str_eq(row[1].text, "K-1");
	day = row[3].is_null ? -1 : row[3].integer;
	list_close(run);
	return day;
}

static void expect(const struct story *s, const char *field, const char *part)
{
	ck_assert_uint_eq(s->why.count, 1);
	ck_assert_str_eq(s->why.item[0].field, field);
	ck_assert_msg(strstr(s->why.item[0].detail, part) != NULL, "%s", s->why.item[0].detail);
}

START_TEST(a_kit_passes_when_all_of_it_is_good_and_by_whom_is_kept)
{
	struct story s;
	struct kit_check check;

	make(&s);
	check = check_of(&s, "K-1", "2024-03-04");
	check.note = "new leads";
	railway_must(send(&s, &check, "2024-03-04"), &s.why);
	ck_assert_int_eq(s.recorded.bond_id, 0);
	ck_assert_int_eq(ask(&s, "SELECT passed FROM kit_check"), 1);
	ck_assert_int_eq(ask(&s, "SELECT person_id FROM kit_check"), s.bo);
	ck_assert_int_eq(ask(&s, "SELECT recorded_by FROM kit_check"), s.bo);
	ck_assert_int_eq(ask(&s, "SELECT note = 'new leads' FROM kit_check"), 1);
	ck_assert_int_eq(ask(&s, "SELECT battery + leads + gun + clamp + pins + eye_shields "
		"FROM kit_check"), 0);
	ck_assert_int_eq(last_checked(&s), railway_day("2024-03-04"));
	ck_assert_uint_eq(importing_count(&s.r, &kit_check_list), 1);
	story_over(&s, "2024-03-05");
}
END_TEST

START_TEST(a_check_that_was_none_is_withdrawn_and_the_kit_is_as_it_was_before)
{
	struct story s;
	struct kit_check check;
	struct withdrawal_new form;

	make(&s);
	check = check_of(&s, "K-1", "2024-03-04");
	railway_must(send(&s, &check, "2024-03-04"), &s.why);
	form_clear(&withdrawal_form, &form);
	story_uuid(&s, form.uuid);
	form.entry = SENT_KIT_CHECK;
	memcpy(form.entry_id, check.uuid, sizeof form.entry_id);
	form.reason = "It was the other kit.";
	story_begin(&s, s.bo, "2024-03-04");
	railway_must(withdrawal_record(&s.r.act, &form, &s.recorded, &s.why), &s.why);
	story_end(&s, true);
	ck_assert_int_eq(last_checked(&s), -1);
	ck_assert_uint_eq(importing_count(&s.r, &kit_check_list), 1);        /* it stays readable */
	ck_assert_uint_eq(importing_count(&s.r, &withdrawal_list), 1);
	story_over(&s, "2024-03-05");
}
END_TEST

START_TEST(whatever_is_not_good_stops_the_kit)
{
	static const char *const column[KIT_PARTS] = { "battery", "leads", "gun", "clamp", "pins",
		"eye_shields" };
	struct story s;

	make(&s);
	for (int i = 0; i < 2 * KIT_PARTS; i++) {
		struct kit_check check = check_of(&s, "K-1", "2024-03-04");
		char sql[160];

		check.part[i / 2] = i % 2 == 0 ? KIT_NOT_GOOD : KIT_MISSING;
		railway_must(send(&s, &check, "2024-03-04"), &s.why);
		snprintf(sql, sizeof sql, "SELECT 10 * passed + %s FROM kit_check WHERE id = %lld",
			column[i / 2], (long long)s.recorded.id);
		ck_assert_int_eq(ask(&s, sql), check.part[i / 2]);
	}
	ck_assert_int_eq(last_checked(&s), -1);
	story_over(&s, "2024-03-05");
}
END_TEST

START_TEST(sent_twice_it_is_kept_once_and_other_content_needs_another_id)
{
	struct story s;
	struct kit_check check;
	int64_t id;

	make(&s);
	check = check_of(&s, "K-1", "2024-03-04");
	railway_must(send(&s, &check, "2024-03-04"), &s.why);
	id = s.recorded.id;
	railway_must(send(&s, &check, "2024-03-05"), &s.why);
	ck_assert(s.recorded.already);
	ck_assert_int_eq(s.recorded.id, id);
	check.part[0] = KIT_NOT_GOOD;
	ck_assert(!send(&s, &check, "2024-03-05"));
	expect(&s, "uuid", "Something else is kept");
	ck_assert_int_eq(ask(&s, "SELECT count(*) FROM kit_check"), 1);
	story_over(&s, "2024-03-05");
}
END_TEST

START_TEST(a_correction_replaces_a_check_of_the_same_kit_once)
{
	struct story s;
	struct kit_check first, second, third;

	make(&s);
	first = check_of(&s, "K-1", "2024-03-04");
	railway_must(send(&s, &first, "2024-03-04"), &s.why);
	second = check_of(&s, "K-2", "2024-03-04");
	memcpy(second.corrects, first.uuid, sizeof first.uuid);
	ck_assert(!send(&s, &second, "2024-03-04"));
	expect(&s, "corrects", "another kit");
	second.kit = "K-1";
	second.part[2] = KIT_NOT_GOOD;
	railway_must(send(&s, &second, "2024-03-04"), &s.why);
	ck_assert_int_eq(last_checked(&s), -1);      /* the one that passed counts for nothing */
	third = check_of(&s, "K-1", "2024-03-04");
	memcpy(third.corrects, first.uuid, sizeof first.uuid);
	ck_assert(!send(&s, &third, "2024-03-04"));
	expect(&s, "corrects", "corrected before");
	story_uuid(&s, third.corrects);
	ck_assert(!send(&s, &third, "2024-03-04"));
	expect(&s, "corrects", "nothing is kept under that id");
	ck_assert_uint_eq(importing_count(&s.r, &kit_check_list), 2);
	story_over(&s, "2024-03-05");
}
END_TEST

START_TEST(all_that_is_wrong_is_said_at_once_and_nothing_is_kept)
{
	struct story s;
	struct kit_check check;

	make(&s);
	check = check_of(&s, "K-9", "2024-03-06");
	ck_assert(!send(&s, &check, "2024-03-04"));
	ck_assert_uint_eq(s.why.count, 2);
	ck_assert_str_eq(s.why.item[0].field, "checked_day");
	ck_assert_str_eq(s.why.item[1].field, "kit");
	check = check_of(&s, "K-1", "2024-03-05");                       /* one day ahead is a night shift */
	railway_must(send(&s, &check, "2024-03-04"), &s.why);
	ck_assert_int_eq(ask(&s, "SELECT count(*) FROM kit_check"), 1);
	story_over(&s, "2024-03-05");
}
END_TEST

START_TEST(the_register_has_the_columns_of_every_kind)
{
	static const char *const none[] = { "no_such_column", NULL };
	struct record_kind lame = kit_check_kind;
	struct story s;
	struct problem why = { 0 };
	const char *missing;

	make(&s);
	for (size_t i = 0; record_kinds[i] != NULL; i++) {
		ck_assert(store_record_columns(s.r.store, record_kinds[i], &missing, &why));
		ck_assert_msg(missing == NULL, "%s has no %s", record_kinds[i]->table, missing);
	}
	lame.worked_out = none;
	ck_assert(store_record_columns(s.r.store, &lame, &missing, &why));
	ck_assert_str_eq(missing, "no_such_column");
	story_over(&s, "2024-03-05");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_check_that_was_none_is_withdrawn_and_the_kit_is_as_it_was_before,
		a_kit_passes_when_all_of_it_is_good_and_by_whom_is_kept,
		whatever_is_not_good_stops_the_kit,
		sent_twice_it_is_kept_once_and_other_content_needs_another_id,
		a_correction_replaces_a_check_of_the_same_kit_once,
		all_that_is_wrong_is_said_at_once_and_nothing_is_kept,
		the_register_has_the_columns_of_every_kind, NULL };

	return case_run("kit check", tests);
}
