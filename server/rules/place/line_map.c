#include "rules/place/line_map.h"

#include <stdlib.h>

static const struct map_stretch plain_line = {
	-CHAINAGE_LIMIT_MM, -CHAINAGE_LIMIT_MM, CHAINAGE_LIMIT_MM, false
};

int64_t notation_step_mm(enum notation notation)
{
	return notation == NOTATION_KM_M ? 1000000 : notation == NOTATION_HM_M ? 100000 : 0;
}

struct chainage chainage_of_value(int64_t value_mm, enum notation notation)
{
	int64_t step_mm = notation_step_mm(notation);
	struct chainage label = { 0, value_mm, 0 };

	if (step_mm > 0) {
		label.offset_mm = value_mm % step_mm; /* towards zero, as people count */
		label.post_mm = value_mm - label.offset_mm;
	}
	return label;
}

bool chainage_is_past_post(const struct chainage *label, enum notation notation)
{
	int64_t step_mm = notation_step_mm(notation);
	int64_t offset_mm = llabs(label->offset_mm);

	if (notation == NOTATION_HM_M && label->post_mm / step_mm % 2 == 0) {
		return offset_mm > 2 * step_mm;
	}
	return step_mm > 0 && offset_mm >= step_mm;
}

int chainage_compare(const struct chainage *a, const struct chainage *b)
{
	if (a->post_mm != b->post_mm) {
		return a->post_mm < b->post_mm ? -1 : 1;
	}
	return (a->offset_mm > b->offset_mm) - (a->offset_mm < b->offset_mm);
}

const struct map_stretch *line_map_stretches(const struct line_map *map, size_t *count)
{
	*count = map->count > 0 ? map->count : 1;
	return map->count > 0 ? map->stretches : &plain_line;
}

static bool is_bounded(int64_t mm)
{
	return mm >= -CHAINAGE_LIMIT_MM && mm <= CHAINAGE_LIMIT_MM;
}

static int64_t stretch_end(const struct map_stretch *s)
{
	return s->distance_mm + (s->end_mm - s->start_mm);
}

/* A stretch without length is the chainage after a jump at the line's end; alone it is no map. */
static bool has_length(const struct line_map *map, struct problem *why)
{
	for (size_t i = 0; i < map->count; i++) {
		if (map->stretches[i].end_mm > map->stretches[i].start_mm) {
			return true;
		}
	}
	return map->count == 0 || problem_set(why, PROBLEM_RULE, NULL, "Stretch %zu has no length, and "
		"no other has any: its chainage must rise from its start to its end.", map->count);
}

bool line_map_check(const struct line_map *map, struct problem *why)
{
	if (map->count > LINE_MAP_MOST) {
		return problem_set(why, PROBLEM_RULE, NULL,
			"The map has %zu stretches; it may have %d.", map->count, LINE_MAP_MOST);
	}
	for (size_t i = 0; i < map->count; i++) {
		const struct map_stretch *s = &map->stretches[i];

		if (!is_bounded(s->distance_mm) || !is_bounded(s->start_mm) || !is_bounded(s->end_mm)) {
			return problem_set(why, PROBLEM_RULE, NULL,
				"Stretch %zu is more than 100,000 km from zero.", i + 1);
		}
		if (s->end_mm < s->start_mm) {
			return problem_set(why, PROBLEM_RULE, NULL,
				"Stretch %zu ends before it starts; its end is counted on from its start.", i + 1);
		}
		if (!is_bounded(stretch_end(s))) {
			return problem_set(why, PROBLEM_RULE, NULL,
				"Stretch %zu ends more than 100,000 km from the datum.", i + 1);
		}
		if (s->is_long && s->start_mm < 0) {
			return problem_set(why, PROBLEM_RULE, NULL,
				"Stretch %zu is long and starts before zero; only from zero on can one count"
				" past a post.", i + 1);
		}
		if (i > 0 && s->distance_mm != stretch_end(s - 1)) {
			return problem_set(why, PROBLEM_RULE, NULL,
				"Stretch %zu does not start where stretch %zu ends.", i + 1, i);
		}
	}
	return has_length(map, why);
}

/* The last stretch that starts at or before the distance; NULL when that is off the map. */
static const struct map_stretch *stretch_at(const struct line_map *map, int64_t distance_mm)
{
	size_t count;
	const struct map_stretch *s = line_map_stretches(map, &count);
	size_t low = 0;

	if (distance_mm < s[0].distance_mm || distance_mm > stretch_end(&s[count - 1])) {
		return NULL;
	}
	for (size_t high = count; high - low > 1;) {
		size_t middle = low + (high - low) / 2;

		if (s[middle].distance_mm <= distance_mm) {
			low = middle;
		} else {
			high = middle;
		}
	}
	return &s[low];
}

bool line_map_at(const struct line_map *map, int64_t distance_mm, struct chainage *label)
{
	const struct map_stretch *s = stretch_at(map, distance_mm);
	int64_t value_mm;

	if (s == NULL) {
		return false;
	}
	value_mm = s->start_mm + (distance_mm - s->distance_mm);
	*label = chainage_of_value(value_mm, map->notation);
	if (s->is_long) {
		label->post_mm = chainage_of_value(s->start_mm, map->notation).post_mm;
		label->offset_mm = value_mm - label->post_mm;
	}
	return true;
}

struct chainage map_stretch_label(const struct map_stretch *s, bool end, enum notation notation)
{
	struct chainage label = chainage_of_value(s->start_mm, notation);

	if (end && s->is_long && notation_step_mm(notation) > 0) {
		label.offset_mm = s->end_mm - label.post_mm;
	} else if (end) {
		label = chainage_of_value(s->end_mm, notation);
	}
	return label;
}

bool line_map_is_continuous(const struct line_map *map, int64_t a_mm, int64_t b_mm)
{
	const struct map_stretch *a = stretch_at(map, a_mm < b_mm ? a_mm : b_mm);
	const struct map_stretch *b = stretch_at(map, a_mm < b_mm ? b_mm : a_mm);

	if (a == NULL || b == NULL) {
		return false;
	}
	while (a < b && a[0].end_mm == a[1].start_mm) {
		a++;
	}
	return a == b;
}
