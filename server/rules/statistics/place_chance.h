/*
 * How surprising is a place where so many events fell within a window and a period.
 *
 * What is asked of chance: each event of a rail keeps its day and falls on one of the rail's bond
 * ends, all of them alike; how often is there, somewhere on the rail, a window and a period with as
 * many events as here.
 *
 * A set of k events fits into a window with the chance
 *
 *     p_k = sum over positions x of (c_x / m)^k - ((c_x - n_x) / m)^k
 *
 * (m ends in all, n_x of them at x, c_x from x to x + window: the lowest of the set lies at x), and
 *
 *     Q_k = sum over events i of C(r_i, k - 1)
 *
 * sets have days that fit (r_i events come after i and before the end of the period that begins
 * with it). Q_k p_k is the number of sets that are expected to fit: never below the chance that
 * there is one. Where it is small it is told as it is; else the chance is simulated, with a seed
 * that is the caller's, so that it is the same again. The places looked at are those of every rail:
 * of R rails one shows it with the chance 1 - (1 - p)^R (Sidak).
 *
 * Points and stations fail more often than plain track, and all ends count alike here: what is told
 * is "more than ends of this rail at random", and no cause.
 *
 * Uses GSL, so it is for the server alone and not among the rules of the tablet.
 */
#ifndef RULES_STATISTICS_PLACE_CHANCE_H
#define RULES_STATISTICS_PLACE_CHANCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Fewer ends than these are no ground: the register was made from a log of failures. */
enum { PLACE_ENDS_LEAST = 10 };

/* Positions of the rail's bond ends, rising. */
struct place_ends {
	const int64_t *at_mm;
	size_t n;
};

/* The days of the rail's events, rising; and of each the first day after the period that begins
 * with it. */
struct place_events {
	const int32_t *day, *end_day;
	size_t n;
};

/* p_k and Q_k above; k at least 1. Windows are closed at both ends. */
double place_sets_fit(const struct place_ends *ends, int64_t window_mm, size_t k);
double place_sets(const struct place_events *events, size_t k);

struct place_chance {
	double p;             /* on this rail */
	bool is_bound;        /* p is an upper bound, below 0.001; error is 0 then */
	double error;         /* standard error of a simulated p */
};

/* The chance of a place with k events or more. False: out of memory. Some ms for 50 events on 5,000
 * ends; of more than 100 events fewer draws are made, which the error shows. */
bool place_chance(const struct place_ends *ends, int64_t window_mm,
	const struct place_events *events, size_t k, unsigned long seed, struct place_chance *to);

/* That one of so many rails shows it, when each does with the chance p. */
double place_chance_of_rails(double p, size_t rails);

#endif
