/*
 * What follows from an import that was taken in pieces, and counts now: its bonds are made again,
 * and the repeat places of its lines, piece after piece while the register is used. Until all are,
 * the mark "import" has its number: the pages say so, and `bondbook check` waits for those bonds. A
 * start goes on.
 */
#ifndef DERIVED_IMPORT_FOLLOW_H
#define DERIVED_IMPORT_FOLLOW_H

#include "derived/act.h"

/* How far it is; zeroed at first. */
struct import_follow {
	int64_t id, after_bond, after_line;
	int64_t person_id;              /* who brought it, and so took off what a renewal took off */
	bool bonds_done;
};

/* Makes the repeat places of the next line that an import brought failures on; *more is false when
 * there was none. */
bool import_follow_line(struct act *act, int64_t id, int64_t *after_line, bool *more,
	struct problems *why);

/* That there is something to follow: in the act by which the import counts. */
bool import_follow_begin(struct act *act, int64_t id, struct problem *why);

/* Makes the next piece, until a moment (clock_monotonic_ms), if there is one: then *more is
 * true. */
bool import_follow_piece(struct act *act, struct import_follow *at, int64_t until_ms, bool *more,
	struct problems *why);

/* The import that is not followed to its end; 0: none. */
bool import_follow_open(struct store *store, int64_t *id, struct problem *why);

/* All bonds were made otherwise. */
bool import_follow_end(struct act *act, struct problem *why);

#endif
