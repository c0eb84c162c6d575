/*
 * What is derived is made again under the rulebook in force, piece by piece, while the register is
 * used: after one was adopted or withdrawn, on the day from which one holds, after something was
 * registered that many bonds are judged by (a conductor, a track's rail, a calibration), and when a
 * program with another edition of the rules has opened the register.
 *
 * A piece is an act of its own and leaves all that is derived right: each row says under which
 * rulebook it was made. What stopped half-way is begun again, and finds most of it done.
 */
#ifndef DERIVED_RECOMPUTE_H
#define DERIVED_RECOMPUTE_H

#include "derived/act.h"

/* How far it is; zeroed at first. */
struct recompute {
	int64_t version;        /* of the rulebook that the pieces so far were made under */
	int64_t after_bond;
	bool bonds_done;
	int64_t after_line;     /* of the repeat places */
	bool places_stand;      /* no version since they were made finds others */
	int64_t stale;          /* what was marked to be made again until it began */
	int64_t compared;       /* a former version, and whether it judges as this one does: then */
	bool alike;             /* grades and forecasts stand, and only due days are made again */
	int32_t stands_until_day;   /* which inspections were on time, but of later days */
};

/* Makes the next piece, if there is one: then *more is true. */
bool recompute_piece(struct act *act, struct recompute *at, bool *more, struct problem *why);

/* How far the register follows the rulebook in force. Bonds are counted by their numbers, which are
 * given one after the other. */
struct recompute_progress {
	bool is_followed;
	bool is_new_edition;    /* not only a rulebook is followed: the rules themselves are others */
	int64_t bonds, of;
	int64_t import_id;      /* whose bonds are being made again (derived/import_follow.h); 0: none */
};
bool recompute_progress(struct store *store, const struct rulebook *in_force,
	struct recompute_progress *to, struct problem *why);

/* Notes that all is made under the act's rulebook, by this edition of the rules. */
bool recompute_done(struct act *act, struct problem *why);

#endif
