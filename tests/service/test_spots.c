/*
 * The rail at an end of a bond: the spots of every bond on it, what is proposed and what is not
 * known, and an attachment on a spoilt spot, which is kept as it is. Clearances of the default
 * rulebook: 100 mm of a spot, 150 of a rail end, 200 of a weld.
 */
#include <math.h>

#include "case.h"
#include "derived/judged.h"
#include "derived/rebuild.h"
#include "service/railway.h"
#include "service/record/rail.h"
#include "service/record/spot.h"
#include "store/sql.h"

static const char *const today = "2024-05-01";
static int next_uuid = 1;

/* A bond on the left rail of Up; both ends there unless b_track says another. */
static int64_t add(struct railway *r, const char *label, enum bond_kind kind, const char *a_chainage,
	const char *b_chainage, const char *b_track, double length_m)
{
	struct bond_new form = railway_bond(label, a_chainage);
	struct problems why = { 0 };
	struct recorded recorded;

	form.kind = kind;
	form.b.chainage = b_chainage;
	form.b.track = b_track;
	form.b.rail = b_track != NULL ? RAIL_RIGHT : -1;
	form.length_m = length_m;
	railway_must(bond_register(&r->act, &form, &recorded, &why), &why);
	railway_derive(r);
	return recorded.id;
}

static struct attachment_new attachment(int64_t bond_id, int end, const char *day,
	int64_t offset_mm)
{
	struct attachment_new form;

	form_clear(&attachment_form, &form);
	railway_uuid(next_uuid++, form.uuid);
	form.of.bond_id = bond_id;
	form.end = end;
	form.made_day = railway_day(day);
	form.method = ATTACH_BOLTED;
	form.offset_mm = offset_mm;
	return form;
}

static int64_t attach(struct railway *r, int64_t bond_id, int end, const char *day,
	int64_t offset_mm)
{
	const struct attachment_new form = attachment(bond_id, end, day, offset_mm);
	struct problems why = { 0 };
	struct recorded recorded;

	railway_must(attachment_record(&r->act, &form, &recorded, &why), &why);
	railway_derive(r);
	return recorded.id;
}

static void note_mark(struct railway *r, int64_t bond_id, int end, enum mark_kind kind,
	int64_t offset_mm)
{
	struct rail_mark_new mark;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&rail_mark_form, &mark);
	mark.of.bond_id = bond_id;
	mark.end = end;
	mark.kind = (int)kind;
	mark.offset_mm = offset_mm;
	railway_must(rail_mark_put(&r->act, &mark, &recorded, &why), &why);
	railway_derive(r);
}

static struct bond bond_of(struct railway *r, int64_t id)
{
	struct bond bond;
	struct problem why = { 0 };

	ck_assert_msg(store_bond_get(r->store, id, &bond, &why), "%s", why.detail);
	return bond;
}

/* The caller releases it. */
static struct end_spots rail_at(struct railway *r, int64_t id, int end)
{
	struct bond bond = bond_of(r, id);
	struct end_spots spots;
	struct problem why = { 0 };

	railway_derive(r);
	ck_assert_msg(end_spots_read(r->store, r->view.rulebook, &bond, end, r->view.today, &spots,
		&why), "%s", why.detail);
	return spots;
}

enum { NOTHING = -999999 };

static int64_t proposed(struct railway *r, int64_t id, int end)
{
	struct end_spots spots = rail_at(r, id, end);
	int64_t free_mm = NOTHING;

	if (!spot_next_free(r->view.rulebook, &spots.place, spots.place.home_mm, &free_mm)) {
		free_mm = NOTHING;
	}
	end_spots_release(&spots);
	return free_mm;
}

static unsigned unknown_at(struct railway *r, int64_t id, int end)
{
	struct end_spots spots = rail_at(r, id, end);
	unsigned unknown = spot_unknown(&spots.place);

	end_spots_release(&spots);
	return unknown;
}

static int64_t number(struct railway *r, const char *sql)
{
	int64_t n = -1;
	struct problem why = { 0 };

	ck_assert_msg(sql_integer(r->store, sql, NULL, 0, -1, &n, &why), "%s", why.detail);
	return n;
}

/* -1: NULL. Of the newest attachment. */
static int64_t last_taken(struct railway *r)
{
	return number(r, "SELECT spot_taken FROM attachment ORDER BY id DESC LIMIT 1");
}

static void expect_content(struct railway *r)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_derive(r);
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
}

static void begin(struct railway *r)
{
	railway_make(r, "2019-01-01");
	railway_begin(r, today);
}

static void end(struct railway *r)
{
	expect_content(r);
	railway_end(r);
	railway_remove(r);
}

static void remove_bond(struct railway *r, const char *label, const char *a_chainage)
{
	struct bond_new form = railway_bond(label, a_chainage);
	struct bond bond;
	int64_t id;
	struct problem one = { 0 };
	struct problems why = { 0 };

	ck_assert(store_bond_find(r->store, 1, label, &id, &one));
	bond = bond_of(r, id);
	form.kind = bond.kind;
	form.status = BOND_REMOVED;
	form.removed_day = railway_day("2024-03-01");
	railway_must(bond_change(&r->act, id, &form, &why), &why);
	railway_derive(r);
}

/* By hand, from the mark of J1's end A at 1+000: a feeder lead 1 m on, attached 850 mm before its
 * mark, is at 150; a bond that was removed had two spots, at -100 - 50 and -100 + 150. */
START_TEST(the_spots_of_every_bond_on_the_rail_count_also_of_one_removed_since)
{
	struct railway r;
	struct end_spots spots;
	int64_t one, other, gone, elsewhere;

	begin(&r);
	one = add(&r, "J1", BOND_FEEDER_LEAD, "1+000", "1+000", "Down", 9);
	other = add(&r, "F1", BOND_FEEDER_LEAD, "1+001", "1+001", "Down", 9);
	gone = add(&r, "G1", BOND_RAIL_CROSS, "1+000", "1+000", "Down", 9);
	elsewhere = add(&r, "E1", BOND_STRUCTURE, "1+004", "1+004", "Down", 9);
	attach(&r, one, END_A, "2022-05-01", 0);
	attach(&r, other, END_A, "2022-05-01", -850);
	attach(&r, gone, END_A, "2021-05-01", -150);
	attach(&r, gone, END_A, "2022-05-01", 50);
	attach(&r, elsewhere, END_A, "2022-05-01", 0);
	remove_bond(&r, "G1", "1+000");
	spots = rail_at(&r, one, END_A);
	ck_assert_uint_eq(spots.count, 4);   /* E1 is 4 m away; the ends on Down are not here */
	for (size_t i = 0; i < spots.count; i++) {
		const struct rail_spot *s = &spots.spots[i];

		ck_assert_msg(spots.marks[i].kind == (s->bond_id == gone ? MARK_SPOILT : MARK_LIVE), "%s",
			s->label);
		ck_assert(s->bond_id != other || spots.marks[i].offset_mm == 150);
	}
	end_spots_release(&spots);
	/* taken: -249 to -51, -50 to 149 (two), 51 to 249: the nearest are -250 and 250, the lower */
	ck_assert_int_eq(proposed(&r, one, END_A), -250);
	/* from the other's mark the same rail: -1000 - 250, or 250 - 1000 which is nearer to -850 */
	ck_assert_int_eq(proposed(&r, other, END_A), -750);
	end(&r);
}
END_TEST

/* Both ends at the joint; -120 and 130 attached: 250 mm apart. */
START_TEST(a_joint_bond_keeps_to_its_side_and_its_cable)
{
	struct railway r;
	int64_t one, far, none, near, half, crossed;

	begin(&r);
	one = add(&r, "J1", BOND_RAIL_JOINT, "1+000", NULL, NULL, 0.35);
	attach(&r, one, END_A, "2022-05-01", -120);
	attach(&r, one, END_B, "2022-05-01", 130);
	ck_assert_int_eq(proposed(&r, one, END_A), -220);   /* 350 mm from 130: just reached */
	ck_assert_int_eq(proposed(&r, one, END_B), 230);
	far = add(&r, "J2", BOND_RAIL_JOINT, "1+100", NULL, NULL, 0.349);
	attach(&r, far, END_A, "2022-05-01", -120);
	attach(&r, far, END_B, "2022-05-01", 130);
	ck_assert_int_eq(proposed(&r, far, END_A), NOTHING);
	ck_assert_int_eq(proposed(&r, far, END_B), NOTHING);
	/* the marks one metre apart: without attachments the other end's place tells the side */
	none = add(&r, "J3", BOND_RAIL_JOINT, "1+200", "1+201", NULL, 3);
	ck_assert_int_eq(proposed(&r, none, END_A), -100);
	ck_assert_int_eq(proposed(&r, none, END_B), 100);
	attach(&r, none, END_A, "2022-05-01", 0);
	ck_assert_int_eq(proposed(&r, none, END_A), -100);
	/* attached beyond its mark, towards the joint: as far as that it is on its own side */
	near = add(&r, "J5", BOND_RAIL_JOINT, "1+400", "1+401", NULL, 3);
	attach(&r, near, END_A, "2021-05-01", 200);
	attach(&r, near, END_A, "2022-05-01", 350);
	attach(&r, near, END_B, "2022-05-01", -300);
	ck_assert_int_eq(proposed(&r, near, END_A), 100);
	attach(&r, near, END_A, "2023-05-01", 500);
	ck_assert_int_eq(proposed(&r, near, END_A), 100);
	attach(&r, near, END_A, "2023-06-01", 550);
	attach(&r, near, END_B, "2023-06-01", 0);
	ck_assert_int_eq(proposed(&r, near, END_A), 100);
	/* only the other end is on record: the joint is at the mark, as far as is known */
	half = add(&r, "J6", BOND_RAIL_JOINT, "1+500", NULL, NULL, 3);
	attach(&r, half, END_B, "2022-05-01", 130);
	ck_assert_int_eq(proposed(&r, half, END_A), -150);
	/* what is attached contradicts the places: which end is which is not known */
	crossed = add(&r, "J4", BOND_RAIL_JOINT, "1+300", "1+301", NULL, 3);
	attach(&r, crossed, END_A, "2022-05-01", 1200);
	attach(&r, crossed, END_B, "2022-05-01", 100);
	ck_assert_int_eq(proposed(&r, crossed, END_A), NOTHING);
	ck_assert((unknown_at(&r, crossed, END_A) & 1u << UNKNOWN_SIDE) != 0);
	end(&r);
}
END_TEST

/* The joint noted at 0 by end B; end A may come up to 150 mm from it, but not within 100 mm of
 * -350. */
START_TEST(a_rail_end_that_any_end_noted_bars_the_rail_beyond_it)
{
	struct railway r;
	struct end_spots spots;
	int64_t one;

	begin(&r);
	one = add(&r, "J1", BOND_RAIL_JOINT, "1+000", NULL, NULL, 5);
	attach(&r, one, END_A, "2022-05-01", -350);
	attach(&r, one, END_B, "2022-05-01", 300);
	ck_assert_int_eq(proposed(&r, one, END_A), -450);
	note_mark(&r, one, END_B, MARK_RAIL_END, 0);
	spots = rail_at(&r, one, END_A);
	ck_assert_int_eq(spot_judge(r.view.rulebook, &spots.place, -150).is, SPOT_FREE);
	ck_assert_int_eq(spot_judge(r.view.rulebook, &spots.place, -149).is, SPOT_TOO_NEAR);
	ck_assert_int_eq(spot_judge(r.view.rulebook, &spots.place, 500).is, SPOT_BEYOND_RAIL_END);
	ck_assert((spot_unknown(&spots.place) & 1u << UNKNOWN_RAIL_END) == 0);
	ck_assert((spot_unknown(&spots.place) & 1u << UNKNOWN_WELD) != 0);
	end_spots_release(&spots);
	end(&r);
}
END_TEST

START_TEST(what_is_not_known_is_said_and_the_place_of_what_has_no_offset_is_taken_for_spoilt)
{
	struct railway r;
	struct bond_new unstated = railway_bond("U1", "1+001");
	struct problems why = { 0 };
	struct recorded recorded;
	int64_t one, silent;

	begin(&r);
	one = add(&r, "F1", BOND_FEEDER_LEAD, "1+000", "1+000", "Down", NAN);
	attach(&r, one, END_A, "2022-05-01", 300);
	ck_assert_int_eq(proposed(&r, one, END_A), 200);
	ck_assert((unknown_at(&r, one, END_A) & 1u << UNKNOWN_CABLE) != 0);
	ck_assert((unknown_at(&r, one, END_A) & 1u << UNKNOWN_OTHER_END) != 0);
	ck_assert((unknown_at(&r, one, END_A) & 1u << UNKNOWN_ACROSS) != 0);
	ck_assert((unknown_at(&r, one, END_A) & (1u << UNKNOWN_OFFSET | 1u << UNKNOWN_NEIGHBOUR)) == 0);
	/* its mark, at 0, is spoilt: -99 to 99; so 200 stays free, and 300 - 100 is the nearest */
	attach(&r, one, END_A, "2023-05-01", FORM_NO_INTEGER);
	ck_assert((unknown_at(&r, one, END_A) & 1u << UNKNOWN_OFFSET) != 0);
	ck_assert_int_eq(proposed(&r, one, END_A), -100);
	/* an end in service of which nothing was ever recorded is attached somewhere */
	silent = add(&r, "S1", BOND_STRUCTURE, "1+500", "1+500", "Down", 5);
	ck_assert((unknown_at(&r, silent, END_A) & 1u << UNKNOWN_OFFSET) != 0);
	ck_assert_int_eq(proposed(&r, silent, END_A), -100);
	unstated.kind = BOND_FEEDER_LEAD;
	unstated.a.rail = -1;
	railway_must(bond_register(&r.act, &unstated, &recorded, &why), &why);
	ck_assert((unknown_at(&r, one, END_A) & 1u << UNKNOWN_NEIGHBOUR) != 0);
	ck_assert_uint_eq(unknown_at(&r, recorded.id, END_A), 1u << UNKNOWN_RAIL);
	ck_assert_int_eq(proposed(&r, recorded.id, END_A), NOTHING);
	end(&r);
}
END_TEST

START_TEST(a_bond_made_today_has_no_attachment_that_nobody_recorded)
{
	struct railway r;
	struct bond_new form = railway_bond("N1", "1+000");
	struct problems why = { 0 };
	struct recorded recorded;

	begin(&r);
	form.kind = BOND_FEEDER_LEAD;
	form.installed_day = railway_day(today);
	railway_must(bond_register(&r.act, &form, &recorded, &why), &why);
	ck_assert_int_eq(proposed(&r, recorded.id, END_A), 0);
	ck_assert((unknown_at(&r, recorded.id, END_A) & 1u << UNKNOWN_OFFSET) == 0);
	/* one of the day before has, and stands in the way of a new one beside it */
	form.label = "N2";
	form.installed_day = railway_day("2024-04-30");
	railway_must(bond_register(&r.act, &form, &recorded, &why), &why);
	ck_assert_int_eq(proposed(&r, recorded.id, END_A), -100);
	ck_assert((unknown_at(&r, recorded.id, END_A) & 1u << UNKNOWN_OFFSET) != 0);
	end(&r);
}
END_TEST

/* A place that was entered wrongly, with an attachment of that time, and set right: it counts at
 * both; what was recorded after that at the right place only. */
START_TEST(spots_of_an_end_that_was_entered_elsewhere_count_there_too)
{
	struct railway r;
	struct bond_new right;
	struct end_spots spots;
	struct problems why = { 0 };
	int64_t moved, here;

	begin(&r);
	moved = add(&r, "M1", BOND_STRUCTURE, "1+000", "1+000", "Down", 5);
	here = add(&r, "H1", BOND_STRUCTURE, "1+001", "1+001", "Down", 5);
	attach(&r, moved, END_A, "2022-05-01", 0);
	attach(&r, here, END_A, "2022-05-01", 0);
	railway_end(&r);
	railway_begin(&r, "2024-05-02");
	right = railway_bond("M1", "1+500");
	right.kind = BOND_STRUCTURE;
	railway_must(bond_change(&r.act, moved, &right, &why), &why);
	railway_end(&r);
	railway_begin(&r, "2024-05-03");
	attach(&r, moved, END_A, "2024-05-03", 100);
	spots = rail_at(&r, here, END_A);
	ck_assert_uint_eq(spots.count, 2);
	end_spots_release(&spots);
	spots = rail_at(&r, moved, END_A);
	ck_assert_uint_eq(spots.count, 3);   /* both of its end A, and its end B without a record */
	end_spots_release(&spots);
	end(&r);
}
END_TEST

static struct bond_state state_of(struct railway *r, int64_t id)
{
	struct bond_state s;
	struct problem why = { 0 };

	ck_assert_msg(store_bond_state_get(r->store, id, &s, &why), "%s", why.detail);
	return s;
}

/* 100 mm around an attachment of another bond, 200 mm from a weld; both sides of each. */
static const struct { int64_t offset_mm; int taken; const char *words; } used[] = {
	{ 0, 1, "at 0 mm (J1, end A, made on 2023-05-20)" }, { 99, 1, "at 0 mm" }, { -99, 1, "at 0 mm" },
	{ 301, 1, "weld at 500 mm (noted at J1, end A)" }, { 300, 0, "" }, { -100, 0, "" },
};

START_TEST(a_spoilt_spot_that_is_used_all_the_same_is_kept_not_accepted_and_shown_to_the_planner)
{
	struct railway r;
	int64_t one, other;

	begin(&r);
	one = add(&r, "J1", BOND_FEEDER_LEAD, "1+000", "1+000", "Down", 9);
	other = add(&r, "J2", BOND_FEEDER_LEAD, "1+000", "1+000", "Down", 9);
	attach(&r, one, END_A, "2023-05-20", 0);
	note_mark(&r, one, END_A, MARK_WELD, 500);
	r.act.is_live = true;
	for (size_t i = 0; i < sizeof used / sizeof used[0]; i++) {
		struct attachment_new form = attachment(other, END_A, today, used[i].offset_mm);
		struct bond bond = bond_of(&r, other);
		char words[SPOT_TAKEN_SIZE];
		struct problem why = { 0 };
		int taken;

		ck_assert(spot_taken(r.store, r.view.rulebook, &bond, END_A, form.offset_mm, form.made_day,
			0, &taken, words, &why));
		ck_assert_msg(taken == used[i].taken, "%lld: %d", (long long)used[i].offset_mm, taken);
		ck_assert_msg(strstr(words, used[i].words) != NULL, "%s", words);
	}
	attach(&r, other, END_A, today, 60);
	ck_assert_int_eq(last_taken(&r), 1);
	ck_assert_int_ne(state_of(&r, other).grade.grade, GRADE_SOUND);
	ck_assert_uint_ne(state_of(&r, other).grade.reasons & 1U << REASON_NOT_ACCEPTED, 0);
	end(&r);
}
END_TEST

static size_t listed(struct railway *r, char *says, size_t size)
{
	struct list_query query;
	struct table table;
	struct cell row[16];
	struct problem why = { 0 };
	struct problems wrong = { 0 };
	struct list_run *run;
	size_t rows = 0;
	bool failed = false;

	ck_assert(view_list_query(&r->view, &used_spot_list, NULL, 0, &query, &wrong));
	run = list_open(r->store, &query, &table, &why);
	ck_assert_msg(run != NULL, "%s", why.detail);
	while (table.next(table.source, row, &failed)) {
		snprintf(says, size, "%.*s", (int)row[9].len, row[9].text);
		rows++;
	}
	ck_assert(!failed);
	list_close(run);
	return rows;
}

START_TEST(the_planners_list_names_which_spot_it_is_too_near_to)
{
	struct railway r;
	struct attachment_new again;
	struct problems why = { 0 };
	struct recorded recorded;
	char says[SPOT_TAKEN_SIZE] = "";
	int64_t one, other;

	begin(&r);
	one = add(&r, "J1", BOND_FEEDER_LEAD, "1+000", "1+000", "Down", 9);
	other = add(&r, "J2", BOND_FEEDER_LEAD, "1+000", "1+000", "Down", 9);
	attach(&r, one, END_A, "2023-05-20", 0);
	ck_assert_uint_eq(listed(&r, says, sizeof says), 0);
	again = attachment(other, END_A, today, 60);
	railway_must(attachment_record(&r.act, &again, &recorded, &why), &why);
	ck_assert_uint_eq(listed(&r, says, sizeof says), 1);
	ck_assert_str_eq(says, "60 mm is too near to the live attachment at 0 mm (J1, end A, made on "
		"2023-05-20): clearance 100 mm.");
	/* a wrong offset is corrected: it does not stand in its own way, and leaves the list */
	memcpy(again.corrects, again.uuid, UUID_TEXT_SIZE);
	railway_uuid(next_uuid++, again.uuid);
	again.offset_mm = 130;
	railway_must(attachment_record(&r.act, &again, &recorded, &why), &why);
	ck_assert_int_eq(last_taken(&r), 0);
	ck_assert_uint_eq(listed(&r, says, sizeof says), 0);
	end(&r);
}
END_TEST

START_TEST(what_was_made_later_spoils_nothing_of_before_and_what_has_no_place_proves_nothing)
{
	struct railway r;
	int64_t one, other;

	begin(&r);
	one = add(&r, "J1", BOND_FEEDER_LEAD, "1+000", "1+000", "Down", 9);
	other = add(&r, "J2", BOND_FEEDER_LEAD, "1+001", "1+001", "Down", 9);
	attach(&r, one, END_A, "2023-05-20", 500);
	attach(&r, other, END_A, "2022-05-20", -500);   /* the same place, a year before: history */
	ck_assert_int_eq(last_taken(&r), 0);
	attach(&r, other, END_A, "2023-06-20", -430);
	ck_assert_int_eq(last_taken(&r), 1);
	attach(&r, other, END_A, "2023-07-20", FORM_NO_INTEGER);
	ck_assert_int_eq(last_taken(&r), -1);
	attach(&r, other, END_A, "2023-08-20", 50);     /* 50 mm from a mark that stands for a place */
	ck_assert_int_eq(last_taken(&r), -1);
	attach(&r, other, END_A, "2023-09-20", 150);
	ck_assert_int_eq(last_taken(&r), 0);
	attach(&r, one, END_B, "2023-09-20", 100);      /* on Down: nothing there but J2's end B */
	ck_assert_int_eq(last_taken(&r), 0);
	end(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		the_spots_of_every_bond_on_the_rail_count_also_of_one_removed_since,
		a_joint_bond_keeps_to_its_side_and_its_cable,
		a_rail_end_that_any_end_noted_bars_the_rail_beyond_it,
		what_is_not_known_is_said_and_the_place_of_what_has_no_offset_is_taken_for_spoilt,
		a_bond_made_today_has_no_attachment_that_nobody_recorded,
		spots_of_an_end_that_was_entered_elsewhere_count_there_too,
		a_spoilt_spot_that_is_used_all_the_same_is_kept_not_accepted_and_shown_to_the_planner,
		the_planners_list_names_which_spot_it_is_too_near_to,
		what_was_made_later_spoils_nothing_of_before_and_what_has_no_place_proves_nothing, NULL };

	return case_run("spots", tests);
}
