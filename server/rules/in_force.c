#include "rules/in_force.h"

/* Of two that hold on a day, whether a gives way to b. */
static bool gives_way(const struct rulebook_dated *a, const struct rulebook_dated *b)
{
	return a->from_day != b->from_day ? a->from_day < b->from_day : a->version < b->version;
}

int rulebook_on(const struct rulebook_dated *all, size_t n, int32_t day)
{
	int on = -1;

	for (size_t i = 0; i < n; i++) {
		if (!all[i].withdrawn && all[i].from_day <= day &&
			(on < 0 || gives_way(&all[on], &all[i]))) {
			on = (int)i;
		}
	}
	return on;
}

/* The next after one (-1: the first) in the order in which they give way; -1: that was the last. */
static int next_of(const struct rulebook_dated *all, size_t n, int after)
{
	int next = -1;

	for (size_t i = 0; i < n; i++) {
		if (!all[i].withdrawn && (after < 0 || gives_way(&all[after], &all[i])) &&
			(next < 0 || gives_way(&all[i], &all[next]))) {
			next = (int)i;
		}
	}
	return next;
}

size_t rulebook_spans(const struct rulebook_dated *all, size_t n, struct rulebook_span *spans,
	int *of)
{
	size_t count = 0;

	for (int at = next_of(all, n, -1); at >= 0;) {
		int after = next_of(all, n, at);
		bool replaced = after >= 0 && all[after].from_day == all[at].from_day;

		if (!replaced || all[after].adopted_day >= all[at].from_day) {
			spans[count] = (struct rulebook_span){ .from_day = all[at].from_day,
				.to_day = after < 0 ? INT32_MAX : replaced ? all[at].from_day :
				all[after].from_day - 1 };
			of[count++] = at;
		}
		at = after;
	}
	return count;
}

size_t rulebook_spans_until(const struct rulebook_span *spans, size_t n, int32_t day)
{
	while (n > 0 && spans[n - 1].from_day > day) {
		n--;
	}
	return n;
}

size_t rulebook_spans_since(const struct rulebook_span *spans, size_t n, int32_t day)
{
	size_t first = 0;

	while (first < n && spans[first].to_day < day) {
		first++;
	}
	return first;
}
