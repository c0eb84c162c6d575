#include "rules/spot.h"
#include "rules/tablet/tablet_member.h"

enum { MARKS_MOST = 300 };

struct mark {
	int kind;
	int64_t offset_mm;
};

struct question {
	struct form_list marks;
	int64_t wanted_mm;
	struct tablet_place place;
};

struct unknown {
	int what;
	const char *sentence;
};

struct answer {
	int is, is_free, is_taken;
	struct mark blocked_by;
	int64_t clearance_mm, next_free_mm, reach_mm;
	const char *sentence;
	struct form_list unknowns;
	struct unknown unknown[SPOT_UNKNOWNS];
	char sentence_text[SPOT_SENTENCE_SIZE];
};

static const struct member mark_members[] = {
	TABLET_WORD(mark, kind, "What stands there", mark_kind_words),
	TABLET_INTEGER(mark, offset_mm, "From the reference mark", "mm"),
	{ 0 }
};
static const struct form mark_form = { "TabletMark", mark_members, sizeof(struct mark) };

static const struct member place_members[] = {
	TABLET_FLAG(tablet_place, rail_known, "Track and rail are stated"),
	TABLET_INTEGER(tablet_place, home_mm, "Where the end is now", "mm"),
	TABLET_WORD(tablet_place, side, "Side of the joint", joint_side_words),
	TABLET_INTEGER(tablet_place, joint_mm, "As near to the joint as it may be", "mm"),
	TABLET_INTEGER(tablet_place, cable_mm, "Length of the cable", "mm"),
	TABLET_INTEGER(tablet_place, other_mm, "Where the other end is", "mm"),
	TABLET_FLAG(tablet_place, other_known, "The other end's place is known"),
	TABLET_FLAG(tablet_place, across, "The other end is not on this rail"),
	TABLET_INTEGER(tablet_place, unplaced, "Attachments without an offset", NULL),
	TABLET_INTEGER(tablet_place, unstated, "Ends near here without a rail", NULL),
	{ 0 }
};
const struct form tablet_place_form = { "TabletPlace", place_members,
	sizeof(struct tablet_place) };

static const struct member question_members[] = {
	TABLET_LIST(question, marks, "What stands on the rail", mark_form),
	{ TABLET_MEMBER(question, wanted_mm, "Wanted offset", MEMBER_INTEGER), .unit = "mm",
		.required = true },
	TABLET_OBJECT(question, place, "The end on its rail", tablet_place_form),
	{ 0 }
};
static const struct form question_form = { "TabletSpot", question_members,
	sizeof(struct question) };

static const struct member unknown_members[] = {
	TABLET_WORD(unknown, what, "What is not known", spot_unknown_words),
	TABLET_TEXT(unknown, sentence, "In words"),
	{ 0 }
};
static const struct form unknown_form = { "TabletSpotUnknown", unknown_members,
	sizeof(struct unknown) };

static const struct member answer_members[] = {
	TABLET_WORD(answer, is, "What it is", spot_is_words),
	TABLET_FLAG(answer, is_free, "Free"),
	TABLET_FLAG(answer, is_taken, "An attachment there is not accepted"),
	TABLET_OBJECT(answer, blocked_by, "What it is too near to", mark_form),
	TABLET_INTEGER(answer, clearance_mm, "Clearance of that", "mm"),
	TABLET_INTEGER(answer, next_free_mm, "Nearest free offset", "mm"),
	TABLET_INTEGER(answer, reach_mm, "Looked at to either side of the end", "mm"),
	TABLET_TEXT(answer, sentence, "In words"),
	TABLET_LIST(answer, unknowns, "What is not known here", unknown_form),
	{ 0 }
};
static const struct form answer_form = { "TabletSpotAnswer", answer_members,
	sizeof(struct answer) };

static int64_t or_zero(int64_t mm)
{
	return mm == FORM_NO_INTEGER ? 0 : mm;
}

static void take_place(const struct tablet_place *given, struct spot_place *to)
{
	to->is_rail_known = given->rail_known != 0;
	to->home_mm = or_zero(given->home_mm);
	to->side = given->side < 0 ? JOINT_NONE : (enum joint_side)given->side;
	to->joint_mm = or_zero(given->joint_mm);
	to->cable_mm = or_zero(given->cable_mm);
	to->other_mm = or_zero(given->other_mm);
	to->is_other_known = given->other_known == 1;
	to->is_across = given->across == 1;
	to->unplaced = or_zero(given->unplaced);
	to->unstated = or_zero(given->unstated);
}

static void take_unknowns(const struct spot_place *place, struct answer *to)
{
	unsigned unknown = spot_unknown(place);

	to->unknowns.items = to->unknown;
	for (int what = 0; what < SPOT_UNKNOWNS; what++) {
		if ((unknown & 1u << what) != 0) {
			to->unknown[to->unknowns.count++] = (struct unknown){ what,
				spot_unknown_words.title[what] };
		}
	}
}

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	const struct mark *given = q->marks.items;
	struct answer *to = out;
	struct rail_mark marks[MARKS_MOST];
	struct spot_place place = { .marks = marks };
	struct spot_answer is;

	/* more marks than can be looked at: nothing is called free */
	if (q->marks.count > MARKS_MOST) {
		return;
	}
	take_place(&q->place, &place);
	for (size_t i = 0; i < q->marks.count; i++) {
		if (given[i].kind >= 0 && given[i].offset_mm != FORM_NO_INTEGER) {
			marks[place.count++] = (struct rail_mark){ (enum mark_kind)given[i].kind,
				given[i].offset_mm };
		}
	}
	is = spot_judge(rulebook, &place, q->wanted_mm);
	to->is = (int)is.is;
	to->is_free = is.is == SPOT_FREE;
	to->is_taken = spot_is_taken(is.is);
	to->reach_mm = SPOT_REACH_MM;
	if (is.by != NULL) {
		to->blocked_by = (struct mark){ (int)is.by->kind, is.by->offset_mm };
		to->clearance_mm = mark_clearance_mm(rulebook, is.by->kind);
	}
	if (!spot_next_free(rulebook, &place, q->wanted_mm, &to->next_free_mm)) {
		to->next_free_mm = FORM_NO_INTEGER;
	}
	spot_sentence(rulebook, &place, q->wanted_mm, to->sentence_text, sizeof to->sentence_text);
	to->sentence = to->sentence_text;
	take_unknowns(&place, to);
}

const struct tablet_rule tablet_spot = { "spot", &question_form, &answer_form, answer };
