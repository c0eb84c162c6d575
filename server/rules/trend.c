#include "rules/trend.h"

#include <math.h>

#include "base/day.h"
#include "rules/student.h"
#include "rules/theil_sen.h"

static const char *const lack_code[] = {
	"complete", "too_few", "too_short", "not_rising", "no_limit", "crossed", "far"
};
static const char *const lack_title[] = {
	"forecast given", "fewer than 3 readings", "readings over fewer than 180 days",
	"no rise that is proven at 95 %", "no limit to cross",
	"the fitted line is already at or over the limit", "later than a hundred years"
};
const struct words trend_lack_words = { "trend_lack", lack_code, lack_title, 7 };

/*
 * The last reading set apart. Least squares is linear in its value: with u, how far it lies above
 * the line of the others, the fitted value on a day is theirs + u * weight, and the sum of squared
 * residuals theirs + free * u * u. So what another last reading would have given needs no new fit.
 */
struct last {
	double u;
	double free;                  /* 1 - leverage; 0: the others are all on one day */
	double weight_per_day;        /* of u in the slope */
	double others_sse;            /* squared residuals of the others about their own line */
};

double trend_at(const struct trend *trend, double day)
{
	return trend->at_mean + trend->slope_per_day * (day - trend->mean_day);
}

static double widening(const struct trend *t, double day)
{
	double from_mean = day - t->mean_day;

	return sqrt(1 + 1 / (double)t->n + from_mean * from_mean / t->sxx);
}

double trend_half_band(const struct trend *trend, double day)
{
	return trend->t95_two_sided * trend->s * widening(trend, day);
}

/* Means first, and again of what is left: equal values then deviate by nothing at all. */
static void means(const struct trend_point *points, size_t n, double *day, double *value)
{
	double days = 0, values = 0, left = 0;

	for (size_t i = 0; i < n; i++) {
		days += points[i].day - points[0].day;
		values += points[i].value;
	}
	*day = points[0].day + days / (double)n;
	*value = values / (double)n;
	for (size_t i = 0; i < n; i++) {
		left += points[i].value - *value;
	}
	*value += left / (double)n;
}

void trend_fit(const struct trend_point *points, size_t n, struct trend *to)
{
	double sxx = 0, sxy = 0, syy = 0, sse = 0;

	to->n = n;
	means(points, n, &to->mean_day, &to->at_mean);
	for (size_t i = 0; i < n; i++) {
		double x = points[i].day - to->mean_day, y = points[i].value - to->at_mean;

		sxx += x * x;
		sxy += x * y;
		syy += y * y;
	}
	to->sxx = sxx;
	to->slope_per_day = sxy / sxx;
	for (size_t i = 0; i < n; i++) {
		double x = points[i].day - to->mean_day, y = points[i].value - to->at_mean;
		double residual = y - to->slope_per_day * x;

		sse += residual * residual;
	}
	to->s = sqrt(sse / (double)(n - 2));
	to->slope_se = to->s / sqrt(sxx);
	to->r2 = syy > 0 ? 1 - sse / syy : NAN;
	to->t95_two_sided = student_t_975(n - 2);
}

static struct last last_of(const struct trend_point *points, const struct trend *t)
{
	size_t n = t->n, at = n - 1;
	double from_mean = t->last_day - t->mean_day;
	struct last last = { .weight_per_day = from_mean / t->sxx };

	for (size_t i = n - 1; i > 0 && points[i - 1].day == t->last_day; i--) {
		at = points[i - 1].value > points[at].value ? i - 1 : at;
	}
	if (points[n - 2].day == points[0].day) {
		return last;
	}
	last.free = 1 - 1 / (double)n - from_mean * last.weight_per_day;
	last.u = (points[at].value - trend_at(t, t->last_day)) / last.free;
	for (size_t i = 0; i < n; i++) {
		double weight = 1 / (double)n + last.weight_per_day * (points[i].day - t->mean_day);
		double residual = points[i].value - (trend_at(t, points[i].day) - last.u * weight);

		last.others_sse += i == at ? 0 : residual * residual;
	}
	return last;
}

/*
 * Positive at 95 %: slope * sqrt(sxx) - t95 * s >= 0. Over u that is a straight line less a convex
 * curve: it rises to one top and then falls, unless it rises for ever. Right of the top, the top
 * decides (*held).
 */
static bool proven(const struct trend *t, const struct last *last, bool *held)
{
	double t95 = student_t_95(t->n - 2), root = sqrt(t->sxx), df = (double)(t->n - 2);
	double gain = root * last->weight_per_day * sqrt(df);
	double loss = t95 * t95 * last->free - gain * gain;
	double top, slope, s;

	if (!(t->slope_per_day > 0)) {
		return false;
	}
	if (t->slope_per_day * root >= t95 * t->s) {
		return true;
	}
	if (!(last->free > 0) || !(loss > 0)) {
		return false;
	}
	top = gain * sqrt(last->others_sse / (last->free * loss));
	slope = t->slope_per_day - last->weight_per_day * (last->u - top);
	s = sqrt((last->others_sse + last->free * top * top) / df);
	/* level but for rounding is level: two equal readings and a higher one are no trend */
	*held = last->u > top && slope > 1e-9 * t->slope_per_day && slope * root >= t95 * s;
	return *held;
}

static double upper(const struct trend *t, double day)
{
	return trend_at(t, day) + trend_half_band(t, day);
}

/* The lowest upper prediction limit on a day that this last reading or any higher one would give.
 * Over u it is a straight line plus a convex curve, with its bottom at or left of u = 0. */
static double least_upper(const struct trend *t, const struct last *last, double day)
{
	double weight, band, gain, bottom;

	if (!(last->u < 0)) {
		return upper(t, day);
	}
	weight = 1 / (double)t->n + last->weight_per_day * (day - t->mean_day);
	band = t->t95_two_sided * widening(t, day) / sqrt((double)(t->n - 2));
	gain = band * band * last->free - weight * weight;
	bottom = gain > 0 ? -weight * sqrt(last->others_sse / (last->free * gain)) : -INFINITY;
	if (last->u >= bottom) {
		return upper(t, day);
	}
	return trend_at(t, day) + (bottom - last->u) * weight +
		band * sqrt(last->others_sse + last->free * bottom * bottom);
}

/* The first day after the last reading's on which the limit is reached; it is, on day `by`.
 * The upper limit of a rising line only rises after the mean day. */
static int32_t early(const struct trend *t, const struct last *last, double limit, int32_t by)
{
	int32_t below = t->last_day, reached = by;

	if (least_upper(t, last, below + 1) >= limit) {
		return below + 1;
	}
	while (reached - below > 1) {
		int32_t middle = below + (reached - below) / 2;

		if (least_upper(t, last, middle) >= limit) {
			reached = middle;
		} else {
			below = middle;
		}
	}
	return reached;
}

/* The first day on which a rising line is at or over a limit that it is under on the last day. */
static int32_t crosses(const struct trend *t, double limit)
{
	double day = ceil(t->mean_day + (limit - t->at_mean) / t->slope_per_day);

	/* the division may have rounded over a whole day */
	day += trend_at(t, day) < limit;
	day -= trend_at(t, day - 1) >= limit;
	return day <= (double)t->last_day + TREND_FAR_DAYS ? (int32_t)day : DAY_NONE;
}

static enum trend_lack forecast(const struct trend_point *points, double limit, struct trend *to)
{
	struct last last = last_of(points, to);
	int32_t far = to->last_day + TREND_FAR_DAYS;
	bool held = false;

	if (trend_at(to, to->last_day) >= limit) {
		return TREND_CROSSED;
	}
	if (!proven(to, &last, &held)) {
		return TREND_NOT_RISING;
	}
	if (!isfinite(limit)) {
		return TREND_NO_LIMIT;
	}
	if (least_upper(to, &last, far) < limit) {
		return TREND_FAR;
	}
	to->crosses_day = crosses(to, limit);
	to->early_day = early(to, &last, limit, to->crosses_day != DAY_NONE ? to->crosses_day : far);
	to->held = held || (to->early_day > to->last_day + 1 &&
		upper(to, to->early_day - 1) >= limit);
	return TREND_COMPLETE;
}

void trend_compute(const struct trend_point *points, size_t n, double limit, struct trend *to)
{
	*to = (struct trend){ .n = n, .first_day = DAY_NONE, .last_day = DAY_NONE,
		.slope_per_day = NAN, .slope_se = NAN, .at_mean = NAN, .mean_day = NAN, .sxx = NAN,
		.s = NAN, .r2 = NAN, .t95_two_sided = NAN, .theil_sen_per_day = NAN,
		.theil_sen_at_mean = NAN, .crosses_day = DAY_NONE, .early_day = DAY_NONE };
	if (n > 0) {
		to->first_day = (int32_t)points[0].day;
		to->last_day = (int32_t)points[n - 1].day;
	}
	if (n < TREND_LEAST_POINTS) {
		to->lack = TREND_FEW_READINGS;
		return;
	}
	if (to->last_day - to->first_day < TREND_LEAST_DAYS) {
		to->lack = TREND_TOO_SHORT;
		return;
	}
	to->fitted = true;
	trend_fit(points, n, to);
	theil_sen(points, n, to->mean_day, &to->theil_sen_per_day, &to->theil_sen_at_mean);
	to->lack = forecast(points, limit, to);
}
