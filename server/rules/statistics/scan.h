/*
 * How surprising is a place with k failures: the chance that failures which fall evenly by chance
 * over a length of line and a time show, somewhere, a window with at least k of them.
 *
 * In one dimension (rate l, window b, range T; m = l b; p and P are the Poisson distribution's):
 *
 *     P(fewer than k everywhere) = P(k-1; m) * exp(-(1 - m/k) * l * (T - b) * p(k-1; m))
 *
 * In two (rate l, window a x b, range L x T): F(k) is the above for the strip of width a, rate l a;
 * the strip is swept along L:
 *
 *     P(fewer than k everywhere) = F(k) * exp(-(1 - l a b / k) * l b f * (L - a) * (F(k) - F(k-1)))
 *     f = (k - (k-1) u) / ((k-1) - (k-2) u),  u = b / T
 *
 * The method is S. E. Alm's (Adv. Appl. Prob. 29, 1997, and in Glaz and Balakrishnan, Scan
 * Statistics and Applications, 1999: upcrossings, their clusters by a random walk, and the same
 * again for each dimension); the formulas are written from memory, not from his text. The factor
 * f is ours: a new failure completes k when it falls into any of the windows that hold the other
 * k-1, and these reach further than one window. It follows from the chance that k points of a
 * length T lie within b, k u^(k-1) - (k-1) u^k, and makes the result exact when failures are few
 * (l a b near 0), edges included; without it the chance of a pair would be half of the truth.
 *
 * Against 20,000 simulations each (tests/rules/test_scan.c) chances below one half come out within
 * a tenth of themselves or 0.005, whichever is more. When a window is expected to hold k or more,
 * the result is only a lower bound of a chance that is near 1.
 *
 * Uses GSL, so it is for the server alone and not among the rules of the tablet.
 */
#ifndef RULES_STATISTICS_SCAN_H
#define RULES_STATISTICS_SCAN_H

#include <stddef.h>
#include <stdint.h>

/* One dimension. rate: events per unit of range. A window longer than the range counts as the
 * range. least 0 gives 1, a rate of 0 otherwise 0. */
double scan_chance_1d(double rate, double window, double range, size_t least);

/* Two dimensions. rate: events per unit of length and unit of time. */
double scan_chance_2d(double rate, const double window[2], const double range[2], size_t least);

/*
 * A line in pieces: bonds further apart than the window cannot fail in one window, and between
 * them nothing can fail. Pieces are independent of each other; a piece as long as the window is a
 * bond alone.
 *
 * failures  in all, over all pieces and the whole time.
 * Lengths and window in mm, time and period in days.
 */
double scan_chance_pieces(size_t failures, const int64_t *pieces_mm, size_t n, int64_t window_mm,
	double time_days, double period_days, size_t least);

/*
 * Cuts a line into such pieces: the positions of the bonds, rising; each reaches half a window to
 * both sides. pieces_mm has room for n; returns how many there are.
 */
size_t scan_pieces(const int64_t *at_mm, size_t n, int64_t window_mm, int64_t *pieces_mm);

#endif
