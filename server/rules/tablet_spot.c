#include "rules/sentence.h"
#include "rules/spot.h"
#include "rules/tablet_member.h"

enum { MARKS_MOST = 300, SENTENCE_SIZE = 200 };

struct mark {
	int kind;
	int64_t offset_mm;
};

struct question {
	struct form_list marks;
	int64_t wanted_mm;
};

struct answer {
	int is_free;
	struct mark blocked_by;
	int64_t clearance_mm, next_free_mm;
	const char *sentence;
	char sentence_text[SENTENCE_SIZE];
};

static const struct member mark_members[] = {
	TABLET_WORD(mark, kind, "What stands there", mark_kind_words),
	TABLET_INTEGER(mark, offset_mm, "From the reference mark", "mm"),
	{ 0 }
};
static const struct form mark_form = { "TabletMark", mark_members, sizeof(struct mark) };

static const struct member question_members[] = {
	TABLET_LIST(question, marks, "What stands on the rail", mark_form),
	{ TABLET_MEMBER(question, wanted_mm, "Wanted offset", MEMBER_INTEGER), .unit = "mm",
		.required = true },
	{ 0 }
};
static const struct form question_form = { "TabletSpot", question_members,
	sizeof(struct question) };

static const struct member answer_members[] = {
	{ TABLET_MEMBER(answer, is_free, "Free", MEMBER_FLAG) },
	TABLET_OBJECT(answer, blocked_by, "What it is too near to", mark_form),
	TABLET_INTEGER(answer, clearance_mm, "Clearance of that", "mm"),
	TABLET_INTEGER(answer, next_free_mm, "Nearest free offset", "mm"),
	TABLET_TEXT(answer, sentence, "In words"),
	{ 0 }
};
static const struct form answer_form = { "TabletSpotAnswer", answer_members,
	sizeof(struct answer) };

static void add_mm(struct sentence *s, const char *before, int64_t mm)
{
	sentence_add(s, before);
	sentence_add_integer(s, mm);
	sentence_add(s, " mm");
}

static void say(struct answer *a, int64_t wanted_mm)
{
	struct sentence s;

	sentence_begin(&s, a->sentence_text, sizeof a->sentence_text);
	a->sentence = a->sentence_text;
	if (a->is_free == 1) {
		add_mm(&s, "Free at ", wanted_mm);
		sentence_add(&s, ".");
		return;
	}
	add_mm(&s, "Not at ", wanted_mm);
	sentence_add(&s, ": too near to the ");
	sentence_add(&s, mark_kind_words.title[a->blocked_by.kind]);
	add_mm(&s, " at ", a->blocked_by.offset_mm);
	add_mm(&s, ", clearance ", a->clearance_mm);
	if (a->next_free_mm == FORM_NO_INTEGER) {
		add_mm(&s, ". There is no free place within ", SPOT_REACH_MM);
	} else {
		add_mm(&s, ". The nearest free place is at ", a->next_free_mm);
	}
	sentence_add(&s, ".");
}

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	const struct mark *given = q->marks.items;
	struct answer *to = out;
	struct rail_mark marks[MARKS_MOST];
	const struct rail_mark *by;
	size_t count = 0;

	/* more marks than can be looked at: nothing is called free */
	if (q->marks.count > MARKS_MOST) {
		return;
	}
	for (size_t i = 0; i < q->marks.count; i++) {
		if (given[i].kind >= 0 && given[i].offset_mm != FORM_NO_INTEGER) {
			marks[count++] = (struct rail_mark){ (enum mark_kind)given[i].kind,
				given[i].offset_mm };
		}
	}
	by = spot_blocked_by(rulebook, marks, count, q->wanted_mm);
	to->is_free = by == NULL;
	if (by != NULL) {
		to->blocked_by = (struct mark){ (int)by->kind, by->offset_mm };
		to->clearance_mm = mark_clearance_mm(rulebook, by->kind);
	}
	if (!spot_next_free(rulebook, marks, count, q->wanted_mm, &to->next_free_mm)) {
		to->next_free_mm = FORM_NO_INTEGER;
	}
	say(to, q->wanted_mm);
}

const struct tablet_rule tablet_spot = { "spot", &question_form, &answer_form, answer };
