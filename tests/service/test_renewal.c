/*
 * A rail renewed over a stretch is one act: what was attached to the old rail has ended, spots
 * begin clean, and every bond in service with an end there needs an answer.
 */
#include "case.h"
#include "derived/judged.h"
#include "derived/rebuild.h"
#include "service/railway.h"
#include "service/record/rail.h"
#include "service/record/renewal.h"
#include "service/record/spot.h"
#include "store/record/renewal.h"
#include "store/record/work.h"

static int next_uuid;

static int64_t add(struct railway *r, const char *label, const char *chainage, const char *installed)
{
	struct bond_new form = railway_bond(label, chainage);
	struct problems why = { 0 };
	struct recorded recorded;

	form.kind = BOND_STRUCTURE;
	form.b.on = END_ON_STRUCTURE;
	form.length_m = 5;
	form.installed_day = installed != NULL ? railway_day(installed) : DAY_NONE;
	railway_must(bond_register(&r->act, &form, &recorded, &why), &why);
	railway_derive(r);
	return recorded.id;
}

static int64_t attach(struct railway *r, int64_t bond_id, const char *day, int64_t offset_mm)
{
	struct attachment_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&attachment_form, &form);
	railway_uuid(++next_uuid, form.uuid);
	form.of.bond_id = bond_id;
	form.end = END_A;
	form.made_day = railway_day(day);
	form.method = ATTACH_BOLTED;
	form.offset_mm = offset_mm;
	railway_must(attachment_record(&r->act, &form, &recorded, &why), &why);
	railway_derive(r);
	return recorded.id;
}

static struct renewal_new renewal(const char *from, const char *to, const char *day)
{
	struct renewal_new form;

	form_clear(&renewal_form, &form);
	railway_uuid(++next_uuid, form.uuid);
	form.line = "VAL";
	form.track = "Up";
	form.rails = RENEWED_LEFT;
	form.from = from;
	form.to = to;
	form.day = railway_day(day);
	form.reason = "Worn.";
	return form;
}

static int64_t renew(struct railway *r, const struct renewal_new *form)
{
	struct problems why = { 0 };
	struct recorded recorded;

	railway_must(renewal_record(&r->act, form, &recorded, &why), &why);
	railway_derive(r);
	return recorded.id;
}

/* "A none, B attached 2024-05-02": the answers of a renewal, along the line. */
static const char *answers(struct railway *r, int64_t id)
{
	static char said[600];
	struct renewal_end *all = NULL;
	struct problem why = { 0 };
	size_t count = 0, len = 0;

	said[0] = '\0';
	ck_assert_msg(store_renewal_ends(r->store, id, &all, &count, &why), "%s", why.detail);
	for (size_t i = 0; i < count; i++) {
		char day[DAY_TEXT_SIZE];

		day_write(all[i].answer_day, day);
		len += (size_t)snprintf(said + len, sizeof said - len, "%s%s %s%s%s", i > 0 ? ", " : "",
			all[i].label, renewal_answer_words.code[all[i].answer], day[0] != '\0' ? " " : "", day);
	}
	free(all);
	return said;
}

/* Since when the end A of a bond is taken off, as judging reads it; DAY_NONE. */
static int32_t detached(struct railway *r, int64_t bond_id)
{
	struct records records = { 0 };
	struct problem why = { 0 };
	int32_t day;

	ck_assert_msg(store_records_read(r->store, bond_id, bond_id, RECORD_ALL, &records, &why), "%s",
		why.detail);
	day = records.bonds[0].detached_day[END_A];
	ck_assert_int_eq(records.bonds[0].detached_day[END_B], DAY_NONE);
	/* the newest of the end stands last */
	if (records.n_attachments > 0) {
		ck_assert_int_eq(records.attachments[records.n_attachments - 1].ended_day, day);
	}
	records_release(&records);
	return day;
}

static bool is_held(struct railway *r, int64_t bond_id)
{
	struct attachment_live live;
	struct problem why = { 0 };

	ck_assert_msg(store_attachment_live(r->store, bond_id, END_A, &live, &why), "%s", why.detail);
	return live.id != 0;
}

static size_t spots_at(struct railway *r, int64_t bond_id)
{
	struct bond bond;
	struct end_spots spots;
	struct problem why = { 0 };
	size_t count;

	ck_assert(store_bond_get(r->store, bond_id, &bond, &why));
	ck_assert_msg(end_spots_read(r->store, r->view.rulebook, &bond, END_A, r->view.today, &spots,
		&why), "%s", why.detail);
	count = spots.count;
	end_spots_release(&spots);
	return count;
}

static void remove_bond(struct railway *r, int64_t id, const char *label, const char *chainage,
	const char *day)
{
	struct bond_new form = railway_bond(label, chainage);
	struct problems why = { 0 };

	form.kind = BOND_STRUCTURE;
	form.b.on = END_ON_STRUCTURE;
	form.status = BOND_REMOVED;
	form.removed_day = railway_day(day);
	railway_must(bond_change(&r->act, id, &form, &why), &why);
	railway_derive(r);
}

static void expect_content(struct railway *r)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
}

static void begin(struct railway *r)
{
	railway_make(r, "2019-01-01");
	railway_begin(r, "2024-05-01");
}

static void end(struct railway *r)
{
	railway_end(r);
	railway_begin(r, "2024-06-02");
	expect_content(r);
	railway_end(r);
	railway_remove(r);
}

START_TEST(asks_every_bond_in_the_stretch_and_one_that_is_forgotten_stays_taken_off)
{
	struct railway r;
	const char *const labels[] = { "A", "B", "C", "D", "E" };
	const char *const places[] = { "1+000", "1+010", "1+020", "1+030", "1+040" };
	struct renewal_new form = renewal("1+040", "1+000", "2024-05-01");   /* in either order */
	int64_t bond[5], id;

	begin(&r);
	for (int i = 0; i < 5; i++) {
		bond[i] = add(&r, labels[i], places[i], "2020-03-31");
		if (i != 3) {
			attach(&r, bond[i], "2020-03-31", 0);
		}
	}
	id = renew(&r, &form);
	ck_assert_str_eq(answers(&r, id), "A none, B none, C none, D none, E none");
	for (int i = 0; i < 5; i++) {   /* D too, of which no attachment was ever recorded */
		ck_assert_int_eq(detached(&r, bond[i]), railway_day("2024-05-01"));
	}
	attach(&r, bond[0], "2024-05-01", 50);
	attach(&r, bond[1], "2024-05-01", 0);
	remove_bond(&r, bond[2], "C", "1+020", "2024-05-01");
	attach(&r, bond[3], "2024-05-01", 0);
	ck_assert_str_eq(answers(&r, id), "A attached 2024-05-01, B attached 2024-05-01, "
		"C removed 2024-05-01, D attached 2024-05-01, E none");
	ck_assert_int_eq(detached(&r, bond[0]), DAY_NONE);
	ck_assert_int_eq(detached(&r, bond[3]), DAY_NONE);
	ck_assert(is_held(&r, bond[0]) && is_held(&r, bond[3]) && !is_held(&r, bond[4]));
	ck_assert_int_eq(detached(&r, bond[4]), railway_day("2024-05-01"));
	end(&r);
}
END_TEST

/* Attached 150 mm before the stretch, and 150 mm into it; 1+100 to 1+200, both counted in. */
START_TEST(ends_what_was_attached_within_the_stretch_on_those_rails_and_nothing_else)
{
	struct railway r;
	struct renewal_new form = renewal("1+100", "1+200", "2024-05-01");
	struct bond_new other = railway_bond("R", "1+150"), far = railway_bond("U", "1+150");
	struct problems why = { 0 };
	struct recorded right, unstated;
	int64_t before, into, edge, made_since, id;

	begin(&r);
	before = add(&r, "P", "1+100", "2020-03-31");
	attach(&r, before, "2020-03-31", -1);
	into = add(&r, "I", "1+099", "2020-03-31");
	attach(&r, into, "2020-03-31", 1000);
	edge = add(&r, "G", "1+201", "2020-03-31");
	attach(&r, edge, "2020-03-31", -999);
	made_since = add(&r, "N", "1+160", "2024-05-01");
	other.kind = far.kind = BOND_STRUCTURE;
	other.b.on = far.b.on = END_ON_STRUCTURE;
	other.a.rail = RAIL_RIGHT;
	railway_must(bond_register(&r.act, &other, &right, &why), &why);
	far.a.rail = -1;
	railway_must(bond_register(&r.act, &far, &unstated, &why), &why);
	id = renew(&r, &form);
	ck_assert_str_eq(answers(&r, id), "I none, P outside, U rail_not_stated");
	ck_assert_int_eq(detached(&r, before), DAY_NONE);
	ck_assert_int_eq(detached(&r, into), railway_day("2024-05-01"));
	ck_assert_int_eq(detached(&r, edge), DAY_NONE);
	ck_assert_int_eq(detached(&r, made_since), DAY_NONE);
	ck_assert_int_eq(detached(&r, right.id), DAY_NONE);
	form = renewal("1+100", "1+200", "2024-05-01");
	form.rails = RENEWED_BOTH;
	id = renew(&r, &form);
	ck_assert_str_eq(answers(&r, id), "I none, P outside, R none, U none");
	ck_assert_int_eq(detached(&r, right.id), railway_day("2024-05-01"));
	end(&r);
}
END_TEST

START_TEST(the_new_rail_begins_with_clean_spots_also_of_bonds_that_were_removed)
{
	struct railway r;
	struct rail_mark_new weld;
	struct renewal_new form = renewal("1+000", "1+010", "2024-05-01");
	struct problems why = { 0 };
	struct recorded recorded;
	int64_t one, gone, beyond;

	begin(&r);
	one = add(&r, "A", "1+010", "2020-03-31");
	gone = add(&r, "G", "1+010", "2020-03-31");
	beyond = add(&r, "B", "1+011", "2020-03-31");
	attach(&r, one, "2020-03-31", 0);
	attach(&r, gone, "2020-03-31", -300);
	attach(&r, beyond, "2020-03-31", 0);
	remove_bond(&r, gone, "G", "1+010", "2023-05-01");
	form_clear(&rail_mark_form, &weld);
	weld.of.bond_id = one;
	weld.end = END_A;
	weld.kind = MARK_WELD;
	weld.offset_mm = -600;
	railway_must(rail_mark_put(&r.act, &weld, &recorded, &why), &why);
	railway_end(&r);
	railway_begin(&r, "2024-06-01");
	ck_assert_uint_eq(spots_at(&r, one), 4);
	form.day = railway_day("2024-06-01");
	form.rails = RENEWED_RIGHT;                   /* the other rail: nothing here */
	renew(&r, &form);
	ck_assert_uint_eq(spots_at(&r, one), 4);
	form.rails = RENEWED_LEFT;
	railway_uuid(++next_uuid, form.uuid);
	renew(&r, &form);
	ck_assert_uint_eq(spots_at(&r, one), 1);      /* that of B, on the old rail beyond */
	attach(&r, one, "2024-06-01", 0);             /* where the old one stood: it is another rail */
	ck_assert_uint_eq(spots_at(&r, one), 2);
	ck_assert_uint_eq(spots_at(&r, beyond), 2);
	/* told of late: it was on the old rail */
	attach(&r, gone, "2022-03-31", -100);
	ck_assert_uint_eq(spots_at(&r, one), 2);
	end(&r);
}
END_TEST

START_TEST(what_is_told_late_of_the_old_rail_has_ended_too_and_a_bond_registered_late_is_asked)
{
	struct railway r;
	struct renewal_new form = renewal("1+000", "1+100", "2024-05-01");
	int64_t one, late, unknown, id;

	begin(&r);
	one = add(&r, "A", "1+010", "2020-03-31");
	attach(&r, one, "2020-03-31", 0);
	id = renew(&r, &form);
	attach(&r, one, "2024-04-30", 200);
	ck_assert_int_eq(detached(&r, one), railway_day("2024-05-01"));
	late = add(&r, "L", "1+020", "2021-03-31");
	unknown = add(&r, "U", "1+030", NULL);
	ck_assert_str_eq(answers(&r, id), "A none, L none, U none");
	ck_assert_int_eq(detached(&r, late), railway_day("2024-05-01"));
	ck_assert_int_eq(detached(&r, unknown), DAY_NONE);   /* asked, not held against it */
	end(&r);
}
END_TEST

START_TEST(a_failure_of_the_old_attachment_stays_open_until_it_is_made_good)
{
	struct railway r;
	struct failure_new failure;
	struct renewal_new form = renewal("1+000", "1+100", "2024-05-01");
	struct bond_state state;
	struct problems why = { 0 };
	struct problem one_why = { 0 };
	struct recorded recorded;
	int64_t one;

	begin(&r);
	one = add(&r, "A", "1+010", "2020-03-31");
	attach(&r, one, "2020-03-31", 0);
	form_clear(&failure_form, &failure);
	railway_uuid(++next_uuid, failure.uuid);
	failure.of.bond_id = one;
	failure.end = END_A;
	failure.found_day = railway_day("2024-04-01");
	failure.mode = FAILURE_DETACHED;
	railway_must(failure_record(&r.act, &failure, 0, &recorded, &why), &why);
	renew(&r, &form);
	attach(&r, one, "2024-05-01", 0);
	ck_assert(store_bond_state_get(r.store, one, &state, &one_why));
	ck_assert_int_eq(state.failures_open, 1);
	ck_assert_int_eq(state.grade.grade, GRADE_ACT);
	end(&r);
}
END_TEST

START_TEST(is_kept_once_corrected_and_withdrawn_by_a_later_entry)
{
	struct railway r;
	struct renewal_new form = renewal("1+000", "1+100", "2024-05-01"), shorter, none;
	struct problems why = { 0 };
	struct recorded recorded;
	int64_t one, two;

	begin(&r);
	one = add(&r, "A", "1+010", "2020-03-31");
	two = add(&r, "B", "1+090", "2020-03-31");
	attach(&r, one, "2020-03-31", 0);
	attach(&r, two, "2020-03-31", 0);
	renew(&r, &form);
	railway_must(renewal_record(&r.act, &form, &recorded, &why), &why);
	ck_assert(recorded.already);
	shorter = renewal("1+000", "1+050", "2024-05-01");
	memcpy(shorter.corrects, form.uuid, UUID_TEXT_SIZE);
	renew(&r, &shorter);
	ck_assert_int_eq(detached(&r, one), railway_day("2024-05-01"));
	ck_assert_int_eq(detached(&r, two), DAY_NONE);
	ck_assert_uint_eq(spots_at(&r, two), 1);
	none = shorter;
	railway_uuid(++next_uuid, none.uuid);
	memcpy(none.corrects, shorter.uuid, UUID_TEXT_SIZE);
	none.withdrawn = 1;
	none.reason = "It was the other track.";
	ck_assert_str_eq(answers(&r, renew(&r, &none)), "");
	ck_assert_int_eq(detached(&r, one), DAY_NONE);
	ck_assert_uint_eq(spots_at(&r, one), 1);
	end(&r);
}
END_TEST

START_TEST(what_cannot_be_is_refused_with_every_member_that_is_wrong)
{
	struct railway r;
	struct renewal_new form = renewal("x", "1+00", "2024-05-02");
	struct problems why = { 0 };
	struct recorded recorded;

	begin(&r);
	form.withdrawn = 1;
	ck_assert(!renewal_record(&r.act, &form, &recorded, &why));
	ck_assert_uint_eq(why.count, 2);
	ck_assert_str_eq(why.item[0].field, "day");
	ck_assert_str_eq(why.item[1].field, "withdrawn");
	form = renewal("x", "y", "2024-05-01");
	why = (struct problems){ 0 };
	ck_assert(!renewal_record(&r.act, &form, &recorded, &why));
	ck_assert_uint_eq(why.count, 2);
	ck_assert_str_eq(why.item[0].field, "from");
	ck_assert_str_eq(why.item[1].field, "to");
	end(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		asks_every_bond_in_the_stretch_and_one_that_is_forgotten_stays_taken_off,
		ends_what_was_attached_within_the_stretch_on_those_rails_and_nothing_else,
		the_new_rail_begins_with_clean_spots_also_of_bonds_that_were_removed,
		what_is_told_late_of_the_old_rail_has_ended_too_and_a_bond_registered_late_is_asked,
		a_failure_of_the_old_attachment_stays_open_until_it_is_made_good,
		is_kept_once_corrected_and_withdrawn_by_a_later_entry,
		what_cannot_be_is_refused_with_every_member_that_is_wrong, NULL };

	return case_run("renewal", tests);
}
