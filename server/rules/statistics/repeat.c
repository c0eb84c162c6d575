#include "rules/statistics/repeat.h"

#include <stdlib.h>

#include "base/day.h"

/*
 * The best window whose right end is at a given position is found by sliding along the days. Its
 * rank (more failures, shorter, lower, earlier) can only fall while failures are taken away
 * elsewhere, so a heap of all right ends, each with the last known rank, gives the best of all
 * with few of them computed again.
 *
 * The failures of a window must come in the order of days without being sorted each time: they are
 * sorted once within tiles of the window's length, of which a window touches at most two.
 */

struct spot {
	int64_t distance_mm;
	int32_t day;
	int32_t end_day;      /* first day after the period that begins here */
	int64_t id;
	size_t index;         /* in the caller's failures */
	bool taken;           /* by a place */
};

struct dated {
	int32_t day;
	size_t spot;
};

/* A right end, and the last known rank of its best window. */
struct edge {
	size_t last;          /* the last spot at this position */
	size_t tile;
	size_t count;
	uint64_t span_mm;
};

struct work {
	struct spot *spots;   /* by position, day, id */
	struct dated *dated;  /* by day within each tile */
	size_t *tiles;        /* first spot of each, and n at the end */
	struct edge *heap;    /* the best on top */
	size_t edges;
	size_t *found;        /* spots of one window's length, by day */
	size_t n_found;
	size_t *lowest;       /* places in found, at rising positions */
};

static int compare(int64_t a, int64_t b)
{
	return (a > b) - (a < b);
}

static int compare_spots(const void *left, const void *right)
{
	const struct spot *a = left, *b = right;
	int by = compare(a->distance_mm, b->distance_mm);

	by = by != 0 ? by : compare(a->day, b->day);
	by = by != 0 ? by : compare(a->id, b->id);
	return by != 0 ? by : (a->index > b->index) - (a->index < b->index);
}

static int compare_dated(const void *left, const void *right)
{
	const struct dated *a = left, *b = right;
	int by = compare(a->day, b->day);

	return by != 0 ? by : (a->spot > b->spot) - (a->spot < b->spot);
}

static int compare_places(const void *left, const void *right)
{
	const struct repeat_place *a = left, *b = right;
	int by = compare(a->from_mm, b->from_mm);

	by = by != 0 ? by : compare(a->first_day, b->first_day);
	return by != 0 ? by : (a->member > b->member) - (a->member < b->member);
}

static uint64_t apart_mm(const struct spot *low, const struct spot *high)
{
	return (uint64_t)high->distance_mm - (uint64_t)low->distance_mm;
}

/* More failures, then shorter, then lower: of the same span the lower one ends lower. */
static bool better(const struct edge *a, const struct edge *b)
{
	return a->count != b->count ? a->count > b->count :
		a->span_mm != b->span_mm ? a->span_mm < b->span_mm : a->last < b->last;
}

static void sink_top(struct work *w)
{
	for (size_t at = 0, child = 1; child < w->edges; at = child, child = 2 * at + 1) {
		struct edge moved = w->heap[at];

		if (child + 1 < w->edges && better(&w->heap[child + 1], &w->heap[child])) {
			child++;
		}
		if (!better(&w->heap[child], &moved)) {
			return;
		}
		w->heap[at] = w->heap[child];
		w->heap[child] = moved;
	}
}

static void raise_last(struct work *w)
{
	for (size_t at = w->edges - 1; at > 0; at = (at - 1) / 2) {
		struct edge moved = w->heap[at];

		if (!better(&moved, &w->heap[(at - 1) / 2])) {
			return;
		}
		w->heap[at] = w->heap[(at - 1) / 2];
		w->heap[(at - 1) / 2] = moved;
	}
}

/* All spots in order, cut into tiles; each position becomes a right end, at first with the rank
 * that it could have at best: all failures within the window's length, at one position. */
static void lay_out(struct work *w, size_t n, uint64_t window_mm)
{
	size_t tiles = 0, low = 0;

	qsort(w->spots, n, sizeof *w->spots, compare_spots);
	w->edges = 0;
	for (size_t i = 0; i < n; i++) {
		if (i == 0 || apart_mm(&w->spots[w->tiles[tiles - 1]], &w->spots[i]) > window_mm) {
			w->tiles[tiles++] = i;
		}
		w->dated[i] = (struct dated){ w->spots[i].day, i };
		while (apart_mm(&w->spots[low], &w->spots[i]) > window_mm) {
			low++;
		}
		if (i + 1 == n || w->spots[i + 1].distance_mm != w->spots[i].distance_mm) {
			w->heap[w->edges++] = (struct edge){ i, tiles - 1, i + 1 - low, 0 };
			raise_last(w);
		}
	}
	w->tiles[tiles] = n;
	for (size_t t = 0; t < tiles; t++) {
		qsort(w->dated + w->tiles[t], w->tiles[t + 1] - w->tiles[t], sizeof *w->dated,
			compare_dated);
	}
}

/* Fills found with what is not taken within the window's length up to the edge, by day. */
static void gather(struct work *w, const struct edge *edge, uint64_t window_mm)
{
	size_t b = w->tiles[edge->tile], b_end = w->tiles[edge->tile + 1];
	size_t a = edge->tile > 0 ? w->tiles[edge->tile - 1] : b, a_end = b;

	w->n_found = 0;
	while (a < a_end || b < b_end) {
		bool from_a = b == b_end ||
			(a < a_end && compare_dated(&w->dated[a], &w->dated[b]) < 0);
		size_t spot = w->dated[from_a ? a++ : b++].spot;

		if (!w->spots[spot].taken && spot <= edge->last &&
			apart_mm(&w->spots[spot], &w->spots[edge->last]) <= window_mm) {
			w->found[w->n_found++] = spot;
		}
	}
}

/* Ranks the edge again by the best window that ends at it and has a failure there; count is 0
 * when there is none. Returns where in found that window begins. */
static size_t rank(struct work *w, struct edge *edge, uint64_t window_mm)
{
	const struct spot *spots = w->spots, *right = &spots[edge->last];
	size_t best_first = 0, end = 0, at_edge = 0, head = 0, tail = 0;

	gather(w, edge, window_mm);
	edge->count = 0;
	edge->span_mm = 0;
	for (size_t first = 0; first < w->n_found; first++) {
		const struct spot *start = &spots[w->found[first]];

		for (; end == first || (end < w->n_found && spots[w->found[end]].day < start->end_day);
			end++) {
			const struct spot *next = &spots[w->found[end]];

			while (tail > head &&
				spots[w->found[w->lowest[tail - 1]]].distance_mm >= next->distance_mm) {
				tail--;
			}
			w->lowest[tail++] = end;
			at_edge += next->distance_mm == right->distance_mm;
		}
		if (at_edge > 0) {
			struct edge is = { edge->last, edge->tile, end - first,
				apart_mm(&spots[w->found[w->lowest[head]]], right) };

			if (better(&is, edge)) {
				*edge = is;
				best_first = first;
			}
		}
		at_edge -= start->distance_mm == right->distance_mm;
		head += w->lowest[head] == first;
	}
	return best_first;
}

/* Makes a place of the window in found that was ranked last. */
static void take(struct work *w, const struct edge *edge, size_t first,
	struct repeat_places *places, size_t *members)
{
	struct repeat_place *place = &places->places[places->count++];
	int64_t to_mm = w->spots[edge->last].distance_mm;

	place->member = *members;
	place->count = edge->count;
	place->to_mm = to_mm;
	place->from_mm = (int64_t)((uint64_t)to_mm - edge->span_mm);
	place->first_day = w->spots[w->found[first]].day;
	place->last_day = w->spots[w->found[first + edge->count - 1]].day;
	for (size_t i = first; i < first + edge->count; i++) {
		w->spots[w->found[i]].taken = true;
		places->members[(*members)++] = w->spots[w->found[i]].index;
	}
}

static void choose(struct work *w, const struct rulebook *rulebook, struct repeat_places *places)
{
	uint64_t window_mm = (uint64_t)rulebook->repeat_window_mm;
	size_t least = rulebook->repeat_least_count > 2 ? (size_t)rulebook->repeat_least_count : 2;
	size_t members = 0;

	while (w->edges > 0 && w->heap[0].count >= least) {
		size_t last = w->heap[0].last, first = rank(w, &w->heap[0], window_mm);

		if (w->heap[0].count < least) {  /* and it will never rise again */
			w->heap[0] = w->heap[--w->edges];
			sink_top(w);
			continue;
		}
		sink_top(w);
		if (w->heap[0].last == last) {
			take(w, &w->heap[0], first, places, &members);
		}
	}
}

static bool allocate(struct work *w, size_t n)
{
	w->spots = calloc(n, sizeof *w->spots);
	w->dated = calloc(n, sizeof *w->dated);
	w->tiles = calloc(n + 1, sizeof *w->tiles);
	w->heap = calloc(n, sizeof *w->heap);
	w->found = calloc(n, sizeof *w->found);
	w->lowest = calloc(n, sizeof *w->lowest);
	return w->spots != NULL && w->dated != NULL && w->tiles != NULL && w->heap != NULL &&
		w->found != NULL && w->lowest != NULL;
}

bool repeat_find(const struct repeat_failure *failures, size_t n, const struct rulebook *rulebook,
	struct repeat_places *places)
{
	struct work w = { 0 };
	bool ok = true;

	*places = (struct repeat_places){ 0 };
	if (n < 2) {
		return true;
	}
	places->places = calloc(n / 2, sizeof *places->places);
	places->members = calloc(n, sizeof *places->members);
	ok = allocate(&w, n) && places->places != NULL && places->members != NULL;
	if (ok) {
		for (size_t i = 0; i < n; i++) {
			w.spots[i] = (struct spot){ failures[i].distance_mm, failures[i].day,
				day_add_months(failures[i].day, (int)rulebook->repeat_period_months),
				failures[i].id, i, false };
		}
		lay_out(&w, n, (uint64_t)rulebook->repeat_window_mm);
		choose(&w, rulebook, places);
		qsort(places->places, places->count, sizeof *places->places, compare_places);
	}
	free(w.lowest);
	free(w.found);
	free(w.heap);
	free(w.tiles);
	free(w.dated);
	free(w.spots);
	return ok;
}

void repeat_places_release(struct repeat_places *places)
{
	free(places->places);
	free(places->members);
	*places = (struct repeat_places){ 0 };
}

int64_t repeat_span_mm(const struct repeat_place *place)
{
	return place->to_mm - place->from_mm;
}
