#include "rules/spot.h"

#include "rules/sentence.h"

static const char *const mark_code[] = { "spoilt", "live", "rail_end", "weld", "bolt_hole" };
static const char *const mark_title[] = {
	"spoilt spot", "live attachment", "rail end", "weld", "bolt hole"
};
const struct words mark_kind_words = { "mark_kind", mark_code, mark_title, MARK_KINDS };

static const char *const side_code[] = { "none", "lower", "higher", "not_known" };
static const char *const side_title[] = {
	"no joint between its ends", "on the side of the joint towards lower chainage",
	"on the side of the joint towards higher chainage", "side of the joint not known"
};
const struct words joint_side_words = { "joint_side", side_code, side_title, 4 };

static const char *const is_code[] = {
	"free", "too_near", "beyond_rail_end", "too_far", "across_joint", "beyond_cable",
	"side_not_known", "rail_not_known"
};
static const char *const is_title[] = {
	"free", "inside a clearance", "beyond a rail end", "too far from this end",
	"across the joint, or too near to it", "beyond the cable's reach",
	"side of the joint not known", "rail not known"
};
const struct words spot_is_words = { "spot_is", is_code, is_title, SPOT_IS };

static const char *const unknown_code[] = {
	"rail", "rail_end", "weld", "bolt_hole", "offset", "neighbour", "side", "cable", "other_end",
	"across"
};
static const char *const unknown_title[] = {
	"The track or the rail of this end is not stated, so its spots are not known here: look for "
		"the marks of former attachments. No place is proposed.",
	"Rail ends are not known here: look.",
	"Welds are not known here: look.",
	"Bolt holes are not known here: look.",
	"An attachment here has no recorded offset: look. The place of its reference mark is taken for "
		"spoilt.",
	"An end near here has no stated rail: its spots may be on this one, look.",
	"On which side of the joint this end lies is not known here: look. No place is proposed.",
	"The cable's length is not known here: measure the cable.",
	"Where the other end is attached is not known here: measure how far the cable has to reach.",
	"The cable has to reach across as well, which is not counted here: measure it."
};
const struct words spot_unknown_words = {
	"spot_unknown", unknown_code, unknown_title, SPOT_UNKNOWNS
};

static int64_t apart_mm(int64_t a, int64_t b)
{
	return a > b ? a - b : b - a;
}

bool spot_is_inside(int64_t offset_mm, int64_t spot_mm, int64_t clearance_mm)
{
	return apart_mm(offset_mm, spot_mm) < clearance_mm;
}

int64_t mark_clearance_mm(const struct rulebook *rulebook, enum mark_kind kind)
{
	switch (kind) {
	case MARK_RAIL_END:
		return rulebook->rail_end_clearance_mm;
	case MARK_WELD:
		return rulebook->weld_clearance_mm;
	case MARK_BOLT_HOLE:
		return rulebook->bolt_hole_clearance_mm;
	default:
		return rulebook->spot_clearance_mm;
	}
}

/* On which side of a rail end the rail of this end lies: 1 above, -1 below, 0 not known. */
static int rail_side(const struct spot_place *place, int64_t end_mm)
{
	if (place->home_mm != end_mm) {
		return place->home_mm > end_mm ? 1 : -1;
	}
	return place->side == JOINT_HIGHER ? 1 : place->side == JOINT_LOWER ? -1 : 0;
}

static enum spot_is by_mark(const struct rulebook *rulebook, const struct spot_place *place,
	const struct rail_mark *mark, int64_t offset_mm)
{
	int side;

	if (spot_is_inside(offset_mm, mark->offset_mm, mark_clearance_mm(rulebook, mark->kind))) {
		return SPOT_TOO_NEAR;
	}
	if (mark->kind != MARK_RAIL_END) {
		return SPOT_FREE;
	}
	side = rail_side(place, mark->offset_mm);
	return (side > 0 && offset_mm < mark->offset_mm) || (side < 0 && offset_mm > mark->offset_mm) ?
		SPOT_BEYOND_RAIL_END : SPOT_FREE;
}

static bool is_side_known(const struct spot_place *place)
{
	if (place->side == JOINT_NOT_KNOWN) {
		return false;
	}
	for (size_t i = 0; i < place->count; i++) {
		if (place->marks[i].kind == MARK_RAIL_END &&
			rail_side(place, place->marks[i].offset_mm) == 0) {
			return false;
		}
	}
	return true;
}

static enum spot_is by_place(const struct spot_place *place, int64_t offset_mm)
{
	if (apart_mm(offset_mm, place->home_mm) > SPOT_REACH_MM) {
		return SPOT_TOO_FAR;
	}
	if (!is_side_known(place)) {
		return SPOT_SIDE_NOT_KNOWN;
	}
	if ((place->side == JOINT_LOWER && offset_mm > place->joint_mm) ||
		(place->side == JOINT_HIGHER && offset_mm < place->joint_mm)) {
		return SPOT_ACROSS_JOINT;
	}
	return place->cable_mm > 0 && apart_mm(offset_mm, place->other_mm) > place->cable_mm ?
		SPOT_BEYOND_CABLE : SPOT_FREE;
}

struct spot_answer spot_judge(const struct rulebook *rulebook, const struct spot_place *place,
	int64_t offset_mm)
{
	if (!place->is_rail_known) {
		return (struct spot_answer){ SPOT_RAIL_NOT_KNOWN, NULL };
	}
	for (size_t i = 0; i < place->count; i++) {
		enum spot_is is = by_mark(rulebook, place, &place->marks[i], offset_mm);

		if (is != SPOT_FREE) {
			return (struct spot_answer){ is, &place->marks[i] };
		}
	}
	return (struct spot_answer){ by_place(place, offset_mm), NULL };
}

bool spot_is_taken(enum spot_is is)
{
	return is == SPOT_TOO_NEAR || is == SPOT_BEYOND_RAIL_END;
}

bool spot_next_free(const struct rulebook *rulebook, const struct spot_place *place,
	int64_t wanted_mm, int64_t *offset_mm)
{
	int64_t from_mm = place->home_mm - SPOT_REACH_MM, to_mm = place->home_mm + SPOT_REACH_MM;

	wanted_mm = wanted_mm < from_mm ? from_mm : wanted_mm > to_mm ? to_mm : wanted_mm;
	if (!place->is_rail_known || !is_side_known(place)) {
		return false;
	}
	for (int64_t away_mm = 0; away_mm <= 2 * SPOT_REACH_MM; away_mm++) {
		for (int side = -1; side <= 1; side += 2) {
			int64_t at_mm = wanted_mm + side * away_mm;

			if (at_mm >= from_mm && at_mm <= to_mm &&
				spot_judge(rulebook, place, at_mm).is == SPOT_FREE) {
				*offset_mm = at_mm;
				return true;
			}
		}
	}
	return false;
}

static void add_mm(struct sentence *s, const char *before, int64_t mm)
{
	sentence_add(s, before);
	sentence_add_integer(s, mm);
	sentence_add(s, " mm");
}

static void say_not_free(const struct rulebook *rulebook, const struct spot_place *place,
	const struct spot_answer *answer, struct sentence *s)
{
	switch (answer->is) {
	case SPOT_TOO_NEAR:
		sentence_add(s, ": too near to the ");
		sentence_add(s, mark_kind_words.title[answer->by->kind]);
		add_mm(s, " at ", answer->by->offset_mm);
		add_mm(s, ", clearance ", mark_clearance_mm(rulebook, answer->by->kind));
		break;
	case SPOT_BEYOND_RAIL_END:
		add_mm(s, ": beyond the rail end at ", answer->by->offset_mm);
		break;
	case SPOT_TOO_FAR:
		add_mm(s, ": more than ", SPOT_REACH_MM);
		add_mm(s, " from where this end is, at ", place->home_mm);
		break;
	case SPOT_ACROSS_JOINT:
		sentence_add(s, ": across the joint, or nearer to it than this end is known to be");
		break;
	case SPOT_BEYOND_CABLE:
		add_mm(s, ": the cable of ", place->cable_mm);
		add_mm(s, " does not reach from the other end, at ", place->other_mm);
		break;
	default:
		sentence_add(s, ": ");
		sentence_add(s, spot_is_words.title[answer->is]);
		break;
	}
	sentence_add(s, ".");
}

/* Where there is none for want of cable, the place that a longer one would take. */
static void say_none(const struct rulebook *rulebook, const struct spot_place *place,
	int64_t wanted_mm, struct sentence *s)
{
	struct spot_place longer = *place;
	int64_t at_mm;

	longer.cable_mm = 0;
	if (place->cable_mm > 0 && spot_next_free(rulebook, &longer, wanted_mm, &at_mm)) {
		add_mm(s, " There is no free place that the cable of ", place->cable_mm);
		add_mm(s, " reaches: the nearest other, at ", at_mm);
		add_mm(s, ", needs one of ", apart_mm(at_mm, place->other_mm));
		sentence_add(s, ".");
	} else {
		add_mm(s, " There is no free place within ", SPOT_REACH_MM);
		sentence_add(s, ".");
	}
}

void spot_sentence(const struct rulebook *rulebook, const struct spot_place *place,
	int64_t wanted_mm, char *to, size_t size)
{
	struct spot_answer answer = spot_judge(rulebook, place, wanted_mm);
	struct sentence s;
	int64_t free_mm;

	sentence_begin(&s, to, size);
	if (answer.is == SPOT_RAIL_NOT_KNOWN || !is_side_known(place)) {
		sentence_add(&s, spot_unknown_words.title[answer.is == SPOT_RAIL_NOT_KNOWN ? UNKNOWN_RAIL :
			UNKNOWN_SIDE]);
		if (!spot_is_taken(answer.is)) {
			return;
		}
		sentence_add(&s, " ");
	}
	if (answer.is == SPOT_FREE) {
		add_mm(&s, "Free at ", wanted_mm);
		sentence_add(&s, ".");
		return;
	}
	add_mm(&s, "Not at ", wanted_mm);
	say_not_free(rulebook, place, &answer, &s);
	if (!is_side_known(place)) {
		return;
	}
	if (spot_next_free(rulebook, place, wanted_mm, &free_mm)) {
		add_mm(&s, " The nearest free place is at ", free_mm);
		sentence_add(&s, ".");
	} else {
		say_none(rulebook, place, wanted_mm, &s);
	}
}

/* A mark of that kind within reach of home. */
static bool is_noted(const struct spot_place *place, enum mark_kind kind)
{
	for (size_t i = 0; i < place->count; i++) {
		if (place->marks[i].kind == kind &&
			apart_mm(place->marks[i].offset_mm, place->home_mm) <= SPOT_REACH_MM) {
			return true;
		}
	}
	return false;
}

unsigned spot_unknown(const struct spot_place *place)
{
	if (!place->is_rail_known) {
		return 1u << UNKNOWN_RAIL;
	}
	return (is_noted(place, MARK_RAIL_END) ? 0 : 1u << UNKNOWN_RAIL_END) |
		(is_noted(place, MARK_WELD) ? 0 : 1u << UNKNOWN_WELD) |
		(is_noted(place, MARK_BOLT_HOLE) ? 0 : 1u << UNKNOWN_BOLT_HOLE) |
		(place->unplaced > 0 ? 1u << UNKNOWN_OFFSET : 0) |
		(place->unstated > 0 ? 1u << UNKNOWN_NEIGHBOUR : 0) |
		(is_side_known(place) ? 0 : 1u << UNKNOWN_SIDE) |
		(place->cable_mm > 0 ? 0 : 1u << UNKNOWN_CABLE) |
		(place->is_other_known ? 0 : 1u << UNKNOWN_OTHER_END) |
		(place->is_across ? 1u << UNKNOWN_ACROSS : 0);
}
