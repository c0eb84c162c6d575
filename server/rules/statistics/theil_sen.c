#include "rules/statistics/theil_sen.h"

#include "rules/statistics/trend_line.h"

enum { PAIRS = THEIL_SEN_MOST * (THEIL_SEN_MOST - 1) / 2, FEW = 16 };

static void sort(double *v, size_t n)
{
	for (size_t i = 1; i < n; i++) {
		double moved = v[i];
		size_t at = i;

		for (; at > 0 && v[at - 1] > moved; at--) {
			v[at] = v[at - 1];
		}
		v[at] = moved;
	}
}

/* Moves what is less than the pivot (or equal, too) to the front; how many that are. Without a
 * branch on a value, which no processor could foresee: three times as fast. */
static size_t part(double *v, size_t n, double pivot, bool equal_too)
{
	size_t front = 0;

	for (size_t i = 0; i < n; i++) {
		double moved = v[i];

		v[i] = v[front];
		v[front] = moved;
		front += (size_t)((moved < pivot) | (equal_too & (moved == pivot)));
	}
	return front;
}

/* Afterwards v[k] is where sorting would put it, nothing before it is greater and nothing behind it
 * less. */
static void select_kth(double *v, size_t n, size_t k)
{
	while (n > FEW) {
		double pivot = v[n / 2];
		size_t front = part(v, n, pivot, false);

		if (k < front) {
			n = front;
			continue;
		}
		if (front == 0) {
			front = part(v, n, pivot, true);
			if (k < front || front == 0) {
				return;
			}
		}
		v += front;
		n -= front;
		k -= front;
	}
	sort(v, n);
}

static double median(double *v, size_t n)
{
	size_t k = n / 2;
	double below;

	select_kth(v, n, k);
	if (n % 2 == 1) {
		return v[k];
	}
	below = v[0];
	for (size_t i = 1; i < k; i++) {
		below = v[i] > below ? v[i] : below;
	}
	return (below + v[k]) / 2;
}

bool theil_sen(const struct trend_point *points, size_t n, double on_day, double *slope,
	double *value)
{
	double v[PAIRS], middle_day;
	size_t pairs = 0;

	if (n > THEIL_SEN_MOST) {
		points += n - THEIL_SEN_MOST;
		n = THEIL_SEN_MOST;
	}
	for (size_t i = 0; i < n; i++) {
		for (size_t j = i + 1; j < n; j++) {
			int32_t days = points[j].day - points[i].day;

			if (days > 0) {
				v[pairs++] = (points[j].value - points[i].value) / days;
			}
		}
	}
	if (pairs == 0) {
		return false;
	}
	*slope = median(v, pairs);
	for (size_t i = 0; i < n; i++) {
		v[i] = points[i].value;
	}
	middle_day = n % 2 == 1 ? points[n / 2].day :
		(points[n / 2 - 1].day + points[n / 2].day) / 2.0;
	*value = median(v, n) + *slope * (on_day - middle_day);
	return true;
}
