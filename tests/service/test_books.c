/*
 * The rulebook's versions as record: the first one too, which is in force on a day, what an act is
 * given of them, and a version of an older program.
 */
#include "case.h"
#include "derived/rebuild.h"
#include "derived/recompute.h"
#include "rules/edition.h"
#include "service/railway.h"
#include "service/record/rulebook.h"
#include "store/sql.h"

/* Adopted on one day for another; the notice tells the versions apart. */
static int64_t adopt(struct railway *r, const char *today, const char *from_day, int notice_days)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_begin(r, today);
	form.rulebook.from_day = railway_day(from_day);
	form.rulebook.notice_days = notice_days;
	railway_must(rulebook_adopt(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
	return recorded.id;
}

static int64_t in_force(struct railway *r, const char *day)
{
	struct rulebook rulebook;
	struct problem why = { 0 };

	ck_assert_msg(rulebook_in_force(r->store, railway_day(day), &rulebook, &why), "%s", why.detail);
	return rulebook.version;
}

static int64_t number(struct store *store, const char *sql)
{
	int64_t n = -1;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

static void change(struct store *store, const char *sql)
{
	struct problem why = { 0 };

	ck_assert_msg(store_begin(store, &why) && sql_run(store, sql, NULL, 0, &why) &&
		store_commit(store, &why), "%s", why.detail);
}

START_TEST(a_new_register_has_the_first_version_on_record)
{
	struct railway r;
	struct rulebook_version first;
	struct problem why = { 0 };
	const struct rulebook given = rulebook_default();

	railway_make(&r, "2026-01-01");
	ck_assert_int_eq(number(r.store, "SELECT count(*) FROM rulebook"), 1);
	ck_assert(rulebook_version_get(r.store, 1, &first, &why));
	ck_assert(strstr(first.row.reason, "By the program, build ") != NULL);
	ck_assert(strstr(first.row.reason, "values before may have differed") != NULL);
	ck_assert_ptr_null(first.row.person);
	ck_assert_int_eq(first.row.from_day, railway_day("1900-01-01"));
	ck_assert_int_eq(first.kept.edition, RULES_EDITION);
	ck_assert_uint_eq(first.kept.from_edition.count, 0);
	ck_assert_int_eq(first.kept.rulebook.act_days, given.act_days);
	ck_assert_double_eq(first.kept.rulebook.limits[BOND_STRUCTURE].contact_allowance_uohm, 20);
	ck_assert_double_nan(first.kept.rulebook.limits[BOND_STRUCTURE].joint_percent);
	rulebook_version_release(&first);
	ck_assert_int_eq(in_force(&r, "2026-01-01"), 1);
	/* opened again: once is enough */
	store_close(r.store);
	r.store = register_open(&r.file, STORE_WRITE);
	ck_assert_int_eq(number(r.store, "SELECT count(*) FROM rulebook"), 1);
	railway_remove(&r);
}
END_TEST

START_TEST(what_was_recorded_holds_whatever_the_program_knows_now)
{
	struct railway r;
	struct rulebook rulebook;
	struct problem why = { 0 };

	railway_make(&r, "2026-01-01");
	change(r.store, "DROP TRIGGER rulebook_kept");
	change(r.store, "UPDATE rulebook SET body = json_set(body, '$.notice_days', 9)");
	store_close(r.store);
	r.store = register_open(&r.file, STORE_WRITE);
	ck_assert(rulebook_in_force(r.store, railway_day("2026-01-01"), &rulebook, &why));
	ck_assert_int_eq(rulebook.notice_days, 9);
	railway_remove(&r);
}
END_TEST

START_TEST(a_version_for_a_future_day_takes_effect_on_it_whatever_was_adopted_since)
{
	struct railway r;

	railway_make(&r, "2026-01-01");
	ck_assert_int_eq(adopt(&r, "2026-01-10", "2026-06-01", 20), 2);
	ck_assert_int_eq(adopt(&r, "2026-01-11", "2026-02-01", 25), 3);
	ck_assert_int_eq(in_force(&r, "2026-01-31"), 1);
	ck_assert_int_eq(in_force(&r, "2026-02-01"), 3);
	ck_assert_int_eq(in_force(&r, "2026-05-31"), 3);
	ck_assert_int_eq(in_force(&r, "2026-06-01"), 2);
	ck_assert_int_eq(in_force(&r, "1899-12-31"), 1);   /* before any: the first that counts */
	railway_remove(&r);
}
END_TEST

static void expect_span(const struct view *view, size_t i, int64_t version, const char *from,
	int64_t notice_days)
{
	ck_assert_int_eq(view->in_force[i].rulebook->version, version);
	ck_assert_int_eq(view->in_force[i].from_day, railway_day(from));
	ck_assert_int_eq(view->in_force[i].rulebook->notice_days, notice_days);
}

START_TEST(an_act_is_given_every_version_that_was_in_force_until_its_day)
{
	struct railway r;

	railway_make(&r, "2026-01-01");
	adopt(&r, "2026-01-10", "2026-06-01", 20);
	adopt(&r, "2026-01-11", "2026-02-01", 25);
	railway_begin(&r, "2026-01-31");
	ck_assert_uint_eq(r.view.n_in_force, 1);
	ck_assert_int_eq(r.view.in_force[0].to_day, railway_day("2026-01-31"));
	railway_end(&r);
	railway_begin(&r, "2026-06-01");
	ck_assert_uint_eq(r.view.n_in_force, 3);
	expect_span(&r.view, 0, 1, "1900-01-01", 30);
	expect_span(&r.view, 1, 3, "2026-02-01", 25);
	expect_span(&r.view, 2, 2, "2026-06-01", 20);
	ck_assert_int_eq(r.view.in_force[1].to_day, railway_day("2026-05-31"));
	ck_assert_int_eq(r.view.rulebook->version, 2);
	ck_assert_uint_eq(rulebook_spans_since(r.view.in_force, r.view.n_in_force,
		railway_day("2026-05-31")), 1);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

/* As of the person who adopts twice in a day. */
START_TEST(one_replaced_on_its_first_day_was_in_force_and_one_replaced_before_it_was_not)
{
	struct railway r;

	railway_make(&r, "2026-01-01");
	adopt(&r, "2026-01-10", "2026-01-10", 20);
	adopt(&r, "2026-01-10", "2026-01-10", 25);
	adopt(&r, "2026-01-10", "2026-02-01", 5);
	adopt(&r, "2026-01-31", "2026-02-01", 10);
	railway_begin(&r, "2026-02-01");
	ck_assert_uint_eq(r.view.n_in_force, 4);
	expect_span(&r.view, 1, 2, "2026-01-10", 20);
	ck_assert_int_eq(r.view.in_force[1].to_day, railway_day("2026-01-10"));
	expect_span(&r.view, 2, 3, "2026-01-10", 25);
	expect_span(&r.view, 3, 5, "2026-02-01", 10);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(another_connection_sees_what_was_adopted_and_what_is_held_stays)
{
	struct railway r;
	struct store *reader;
	struct view view = { 0 }, later = { 0 };
	struct problem why = { 0 };

	railway_make(&r, "2026-01-01");
	reader = register_open(&r.file, STORE_READ);
	view.store = later.store = reader;
	view.today = later.today = railway_day("2026-02-01");
	ck_assert(view_rules(&view, &why));
	adopt(&r, "2026-01-10", "2026-01-10", 20);
	ck_assert(view_rules(&later, &why));
	ck_assert_int_eq(view.rulebook->version, 1);
	ck_assert_uint_eq(view.n_in_force, 1);
	ck_assert_int_eq(view.in_force[0].rulebook->notice_days, 30);
	ck_assert_int_eq(later.rulebook->version, 2);
	ck_assert_uint_eq(later.n_in_force, 2);
	view_release(&view);
	view_release(&later);
	store_close(reader);
	railway_remove(&r);
}
END_TEST

START_TEST(what_was_undone_is_forgotten)
{
	struct railway r;
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };
	struct problems why = { 0 };
	struct recorded recorded;
	struct problem one = { 0 };

	railway_make(&r, "2026-01-01");
	railway_begin(&r, "2026-01-10");
	ck_assert(store_save(r.store, &one));
	form.rulebook.from_day = railway_day("2026-01-10");
	form.rulebook.notice_days = 20;
	railway_must(rulebook_adopt(&r.act, &form, &recorded, &why), &why);
	ck_assert_int_eq(in_force(&r, "2026-01-10"), 2);
	ck_assert(store_save_undo(r.store, &one));
	ck_assert_int_eq(r.view.in_force[0].rulebook->version, 1);   /* the act holds what it began with */
	ck_assert_int_eq(in_force(&r, "2026-01-10"), 1);
	railway_end(&r);
	ck_assert_int_eq(adopt(&r, "2026-01-10", "2026-01-10", 25), 2);
	railway_begin(&r, "2026-01-10");
	ck_assert_int_eq(r.view.rulebook->notice_days, 25);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

/* A version in the form of the first edition: what is not used is not named. */
static void put_old(struct railway *r, const char *without)
{
	struct text body = { 0 }, sql = { 0 };
	struct rulebook old = rulebook_default();

	form_write(&rulebook_form, &old, &body);
	text_addf(&sql, "INSERT INTO rulebook (version, holds_from_day, body, reason, recorded_at_ms) "
		"VALUES (2, 20000, json_remove('%s', %s), 'As it was.', 0)", body.data, without);
	change(r->store, sql.data);
	change(r->store, "UPDATE derived_mark SET value = value + 1 WHERE name = 'rulebooks'");
	text_release(&sql);
	text_release(&body);
}

START_TEST(a_value_that_an_older_version_lacks_is_the_editions_and_is_told)
{
	struct railway r;
	struct rulebook_version v;
	struct problem why = { 0 };
	const char *const *paths;

	railway_make(&r, "2026-01-01");
	put_old(&r, "'$.spot_clearance_mm', '$.severity.not_visible', "
		"'$.interval_months.structure'");
	ck_assert_msg(rulebook_version_get(r.store, 2, &v, &why), "%s", why.detail);
	paths = v.kept.from_edition.items;
	ck_assert_uint_eq(v.kept.from_edition.count, 5);
	ck_assert_str_eq(paths[0], "interval_months.structure.normal");
	ck_assert_str_eq(paths[2], "interval_months.structure.safety");
	ck_assert_str_eq(paths[3], "spot_clearance_mm");
	ck_assert_str_eq(paths[4], "severity.not_visible");
	ck_assert_int_eq(v.kept.edition, 1);
	ck_assert_int_eq(v.kept.rulebook.interval_months[BOND_STRUCTURE][CRITICALITY_SAFETY], 6);
	ck_assert_int_eq(v.kept.rulebook.severity[SEEN_NOT_VISIBLE], SEVERITY_NONE);
	ck_assert_int_eq(v.kept.rulebook.spot_clearance_mm, 100);
	/* a limit that was not used is none that lacks */
	ck_assert_double_nan(v.kept.rulebook.limits[BOND_RAIL_JOINT].rail_equivalent_m);
	ck_assert(strstr(v.row.body, "spot_clearance_mm") == NULL);
	rulebook_version_release(&v);
	ck_assert_int_eq(in_force(&r, "2026-01-01"), 2);
	railway_remove(&r);
}
END_TEST

START_TEST(a_version_of_another_program_is_read_with_what_is_not_known_any_more)
{
	struct railway r;
	struct rulebook_version v;
	struct problem why = { 0 };

	railway_make(&r, "2026-01-01");
	put_old(&r, "'$.nothing'");
	change(r.store, "DROP TRIGGER rulebook_kept");
	/* beyond today's bounds too: what was adopted stands */
	change(r.store, "UPDATE rulebook SET body = json_set(body, '$.old_value', 3, '$.notice_days', "
		"5000) WHERE version = 2");
	ck_assert_msg(rulebook_version_get(r.store, 2, &v, &why), "%s", why.detail);
	ck_assert_int_eq(v.kept.rulebook.notice_days, 5000);
	ck_assert_uint_eq(v.kept.from_edition.count, 0);
	rulebook_version_release(&v);
	railway_remove(&r);
}
END_TEST

/* Where each single value may lack, an adopted version has every one, also what it does not use. */
START_TEST(what_is_adopted_names_every_value)
{
	struct railway r;
	struct rulebook_version v;
	struct problem why = { 0 };

	railway_make(&r, "2026-01-01");
	adopt(&r, "2026-01-10", "2026-01-10", 20);
	ck_assert(rulebook_version_get(r.store, 2, &v, &why));
	ck_assert_uint_eq(v.kept.from_edition.count, 0);
	ck_assert_double_nan(v.kept.rulebook.limits[BOND_RAIL_JOINT].rail_equivalent_m);
	ck_assert(strstr(v.row.body, "\"rail_equivalent_m\":null") != NULL);
	rulebook_version_release(&v);
	change(r.store, "DROP TRIGGER rulebook_kept");
	change(r.store, "UPDATE rulebook SET body = json_remove(body, "
		"'$.limits.structure.baseline_factor') WHERE version = 2");
	ck_assert(rulebook_version_get(r.store, 2, &v, &why));
	ck_assert_uint_eq(v.kept.from_edition.count, 1);
	ck_assert_double_eq(v.kept.rulebook.limits[BOND_STRUCTURE].baseline_factor, 1.5);
	rulebook_version_release(&v);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_new_register_has_the_first_version_on_record,
		what_was_recorded_holds_whatever_the_program_knows_now,
		a_version_for_a_future_day_takes_effect_on_it_whatever_was_adopted_since,
		an_act_is_given_every_version_that_was_in_force_until_its_day,
		one_replaced_on_its_first_day_was_in_force_and_one_replaced_before_it_was_not,
		another_connection_sees_what_was_adopted_and_what_is_held_stays,
		what_was_undone_is_forgotten,
		a_value_that_an_older_version_lacks_is_the_editions_and_is_told,
		a_version_of_another_program_is_read_with_what_is_not_known_any_more,
		what_is_adopted_names_every_value, NULL };

	return case_run("books", tests);
}
