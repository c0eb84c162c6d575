/*
 * What is derived is made again under the rulebook in force, piece by piece, while the register is
 * used: after one was adopted, and on the day from which one holds.
 *
 * A piece is an act of its own and leaves all that is derived right: each row says under which
 * rulebook it was made. What stopped half-way is begun again, and finds most of it done.
 */
#ifndef SERVICE_RECOMPUTE_H
#define SERVICE_RECOMPUTE_H

#include "service/act.h"

/* How far it is; zeroed at first. */
struct recompute {
	int64_t version;        /* of the rulebook that the pieces so far were made under */
	int64_t after_bond;
	bool bonds_done;
	int64_t after_line;     /* of the repeat places */
};

/* Makes the next piece, if there is one: then *more is true. */
bool recompute_piece(struct act *act, struct recompute *at, bool *more, struct problem *why);

#endif
