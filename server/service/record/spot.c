#include "service/record/spot.h"

#include <math.h>
#include <stdlib.h>

#include "base/form.h"
#include "rules/sentence.h"
#include "store/record/work.h"

static bool is_on_rail(const struct bond_end_fact *end)
{
	return end->on == END_ON_RAIL && end->track_id != 0 && end->rail >= 0;
}

static bool is_same_rail(const struct bond_end_fact *a, const struct bond_end_fact *b)
{
	return is_on_rail(a) && is_on_rail(b) && a->track_id == b->track_id && a->rail == b->rail;
}

/* Where an end is attached now. */
struct end_now {
	bool is_known;
	int64_t at_mm;                /* from the line's datum; without an offset the reference mark */
};

static bool now_of(struct store *store, const struct bond *bond, int end, struct end_now *to,
	struct problem *why)
{
	struct attachment_live live;

	if (!store_attachment_live(store, bond->id, (enum bond_end)end, &live, why)) {
		return false;
	}
	to->is_known = live.id != 0 && live.offset_mm != FORM_NO_INTEGER;
	to->at_mm = bond->end[end].distance_mm + (to->is_known ? live.offset_mm : 0);
	return true;
}

static int64_t clearance_most_mm(const struct rulebook *rulebook)
{
	int64_t most_mm = 0;

	for (int kind = 0; kind < MARK_KINDS; kind++) {
		int64_t mm = mark_clearance_mm(rulebook, (enum mark_kind)kind);

		most_mm = mm > most_mm ? mm : most_mm;
	}
	return most_mm;
}

/* All within a distance of a place along the line, as offsets from the end's reference mark. */
static bool read_marks(struct store *store, const struct bond_end_fact *e, int64_t at_mm,
	int64_t within_mm, int64_t but, int32_t until_day, struct end_spots *to, struct problem *why)
{
	const struct rail_stretch on = { e->track_id, e->rail, at_mm - within_mm, at_mm + within_mm };

	if (!store_rail_spots(store, &on, but, until_day, &to->spots, &to->count, why)) {
		return false;
	}
	to->marks = calloc(to->count + 1, sizeof *to->marks);
	if (to->marks == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; i < to->count; i++) {
		to->marks[i] = (struct rail_mark){ to->spots[i].kind,
			to->spots[i].at_mm - e->distance_mm };
	}
	to->place.marks = to->marks;
	to->place.count = to->count;
	return true;
}

static bool is_without_record(const struct rail_spot *s)
{
	return s->uuid[0] == '\0' && !s->is_placed;
}

/* A bond that is made now has no attachment that nobody recorded. */
static void forget_new_bond(const struct bond *bond, int32_t today, struct end_spots *to)
{
	size_t kept = 0;

	if (bond->installed_day == DAY_NONE || bond->installed_day < today) {
		return;
	}
	for (size_t i = 0; i < to->count; i++) {
		if (!is_without_record(&to->spots[i]) || to->spots[i].bond_id != bond->id) {
			to->spots[kept] = to->spots[i];
			to->marks[kept++] = to->marks[i];
		}
	}
	to->count = to->place.count = kept;
}

/*
 * The side of the joint: by the places of the two ends along the line, which must not contradict
 * what is attached; where both ends are said to be at one place (the joint's), by what is attached.
 */
static enum joint_side side_of(const struct bond *bond, int end, const struct end_now *own,
	const struct end_now *other)
{
	int64_t mark_mm = bond->end[end].distance_mm;
	int64_t apart_mm = bond->end[1 - end].distance_mm - mark_mm;
	int64_t toward_mm = own->is_known && other->is_known ? other->at_mm - own->at_mm :
		apart_mm != 0 ? apart_mm : own->is_known ? mark_mm - own->at_mm :
		other->at_mm - mark_mm;

	if (toward_mm == 0 || (apart_mm > 0 && toward_mm < 0) || (apart_mm < 0 && toward_mm > 0)) {
		return JOINT_NOT_KNOWN;
	}
	return toward_mm > 0 ? JOINT_LOWER : JOINT_HIGHER;
}

static void place_end(const struct bond *bond, int end, const struct end_now *own,
	const struct end_now *other, struct spot_place *to)
{
	const struct bond_end_fact *e = &bond->end[end], *o = &bond->end[1 - end];
	bool same_rail = is_same_rail(e, o);

	to->is_rail_known = true;
	to->home_mm = own->at_mm - e->distance_mm;
	to->cable_mm = bond->length_m > 0 ? (int64_t)floor(bond->length_m * 1000 + 1e-6) : 0;
	to->other_mm = other->at_mm - e->distance_mm;
	to->is_other_known = other->is_known || o->on != END_ON_RAIL;
	to->is_across = !same_rail;
	if (bond->kind == BOND_RAIL_JOINT || (bond->kind == BOND_KIND_NOT_KNOWN && same_rail)) {
		to->side = same_rail ? side_of(bond, end, own, other) : JOINT_NOT_KNOWN;
	}
}

/* The rail end between the two ends is the joint's. */
static bool joint_is_noted(const struct spot_place *p, int64_t *joint_mm)
{
	int64_t least_mm = p->side == JOINT_LOWER ? p->home_mm : p->other_mm;
	int64_t most_mm = p->side == JOINT_LOWER ? p->other_mm : p->home_mm;

	for (size_t i = 0; i < p->count; i++) {
		if (p->marks[i].kind == MARK_RAIL_END && p->marks[i].offset_mm >= least_mm &&
			p->marks[i].offset_mm <= most_mm) {
			*joint_mm = p->marks[i].offset_mm;
			return true;
		}
	}
	return false;
}

/*
 * As near to the joint as an end may be, where that is not noted: where it is attached, or at its
 * own mark if the other end's mark is another. Both at one place: the joint is there, as far as is
 * known, and a new attachment keeps away from it as from a rail end.
 */
static void place_joint(const struct rulebook *rulebook, const struct bond *bond,
	const struct end_now *own, struct spot_place *p)
{
	int toward = p->side == JOINT_LOWER ? 1 : -1;
	bool apart = bond->end[END_A].distance_mm != bond->end[END_B].distance_mm;

	if ((p->side != JOINT_LOWER && p->side != JOINT_HIGHER) || joint_is_noted(p, &p->joint_mm)) {
		return;
	}
	p->joint_mm = apart ? 0 : -toward * rulebook->rail_end_clearance_mm;
	if (own->is_known && (!apart || p->home_mm * toward > 0)) {
		p->joint_mm = p->home_mm;
	}
}

static bool read_end(struct store *store, const struct rulebook *rulebook,
	const struct bond *bond, int end, int32_t today, struct end_spots *to, struct problem *why)
{
	const struct bond_end_fact *e = &bond->end[end];
	struct rail_stretch near = { .track_id = e->track_id };
	struct end_now own, other;

	if (!now_of(store, bond, end, &own, why) || !now_of(store, bond, 1 - end, &other, why) ||
		!read_marks(store, e, own.at_mm, SPOT_REACH_MM + clearance_most_mm(rulebook), 0, INT32_MAX,
		to, why)) {
		return false;
	}
	forget_new_bond(bond, today, to);
	place_end(bond, end, &own, &other, &to->place);
	place_joint(rulebook, bond, &own, &to->place);
	for (size_t i = 0; i < to->count; i++) {
		to->place.unplaced += !to->spots[i].is_placed;
	}
	near.from_mm = own.at_mm - SPOT_REACH_MM;
	near.to_mm = own.at_mm + SPOT_REACH_MM;
	return store_unstated_ends(store, bond->line_id, &near, bond->id, &to->place.unstated, why);
}

bool end_spots_read(struct store *store, const struct rulebook *rulebook, const struct bond *bond,
	int end, int32_t today, struct end_spots *to, struct problem *why)
{
	*to = (struct end_spots){ 0 };
	return !is_on_rail(&bond->end[end]) || read_end(store, rulebook, bond, end, today, to, why);
}

void end_spots_release(struct end_spots *spots)
{
	free(spots->spots);
	free(spots->marks);
	*spots = (struct end_spots){ 0 };
}

struct tablet_place end_spots_place(const struct end_spots *spots)
{
	const struct spot_place *p = &spots->place;
	bool has_joint = p->side == JOINT_LOWER || p->side == JOINT_HIGHER;

	return (struct tablet_place){ .rail_known = p->is_rail_known, .home_mm = p->home_mm,
		.side = (int)p->side, .joint_mm = has_joint ? p->joint_mm : FORM_NO_INTEGER,
		.cable_mm = p->cable_mm > 0 ? p->cable_mm : FORM_NO_INTEGER, .other_mm = p->other_mm,
		.other_known = p->is_other_known, .across = p->is_across, .unplaced = p->unplaced,
		.unstated = p->unstated };
}

/* The spots without an offset, for which the reference mark stands, are counted apart. */
static void part_unplaced(struct end_spots *to)
{
	size_t kept = 0;

	for (size_t i = 0; i < to->count; i++) {
		if (to->spots[i].is_placed) {
			to->spots[kept] = to->spots[i];
			to->marks[kept++] = to->marks[i];
		} else {
			to->place.unplaced++;
		}
	}
	to->count = to->place.count = kept;
}

static void say_taken(const struct rulebook *rulebook, int64_t offset_mm,
	const struct rail_spot *by, const struct rail_mark *mark, enum spot_is is, char *words)
{
	struct sentence s;

	sentence_begin(&s, words, SPOT_TAKEN_SIZE);
	sentence_add_integer(&s, offset_mm);
	sentence_add(&s, is == SPOT_BEYOND_RAIL_END ? " mm is beyond the " : " mm is too near to the ");
	sentence_add(&s, mark_kind_words.title[mark->kind]);
	sentence_add(&s, " at ");
	sentence_add_integer(&s, mark->offset_mm);
	sentence_add(&s, by->uuid[0] == '\0' ? " mm (noted at " : " mm (");
	sentence_add(&s, by->label);
	sentence_add(&s, ", end ");
	sentence_add(&s, bond_end_words.title[by->bond_end]);
	if (by->made_day != DAY_NONE) {
		sentence_add(&s, ", made on ");
		sentence_add_day(&s, by->made_day);
	}
	sentence_add(&s, "): clearance ");
	sentence_add_integer(&s, mark_clearance_mm(rulebook, mark->kind));
	sentence_add(&s, " mm.");
}

/* Marks around the offset that is asked for; the end itself is where it is now. */
static bool read_around(struct store *store, const struct rulebook *rulebook,
	const struct bond *bond, int end, int64_t offset_mm, int32_t made_day, int64_t but,
	struct end_spots *to, struct problem *why)
{
	const struct bond_end_fact *e = &bond->end[end];
	struct end_now own;

	if (!now_of(store, bond, end, &own, why) || !read_marks(store, e, e->distance_mm + offset_mm,
		SPOT_REACH_MM + clearance_most_mm(rulebook), but, made_day, to, why)) {
		return false;
	}
	to->place.is_rail_known = true;
	to->place.home_mm = own.at_mm - e->distance_mm;
	return true;
}

bool spot_taken(struct store *store, const struct rulebook *rulebook, const struct bond *bond,
	int end, int64_t offset_mm, int32_t made_day, int64_t but, int *taken,
	char words[SPOT_TAKEN_SIZE], struct problem *why)
{
	struct end_spots near = { 0 };
	struct spot_answer answer;
	bool ok, maybe;

	*taken = -1;
	words[0] = '\0';
	if (!is_on_rail(&bond->end[end]) || offset_mm == FORM_NO_INTEGER) {
		return true;
	}
	ok = read_around(store, rulebook, bond, end, offset_mm, made_day, but, &near, why);
	if (ok) {
		maybe = spot_is_taken(spot_judge(rulebook, &near.place, offset_mm).is);
		part_unplaced(&near);
		answer = spot_judge(rulebook, &near.place, offset_mm);
		*taken = spot_is_taken(answer.is) ? 1 : maybe ? -1 : 0;
		if (*taken == 1) {
			say_taken(rulebook, offset_mm, &near.spots[answer.by - near.marks], answer.by, answer.is,
				words);
		}
	}
	end_spots_release(&near);
	return ok;
}
