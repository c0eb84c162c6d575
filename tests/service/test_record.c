/* What a crew records, through the service: once, checked, and with its effect on what is due. */
#include "case.h"
#include "derived/rebuild.h"
#include "service/railway.h"
#include "store/kept.h"

static struct inspection_new visit(int n, int64_t bond_id, const char *day)
{
	struct inspection_new form;

	form_clear(&inspection_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.day = railway_day(day);
	return form;
}

static struct failure_new failed(int n, int64_t bond_id, const char *day)
{
	struct failure_new form;

	form_clear(&failure_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.found_day = railway_day(day);
	form.mode = FAILURE_DETACHED;
	return form;
}

static struct bond_state state_of(struct railway *r, int64_t bond_id)
{
	struct bond_state s;
	struct problem why = { 0 };

	railway_derive(r);
	ck_assert_msg(store_bond_state_get(r->store, bond_id, &s, &why), "%s", why.detail);
	return s;
}

static void expect_content(struct railway *r)
{
	struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, "2026-06-01");
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	railway_end(r);
}

START_TEST(a_complete_inspection_moves_the_due_day_and_one_done_in_part_does_not)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct inspection_new part, whole;
	int64_t bond;
	int months;

	railway_make(&r, "2024-01-01");
	railway_seen_is_enough(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	months = (int)rulebook_interval_months(r.view.rulebook, BOND_RAIL_JOINT, CRITICALITY_NORMAL);
	ck_assert_int_eq(state_of(&r, bond).due.due_day,
		day_add_months(railway_day("2020-03-31"), months));
	part = visit(1, bond, "2024-04-30");
	part.outcome = OUTCOME_PARTLY;
	railway_must(inspection_record(&r.act, &part, &recorded, &why), &why);
	ck_assert_int_eq(state_of(&r, bond).last_inspection_day, DAY_NONE);
	whole = visit(2, bond, "2024-04-30");
	whole.seen_a = whole.seen_b = SEEN_GOOD;
	railway_must(inspection_record(&r.act, &whole, &recorded, &why), &why);
	ck_assert_int_eq(state_of(&r, bond).due.due_day,
		day_add_months(railway_day("2024-04-30"), months));
	ck_assert_int_eq(state_of(&r, bond).due.inspect_day, state_of(&r, bond).due.due_day);
	ck_assert_int_eq(state_of(&r, bond).due.mend_day, DAY_NONE);
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

/* Rail joints are proved by their contacts: 12 months after 2020-03-31 none was read, and a visit
 * that reads none moves nothing. */
START_TEST(a_visit_without_evidence_moves_no_due_day)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct inspection_new form;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	ck_assert_int_eq(state_of(&r, bond).due.due_day, railway_day("2021-03-31"));
	form = visit(1, bond, "2024-04-30");
	form.seen_a = form.seen_b = SEEN_GOOD;
	railway_must(inspection_record(&r.act, &form, &recorded, &why), &why);
	ck_assert_int_eq(state_of(&r, bond).last_inspection_day, railway_day("2024-04-30"));
	ck_assert_int_eq(state_of(&r, bond).due.due_day, railway_day("2021-03-31"));
	ck_assert_int_eq(state_of(&r, bond).due.basis, DUE_PROOF_LACKS);
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(sending_twice_keeps_once_and_other_content_under_the_same_id_is_refused)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded first, again;
	struct inspection_new form;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	form = visit(1, bond, "2024-04-30");
	railway_must(inspection_record(&r.act, &form, &first, &why), &why);
	railway_must(inspection_record(&r.act, &form, &again, &why), &why);
	ck_assert(!first.already && again.already && first.id == again.id);
	form.note = "something else";
	ck_assert(!inspection_record(&r.act, &form, &again, &why));
	ck_assert_int_eq(problems_code(&why), PROBLEM_CONFLICT);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_correction_replaces_the_wrong_day_and_cannot_be_made_twice)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct inspection_new wrong, right, late;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	wrong = visit(1, bond, "2024-04-30");
	railway_must(inspection_record(&r.act, &wrong, &recorded, &why), &why);
	right = visit(2, bond, "2023-04-30");
	memcpy(right.corrects, wrong.uuid, sizeof right.corrects);
	railway_must(inspection_record(&r.act, &right, &recorded, &why), &why);
	ck_assert_int_eq(state_of(&r, bond).last_inspection_day, railway_day("2023-04-30"));
	late = visit(3, bond, "2022-04-30");
	memcpy(late.corrects, wrong.uuid, sizeof late.corrects);
	ck_assert(!inspection_record(&r.act, &late, &recorded, &why));
	ck_assert_str_eq(why.item[0].field, "corrects");
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

static const struct { const char *label, *day, *field; } impossible[] = {
	{ "before it was installed", "2020-03-30", "day" },
	{ "two days after today", "2024-05-03", "day" },
};

START_TEST(an_impossible_day_is_refused_and_nothing_is_kept)
{
	struct railway r;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	for (size_t i = 0; i < 2; i++) {
		struct inspection_new form = visit(1, bond, impossible[i].day);
		struct failure_new fail = failed(2, bond, impossible[i].day);
		struct problems why = { 0 };
		struct recorded recorded;

		ck_assert_msg(!inspection_record(&r.act, &form, &recorded, &why), "%s",
			impossible[i].label);
		ck_assert_str_eq(why.item[0].field, "day");
		ck_assert_msg(!failure_record(&r.act, &fail, 0, &recorded, &why), "%s",
			impossible[i].label);
		ck_assert_int_eq(state_of(&r, bond).last_inspection_day, DAY_NONE);
	}
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_deferral_stays_in_sight_and_ends_with_the_next_complete_inspection)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct deferral_new form;
	struct inspection_new done;
	struct bond_state s;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	form_clear(&deferral_form, &form);
	railway_uuid(1, form.uuid);
	form.of.bond_id = bond;
	form.until_day = railway_day("2024-09-30");
	form.reason = "no possession before the timetable change";
	railway_must(deferral_record(&r.act, &form, &recorded, &why), &why);
	s = state_of(&r, bond);
	ck_assert_int_eq(s.due.deferred_until_day, railway_day("2024-09-30"));
	ck_assert_int_eq(due_state_on(&s.due, railway_day("2024-09-30")), DUE_DEFERRED);
	ck_assert_int_eq(due_state_on(&s.due, railway_day("2024-10-01")), DUE_OVERDUE);
	railway_end(&r);
	expect_content(&r);
	railway_begin(&r, "2024-06-01");
	done = visit(2, bond, "2024-06-01");
	railway_must(inspection_record(&r.act, &done, &recorded, &why), &why);
	ck_assert_int_eq(state_of(&r, bond).due.deferred_until_day, DAY_NONE);
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_deferral_is_corrected_by_one_of_the_same_bond_only)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct deferral_new form;
	int64_t bond, other;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	other = railway_add_bond(&r, "J2", "1+300");
	form_clear(&deferral_form, &form);
	railway_uuid(1, form.uuid);
	form.of.bond_id = bond;
	form.until_day = railway_day("2024-09-30");
	form.reason = "no possession before the timetable change";
	railway_must(deferral_record(&r.act, &form, &recorded, &why), &why);
	memcpy(form.corrects, form.uuid, sizeof form.corrects);
	railway_uuid(2, form.uuid);
	form.of.bond_id = other;
	ck_assert(!deferral_record(&r.act, &form, &recorded, &why));
	ck_assert_str_eq(why.item[0].field, "corrects");
	ck_assert_int_eq(state_of(&r, bond).due.deferred_until_day, railway_day("2024-09-30"));
	ck_assert_int_eq(state_of(&r, other).due.deferred_until_day, DAY_NONE);
	form.of.bond_id = bond;
	form.until_day = railway_day("2024-08-31");
	why = (struct problems){ 0 };
	railway_must(deferral_record(&r.act, &form, &recorded, &why), &why);
	ck_assert_int_eq(state_of(&r, bond).due.deferred_until_day, railway_day("2024-08-31"));
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(failures_at_one_place_become_a_repeat_place_whichever_bond_was_there)
{
	struct railway r;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct recorded recorded;
	struct failure_group group = { .rail = RAIL_LEFT };
	struct repeat_row *places = NULL;
	struct failure failure;
	size_t count = 0;
	int64_t first, second;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	first = railway_add_bond(&r, "J1", "1+200");
	second = railway_add_bond(&r, "J2", "1+208");
	struct failure_new a = failed(1, first, "2022-01-10"), b = failed(2, second, "2023-05-20");
	railway_must(failure_record(&r.act, &a, 0, &recorded, &why), &why);
	railway_must(failure_record(&r.act, &b, 0, &recorded, &why), &why);
	railway_end(&r);
	ck_assert(store_failure_get(r.store, recorded.id, &failure, &one));
	group.line_id = failure.line_id;
	group.track_id = failure.track_id;
	ck_assert(store_repeat_of_group(r.store, &group, &places, &count, &one));
	ck_assert_int_eq(count, 1);
	ck_assert_int_eq(places[0].failures, 2);
	ck_assert_int_eq(places[0].to_mm - places[0].from_mm, 8000);
	ck_assert_str_eq(places[0].chainage_from, "1+200");
	free(places);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_failure_from_an_old_log_finds_the_nearest_bond_or_registers_one_to_survey)
{
	struct railway r;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct recorded near, far, again;
	struct failure_new form;
	struct failure kept;
	struct bond bond;
	int64_t known;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	known = railway_add_bond(&r, "J1", "1+200");
	form = failed(1, FORM_NO_INTEGER, "2023-01-01");
	form.of.line = "VAL";
	form.chainage = "1+210";
	railway_must(failure_record(&r.act, &form, 0, &near, &why), &why);
	ck_assert(store_failure_get(r.store, near.id, &kept, &one));
	ck_assert_int_eq(kept.bond_id, known);
	ck_assert_int_eq(kept.distance_mm, 1210000);
	railway_uuid(2, form.uuid);
	form.chainage = "1+210.001";
	railway_must(failure_record(&r.act, &form, 0, &far, &why), &why);
	ck_assert(store_failure_get(r.store, far.id, &kept, &one));
	ck_assert_int_ne(kept.bond_id, known);
	ck_assert(store_bond_get(r.store, kept.bond_id, &bond, &one));
	ck_assert(!bond.surveyed && bond.kind == BOND_KIND_NOT_KNOWN);
	railway_must(failure_record(&r.act, &form, 0, &again, &why), &why);
	ck_assert(again.already);
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_failure_at_a_place_is_of_the_bond_that_was_there_then)
{
	static const struct { const char *found, *label; } cases[] = {
		{ "2022-01-01", "OLD" }, { "2023-06-01", "OLD" }, { "2023-07-01", "NEW" },
		{ "2024-04-01", "NEW" },
	};
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct bond_new old = railway_bond("OLD", "1+200"), new = railway_bond("NEW", "1+203");
	int64_t id[2];

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	old.status = BOND_REMOVED;
	old.removed_day = railway_day("2023-06-01");
	new.installed_day = railway_day("2023-07-01");
	railway_must(bond_register(&r.act, &old, &recorded, &why), &why);
	id[0] = recorded.id;
	railway_must(bond_register(&r.act, &new, &recorded, &why), &why);
	id[1] = recorded.id;
	railway_derive(&r);
	for (int i = 0; i < 4; i++) {
		struct failure_new form = failed(i + 1, FORM_NO_INTEGER, cases[i].found);

		form.of.line = "VAL";
		form.chainage = i % 2 == 0 ? "1+200" : "1+203";
		railway_must(failure_record(&r.act, &form, 0, &recorded, &why), &why);
		ck_assert_msg(recorded.bond_id == id[strcmp(cases[i].label, "NEW") == 0], "%s",
			cases[i].found);
	}
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(rebuild_gives_what_was_kept_and_check_sees_a_changed_row)
{
	struct railway r;
	struct problems why = { 0 };
	struct check_result result;
	struct recorded recorded;
	struct bond_state s;
	struct bond bond;
	struct problem one = { 0 };
	int64_t id;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	id = railway_add_bond(&r, "J1", "1+200");
	struct failure_new a = failed(1, id, "2022-01-10"), b = failed(2, id, "2023-05-20");
	railway_must(failure_record(&r.act, &a, 0, &recorded, &why), &why);
	railway_must(failure_record(&r.act, &b, 0, &recorded, &why), &why);
	railway_end(&r);
	railway_begin(&r, "2024-05-01");
	s = state_of(&r, id);
	s.due.due_day++;
	s.failures_open = 0;
	ck_assert(store_bond_get(r.store, id, &bond, &one));
	keep_state(r.store, &bond, s);
	railway_must(check_all(&r.act, &result, &why), &why);
	ck_assert_int_eq(result.differences, 1);
	railway_must(rebuild_all(&r.act, NULL, NULL, &why), &why);
	railway_must(check_all(&r.act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_corrected_inspection_may_say_something_else_of_the_failure_it_found)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct inspection_new wrong, right;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	wrong = visit(1, bond, "2024-04-30");
	railway_uuid(7, wrong.failure.uuid);
	wrong.failure.mode = FAILURE_CORRODED;
	railway_must(inspection_record(&r.act, &wrong, &recorded, &why), &why);
	right = visit(2, bond, "2024-04-29");
	memcpy(right.corrects, wrong.uuid, sizeof right.corrects);
	right.failure = wrong.failure;
	right.failure.mode = FAILURE_DETACHED;
	railway_must(inspection_record(&r.act, &right, &recorded, &why), &why);
	ck_assert_int_eq(state_of(&r, bond).failures_open, 1);
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

/* What stands of the failure that was sent first under an id, through all corrections. */
static void expect_failure(struct railway *r, const char *uuid, enum failure_mode mode)
{
	struct problem why = { 0 };
	struct failure failure;
	struct sent sent;
	int64_t newest;

	ck_assert(store_sent_find(r->store, SENT_FAILURE, uuid, &sent, &why));
	ck_assert(store_failure_newest(r->store, sent.id, &newest, &why));
	ck_assert(store_failure_get(r->store, newest, &failure, &why));
	ck_assert_int_eq(failure.mode, mode);
	ck_assert_int_eq(state_of(r, failure.bond_id).failures_open, 1);
}

START_TEST(a_corrected_inspection_is_corrected_again_and_the_last_word_of_its_failure_holds)
{
	static const enum failure_mode said[] = { FAILURE_CORRODED, FAILURE_DETACHED, FAILURE_BURNT,
		FAILURE_CORRODED, FAILURE_CORRODED };
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct inspection_new form;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	form = visit(1, bond, "2024-04-30");
	railway_uuid(70, form.failure.uuid);
	for (int i = 0; i < 5; i++) {
		form.failure.mode = said[i];
		railway_must(inspection_record(&r.act, &form, &recorded, &why), &why);
		expect_failure(&r, form.failure.uuid, said[i]);
		memcpy(form.corrects, form.uuid, sizeof form.corrects);
		railway_uuid(i + 2, form.uuid);
	}
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_failure_corrected_by_itself_stays_so_when_the_inspection_is_corrected_in_something_else)
{
	struct railway r;
	struct problems why = { 0 };
	struct recorded recorded;
	struct inspection_new form;
	struct failure_new apart;
	int64_t bond;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond = railway_add_bond(&r, "J1", "1+200");
	form = visit(1, bond, "2024-04-30");
	railway_uuid(70, form.failure.uuid);
	form.failure.mode = FAILURE_CORRODED;
	railway_must(inspection_record(&r.act, &form, &recorded, &why), &why);
	apart = failed(71, bond, "2024-04-30");
	apart.mode = FAILURE_BURNT;
	memcpy(apart.corrects, form.failure.uuid, sizeof apart.corrects);
	railway_must(failure_record(&r.act, &apart, 0, &recorded, &why), &why);
	for (int i = 2; i < 4; i++) {
		memcpy(form.corrects, form.uuid, sizeof form.corrects);
		railway_uuid(i, form.uuid);
		form.note = i == 2 ? "seen from the cess" : "seen from the six-foot";
		railway_must(inspection_record(&r.act, &form, &recorded, &why), &why);
		expect_failure(&r, form.failure.uuid, FAILURE_BURNT);
	}
	railway_end(&r);
	expect_content(&r);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_complete_inspection_moves_the_due_day_and_one_done_in_part_does_not,
		a_visit_without_evidence_moves_no_due_day,
		sending_twice_keeps_once_and_other_content_under_the_same_id_is_refused,
		a_correction_replaces_the_wrong_day_and_cannot_be_made_twice,
		an_impossible_day_is_refused_and_nothing_is_kept,
		a_deferral_stays_in_sight_and_ends_with_the_next_complete_inspection,
		a_deferral_is_corrected_by_one_of_the_same_bond_only,
		failures_at_one_place_become_a_repeat_place_whichever_bond_was_there,
		a_failure_from_an_old_log_finds_the_nearest_bond_or_registers_one_to_survey,
		a_failure_at_a_place_is_of_the_bond_that_was_there_then,
		rebuild_gives_what_was_kept_and_check_sees_a_changed_row,
		a_corrected_inspection_may_say_something_else_of_the_failure_it_found,
		a_corrected_inspection_is_corrected_again_and_the_last_word_of_its_failure_holds,
		a_failure_corrected_by_itself_stays_so_when_the_inspection_is_corrected_in_something_else,
		NULL };

	return case_run("record", tests);
}
