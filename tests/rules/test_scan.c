#include <math.h>
#include <stdint.h>
#include <stdio.h>

#include "case.h"
#include "rules/statistics/scan.h"

/* ---- a plain simulation, written from the definition ---- */

/* more than 300 points do not happen at these rates */
enum { POINTS = 300, MOST = 32, RUNS = 20000 };

/* xorshift64*: the same runs every time */
static double next_uniform(uint64_t *state)
{
	*state ^= *state >> 12;
	*state ^= *state << 25;
	*state ^= *state >> 27;
	return ((double)((*state * 2685821657736338717u) >> 11) + 0.5) / 9007199254740992.0;
}

struct point {
	double x, t;
};

static int by_x(const void *left, const void *right)
{
	const struct point *a = left, *b = right;

	return (a->x > b->x) - (a->x < b->x);
}

static int by_number(const void *left, const void *right)
{
	const double *a = left, *b = right;

	return (*a > *b) - (*a < *b);
}

/* Points at gaps of an exponential length along an axis of events: a Poisson number of them. */
static size_t scatter(uint64_t *state, double mean, const double range[2], struct point *points)
{
	size_t n = 0;

	for (double at = -log(next_uniform(state)); at < mean && n < POINTS;
		at -= log(next_uniform(state))) {
		points[n].x = next_uniform(state) * range[0];
		points[n++].t = next_uniform(state) * range[1];
	}
	qsort(points, n, sizeof *points, by_x);
	return n;
}

/* The most points in any window, pieces end at multiples of `piece` of x. */
static size_t most_in_a_window(const struct point *points, size_t n, const double window[2],
	double piece)
{
	double t[POINTS];
	size_t most = 0;

	for (size_t i = 0; i < n; i++) {
		double end = fmin(points[i].x + window[0], (floor(points[i].x / piece) + 1) * piece);
		size_t count = 0, low = 0;

		while (i + count < n && points[i + count].x <= end) {
			t[count] = points[i + count].t;
			count++;
		}
		if (count <= most) {
			continue;
		}
		qsort(t, count, sizeof t[0], by_number);
		for (size_t high = 0; high < count; high++) {
			while (t[high] - t[low] > window[1]) {
				low++;
			}
			most = high - low + 1 > most ? high - low + 1 : most;
		}
	}
	return most;
}

/* Shares of RUNS in which some window has at least k. */
static void simulate(double rate, const double window[2], const double range[2], double piece,
	double chance[MOST])
{
	static struct point points[POINTS];
	uint64_t state = 0x9E3779B97F4A7C15u;
	size_t runs[MOST + 1] = { 0 };

	for (int run = 0; run < RUNS; run++) {
		size_t n = scatter(&state, rate * range[0] * range[1], range, points);
		size_t most = most_in_a_window(points, n, window, piece);

		runs[most < MOST ? most : MOST]++;
	}
	for (size_t k = MOST; k-- > 0;) {
		runs[k] += runs[k + 1];
		chance[k] = (double)runs[k] / RUNS;
	}
}

/* The header's word: chances below one half come out within a tenth or 0.005; three standard
 * errors of the simulation are given on top. Returns 1 when a chance was compared. */
static size_t compare(const char *label, size_t k, double simulated, double chance)
{
	double error = 3 * sqrt(simulated * (1 - simulated) / RUNS);

	if (simulated >= 0.5) {
		ck_assert_msg(chance > 0.4, "%s, %zu: %g for %g", label, k, chance, simulated);
		return 0;
	}
	ck_assert_msg(fabs(chance - simulated) <= fmax(0.1 * simulated, 0.005) + error,
		"%s, %zu: %g for %g", label, k, chance, simulated);
	return simulated > 0;
}

static const struct { const char *label; double rate, window[2], range[2]; } planes[] = {
	{ "square", 1, { 1, 1 }, { 6, 6 } },
	{ "small windows", 1, { 0.5, 0.5 }, { 8, 8 } },
	{ "few failures", 0.02, { 1, 1 }, { 10, 10 } },
	{ "50 failures on 40 km in 10 years, 10 m and 5 years", 50.0 / (40000 * 10), { 10, 5 },
		{ 40000, 10 } },
	{ "200 failures on 20 km in 12 years, 10 m and 5 years", 200.0 / (20000 * 12), { 10, 5 },
		{ 20000, 12 } },
	{ "a long line, a short time", 0.5, { 1, 1 }, { 20, 5 } },
	{ "a short line, a long time", 0.5, { 1, 1 }, { 5, 20 } },
	{ "many to a window", 3, { 1, 1 }, { 5, 5 } },
	{ "as long as the window", 1, { 1, 1 }, { 1, 20 } },
	{ "as old as the period", 0.2, { 1, 5 }, { 30, 5 } },
};

START_TEST(agrees_with_simulated_lines)
{
	size_t compared = 0;

	for (size_t i = 0; i < sizeof planes / sizeof planes[0]; i++) {
		double simulated[MOST];

		simulate(planes[i].rate, planes[i].window, planes[i].range, INFINITY, simulated);
		for (size_t k = 2; k < 20; k++) {
			compared += compare(planes[i].label, k, simulated[k], scan_chance_2d(planes[i].rate,
				planes[i].window, planes[i].range, k));
		}
	}
	ck_assert_uint_gt(compared, 30);
}
END_TEST

START_TEST(agrees_with_simulated_times_of_one_bond)
{
	/* one dimension: a line no longer than the window */
	const double window[2] = { 1, 1 }, range[2] = { 1, 12 };
	double simulated[MOST];

	simulate(0.7, window, range, INFINITY, simulated);
	for (size_t k = 2; k < 10; k++) {
		compare("one bond", k, simulated[k], scan_chance_1d(0.7, 1, 12, k));
	}
}
END_TEST

START_TEST(agrees_with_simulated_bonds_far_apart)
{
	/* 60 bonds that no window joins, 90 failures in 12 years, a period of 5 */
	const double window[2] = { 10, 5 }, range[2] = { 600, 12 };
	int64_t pieces[60];
	double simulated[MOST];
	size_t compared = 0;

	for (size_t i = 0; i < 60; i++) {
		pieces[i] = 10;
	}
	simulate(90 / (600.0 * 12), window, range, 10, simulated);
	for (size_t k = 2; k < 10; k++) {
		compared += compare("bonds far apart", k, simulated[k],
			scan_chance_pieces(90, pieces, 60, 10, 12, 5, k));
	}
	ck_assert_uint_gt(compared, 2);
}
END_TEST

START_TEST(is_exact_for_few_failures)
{
	/* by hand, three failures on 100 x 40, window 10 x 10: the chance that three points of a length
	 * lie within a share u of it is 3 u^2 - 2 u^3: 0.028 and 0.15625; exactly three happen with
	 * m^3 / 6, m = 0.004 (rate 1e-6), more hardly ever */
	const double window[2] = { 10, 10 }, range[2] = { 100, 40 };
	double wanted = 0.028 * 0.15625 * 0.004 * 0.004 * 0.004 / 6;

	ck_assert(fabs(scan_chance_2d(1e-6, window, range, 3) / wanted - 1) < 0.01);
}
END_TEST

START_TEST(takes_the_edges)
{
	const double window[2] = { 10, 10 }, range[2] = { 5, 5 };

	/* windows longer than the ranges: just the number in all; rate 0.04 x 25 = 1 */
	ck_assert(fabs(scan_chance_2d(0.04, window, range, 1) - (1 - exp(-1))) < 1e-12);
	ck_assert(fabs(scan_chance_2d(0.04, window, range, 2) - (1 - 2 * exp(-1))) < 1e-12);
	ck_assert(scan_chance_2d(0.04, window, range, 0) == 1);
	ck_assert(scan_chance_2d(0, window, range, 2) == 0);
	ck_assert(scan_chance_pieces(0, NULL, 0, 10, 10, 10, 2) == 0);
	ck_assert(scan_chance_2d(1e-9, window, range, 30) >= 0);
}
END_TEST

START_TEST(cuts_a_line_where_no_window_reaches)
{
	const int64_t at_mm[] = { 0, 10000, 20001, 20001, 50000 };
	int64_t pieces[5];

	ck_assert_uint_eq(scan_pieces(at_mm, 5, 10000, pieces), 3);
	ck_assert_int_eq(pieces[0], 20000);
	ck_assert_int_eq(pieces[1], 10000);
	ck_assert_int_eq(pieces[2], 10000);
	ck_assert_uint_eq(scan_pieces(at_mm, 0, 10000, pieces), 0);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_simulated_lines,
		agrees_with_simulated_times_of_one_bond, agrees_with_simulated_bonds_far_apart,
		is_exact_for_few_failures, takes_the_edges, cuts_a_line_where_no_window_reaches, NULL };

	return case_run("scan", tests);
}
