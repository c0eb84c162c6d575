#include "rules/statistics/trend_line.h"

#include <math.h>

#include "base/day.h"

/* "1.96": of the normal distribution, 0.975 */
static const double TWO_SIDED_95 = 1.959963984540054;

static double weight(const struct trend_point *p)
{
	return 1 / (p->sigma * p->sigma);
}

static bool is_first_of_its_meter(const struct trend_point *points, size_t i)
{
	for (size_t j = 0; j < i; j++) {
		if (points[j].meter == points[i].meter) {
			return false;
		}
	}
	return true;
}

/* What the readings of each meter have in common. */
static void add_common(const struct trend_point *points, double sum, double spread,
	struct trend_line *to)
{
	for (size_t i = 0; i < to->n; i++) {
		double level = 0, slope = 0;

		if (!is_first_of_its_meter(points, i)) {
			continue;
		}
		for (size_t j = i; j < to->n; j++) {
			double moved = weight(&points[j]) * points[j].common;

			if (points[j].meter == points[i].meter) {
				level += moved / sum;
				slope += moved * (points[j].day - to->mean_day) / spread;
			}
		}
		to->var_level += level * level;
		to->cov += level * slope;
		to->var_slope += slope * slope;
	}
}

void trend_line_fit(const struct trend_point *points, size_t n, struct trend_line *to)
{
	const struct trend_point *first = &points[0];
	double sum = 0, days = 0, spread = 0, off = 0, level = 0, slope = 0;

	*to = (struct trend_line){ .n = n, .first_day = first->day, .last_day = points[n - 1].day };
	for (size_t i = 0; i < n; i++) {
		sum += weight(&points[i]);
		days += weight(&points[i]) * (points[i].day - first->day);
	}
	to->mean_day = first->day + days / sum;
	for (size_t i = 0; i < n; i++) {
		double x = points[i].day - to->mean_day;

		spread += weight(&points[i]) * x * x;
		off += weight(&points[i]) * x;
	}
	/* from the first value, so that equal ones deviate by nothing; and each term, and so the sum,
	 * rises with its value */
	for (size_t i = 0; i < n; i++) {
		double risen = points[i].value - first->value;

		level += weight(&points[i]) / sum * risen;
		slope += weight(&points[i]) * (points[i].day - to->mean_day) / spread * risen;
	}
	to->level = first->value + level;
	to->slope_per_day = slope;
	to->var_level = 1 / sum;
	to->cov = off / (sum * spread);
	to->var_slope = 1 / spread;
	add_common(points, sum, spread, to);
}

double trend_line_at(const struct trend_line *line, double day)
{
	return line->level + line->slope_per_day * (day - line->mean_day);
}

double trend_line_half_band(const struct trend_line *line, double sigma_next, double day)
{
	double x = day - line->mean_day;

	return TWO_SIDED_95 * sqrt(line->var_level + 2 * line->cov * x + line->var_slope * x * x +
		sigma_next * sigma_next);
}

static bool is_reached(const struct trend_line *line, double limit, double sigma_next, int32_t day)
{
	double band = isnan(sigma_next) ? 0 : trend_line_half_band(line, sigma_next, day);

	return trend_line_at(line, day) + band >= limit;
}

int32_t trend_line_reaches(const struct trend_line *line, double limit, double sigma_next)
{
	int32_t below = line->last_day, reached = below + TREND_FAR_DAYS;

	if (!is_reached(line, limit, sigma_next, reached)) {
		return DAY_NONE;
	}
	while (reached - below > 1) {
		int32_t middle = below + (reached - below) / 2;

		if (is_reached(line, limit, sigma_next, middle)) {
			reached = middle;
		} else {
			below = middle;
		}
	}
	return reached;
}

bool trend_line_fieller(const struct trend_line *line, double limit, double *low, double *high)
{
	double k2 = TWO_SIDED_95 * TWO_SIDED_95, under = line->level - limit;
	/* a x² + 2 b x + c = 0 in x = day - mean day */
	double a = line->slope_per_day * line->slope_per_day - k2 * line->var_slope;
	double b = line->slope_per_day * under - k2 * line->cov;
	double c = under * under - k2 * line->var_level;
	double root = sqrt(fmax(b * b - a * c, 0));

	if (!(line->slope_per_day > 0 && a > 0) || !isfinite(limit)) {
		return false;
	}
	*low = line->mean_day + (-b - root) / a;
	*high = line->mean_day + (-b + root) / a;
	return true;
}
