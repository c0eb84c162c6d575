/*
 * Over 10,000 random rails: what is proposed is clear of every spot of every bond, on the end's own
 * side of the joint, before every rail end, and within the reach of the cable and of the search.
 * Held against a plain reading of the rule, with its own arithmetic.
 */
#include <stdlib.h>

#include "case.h"
#include "rules/spot.h"

enum { RAILS = 10000, MARKS_MOST = 60 };

static uint64_t state = 20261130;

static int64_t from_to(int64_t least, int64_t most)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return least + (int64_t)(state % (uint64_t)(most - least + 1));
}

struct made {
	struct rail_mark marks[MARKS_MOST];
	struct spot_place place;
	int64_t clearance_mm[MARK_KINDS];
};

static void make(struct made *r)
{
	struct spot_place *p = &r->place;

	*p = (struct spot_place){ .marks = r->marks, .is_rail_known = from_to(0, 50) > 0,
		.count = (size_t)from_to(0, from_to(0, 4) == 0 ? MARKS_MOST : 8),
		.home_mm = from_to(-600, 600), .other_mm = from_to(-1500, 1500),
		.cable_mm = from_to(0, 3) == 0 ? 0 : from_to(100, 5000) };
	for (size_t i = 0; i < p->count; i++) {
		bool end = from_to(0, 15) == 0;

		r->marks[i] = (struct rail_mark){ end ? MARK_RAIL_END :
			(enum mark_kind[]){ MARK_SPOILT, MARK_LIVE, MARK_WELD, MARK_BOLT_HOLE }[from_to(0, 3)],
			from_to(0, 30) == 0 ? p->home_mm : from_to(-2500, 2500) };
	}
	if (from_to(0, 1) == 0) {
		p->side = (enum joint_side)from_to(JOINT_NONE, JOINT_NOT_KNOWN);
		p->joint_mm = p->home_mm + from_to(-50, 50);
	}
	for (int kind = 0; kind < MARK_KINDS; kind++) {
		r->clearance_mm[kind] = from_to(1, 250);
	}
	r->clearance_mm[MARK_LIVE] = r->clearance_mm[MARK_SPOILT];
}

/* NULL: it may stand there. */
static const char *wrong_at(const struct made *r, int64_t mm)
{
	const struct spot_place *p = &r->place;

	for (size_t i = 0; i < p->count; i++) {
		int64_t at = r->marks[i].offset_mm;
		bool end = r->marks[i].kind == MARK_RAIL_END;

		if (llabs((long long)(mm - at)) < r->clearance_mm[r->marks[i].kind]) {
			return "inside a clearance";
		}
		if (end && at == p->home_mm && p->side != JOINT_LOWER && p->side != JOINT_HIGHER) {
			return "at a rail end of which the side is not known";
		}
		if (end && ((p->home_mm > at && mm < at) || (p->home_mm < at && mm > at) ||
			(p->home_mm == at && (p->side == JOINT_LOWER ? mm > at : mm < at)))) {
			return "beyond a rail end";
		}
	}
	return !p->is_rail_known ? "on a rail that is not known" :
		p->side == JOINT_NOT_KNOWN ? "on a side that is not known" :
		p->side == JOINT_LOWER && mm > p->joint_mm ? "across the joint" :
		p->side == JOINT_HIGHER && mm < p->joint_mm ? "across the joint" :
		p->cable_mm > 0 && llabs((long long)(mm - p->other_mm)) > p->cable_mm ? "beyond the cable" :
		llabs((long long)(mm - p->home_mm)) > 2000 ? "beyond two metres" : NULL;
}

START_TEST(a_proposal_is_never_where_nothing_may_stand_and_is_the_nearest)
{
	struct rulebook rulebook = rulebook_default();
	int proposed = 0, none = 0;

	for (int n = 0; n < RAILS; n++) {
		struct made r;
		int64_t wanted_mm, free_mm = 0, away_mm;
		bool found;

		make(&r);
		rulebook.spot_clearance_mm = r.clearance_mm[MARK_SPOILT];
		rulebook.rail_end_clearance_mm = r.clearance_mm[MARK_RAIL_END];
		rulebook.weld_clearance_mm = r.clearance_mm[MARK_WELD];
		rulebook.bolt_hole_clearance_mm = r.clearance_mm[MARK_BOLT_HOLE];
		wanted_mm = r.place.home_mm + from_to(-2000, 2000);
		found = spot_next_free(&rulebook, &r.place, wanted_mm, &free_mm);
		proposed += found;
		none += !found;
		ck_assert_msg(!found || wrong_at(&r, free_mm) == NULL, "rail %d: %lld is %s", n,
			(long long)free_mm, wrong_at(&r, free_mm));
		away_mm = found ? llabs((long long)(free_mm - wanted_mm)) : 4001;
		for (int64_t mm = wanted_mm - away_mm + 1; mm < wanted_mm + away_mm; mm += 7) {
			ck_assert_msg(wrong_at(&r, mm) != NULL, "rail %d: %lld is nearer than %lld", n,
				(long long)mm, (long long)free_mm);
		}
	}
	/* neither is rare, or nothing was tested */
	ck_assert_int_gt(proposed, RAILS / 4);
	ck_assert_int_gt(none, RAILS / 20);
}
END_TEST

START_TEST(one_offset_is_called_free_only_where_it_may_stand)
{
	struct rulebook rulebook = rulebook_default();

	for (int n = 0; n < RAILS; n++) {
		struct made r;
		int64_t mm = from_to(0, 3) == 0 ? from_to(-100000, 100000) : from_to(-2500, 2500);

		make(&r);
		rulebook.spot_clearance_mm = r.clearance_mm[MARK_SPOILT];
		rulebook.rail_end_clearance_mm = r.clearance_mm[MARK_RAIL_END];
		rulebook.weld_clearance_mm = r.clearance_mm[MARK_WELD];
		rulebook.bolt_hole_clearance_mm = r.clearance_mm[MARK_BOLT_HOLE];
		ck_assert_msg((spot_judge(&rulebook, &r.place, mm).is == SPOT_FREE) ==
			(wrong_at(&r, mm) == NULL), "rail %d at %lld: %s", n, (long long)mm, wrong_at(&r, mm));
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_proposal_is_never_where_nothing_may_stand_and_is_the_nearest,
		one_offset_is_called_free_only_where_it_may_stand, NULL };

	return case_run("spot_property", tests);
}
