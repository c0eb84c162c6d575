#include "rules/end_words.h"

#include <stddef.h>

#include "rules/sentence.h"

static const char *const differ_code[] = {
	"not_told_apart", "on", "structure", "track", "rail", "chainage", "face"
};
static const char *const differ_title[] = {
	"not told apart on record", "what they are on", "structure", "track", "rail", "chainage", "face"
};
const struct words ends_differ_words = { "ends_differ", differ_code, differ_title, 7 };

static bool is_stated(const char *text)
{
	return text != NULL && text[0] != '\0';
}

static char small(char c)
{
	return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_text(const char *a, const char *b)
{
	while (*a != '\0' && small(*a) == small(*b)) {
		a++;
		b++;
	}
	return small(*a) == small(*b);
}

static bool texts_differ(const char *a, const char *b)
{
	return is_stated(a) && is_stated(b) && !same_text(a, b);
}

static bool words_differ(int a, int b)
{
	return a >= 0 && b >= 0 && a != b;
}

static enum ends_differ what_differs(const struct end_facts *a, const struct end_facts *b)
{
	if (a->on != b->on) {
		return ENDS_BY_ON;
	}
	if (a->on != END_ON_RAIL && texts_differ(a->structure, b->structure)) {
		return ENDS_BY_STRUCTURE;
	}
	if (texts_differ(a->track, b->track)) {
		return ENDS_BY_TRACK;
	}
	if (a->on == END_ON_RAIL && words_differ(a->rail, b->rail)) {
		return ENDS_BY_RAIL;
	}
	if (a->distance_mm != b->distance_mm) {
		return ENDS_BY_CHAINAGE;
	}
	return a->on == END_ON_RAIL && words_differ(a->face, b->face) ? ENDS_BY_FACE : ENDS_ALIKE;
}

/* What of a place on a rail is said: from everything to the one thing that differs. */
enum said { SAID_ALL, SAID_LESS, SAID_LEAST, SAYINGS };

static void add_part(struct sentence *s, const char *part)
{
	sentence_add(s, s->len > 0 ? ", " : "");
	sentence_add(s, part);
}

static void add_rail(struct sentence *s, const struct end_facts *e, bool with_label)
{
	if (e->rail < 0) {
		return;
	}
	add_part(s, rail_words.title[e->rail]);
	sentence_add(s, " rail");
	if (with_label && is_stated(e->label[e->rail])) {
		sentence_add(s, " (");
		sentence_add(s, e->label[e->rail]);
		sentence_add(s, ")");
	}
}

static void add_on_rail(struct sentence *s, const struct end_facts *e, enum ends_differ by,
	enum said said)
{
	bool by_rail = by == ENDS_BY_RAIL;

	if (is_stated(e->track) && (!by_rail || said == SAID_ALL)) {
		add_part(s, e->track);
	}
	if (by_rail || said != SAID_LEAST || !is_stated(e->track)) {
		add_rail(s, e, said == SAID_ALL || (by_rail && said == SAID_LESS));
	}
	if (s->len == 0) {
		sentence_add(s, "the rail");
	}
}

/* "18/04" is no name for what it is the number of. */
static bool has_letter(const char *text)
{
	for (; *text != '\0'; text++) {
		if ((small(*text) >= 'a' && small(*text) <= 'z') || (unsigned char)*text >= 0x80) {
			return true;
		}
	}
	return false;
}

static void add_on_structure(struct sentence *s, const struct end_facts *e, bool with_track)
{
	bool is_numbered = is_stated(e->structure);

	if (!is_numbered || !has_letter(e->structure)) {
		sentence_add(s, is_numbered ? "" : "the ");
		sentence_add(s, end_on_words.title[e->on]);
		sentence_add(s, is_numbered ? " " : "");
	}
	sentence_add(s, is_numbered ? e->structure : "");
	if (with_track && is_stated(e->track)) {
		sentence_add(s, " beside ");
		sentence_add(s, e->track);
	}
}

static void make_brief(enum bond_kind kind, const struct end_facts ends[2], enum bond_end which,
	enum ends_differ by, enum said said, char to[END_BRIEF_SIZE])
{
	const struct end_facts *e = &ends[which];
	bool is_lower = e->distance_mm < ends[which == END_A ? END_B : END_A].distance_mm;
	struct sentence s;

	sentence_begin(&s, to, END_BRIEF_SIZE);
	if (by == ENDS_ALIKE) {
		sentence_add(&s, which == END_A ? "end A, not told apart" : "end B, not told apart");
	} else if (by == ENDS_BY_CHAINAGE && kind == BOND_RAIL_JOINT) {
		sentence_add(&s, is_lower ? "lower-chainage side of the joint" :
			"higher-chainage side of the joint");
	} else if (by == ENDS_BY_CHAINAGE) {
		sentence_add(&s, is_lower ? "end towards lower chainage" : "end towards higher chainage");
	} else if (by == ENDS_BY_FACE) {
		sentence_add(&s, rail_face_words.title[e->face]);
	} else if (e->on == END_ON_RAIL) {
		add_on_rail(&s, e, by, said);
	} else {
		add_on_structure(&s, e, by == ENDS_BY_TRACK);
	}
}

/* Characters, in UTF-8. */
static size_t letters(const char *text)
{
	size_t count = 0;

	for (; *text != '\0'; text++) {
		count += ((unsigned char)*text & 0xC0) != 0x80;
	}
	return count;
}

/* The name of a structure is the railway's own, and stays whole. */
static bool is_too_long(const struct end_facts *e, const char *brief)
{
	return e->on == END_ON_RAIL && letters(brief) > END_BRIEF_LETTERS;
}

static void make_briefs(enum bond_kind kind, const struct end_facts ends[2], struct end_words *to)
{
	for (int said = SAID_ALL; said < SAYINGS; said++) {
		make_brief(kind, ends, END_A, to->by, (enum said)said, to->brief[END_A]);
		make_brief(kind, ends, END_B, to->by, (enum said)said, to->brief[END_B]);
		if (!is_too_long(&ends[END_A], to->brief[END_A]) &&
			!is_too_long(&ends[END_B], to->brief[END_B])) {
			return;
		}
	}
}

/* Where an end is, whatever the other one's place. */
static void add_place(struct sentence *s, const struct end_facts *e)
{
	struct sentence place;
	char text[END_BRIEF_SIZE];

	sentence_begin(&place, text, sizeof text);
	if (e->on == END_ON_RAIL) {
		add_on_rail(&place, e, ENDS_BY_ON, SAID_ALL);
	} else {
		add_on_structure(&place, e, true);
	}
	sentence_add(s, text);
	if (is_stated(e->chainage)) {
		sentence_add(s, ", at ");
		sentence_add(s, e->chainage);
	}
}

static void make_words(const struct end_facts ends[2], enum bond_end which, struct end_words *to)
{
	struct sentence s;

	sentence_begin(&s, to->words[which], END_LONG_SIZE);
	if (to->by == ENDS_ALIKE) {
		sentence_add(&s, which == END_A ?
			"end A: not told apart on record from end B, note where it is" :
			"end B: not told apart on record from end A, note where it is");
		return;
	}
	if (to->by == ENDS_BY_CHAINAGE || to->by == ENDS_BY_FACE) {
		sentence_add(&s, to->brief[which]);
		sentence_add(&s, ": ");
	}
	add_place(&s, &ends[which]);
}

void end_words_make(enum bond_kind kind, const struct end_facts ends[2], struct end_words *to)
{
	to->by = what_differs(&ends[END_A], &ends[END_B]);
	make_briefs(kind, ends, to);
	/* (a structure whose name is that of the rail, say) */
	if (to->by != ENDS_ALIKE && same_text(to->brief[END_A], to->brief[END_B])) {
		to->by = ENDS_ALIKE;
		make_briefs(kind, ends, to);
	}
	make_words(ends, END_A, to);
	make_words(ends, END_B, to);
}

bool quantity_is_of_end(enum quantity quantity)
{
	return quantity == QUANTITY_CONTACT_A || quantity == QUANTITY_CONTACT_B;
}

void end_words_quantity(const struct end_words *ends, enum quantity quantity, char *to,
	size_t size)
{
	struct sentence s;

	sentence_begin(&s, to, size);
	if (quantity_is_of_end(quantity)) {
		sentence_add(&s, "contact at ");
		sentence_add(&s, ends->brief[quantity == QUANTITY_CONTACT_A ? END_A : END_B]);
	} else {
		sentence_add(&s, quantity_words.title[quantity]);
	}
}
