/* A made-up national register for the benchmark: the same seed gives the same register. */
#ifndef BENCH_NATIONAL_H
#define BENCH_NATIONAL_H

#include "derived/act.h"
#include "store/record/bond.h"

enum { BONDS_OF_LINE = 2000, VISITS_OF_BOND = 4, READINGS_OF_VISIT = 2, BONDS_OF_SWEEP = 125,
	BONDS_OF_FAILURE = 5, INSTRUMENTS = 40, CLASSES = 4 };

/* What the later steps need to know of a bond; its id is its place in the array plus one. */
struct known_bond {
	int64_t distance_mm;
	double r20_uohm;            /* what its cable would measure */
	int32_t line;               /* the line's id */
	int32_t track;              /* the end A's track id */
	uint8_t rail, kind, material;
	uint8_t interval_class;     /* into class_months */
};

/* The intervals of the default rulebook: bonds of one are visited together. */
extern const int class_months[CLASSES];

struct national {
	struct store *store;
	struct view view;
	struct act act;             /* the command line's, with the rulebook in force */
	int32_t today;
	uint64_t seed;
	size_t n_bonds, n_lines;
	struct known_bond *bonds;
	size_t in_transaction;      /* rows written since the last commit */
};

/* Whole numbers below `below`, and reals from 0 to 1; from the seed alone. */
uint64_t draw(struct national *n, uint64_t below);
double draw_real(struct national *n);

/* Ids as senders make them, at an instant. content_hash is drawn too: nothing is sent again. */
struct sent_as {
	char uuid[37], hash[65];
};
void draw_sent(struct national *n, int64_t at_ms, struct sent_as *to);

/* Evening of a day, when a crew's results arrive. */
int64_t evening_ms(int32_t day);

/* Ends the program with the sentence when a step failed. */
void must(bool ok, const struct problem *why);

/* Commits now and then: a log of many hundred megabytes is slow to read while it is written. */
void wrote(struct national *n, size_t rows);

void make_lines(struct national *n);
void make_bonds(struct national *n);
void make_visits(struct national *n);
void make_failures(struct national *n);
void derive_all(struct national *n);

#endif
