/* Looks for a chainage on a line's map, and says why it is not there or which ones it may be. */
#include "rules/place/chainage.h"

#include <stdlib.h>

enum { CANDIDATES_SHOWN = 4 };

static bool stretch_has_post(const struct map_stretch *s, const struct chainage *label,
	enum notation notation)
{
	int64_t step_mm = notation_step_mm(notation);

	if (step_mm == 0) {
		return true;
	}
	if (s->is_long) {
		return label->post_mm == chainage_of_value(s->start_mm, notation).post_mm;
	}
	/* past an even post where the odd one does not stand: only when it is in the stretch */
	return llabs(label->offset_mm) < step_mm || (!chainage_is_past_post(label, notation) &&
		label->post_mm >= s->start_mm && label->post_mm <= s->end_mm);
}

size_t chainage_places(const struct chainage *label, const struct line_map *map,
	int64_t *distance_mm, size_t room)
{
	int64_t value_mm = label->post_mm + label->offset_mm;
	int64_t last_mm = 0;
	size_t found = 0;
	size_t count;
	const struct map_stretch *stretches = line_map_stretches(map, &count);

	for (size_t i = 0; i < count; i++) {
		const struct map_stretch *s = &stretches[i];
		int64_t at_mm = s->distance_mm + (value_mm - s->start_mm);

		if (value_mm < s->start_mm || value_mm > s->end_mm ||
			!stretch_has_post(s, label, map->notation) || (found > 0 && at_mm == last_mm)) {
			continue;
		}
		if (found < room) {
			distance_mm[found] = at_mm;
		}
		last_mm = at_mm;
		found++;
	}
	return found;
}

static bool refuse_counted_past(const struct chainage *label, const struct line_map *map,
	struct problem *why)
{
	struct chainage post = { label->post_mm, 0, 0 };
	struct chainage plain = chainage_of_value(label->post_mm + label->offset_mm, map->notation);
	char text[CHAINAGE_TEXT_SIZE], post_text[CHAINAGE_TEXT_SIZE], plain_text[CHAINAGE_TEXT_SIZE];

	chainage_write_label(label, map->notation, text, sizeof text);
	chainage_write_label(&post, map->notation, post_text, sizeof post_text);
	chainage_write_label(&plain, map->notation, plain_text, sizeof plain_text);
	return problem_set(why, PROBLEM_CHAINAGE_SYNTAX, NULL,
		"%s counts past the next post, but the line's map has no long stretch after %s; write %s"
		" if the place lies past that post.", text, post_text, plain_text);
}

/* Between the end of one stretch and the start of the next. */
static bool is_in_gap(const struct chainage *label, const struct line_map *map,
	struct problem *why)
{
	for (size_t i = 0; i + 1 < map->count; i++) {
		struct chainage before = map_stretch_label(&map->stretches[i], true, map->notation);
		struct chainage after = map_stretch_label(&map->stretches[i + 1], false, map->notation);
		char text[CHAINAGE_TEXT_SIZE], from[CHAINAGE_TEXT_SIZE], to[CHAINAGE_TEXT_SIZE];

		if (chainage_compare(&before, label) < 0 && chainage_compare(label, &after) < 0) {
			chainage_write_label(label, map->notation, text, sizeof text);
			chainage_write_label(&before, map->notation, from, sizeof from);
			chainage_write_label(&after, map->notation, to, sizeof to);
			problem_set(why, PROBLEM_CHAINAGE_IN_GAP, NULL,
				"%s does not exist on this line: its chainage jumps from %s to %s.",
				text, from, to);
			return true;
		}
	}
	return false;
}

static bool refuse_nowhere(const struct chainage *written, const struct line_map *map,
	struct problem *why)
{
	int64_t step_mm = notation_step_mm(map->notation);
	bool counted_past = step_mm > 0 && llabs(written->offset_mm) >= step_mm;
	struct chainage label = { written->post_mm, written->offset_mm, 0 };
	char text[CHAINAGE_TEXT_SIZE], from[CHAINAGE_TEXT_SIZE], to[CHAINAGE_TEXT_SIZE];
	struct chainage first, last;
	size_t count;
	const struct map_stretch *s = line_map_stretches(map, &count);

	for (size_t i = 0; i < count && counted_past; i++) {
		counted_past = !s[i].is_long || !stretch_has_post(&s[i], &label, map->notation);
	}
	if (counted_past) {
		return refuse_counted_past(&label, map, why);
	}
	if (is_in_gap(&label, map, why)) {
		return false;
	}
	first = map_stretch_label(&s[0], false, map->notation);
	last = map_stretch_label(&s[count - 1], true, map->notation);
	chainage_write_label(&label, map->notation, text, sizeof text);
	chainage_write_label(&first, map->notation, from, sizeof from);
	chainage_write_label(&last, map->notation, to, sizeof to);
	return problem_set(why, PROBLEM_CHAINAGE_OUTSIDE, NULL,
		"%s is not on this line, which runs from %s to %s.", text, from, to);
}

static bool refuse_ambiguous(const struct chainage *label, const int64_t *places, size_t count,
	const struct line_map *map, struct problem *why)
{
	struct chainage one = { label->post_mm, label->offset_mm, 0 };
	char text[CHAINAGE_TEXT_SIZE];
	char list[CANDIDATES_SHOWN * 2 * CHAINAGE_TEXT_SIZE];
	struct chainage metres;
	size_t at;

	/* "0+460 exists 2 times on this line: write 0+460 #1 (460 m along it) or 0+460 #2 ..." */
	at = 0;
	for (size_t i = 0; i < count && i < CANDIDATES_SHOWN; i++) {
		one.qualifier = (int)i + 1;
		if (i > 0) {
			list[at++] = ',';
			list[at++] = ' ';
		}
		at += chainage_write_label(&one, map->notation, list + at, sizeof list - at);
		metres = (struct chainage){ 0, places[i] - places[i] % 1000, 0 };
		list[at++] = ' ';
		list[at++] = '(';
		at += chainage_write_label(&metres, NOTATION_M, list + at, sizeof list - at);
		list[at++] = ' ';
		list[at++] = 'm';
		list[at++] = ')';
	}
	list[at] = '\0';
	one.qualifier = 0;
	chainage_write_label(&one, map->notation, text, sizeof text);
	return problem_set(why, PROBLEM_CHAINAGE_AMBIGUOUS, NULL,
		"%s exists %zu times on this line; write the one that is meant, by its distance along the"
		" line: %s%s", text, count, list, count > CANDIDATES_SHOWN ? " ..." : ".");
}

static bool refuse_qualifier(const struct chainage *label, size_t count,
	const struct line_map *map, struct problem *why)
{
	char text[CHAINAGE_TEXT_SIZE];

	chainage_write_label(label, map->notation, text, sizeof text);
	return problem_set(why, PROBLEM_CHAINAGE_SYNTAX, NULL,
		"%s is not there: this chainage exists %zu time%s on the line.", text, count,
		count == 1 ? "" : "s");
}

bool chainage_read(const char *text, size_t len, const struct line_map *map,
	int64_t *distance_mm, struct problem *why)
{
	struct chainage label;
	int64_t places[LINE_MAP_MOST];
	size_t count;

	if (!chainage_parse(text, len, map->notation, &label, why)) {
		return false;
	}
	count = chainage_places(&label, map, places, LINE_MAP_MOST);
	if (count == 0) {
		return refuse_nowhere(&label, map, why);
	}
	if ((size_t)label.qualifier > count) {
		return refuse_qualifier(&label, count, map, why);
	}
	if (label.qualifier == 0 && count > 1) {
		return refuse_ambiguous(&label, places, count, map, why);
	}
	*distance_mm = places[label.qualifier == 0 ? 0 : label.qualifier - 1];
	return true;
}

size_t chainage_candidates(const char *text, size_t len, const struct line_map *map,
	struct chainage_candidate *to, size_t room)
{
	struct problem why;
	struct chainage label;
	int64_t places[LINE_MAP_MOST];
	size_t count;

	if (!chainage_parse(text, len, map->notation, &label, &why)) {
		return 0;
	}
	count = chainage_places(&label, map, places, LINE_MAP_MOST);
	for (size_t i = 0; i < count && i < room; i++) {
		struct chainage one = { label.post_mm, label.offset_mm, count > 1 ? (int)i + 1 : 0 };

		to[i].distance_mm = places[i];
		chainage_write_label(&one, map->notation, to[i].text, sizeof to[i].text);
	}
	return count;
}
