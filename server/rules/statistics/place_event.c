#include "rules/statistics/place_event.h"

#include <stdlib.h>

static int by_day(const void *left, const void *right)
{
	const struct place_failure *a = left, *b = right;

	return a->day != b->day ? (a->day > b->day) - (a->day < b->day) :
		a->distance_mm != b->distance_mm ? (a->distance_mm > b->distance_mm) -
		(a->distance_mm < b->distance_mm) : (b->stolen > a->stolen) - (b->stolen < a->stolen);
}

/* The events of one day. */
static size_t add_day(const struct place_failure *failures, size_t n, int64_t window_mm,
	struct place_event *to)
{
	bool theft_seen = false;
	size_t count = 0;

	for (size_t i = 0; i < n; i++) {
		const struct place_failure *f = &failures[i];
		bool counts = f->of_rail && !(f->stolen && theft_seen);

		theft_seen = theft_seen || f->stolen;
		if (!counts) {
			continue;
		}
		if (count == 0 || f->distance_mm - to[count - 1].distance_mm > window_mm) {
			to[count++] = (struct place_event){ f->day, f->distance_mm, false };
		}
		to[count - 1].here = to[count - 1].here || f->here;
	}
	return count;
}

size_t place_events_of(struct place_failure *failures, size_t n, int64_t window_mm,
	struct place_event *to)
{
	size_t count = 0;

	if (n > 0) {
		qsort(failures, n, sizeof *failures, by_day);
	}
	for (size_t first = 0, next; first < n; first = next) {
		for (next = first; next < n && failures[next].day == failures[first].day; next++) {
		}
		count += add_day(failures + first, next - first, window_mm, to + count);
	}
	return count;
}
