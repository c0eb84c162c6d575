/*
 * Numbers that look random and are the same everywhere: splitmix64 (Steele, Lea and Flood 2014),
 * whole numbers and plain arithmetic only, so that no library's rounding shows.
 *
 * Each thing draws from a stream of its own: one draw more or less for one bond (a day falls on
 * another side of today) leaves all others as they were.
 */
#ifndef SEED_DEMO_RANDOM_H
#define SEED_DEMO_RANDOM_H

#include <stdbool.h>
#include <stdint.h>

struct random {
	uint64_t state;
};

/* The stream of a thing of a sort. */
struct random random_stream(uint64_t sort, uint64_t thing);

uint64_t random_next(struct random *r);
double random_unit(struct random *r);                              /* 0 to below 1 */
int random_int(struct random *r, int least, int most);             /* both inclusive */
double random_between(struct random *r, double least, double most);
bool random_chance(struct random *r, double p);
double random_normal(struct random *r, double mean, double sd);    /* within 6 sd */
int random_poisson(struct random *r, double mean);                 /* at most 3: mean below 1 */

/* An index into n weights. */
int random_pick(struct random *r, const int *weights, int n);

#endif
