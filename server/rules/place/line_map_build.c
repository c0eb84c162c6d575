/* Makes a map of stretches from published pieces of line. */
#include "rules/place/line_map.h"

#include <stdlib.h>

/* The stretch that grows while pieces run 1:1. */
struct run {
	enum notation notation;
	int64_t distance_mm;
	int64_t start_mm;
	int64_t end_mm;
	struct chainage end;   /* as written; its sum is end_mm */
	struct map_stretch *to;
	size_t count;
};

static int64_t value_of(const struct chainage *label)
{
	return label->post_mm + label->offset_mm;
}

static void put(struct run *run, int64_t end_mm, bool is_long)
{
	run->to[run->count++] = (struct map_stretch){
		run->distance_mm, run->start_mm, end_mm, is_long };
	run->distance_mm += end_mm - run->start_mm;
	run->start_mm = end_mm;
}

/* Ends the run at end_mm. When it is counted past a post, what lies past that is long. */
static void close_run(struct run *run, int64_t end_mm, bool is_past)
{
	int64_t post_mm = run->end.post_mm;
	bool is_long = is_past && post_mm >= 0 && run->end.offset_mm >= 0 &&
		notation_step_mm(run->notation) > 0;

	if (is_long && post_mm > run->start_mm) {
		put(run, post_mm, false);
	}
	if (end_mm > run->start_mm) {
		put(run, end_mm, is_long && run->start_mm >= 0);
	}
}

static void start_run(struct run *run, const struct chainage *at)
{
	run->start_mm = run->end_mm = value_of(at);
	run->end = *at;
}

/* The run goes on for length_mm more; there the chainage says `next`. */
static void jump(struct run *run, int64_t length_mm, const struct chainage *next)
{
	int64_t end_mm = run->end_mm + length_mm;

	close_run(run, end_mm, end_mm > value_of(next) ||
		chainage_is_past_post(&run->end, run->notation));
	start_run(run, next);
}

static void extend(struct run *run, const struct chainage *to)
{
	if (to->post_mm != run->end.post_mm && chainage_is_past_post(&run->end, run->notation)) {
		struct chainage plain = chainage_of_value(run->end_mm, run->notation);

		jump(run, 0, &plain); /* no jump, but from here on the posts stand again */
	}
	if (value_of(to) > run->end_mm) {
		run->end_mm = value_of(to);
		run->end = *to;
	}
}

static void add(struct run *run, const struct line_segment *s, int64_t tolerance_mm)
{
	int64_t length_mm = s->length_mm;
	int64_t listed_mm = run->end_mm - value_of(&s->from); /* of it, by pieces before */
	int64_t over_mm;
	int order = chainage_compare(&s->to, &run->end);

	if (order < 0 || (order == 0 && listed_mm > 0)) {
		return;
	}
	if (listed_mm == 0) {
		run->end = s->from; /* the post that a jump counts from, if both name one point */
	} else if (listed_mm < 0) {
		extend(run, &s->from);
	} else if (chainage_compare(&s->from, &run->end) > 0) {
		/* the row in which the chainage jumps back is not there */
		if (listed_mm > tolerance_mm) {
			jump(run, 0, &s->from);
		}
	} else {
		length_mm = length_mm > listed_mm ? length_mm - listed_mm : 0;
	}
	over_mm = length_mm - (value_of(&s->to) - run->end_mm);
	if (llabs(over_mm) <= (s->is_jump ? 0 : tolerance_mm)) {
		extend(run, &s->to);
	} else {
		jump(run, length_mm, &s->to);
	}
}

static bool is_bounded(const struct chainage *label)
{
	return llabs(label->post_mm) <= CHAINAGE_LIMIT_MM / 2 &&
		llabs(label->offset_mm) <= CHAINAGE_LIMIT_MM / 2;
}

static bool check_segment(const struct line_segment *s, size_t row, struct problem *why)
{
	if (!is_bounded(&s->from) || !is_bounded(&s->to) || s->length_mm > CHAINAGE_LIMIT_MM) {
		return problem_set(why, PROBLEM_RULE, NULL,
			"Row %zu is more than 100,000 km from zero.", row);
	}
	if (s->length_mm < 0) {
		return problem_set(why, PROBLEM_RULE, NULL, "Row %zu has a negative length.", row);
	}
	if (chainage_compare(&s->from, &s->to) > 0) {
		return problem_set(why, PROBLEM_RULE, NULL, "Row %zu ends before it starts.", row);
	}
	if (row > 1 && chainage_compare(&s[-1].from, &s->from) > 0) {
		return problem_set(why, PROBLEM_RULE, NULL,
			"Row %zu starts before row %zu; sort them by chainage.", row, row - 1);
	}
	return true;
}

size_t line_map_from_segments(const struct line_segment *segments, size_t count,
	enum notation notation, int64_t tolerance_mm, struct map_stretch *to, struct problem *why)
{
	struct run run = { .notation = notation, .to = to };
	struct line_map map = { notation, to, 0 };

	if (count == 0) {
		problem_set(why, PROBLEM_RULE, NULL, "There is no row to make a map from.");
		return 0;
	}
	run.end = segments[0].from;
	run.distance_mm = run.start_mm = run.end_mm = value_of(&run.end);
	for (size_t i = 0; i < count; i++) {
		if (!check_segment(&segments[i], i + 1, why)) {
			return 0;
		}
		add(&run, &segments[i], tolerance_mm);
		if (llabs(run.distance_mm) > CHAINAGE_LIMIT_MM / 2) {
			problem_set(why, PROBLEM_RULE, NULL,
				"At row %zu the line is longer than 50,000 km.", i + 1);
			return 0;
		}
	}
	close_run(&run, run.end_mm, chainage_is_past_post(&run.end, notation));
	if (run.count == 0) {
		problem_set(why, PROBLEM_RULE, NULL, "All rows are without length.");
		return 0;
	}
	if (run.end_mm != to[run.count - 1].end_mm) {
		put(&run, run.end_mm, false); /* the line ends with a jump: its last chainage */
	}
	map.count = run.count;
	return line_map_check(&map, why) ? map.count : 0;
}
