/*
 * What the register proposes for the rulebook's scatter_percent: for each kind of bond and
 * quantity, from every bond's readings that its trend rests on. Nothing is written: the engineer
 * adopts it.
 */
#ifndef DERIVED_SCATTER_H
#define DERIVED_SCATTER_H

#include "derived/act.h"
#include "rules/statistics/scatter.h"

struct scatter_found {
	struct scatter of[RULEBOOK_KINDS][RULEBOOK_SCATTERS];
};

/* By the act's rulebook, on bonds in service. Goes through all of the register: for a job. */
bool scatter_find(struct view *view, struct scatter_found *to, struct problem *why);

#endif
