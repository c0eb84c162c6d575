#include "service/report/explain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "rules/place/line_map.h"
#include "rules/statistics/scan.h"
#include "store/kept/repeat_facts.h"

/* Below these the bonds known are not where failures can be: the log brought most of them. */
enum { BOND_ENDS_LEAST = 10 };
static const double DAYS_OF_MONTH = 365.2425 / 12;

/* The line on which failures can fall, in pieces that no window joins. */
struct ground {
	int64_t *pieces_mm;
	size_t n;
	int64_t length_mm;
	char words[160];
};

/* The length of the map in force; 0 when it is not bounded. */
static bool map_length(struct view *view, const struct failure_group *group, int64_t *length_mm,
	struct problem *why)
{
	const struct line_map *map = store_map_get(view->store, group->line_id, group->track_id, why);
	const struct map_stretch *last;

	*length_mm = 0;
	if (map != NULL && map->count > 0) {
		last = &map->stretches[map->count - 1];
		*length_mm = last->distance_mm + last->end_mm - last->start_mm -
			map->stretches[0].distance_mm;
	}
	return map != NULL;
}

/* One piece: the map, or else from the first to the last position known. */
static void take_whole(struct ground *to, const int64_t *at_mm, size_t count, int64_t map_mm,
	int64_t window_mm)
{
	to->n = count > 0 ? 1 : 0;
	to->length_mm = map_mm > 0 || count == 0 ? map_mm : at_mm[count - 1] - at_mm[0] + window_mm;
	to->pieces_mm[0] = to->length_mm;
	snprintf(to->words, sizeof to->words, "%.3g km %s", (double)to->length_mm / 1e6, map_mm > 0 ?
		"of the line's map" : "from the first to the last failure or bond known");
}

static void take_pieces(struct ground *to, const int64_t *at_mm, size_t count, size_t ends,
	int64_t window_mm)
{
	to->n = scan_pieces(at_mm, count, window_mm, to->pieces_mm);
	for (size_t i = 0; i < to->n; i++) {
		to->length_mm += to->pieces_mm[i];
	}
	snprintf(to->words, sizeof to->words, "%.3g km that lie within reach of its %zu bond ends",
		(double)to->length_mm / 1e6, ends);
}

static bool find_ground(struct view *view, const struct failure_group *group, struct ground *to,
	struct problem *why)
{
	int64_t *at_mm = NULL, map_mm;
	size_t count = 0, ends = 0;
	bool ok = store_group_positions(view->store, group, &at_mm, &count, &ends, why) &&
		map_length(view, group, &map_mm, why);

	to->pieces_mm = ok ? calloc(count + 1, sizeof *to->pieces_mm) : NULL;
	if (ok && to->pieces_mm == NULL) {
		ok = problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (ok && ends >= BOND_ENDS_LEAST) {
		take_pieces(to, at_mm, count, ends, view->rulebook->repeat_window_mm);
	} else if (ok) {
		take_whole(to, at_mm, count, map_mm, view->rulebook->repeat_window_mm);
	}
	free(at_mm);
	return ok;
}

static void say_scan(const struct view *view, const struct repeat_row *place,
	const struct ground *ground, struct explained *to)
{
	char odds[80];

	explain_odds(to->scan_chance, odds, sizeof odds);
	snprintf(to->scan_words, sizeof to->scan_words, "%s. If as many failures fell by chance, %s "
		"such lines would show %lld or more within %g m and %lld months somewhere. Reckoned with "
		"%lld failures in %.3g years on the %s.", to->scan_chance <= 0.05 ? "Hardly chance" :
		"This may be chance", odds, (long long)place->failures,
		(double)view->rulebook->repeat_window_mm / 1000,
		(long long)view->rulebook->repeat_period_months, (long long)to->scan_failures,
		to->scan_days / 365.2425, ground->words);
}

bool explain_scan(struct view *view, const struct repeat_row *place, struct explained *to,
	struct problem *why)
{
	struct ground ground = { 0 };
	struct repeat_failure *failures = NULL;
	size_t n = 0;
	int32_t first_day = DAY_NONE;
	bool ok = store_line_first_day(view->store, place->group.line_id, &first_day, why) &&
		store_group_failures(view->store, &place->group, &failures, &n, why) &&
		find_ground(view, &place->group, &ground, why);

	if (ok) {
		to->scan_failures = (int64_t)n;
		to->scan_length_mm = ground.length_mm;
		to->scan_days = first_day < view->today ? view->today - first_day : 1;
		to->scan_chance = ground.n == 0 ? NAN : scan_chance_pieces(n, ground.pieces_mm, ground.n,
			view->rulebook->repeat_window_mm, to->scan_days,
			(double)view->rulebook->repeat_period_months * DAYS_OF_MONTH, (size_t)place->failures);
		if (ground.n > 0) {
			say_scan(view, place, &ground, to);
		}
	}
	free(ground.pieces_mm);
	free(failures);
	return ok;
}
