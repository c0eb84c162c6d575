#include "rules/statistics/place_chance.h"

#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>

enum { DRAWS = 9999, DRAWS_LEAST = 999, EVENTS_MANY = 100 };
static const double BOUND_TOLD = 0.001;

double place_sets_fit(const struct place_ends *ends, int64_t window_mm, size_t k)
{
	double m = (double)ends->n, sum = 0;
	size_t after = 0;

	for (size_t i = 0; i < ends->n;) {
		size_t next = i;
		double within, others;

		while (next < ends->n && ends->at_mm[next] == ends->at_mm[i]) {
			next++;
		}
		while (after < ends->n && ends->at_mm[after] - ends->at_mm[i] <= window_mm) {
			after++;
		}
		within = (double)(after - i);
		others = (double)(after - next);
		sum += pow(within / m, (double)k) - pow(others / m, (double)k);
		i = next;
	}
	return sum;
}

static double choose(size_t n, size_t k)
{
	double ways = n >= k ? 1 : 0;

	for (size_t i = 0; i < k && n >= k; i++) {
		ways *= (double)(n - i) / (double)(i + 1);
	}
	return ways;
}

double place_sets(const struct place_events *events, size_t k)
{
	double sum = 0;
	size_t end = 0;

	for (size_t i = 0; i < events->n; i++) {
		while (end < events->n && events->day[end] < events->end_day[i]) {
			end++;
		}
		sum += choose(end - i - 1, k - 1);
	}
	return sum;
}

/* An event that fell on an end. Events are numbered by their days. */
struct fallen {
	size_t end, event;
};

static int by_end(const void *left, const void *right)
{
	const struct fallen *a = left, *b = right;

	return a->end != b->end ? (a->end > b->end) - (a->end < b->end) :
		(a->event > b->event) - (a->event < b->event);
}

static int by_event(const void *left, const void *right)
{
	const size_t *a = left, *b = right;

	return (*a > *b) - (*a < *b);
}

/* Whether k of the events of one window lie in one period. */
static bool period_holds(const struct place_events *events, size_t *window, size_t n, size_t k)
{
	size_t end = 0;

	qsort(window, n, sizeof *window, by_event);
	for (size_t i = 0; i + k <= n; i++) {
		while (end < n && events->day[window[end]] < events->end_day[window[i]]) {
			end++;
		}
		if (end - i >= k) {
			return true;
		}
	}
	return false;
}

/* Whether there is a window, with its lowest event at its beginning, and a period with k. */
static bool there_is_one(const struct place_ends *ends, int64_t window_mm,
	const struct place_events *events, size_t k, const struct fallen *fallen, size_t *window)
{
	size_t after = 0;

	for (size_t i = 0; i + k <= events->n; i++) {
		while (after < events->n &&
			ends->at_mm[fallen[after].end] - ends->at_mm[fallen[i].end] <= window_mm) {
			after++;
		}
		if (after - i < k) {
			continue;
		}
		for (size_t j = i; j < after; j++) {
			window[j - i] = fallen[j].event;
		}
		if (period_holds(events, window, after - i, k)) {
			return true;
		}
	}
	return false;
}

static bool simulate(const struct place_ends *ends, int64_t window_mm,
	const struct place_events *events, size_t k, unsigned long seed, struct place_chance *to)
{
	size_t draws = events->n > EVENTS_MANY ? (size_t)DRAWS * EVENTS_MANY / events->n : DRAWS;
	struct fallen *fallen = calloc(events->n, sizeof *fallen);
	size_t *window = calloc(events->n, sizeof *window);
	gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
	bool ok = fallen != NULL && window != NULL && random != NULL;
	size_t found = 0;

	draws = draws > DRAWS_LEAST ? draws : DRAWS_LEAST;
	if (ok) {
		gsl_rng_set(random, seed);
	}
	for (size_t draw = 0; ok && draw < draws; draw++) {
		for (size_t i = 0; i < events->n; i++) {
			fallen[i] = (struct fallen){ gsl_rng_uniform_int(random, ends->n), i };
		}
		qsort(fallen, events->n, sizeof *fallen, by_end);
		found += there_is_one(ends, window_mm, events, k, fallen, window);
	}
	to->p = (double)(found + 1) / (double)(draws + 1);
	to->error = sqrt(to->p * (1 - to->p) / (double)draws);
	free(fallen);
	free(window);
	gsl_rng_free(random);
	return ok;
}

bool place_chance(const struct place_ends *ends, int64_t window_mm,
	const struct place_events *events, size_t k, unsigned long seed, struct place_chance *to)
{
	double expected = place_sets(events, k) * place_sets_fit(ends, window_mm, k);

	*to = (struct place_chance){ expected, true, 0 };
	if (expected < BOUND_TOLD) {
		return true;
	}
	to->is_bound = false;
	return simulate(ends, window_mm, events, k, seed, to);
}

double place_chance_of_rails(double p, size_t rails)
{
	return p < 1 ? -expm1((double)rails * log1p(-p)) : 1;
}
