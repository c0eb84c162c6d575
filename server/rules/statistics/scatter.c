#include "rules/statistics/scatter.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>

#include "rules/statistics/trend.h"

/* The unweighted line, from the mean day. */
struct plain {
	double mean_day, level, slope, spread;
};

static struct plain fit(const struct trend_point *points, size_t n)
{
	struct plain line = { 0 };

	for (size_t i = 0; i < n; i++) {
		line.mean_day += (double)(points[i].day - points[0].day) / (double)n;
		line.level += (points[i].value - points[0].value) / (double)n;
	}
	line.mean_day += points[0].day;
	line.level += points[0].value;
	for (size_t i = 0; i < n; i++) {
		double x = points[i].day - line.mean_day;

		line.spread += x * x;
		line.slope += x * (points[i].value - line.level);
	}
	line.slope /= line.spread;
	return line;
}

static double residual(const struct plain *line, const struct trend_point *p)
{
	return p->value - line->level - line->slope * (p->day - line->mean_day);
}

bool scatter_of(const struct trend_point *points, size_t n, double size, struct scatter_bond *to)
{
	struct plain line;
	double sse = 0, before = 0, lag = 0;

	*to = (struct scatter_bond){ 0 };
	if (n < TREND_LEAST_POINTS || points[n - 1].day - points[0].day < TREND_LEAST_DAYS ||
		!(size > 0)) {
		return false;
	}
	line = fit(points, n);
	for (size_t i = 0; i < n; i++) {
		double left = residual(&line, &points[i]);

		sse += left * left;
		if (i > 0) {
			lag += left * before;
			/* what the line takes of both: -(1 / n + x y / spread) */
			to->lag_independent -= 1 / (double)n + (points[i].day - line.mean_day) *
				(points[i - 1].day - line.mean_day) / line.spread;
		}
		before = left;
	}
	to->freedom = n - 2;
	to->sse_share = sse / (size * size);
	to->lag = sse > 0 ? lag / (sse / (double)to->freedom) : 0;
	return true;
}

static int by_v(const void *a, const void *b)
{
	const struct scatter_bond *one = a, *other = b;

	return (one->v > other->v) - (one->v < other->v);
}

void scatter_propose(struct scatter_bond *bonds, size_t n, struct scatter *to)
{
	size_t passed = 0, at = 0;

	*to = (struct scatter){ .bonds = n, .lag_one = NAN, .lag_one_independent = NAN };
	if (n == 0) {
		return;
	}
	to->lag_one = to->lag_one_independent = 0;
	for (size_t i = 0; i < n; i++) {
		struct scatter_bond *b = &bonds[i];

		b->v = b->sse_share / gsl_cdf_chisq_Pinv(0.5, (double)b->freedom);
		to->freedom += b->freedom;
		to->lag_one += b->lag;
		to->lag_one_independent += b->lag_independent;
	}
	to->lag_one /= (double)to->freedom;
	to->lag_one_independent /= (double)to->freedom;
	if (to->freedom < SCATTER_LEAST_FREEDOM) {
		return;
	}
	qsort(bonds, n, sizeof *bonds, by_v);
	while (2 * (passed += bonds[at].freedom) < to->freedom) {
		at++;
	}
	to->share = sqrt(bonds[at].v);
}
