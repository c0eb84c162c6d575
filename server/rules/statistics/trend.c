#include "rules/statistics/trend.h"

#include <math.h>

#include "base/day.h"
#include "rules/statistics/theil_sen.h"

static const double RISING = 3.2, PERHAPS = 2, LEAST_SHARE = 1e-4;

static const char *const line_code[] = { "all", "newest" };
static const char *const line_title[] = { "all readings", "the newest readings" };
const struct words trend_line_words = { "trend_line", line_code, line_title, TREND_LINES };

static const char *const rise_code[] = { "not_rising", "perhaps_rising", "rising" };
static const char *const rise_title[] = { "not rising", "perhaps rising", "rising" };
const struct words trend_rise_words = { "trend_rise", rise_code, rise_title, 3 };

static const char *const lack_code[] = {
	"complete", "too_few", "too_short", "not_rising", "no_limit", "over", "far", "perhaps_rising"
};
static const char *const lack_title[] = {
	"forecast given", "fewer than 3 readings", "readings over fewer than 180 days",
	"not rising by more than readings scatter", "no limit to cross",
	"the last reading is at or over the limit already", "later than a hundred years",
	"perhaps rising, which is not enough to foretell a day"
};
const struct words trend_lack_words = { "trend_lack", lack_code, lack_title, 8 };

/* What a reading varies by from one to the next, as a share of the first. */
static double scatter_share(const struct trend_facts *facts, double extra_share)
{
	double varies = sqrt(facts->temp_share * facts->temp_share +
		facts->repeat_share * facts->repeat_share + extra_share * extra_share) / 2;

	return fmax(fmax(varies, facts->scatter_share), LEAST_SHARE);
}

static void fix_scatter(const struct trend_facts *facts, struct trend_point *points, size_t n)
{
	bool drop = facts->quantity == QUANTITY_RAIL_DROP;
	double size = drop ? facts->first_equivalent_m : points[0].value;

	for (size_t i = 0; i < n; i++) {
		struct trend_point *p = &points[i];

		p->sigma = size * scatter_share(facts, p->extra_share);
		/* of a ratio of two voltages the meter's share enters twice */
		p->common = drop ? p->meter_percent / 100 * size :
			(p->meter_percent / 100 * size + p->meter_uohm) / 2;
	}
}

/* How many of the newest readings the second line has; 0: it would be the first. */
static size_t newest_count(const struct trend_point *points, size_t n)
{
	for (size_t count = TREND_NEWEST_POINTS; count < n; count++) {
		if (points[n - 1].day - points[n - count].day >= TREND_NEWEST_DAYS) {
			return count;
		}
	}
	return 0;
}

static void fit(const struct trend_facts *facts, struct trend_point *points, size_t n,
	struct trend *to)
{
	size_t newest = newest_count(points, n);
	double share = scatter_share(facts, 0);

	fix_scatter(facts, points, n);
	to->sigma_next = facts->quantity == QUANTITY_RAIL_DROP ? share * facts->first_equivalent_m :
		share * fmax(points[0].value, facts->limit);
	trend_line_fit(points, n, &to->line[TREND_OF_ALL]);
	to->lines = 1;
	if (newest > 0) {
		trend_line_fit(points + n - newest, newest, &to->line[TREND_OF_NEWEST]);
		to->lines = 2;
	}
	theil_sen(points, n, to->line[TREND_OF_ALL].mean_day, &to->theil_sen_per_day,
		&to->theil_sen_at_mean);
	to->fitted = true;
}

enum trend_rise trend_rise_of(const struct trend_line *line)
{
	double error = sqrt(line->var_slope);

	return line->slope_per_day > RISING * error ? TREND_RISING :
		line->slope_per_day > PERHAPS * error ? TREND_PERHAPS : TREND_NOT_RISING;
}

int32_t trend_far_after(const struct trend_line *line)
{
	return line->last_day + TREND_FAR_SPANS * (line->last_day - line->first_day);
}

static bool is_far(const struct trend_line *line, int32_t day)
{
	return day != DAY_NONE && day > trend_far_after(line);
}

static bool is_no_later(int32_t day, int32_t than)
{
	return day != DAY_NONE && (than == DAY_NONE || day <= than);
}

static void bound(double limit, struct trend *to)
{
	double low, high, next = (double)to->last_day + 1, far = (double)to->last_day + TREND_FAR_DAYS;

	if (to->crosses_day == DAY_NONE ||
		!trend_line_fieller(&to->line[to->crosses_line], limit, &low, &high)) {
		return;
	}
	to->crosses_low_day = low <= far ? (int32_t)floor(fmax(low, next)) : DAY_NONE;
	to->crosses_high_day = high <= far ? (int32_t)ceil(fmax(high, next)) : DAY_NONE;
}

static void foretell(double limit, struct trend *to)
{
	for (int i = 0; i < to->lines; i++) {
		const struct trend_line *line = &to->line[i];
		enum trend_rise rise = trend_rise_of(line);
		int32_t day;

		to->rise = rise > to->rise ? rise : to->rise;
		if (rise != TREND_RISING) {
			continue;
		}
		day = trend_line_reaches(line, limit, NAN);
		if (is_no_later(day, to->crosses_day)) {
			to->crosses_day = day;
			to->crosses_line = (enum trend_lines)i;
		}
		day = trend_line_reaches(line, limit, to->sigma_next);
		if (is_no_later(day, to->early_day)) {
			to->early_day = day;
			to->early_line = (enum trend_lines)i;
		}
	}
	bound(limit, to);
	to->crosses_is_far = is_far(&to->line[to->crosses_line], to->crosses_day);
	to->early_is_far = is_far(&to->line[to->early_line], to->early_day);
}

static enum trend_lack lack_of(double limit, const struct trend_point *points,
	const struct trend *t)
{
	for (size_t i = t->n; i > 0 && points[i - 1].day == t->last_day; i--) {
		if (points[i - 1].value >= limit) {
			return TREND_OVER;
		}
	}
	if (t->rise != TREND_RISING) {
		return t->rise == TREND_PERHAPS ? TREND_NO_PROOF : TREND_NO_RISE;
	}
	if (!isfinite(limit)) {
		return TREND_NO_LIMIT;
	}
	return t->early_day == DAY_NONE ? TREND_FAR : TREND_COMPLETE;
}

void trend_compute(const struct trend_facts *facts, struct trend_point *points, size_t n,
	struct trend *to)
{
	*to = (struct trend){ .n = n, .first_day = DAY_NONE, .last_day = DAY_NONE, .sigma_next = NAN,
		.theil_sen_per_day = NAN, .theil_sen_at_mean = NAN, .crosses_day = DAY_NONE,
		.early_day = DAY_NONE, .crosses_low_day = DAY_NONE,
		.crosses_high_day = DAY_NONE };
	if (n > 0) {
		to->first_day = points[0].day;
		to->last_day = points[n - 1].day;
	}
	if (n < TREND_LEAST_POINTS) {
		to->lack = TREND_FEW_READINGS;
		return;
	}
	if (to->last_day - to->first_day < TREND_LEAST_DAYS) {
		to->lack = TREND_TOO_SHORT;
		return;
	}
	fit(facts, points, n, to);
	foretell(facts->limit, to);
	to->lack = lack_of(facts->limit, points, to);
}
