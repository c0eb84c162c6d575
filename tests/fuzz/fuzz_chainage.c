/*
 * Any text against every notation on maps with gaps, overlaps and long stretches; and any rows of
 * pieces of line made into a map. First byte: notation, and whether rows follow; second: which map.
 */
#include <assert.h>
#include <string.h>

#include "base/utf8.h"
#include "rules/place/chainage.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { NOTATIONS = NOTATION_MILES + 1, ROWS_MOST = 24, ROW_SIZE = 8, CANDIDATES = 16 };

static const struct map_stretch with_gap[] = {
	{ 0, 0, 450725, false }, { 450725, 550725, 100000000, false } };
static const struct map_stretch with_overlap[] = {
	{ -5000, -3000000, 20000000, false }, { 22995000, 12900000, 30000000, false },
	{ 40095000, 12000000, 14000000, false } };
static const struct map_stretch with_long[] = {
	{ 0, 0, 2000000, false }, { 2000000, 2000000, 4480000, true },
	{ 4480000, 2130000, 2130000, false }, { 4480000, 2130000, 9000000, true },
	{ 11350000, 5000000, 90000000, false } };
static const struct line_map maps[] = {
	{ 0, NULL, 0 }, { 0, with_gap, 2 }, { 0, with_overlap, 3 }, { 0, with_long, 5 } };

static void check_problem(const struct problem *why)
{
	assert(why->code == PROBLEM_CHAINAGE_SYNTAX || why->code == PROBLEM_CHAINAGE_IN_GAP ||
		why->code == PROBLEM_CHAINAGE_AMBIGUOUS || why->code == PROBLEM_CHAINAGE_OUTSIDE);
	assert(why->detail[0] != '\0' && utf8_valid(why->detail, strlen(why->detail)));
}

/* A place that is on the map is written, and reads back. */
static void check_place(int64_t distance_mm, const struct line_map *map)
{
	char text[CHAINAGE_TEXT_SIZE];
	struct problem why = { 0 };
	int64_t mm = 0;
	size_t len = chainage_write(distance_mm, map, text, sizeof text);

	assert(len > 0 && len < sizeof text && strlen(text) == len);
	assert(chainage_read(text, len, map, &mm, &why) && mm == distance_mm);
}

static void check_text(const char *text, size_t len, const struct line_map *map)
{
	struct chainage_candidate all[CANDIDATES];
	struct chainage label, again;
	struct problem why = { 0 };
	char written[CHAINAGE_TEXT_SIZE];
	int64_t mm = 0;
	bool right = chainage_parse(text, len, map->notation, &label, &why);
	size_t count = chainage_candidates(text, len, map, all, CANDIDATES);

	if (right) {
		size_t n = chainage_write_label(&label, map->notation, written, sizeof written);

		assert(n < sizeof written);
		assert(chainage_parse(written, n, map->notation, &again, &why));
		assert(chainage_compare(&label, &again) == 0 && label.qualifier == again.qualifier);
		assert(chainage_places(&label, map, &mm, 1) == count);
	} else {
		check_problem(&why);
		assert(count == 0);
	}
	for (size_t i = 0; i < count && i < CANDIDATES; i++) {
		check_place(all[i].distance_mm, map);
		assert(chainage_read(all[i].text, strlen(all[i].text), map, &mm, &why));
		assert(mm == all[i].distance_mm);
	}
	if (chainage_read(text, len, map, &mm, &why)) {
		assert(count == 1 || (label.qualifier > 0 && (size_t)label.qualifier <= count));
		check_place(mm, map);
	} else {
		check_problem(&why);
	}
}

static int64_t two_bytes(const uint8_t *at)
{
	return (int64_t)(at[0] | at[1] << 8) - 0x4000;
}

/* Rows of eight bytes: from, what of it is past the post, length of chainage, ground. */
static void check_rows(const uint8_t *data, size_t size, enum notation notation)
{
	struct line_segment rows[ROWS_MOST];
	struct map_stretch stretches[LINE_MAP_ROOM(ROWS_MOST)];
	struct line_map map = { notation, stretches, 0 };
	struct problem why = { 0 };
	size_t count = 0;

	for (; count < ROWS_MOST && size >= ROW_SIZE; data += ROW_SIZE, size -= ROW_SIZE, count++) {
		int64_t from_mm = two_bytes(data) * 10000;
		int64_t past_mm = (data[2] & 0x7F) * 100000;
		int64_t length_mm = two_bytes(data + 3) * 1000;
		struct line_segment *row = &rows[count];

		row->from = chainage_of_value(from_mm, notation);
		row->to = chainage_of_value(from_mm + length_mm, notation);
		if (from_mm >= 0 && notation_step_mm(notation) > 0) {
			row->from.offset_mm += data[2] & 0x80 ? past_mm : 0;
			row->to.offset_mm += past_mm;
		}
		row->length_mm = two_bytes(data + 5) * 1000;
		row->is_jump = data[7] & 1;
	}
	map.count = line_map_from_segments(rows, count, notation, 60000, stretches, &why);
	if (map.count == 0) {
		assert(why.code == PROBLEM_RULE);
		return;
	}
	assert(map.count <= LINE_MAP_ROOM(count) && line_map_check(&map, &why));
	for (size_t i = 0; i < map.count; i++) {
		const struct map_stretch *s = &stretches[i];

		check_place(s->distance_mm, &map);
		check_place(s->distance_mm + (s->end_mm - s->start_mm) / 2, &map);
		check_place(s->distance_mm + (s->end_mm - s->start_mm), &map);
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct line_map map;

	if (size < 2) {
		return 0;
	}
	map = maps[data[1] % (sizeof maps / sizeof maps[0])];
	map.notation = (enum notation)(data[0] % NOTATIONS);
	if (data[0] & 0x80) {
		check_rows(data + 2, size - 2, map.notation);
	} else {
		check_text((const char *)data + 2, size - 2, &map);
	}
	return 0;
}
