#include "rules/statistics/scan.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>

/* All chances are carried as -log P(fewer than k everywhere): small ones keep their digits. */

static double at_least_0(double x)
{
	return x > 0 ? x : 0;
}

static double unlikely_1d(double rate, double window, double range, unsigned k)
{
	double mean = rate * window;

	if (k == 0 || !(mean > 0)) {
		return k == 0 ? INFINITY : 0;
	}
	return -log1p(-gsl_cdf_poisson_Q(k - 1, mean)) + at_least_0(1 - mean / k) * rate *
		(range - window) * gsl_ran_poisson_pdf(k - 1, mean);
}

/* swept[0] is the length swept, strip[0] the range of the strip; [1] their windows. */
static double unlikely_2d(double rate, const double swept[2], const double strip[2], unsigned k)
{
	double a = swept[1], b = strip[1], u = b / strip[0];
	double here = unlikely_1d(rate * a, b, strip[0], k);
	double one_less, f;

	if (k <= 1) {
		return k == 0 ? INFINITY : rate * swept[0] * strip[0];
	}
	one_less = unlikely_1d(rate * a, b, strip[0], k - 1);
	f = (k - (k - 1) * u) / ((k - 1) - (k - 2) * u);
	return here + at_least_0(1 - rate * a * b / k) * rate * b * f * (swept[0] - a) *
		exp(-here) * -expm1(here - one_less);
}

static double lesser(double a, double b)
{
	return a < b ? a : b;
}

double scan_chance_1d(double rate, double window, double range, size_t least)
{
	return -expm1(-unlikely_1d(rate, lesser(window, range), range, (unsigned)least));
}

/* The strip lies along the side that has fewer windows: over many the chance of one less than k
 * in the strip says too little about how often a k is made. */
static double unlikely(double rate, const double window[2], const double range[2], unsigned k)
{
	const double first[2] = { range[0], lesser(window[0], range[0]) };
	const double second[2] = { range[1], lesser(window[1], range[1]) };

	return first[0] / first[1] > second[0] / second[1] ? unlikely_2d(rate, first, second, k) :
		unlikely_2d(rate, second, first, k);
}

double scan_chance_2d(double rate, const double window[2], const double range[2], size_t least)
{
	return -expm1(-unlikely(rate, window, range, (unsigned)least));
}

double scan_chance_pieces(size_t failures, const int64_t *pieces_mm, size_t n, int64_t window_mm,
	double time_days, double period_days, size_t least)
{
	const double window[2] = { (double)window_mm, period_days };
	double length_mm = 0, sum = 0;

	for (size_t i = 0; i < n; i++) {
		length_mm += (double)pieces_mm[i];
	}
	for (size_t i = 0; i < n; i++) {
		const double range[2] = { (double)pieces_mm[i], time_days };

		sum += unlikely((double)failures / (length_mm * time_days), window, range,
			(unsigned)least);
	}
	return -expm1(-sum);
}

size_t scan_pieces(const int64_t *at_mm, size_t n, int64_t window_mm, int64_t *pieces_mm)
{
	size_t count = 0;

	for (size_t i = 0; i < n; i++) {
		if (i > 0 && at_mm[i] - at_mm[i - 1] <= window_mm) {
			pieces_mm[count - 1] += at_mm[i] - at_mm[i - 1];
		} else {
			pieces_mm[count++] = window_mm;
		}
	}
	return count;
}
