#include <string.h>

#include "rules/chainage.h"
#include "rules/tablet.h"

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
	{ .name = "is_long", .title = "Counted past one post", .type = MEMBER_FLAG,
		.offset = offsetof(struct stretch, is_long) },
	{ 0 }
};
static const struct form stretch_form = { "TabletStretch", stretch_members,
	sizeof(struct stretch) };

static const struct member question_members[] = {
	{ .name = "notation", .title = "Notation", .type = MEMBER_WORD, .required = true,
		.words = &notation_words, .offset = offsetof(struct question, notation) },
	{ .name = "stretches", .title = "Stretches", .type = MEMBER_LIST, .longest = LINE_MAP_MOST,
		.form = &stretch_form, .offset = offsetof(struct question, stretches) },
	{ .name = "text", .title = "Chainage", .type = MEMBER_TEXT,
		.offset = offsetof(struct question, text) },
	{ .name = "distance_mm", .title = "Place on the line", .unit = "mm", .type = MEMBER_INTEGER,
		.offset = offsetof(struct question, distance_mm) },
	{ 0 }
};
static const struct form question_form = { "TabletChainage", question_members,
	sizeof(struct question) };

static const struct member answer_members[] = {
	{ .name = "distance_mm", .title = "Place on the line", .unit = "mm", .type = MEMBER_INTEGER,
		.offset = offsetof(struct answer, distance_mm) },
	{ .name = "written", .title = "As it is written", .type = MEMBER_TEXT,
		.offset = offsetof(struct answer, written) },
	{ .name = "problem", .title = "Why there is none", .type = MEMBER_TEXT,
		.offset = offsetof(struct answer, problem) },
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
