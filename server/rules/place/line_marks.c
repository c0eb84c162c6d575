#include "rules/place/line_marks.h"

#include <stdlib.h>

#include "rules/place/chainage_units.h"

#define ROUND_MOST INT64_C(1000000000000)

/* From tick to tick: count / scale parts of a mile, or count millimetres where part is NULL. */
struct tick_step {
	const struct mile_part *part;
	int64_t scale;
	int64_t count;
};

int64_t round_step(int64_t least)
{
	int64_t power = 1;

	while (power < ROUND_MOST && power < least) {
		if (2 * power >= least) {
			return 2 * power;
		}
		if (5 * power >= least) {
			return 5 * power;
		}
		power *= 10;
	}
	return power;
}

size_t line_map_breaks(const struct line_map *map, struct line_break *to, size_t room)
{
	size_t found = 0;

	for (size_t i = 1; i < map->count; i++) {
		const struct map_stretch *s = &map->stretches[i];

		if (s[-1].end_mm == s->start_mm) {
			continue;
		}
		if (found < room) {
			to[found] = (struct line_break){ s->distance_mm,
				map_stretch_label(s - 1, true, map->notation),
				map_stretch_label(s, false, map->notation), s->start_mm - s[-1].end_mm };
		}
		found++;
	}
	return found;
}

/* The arithmetical chainage of the tick of a number. */
static int64_t tick_value(const struct tick_step *step, int64_t number)
{
	int64_t count = llabs(number) * step->count;
	int64_t mm = step->part == NULL ? count : mile_part_mm(step->part, count, step->scale);

	return number < 0 ? -mm : mm;
}

/* The number of a tick at most two before the place. */
static int64_t tick_before(const struct tick_step *step, int64_t value_mm)
{
	return (step->part == NULL ? value_mm / step->count :
		value_mm * 10 * step->scale / (step->part->tenth_mm * step->count)) - 1;
}

/* Parts of a mile that divide it as people do, then whole miles by 1, 2, 5. */
static struct tick_step mile_step(const struct mile_part *part, int64_t least_mm)
{
	static const int64_t of_chains[] = { 1, 2, 5, 10, 20, 50, 100, 200, 400, 0 };     /* tenths */
	static const int64_t of_yards[] = { 10, 20, 50, 100, 220, 550, 1100, 2200, 4400, 8800, 0 };
	static const int64_t of_miles[] = { 1, 2, 5, 10, 20, 50, 100, 200, 500, 0 };      /* 1/1000 */
	const int64_t *counts = part->per_mile == 80 ? of_chains : part->per_mile == 1760 ? of_yards :
		of_miles;
	struct tick_step step = { part, part->per_mile == 1 ? 1000 : 10, 0 };

	for (; *counts != 0; counts++) {
		step.count = *counts;
		if (tick_value(&step, 1) >= least_mm) {
			return step;
		}
	}
	step.count = part->per_mile * step.scale * round_step((least_mm + MILE_MM - 1) / MILE_MM);
	return step;
}

static struct tick_step step_of(enum notation notation, int64_t least_mm)
{
	const struct mile_part *part = mile_part_of(notation);

	return part != NULL ? mile_step(part, least_mm) :
		(struct tick_step){ NULL, 1, round_step(least_mm < 1000 ? 1000 : least_mm) };
}

size_t line_map_ticks(const struct line_map *map, int64_t from_mm, int64_t to_mm,
	int64_t least_mm, int64_t *to, size_t room)
{
	const struct tick_step step = step_of(map->notation, least_mm);
	size_t found = 0;
	size_t count;
	const struct map_stretch *stretches = line_map_stretches(map, &count);

	for (size_t i = 0; i < count; i++) {
		const struct map_stretch *s = &stretches[i];
		int64_t shift_mm = s->distance_mm - s->start_mm;
		int64_t first_mm = s->start_mm > from_mm - shift_mm ? s->start_mm : from_mm - shift_mm;
		int64_t last_mm = s->end_mm < to_mm - shift_mm ? s->end_mm : to_mm - shift_mm;

		for (int64_t n = tick_before(&step, first_mm); found < room; n++) {
			int64_t value_mm = tick_value(&step, n);

			/* the end of a stretch belongs to the next one */
			if (value_mm > last_mm || (i + 1 < count && value_mm >= s->end_mm)) {
				break;
			}
			if (value_mm >= first_mm) {
				to[found++] = value_mm + shift_mm;
			}
		}
	}
	return found;
}
