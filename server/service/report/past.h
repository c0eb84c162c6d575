/*
 * What was due of bonds on a past day, by what is known now of that day and the rulebook that held
 * then. They are read in runs of their numbers, which is far quicker than one by one.
 */
#ifndef SERVICE_REPORT_PAST_H
#define SERVICE_REPORT_PAST_H

#include "derived/judged.h"
#include "store/lists/report.h"

enum { PAST_MOST = 256 };

/* A bond that was in service on the day. */
struct past_bond {
	struct report_state s;          /* its texts are those below */
	char label[BOND_LABEL_SIZE], chainage[CHAINAGE_SIZE];
	struct due due;
	int64_t asked;                  /* readings that waited for an answer */
};

/* Some of them, in the order in which they came; zeroed at first. */
struct past {
	struct past_bond bond[PAST_MOST];
	size_t count, at;
	size_t by_number[PAST_MOST];    /* places in bond of those to be judged, by the bond's number */
	size_t n_judged;
	struct judging judging;
};

void past_add(struct past *past, const struct report_state *state);

/* Judges all that were added, but for those of which what is kept stands. view has the rules of the
 * day, which is its today. */
bool past_judge(struct view *view, struct past *past, struct problem *why);
void past_release(struct past *past);

#endif
