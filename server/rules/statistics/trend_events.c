#include "rules/statistics/trend_events.h"

#include <math.h>

static const double TREND_P = 0.05;

static const char *const code[] = { "too_few", "none", "worse", "better" };
static const char *const title[] = { "too few failures to tell", "no trend that could not be chance",
	"getting worse", "getting better" };
const struct words trend_meaning_words = { "trend_meaning", code, title, 4 };

struct trend_events trend_events_compute(const double *at, size_t n, double end,
	enum truncation truncation)
{
	struct trend_events trend = { 0, NAN, NAN, TREND_TOO_FEW };
	double sum = 0, last = 0;

	for (size_t i = 0; i < n; i++) {
		sum += at[i];
		last = at[i] > last ? at[i] : last;
	}
	trend.counted = n;
	if (truncation == TRUNCATED_BY_FAILURE && n > 0) {
		end = last;
		sum -= last;
		trend.counted--;
	}
	if (trend.counted < 2 || !(end > 0)) {
		return trend;
	}
	trend.u = (sum / (double)trend.counted - end / 2) / (end / sqrt(12 * (double)trend.counted));
	trend.p = erfc(fabs(trend.u) / sqrt(2));
	trend.meaning = trend.p > TREND_P ? TREND_NONE : trend.u > 0 ? TREND_WORSE : TREND_BETTER;
	return trend;
}
