#include <string.h>

#include "rules/place/chainage.h"
#include "rules/tablet/tablet_member.h"

struct stretch {
	int64_t distance_mm, start_mm, end_mm;
	int is_long;
};

struct question {
	int notation;
	struct form_list stretches;   /* struct stretch */
	const char *text;
	int64_t distance_mm;          /* asked for when there is no text */
};

struct answer {
	int64_t distance_mm;
	const char *written, *problem;
	char written_text[CHAINAGE_TEXT_SIZE];
	struct problem why;
};

#define STRETCH(field) .name = #field, .type = MEMBER_INTEGER, .required = true, \
	.offset = offsetof(struct stretch, field)
static const struct member stretch_members[] = {
	{ STRETCH(distance_mm), .title = "From the datum", .unit = "mm" },
	{ STRETCH(start_mm), .title = "Chainage at its start", .unit = "mm" },
	{ STRETCH(end_mm), .title = "Chainage at its end", .unit = "mm" },
	TABLET_FLAG(stretch, is_long, "Counted past one post"),
	{ 0 }
};
static const struct form stretch_form = { "TabletStretch", stretch_members,
	sizeof(struct stretch) };

static const struct member question_members[] = {
	{ .name = "notation", .title = "Notation", .type = MEMBER_WORD, .required = true,
		.words = &notation_words, .offset = offsetof(struct question, notation) },
	TABLET_LIST(question, stretches, "Stretches", stretch_form),
	TABLET_TEXT(question, text, "Chainage"),
	TABLET_INTEGER(question, distance_mm, "Place on the line", "mm"),
	{ 0 }
};
static const struct form question_form = { "TabletChainage", question_members,
	sizeof(struct question) };

static const struct member answer_members[] = {
	TABLET_INTEGER(answer, distance_mm, "Place on the line", "mm"),
	TABLET_TEXT(answer, written, "As it is written"),
	TABLET_TEXT(answer, problem, "Why there is none"),
	{ 0 }
};
static const struct form answer_form = { "TabletChainageAnswer", answer_members,
	sizeof(struct answer) };

static bool map_of(const struct question *asked, struct map_stretch stretches[LINE_MAP_MOST],
	struct line_map *map, struct problem *why)
{
	const struct stretch *given = asked->stretches.items;

	if (asked->stretches.count > LINE_MAP_MOST) {
		return problem_set(why, PROBLEM_RULE, NULL, "A line has at most %d stretches.",
			LINE_MAP_MOST);
	}
	for (size_t i = 0; i < asked->stretches.count; i++) {
		stretches[i] = (struct map_stretch){ given[i].distance_mm, given[i].start_mm,
			given[i].end_mm, given[i].is_long == 1 };
	}
	*map = (struct line_map){ (enum notation)asked->notation, stretches, asked->stretches.count };
	return line_map_check(map, why);
}

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *asked = in;
	struct answer *to = out;
	struct map_stretch stretches[LINE_MAP_MOST];
	struct line_map map;
	int64_t at_mm = asked->distance_mm;

	(void)rulebook;
	to->why = (struct problem){ 0 };
	if (!map_of(asked, stretches, &map, &to->why) || (asked->text != NULL &&
		!chainage_read(asked->text, strlen(asked->text), &map, &at_mm, &to->why))) {
		to->problem = to->why.detail;
		return;
	}
	if (at_mm != FORM_NO_INTEGER &&
		chainage_write(at_mm, &map, to->written_text, sizeof to->written_text) > 0) {
		to->distance_mm = at_mm;
		to->written = to->written_text;
	}
}

const struct tablet_rule tablet_chainage = { "chainage", &question_form, &answer_form, answer };
