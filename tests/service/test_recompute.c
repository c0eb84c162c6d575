/*
 * Adopting a rulebook, and making what is derived again under it piece by piece. Days are worked
 * by hand: calendar months after the inspection.
 */
#include "case.h"
#include "derived/rebuild.h"
#include "service/railway.h"

enum { BONDS = 5050 };   /* more than one piece */

static void inspect(struct railway *r, int64_t bond_id, int n, const char *day)
{
	struct inspection_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&inspection_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.day = railway_day(day);
	form.seen_a = form.seen_b = SEEN_GOOD;
	railway_must(inspection_record(&r->act, &form, &recorded, &why), &why);
}

/* Two failures 15 m apart: no repeat place within 10 m, one within 20 m. */
static void found(struct railway *r, int n, const char *chainage)
{
	struct failure_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&failure_form, &form);
	railway_uuid(n, form.uuid);
	form.of.line = "VAL";
	form.track = "Up";
	form.rail = RAIL_LEFT;
	form.chainage = chainage;
	form.within_m = 1;
	form.found_day = railway_day("2025-06-01");
	form.mode = FAILURE_DETACHED;
	railway_must(failure_record(&r->act, &form, 0, &recorded, &why), &why);
}

static void make(struct railway *r)
{
	railway_make(r, "2026-01-01");
	railway_seen_is_enough(r, "2026-01-01");
	railway_begin(r, "2026-01-01");
	for (int i = 0; i < BONDS; i++) {
		char label[16], chainage[16];

		snprintf(label, sizeof label, "B%04d", i);
		snprintf(chainage, sizeof chainage, "%d+%03d", i / 10, i % 10 * 100);
		railway_add_bond(r, label, chainage);
	}
	inspect(r, 1, 1, "2025-10-31");
	inspect(r, BONDS, 2, "2025-12-15");
	found(r, 3, "5+000");
	found(r, 4, "5+015");
	railway_end(r);
}

/* Six months for rail joints instead of twelve, places of 20 m instead of 10. */
static struct rulebook_new stricter(const char *from_day)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "Too many broke." };

	form.rulebook.from_day = railway_day(from_day);
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_NORMAL] = 6;
	form.rulebook.repeat_window_mm = 20000;
	form.rulebook.proof[BOND_RAIL_JOINT] = PROOF_SEEN;
	return form;
}

static void check_due(struct railway *r, int64_t bond_id, const char *day, int64_t version)
{
	struct bond_state state;
	struct problem why = { 0 };
	char got[DAY_TEXT_SIZE];

	ck_assert(store_bond_state_get(r->store, bond_id, &state, &why));
	day_write(state.due.due_day, got);
	ck_assert_str_eq(got, day);
	ck_assert_int_eq(state.rulebook_version, version);
}

static void check_content(struct railway *r, const char *today, int64_t places)
{
	static struct check_result result;
	struct problems why = { 0 };
	struct list_query q;
	struct table table;
	struct problem one = { 0 };
	struct cell row[40];
	bool failed;
	struct list_run *run;
	int64_t count = 0;

	railway_begin(r, today);
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	railway_end(r);
	ck_assert(list_query_read(&repeat_list, NULL, 0, railway_day(today), &q, &why));
	run = list_open(r->store, &q, &table, &one);
	while (table.next(table.source, row, &failed)) {
		count++;
	}
	list_close(run);
	ck_assert_int_eq(count, places);
}

START_TEST(a_rulebook_moves_due_days_and_repeat_places_from_its_day_on)
{
	struct railway r;
	const struct rulebook_new form = stricter("2026-02-01");
	struct problems why = { 0 };
	struct recorded recorded;

	make(&r);
	check_due(&r, 1, "2026-10-31", 2);
	railway_begin(&r, "2026-01-10");
	railway_must(rulebook_adopt(&r.act, &form, &recorded, &why), &why);
	railway_end(&r);
	ck_assert_int_eq(recorded.id, 3);
	ck_assert_int_eq(railway_follow(&r, "2026-01-31", 100), 0);    /* the day before: nothing to make */
	check_content(&r, "2026-01-31", 0);
	ck_assert_int_gt(railway_follow(&r, "2026-02-01", 100), 2);
	check_due(&r, 1, "2026-04-30", 3);       /* 31 October and six months: no 31 April */
	check_due(&r, BONDS, "2026-06-15", 3);
	check_due(&r, 2, "2020-09-30", 3);       /* never inspected, installed 2020-03-31 */
	check_content(&r, "2026-02-01", 1);
	ck_assert_int_eq(railway_follow(&r, "2026-02-01", 100), 0);
	railway_remove(&r);
}
END_TEST

START_TEST(what_stopped_half_way_is_begun_again_and_what_is_sent_between_is_right)
{
	struct railway r;
	const struct rulebook_new form = stricter("2026-01-10");
	struct problems why = { 0 };
	struct recorded recorded;

	make(&r);
	railway_begin(&r, "2026-01-10");
	railway_must(rulebook_adopt(&r.act, &form, &recorded, &why), &why);
	railway_end(&r);
	ck_assert_int_eq(railway_follow(&r, "2026-01-10", 1), 1);
	check_due(&r, 1, "2026-04-30", 3);
	check_due(&r, BONDS, "2026-12-15", 2);   /* not come to yet */
	railway_begin(&r, "2026-01-10");
	inspect(&r, BONDS, 5, "2026-01-09");
	railway_end(&r);
	check_due(&r, BONDS, "2026-07-09", 3);
	railway_follow(&r, "2026-01-10", 100);
	check_content(&r, "2026-01-10", 1);
	railway_remove(&r);
}
END_TEST

static void adopt(struct railway *r, const struct rulebook_new *form, const char *day)
{
	struct problems why = { 0 };
	struct recorded recorded;

	railway_begin(r, day);
	railway_must(rulebook_adopt(&r->act, form, &recorded, &why), &why);
	railway_end(r);
}

START_TEST(repeat_places_stand_under_a_rulebook_that_finds_the_same)
{
	struct railway r;
	struct rulebook_new form = stricter("2026-01-10");

	make(&r);
	adopt(&r, &form, "2026-01-10");
	railway_follow(&r, "2026-01-10", 100);
	check_content(&r, "2026-01-10", 1);
	form.rulebook.from_day = railway_day("2026-01-11");
	form.rulebook.interval_months[BOND_RAIL_JOINT][CRITICALITY_NORMAL] = 7;
	adopt(&r, &form, "2026-01-11");
	railway_follow(&r, "2026-01-11", 100);
	check_due(&r, 1, "2026-05-31", 4);
	check_content(&r, "2026-01-11", 1);
	railway_remove(&r);
}
END_TEST

START_TEST(a_place_found_under_a_version_between_does_not_stand)
{
	struct railway r;
	struct rulebook_new form = stricter("2026-01-10");

	make(&r);
	adopt(&r, &form, "2026-01-10");
	ck_assert_int_eq(railway_follow(&r, "2026-01-10", 1), 1);
	railway_begin(&r, "2026-01-10");
	found(&r, 6, "5+030");                   /* three within 20 m of one another, for an hour */
	railway_end(&r);
	form.rulebook.repeat_window_mm = 10000;  /* as it was before */
	adopt(&r, &form, "2026-01-10");
	railway_follow(&r, "2026-01-10", 100);
	check_content(&r, "2026-01-10", 0);
	railway_remove(&r);
}
END_TEST

START_TEST(refuses_a_rulebook_of_yesterday_and_names_each_wrong_value)
{
	struct railway r;
	struct rulebook_new form = stricter("2026-01-09");
	struct problems why = { 0 };
	struct recorded recorded;

	railway_make(&r, "2026-01-01");
	railway_begin(&r, "2026-01-10");
	form.rulebook.notice_days = 9999;
	ck_assert(!rulebook_adopt(&r.act, &form, &recorded, &why));
	ck_assert_int_eq(why.count, 2);
	ck_assert_str_eq(why.item[0].field, "rulebook.notice_days");
	ck_assert_str_eq(why.item[1].field, "rulebook.from_day");
	ck_assert(strstr(why.item[1].detail, "2026-01-10") != NULL);
	railway_undo(&r);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_rulebook_moves_due_days_and_repeat_places_from_its_day_on,
		repeat_places_stand_under_a_rulebook_that_finds_the_same,
		a_place_found_under_a_version_between_does_not_stand,
		what_stopped_half_way_is_begun_again_and_what_is_sent_between_is_right,
		refuses_a_rulebook_of_yesterday_and_names_each_wrong_value, NULL };

	return case_run("recompute", tests);
}
