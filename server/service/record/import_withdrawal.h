/*
 * An import of many entries is withdrawn in pieces, beside the crews (store/record/
 * withdrawal_begun.h): it is on record first with its person and reason, then each entry is made
 * ready, by one row all of them count for nothing, and then its bonds and repeat places are made
 * again. Wherever that is cut off, a start goes on. Until the one row the import counts in every
 * list; after it in none, and `bondbook check` waits for the bonds that are not made again yet.
 */
#ifndef SERVICE_RECORD_IMPORT_WITHDRAWAL_H
#define SERVICE_RECORD_IMPORT_WITHDRAWAL_H

#include "service/record/withdrawal.h"
#include "store/record/withdrawal_begun.h"

/* Whether one is withdrawn so: it counts, somebody sends the withdrawal while others work, and it
 * brought more entries than are withdrawn in a moment. */
enum { IMPORT_WITHDRAWN_AT_ONCE = 500 };
bool import_withdrawal_may(struct act *act, const struct withdrawal *w, bool *may,
	struct problems *why);
bool import_withdrawal_begin(struct act *act, const struct withdrawal *w, struct problems *why);

/* Where it is; zeroed at first, and again after a piece that was not kept. */
struct import_withdrawal {
	struct withdrawal_begun begun;
	struct withdrawal_at at;
	bool follows;                   /* it counts, and what follows is being made */
	int64_t after_bond, after_line;
	bool bonds_done;
};

/* The next piece of the one that was begun first, until a moment (clock_monotonic_ms), if there is
 * one: then *more is true. */
bool import_withdrawal_piece(struct act *act, struct import_withdrawal *t, int64_t until_ms,
	bool *more, struct problems *why);

#endif
