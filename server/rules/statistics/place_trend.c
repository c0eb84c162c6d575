#include "rules/statistics/place_trend.h"

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>
#include <stdlib.h>

enum { KEPT = 9999, KEPT_LEAST = 999, NUMBERS_MOST = 20000000, EXACT_MOST = 20 };
static const double TREND_P = 0.05;

static const char *const code[] = { "too_few", "none", "worse", "better" };
static const char *const title[] = { "too few failures to tell",
	"no trend that could not be chance", "getting worse", "getting better" };
const struct words trend_meaning_words = { "trend_meaning", code, title, 4 };

double place_mean_chance(size_t n, double mean)
{
	double x = (double)n * (0.5 - fabs(mean - 0.5)), sum = 0;

	if (n > EXACT_MOST) {
		return erfc(fabs(mean - 0.5) * sqrt(6 * (double)n));
	}
	for (unsigned k = 0; k <= n && k < x; k++) {
		sum += (k % 2 == 0 ? 1 : -1) * gsl_sf_choose((unsigned)n, k) * pow(x - k, (double)n);
	}
	return fmin(1, 2 * sum / gsl_sf_fact((unsigned)n));
}

static int rising(const void *left, const void *right)
{
	const double *a = left, *b = right;

	return (*a > *b) - (*a < *b);
}

/* Of n numbers in 0 to 1 whether `least` lie within one period (which is open at its end). */
static bool is_picked(double *t, size_t n, double period, size_t least)
{
	qsort(t, n, sizeof *t, rising);
	for (size_t i = 0; i + least <= n; i++) {
		if (t[i + least - 1] - t[i] < period) {
			return true;
		}
	}
	return false;
}

/* NAN: too few of the tries were kept, or out of memory. */
static double simulate(size_t n, double mean, double period, size_t least, unsigned long seed)
{
	gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
	double *t = calloc(n, sizeof *t);
	double far = fabs(mean - 0.5) * (1 - 1e-12);
	size_t kept = 0, farther = 0;

	if (random != NULL && t != NULL) {
		gsl_rng_set(random, seed);
		for (size_t tries = 0; kept < KEPT && tries < NUMBERS_MOST / n; tries++) {
			double sum = 0;

			for (size_t i = 0; i < n; i++) {
				t[i] = gsl_rng_uniform(random);
				sum += t[i];
			}
			if (is_picked(t, n, period, least)) {
				kept++;
				farther += fabs(sum / (double)n - 0.5) >= far;
			}
		}
	}
	free(t);
	gsl_rng_free(random);
	return kept >= KEPT_LEAST ? (double)(farther + 1) / (double)(kept + 1) : NAN;
}

struct place_trend place_trend_compute(const double *at, size_t n, double total, double period,
	size_t least, unsigned long seed)
{
	struct place_trend trend = { n, NAN, NAN, TREND_TOO_FEW };
	double mean = 0;

	if (n < 2 || !(total > 0)) {
		return trend;
	}
	for (size_t i = 0; i < n; i++) {
		mean += at[i] / total / (double)n;
	}
	trend.u = (mean - 0.5) * sqrt(12 * (double)n);
	trend.p = total <= period || (double)n > (double)(least - 1) * ceil(total / period) ?
		place_mean_chance(n, mean) : simulate(n, mean, period / total, least, seed);
	if (n >= PLACE_TREND_LEAST && !isnan(trend.p)) {
		trend.meaning = trend.p > TREND_P ? TREND_NONE : trend.u > 0 ? TREND_WORSE : TREND_BETTER;
	}
	return trend;
}
