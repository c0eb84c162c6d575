/*
 * One act: what one person does at one moment, in one transaction.
 *
 * The transaction is the caller's (the writer gives each job a savepoint): when any function of
 * the service returns false the caller rolls it back, so nothing is ever half-written.
 *
 *     struct act act;
 *     ok = act_begin(&act, store, &origin, today, why) &&
 *         inspection_record(&act, &form, &recorded, why) && act_end(&act, why);
 *     act_release(&act);
 *
 * What is derived of bonds is computed at once; the repeat places of the groups that were touched
 * are computed once, by act_end, so that a file of many failures does not compute them each time.
 */
#ifndef SERVICE_ACT_H
#define SERVICE_ACT_H

#include "rules/in_force.h"
#include "store/failure.h"

struct act {
	struct store *store;
	struct origin origin;
	int32_t today;                  /* the railway's civil day */
	bool is_live;                   /* somebody tells of his own work now, through the API */
	struct rulebook rulebook;       /* the version that holds today */
	/* every version that counts and was in force on any day until today, oldest first, each with its
	 * days; the last is that one, and its to_day may be after today. Good until act_release */
	const struct rulebook_span *in_force;
	size_t n_in_force;
	const struct rulebooks *rulebooks;   /* what these stand in */
	struct failure_group *touched;
	size_t n_touched;
	struct judging *judging;        /* of the bond derived last; NULL until then */
	int64_t judged_id;              /* that bond; 0: none */
};

bool act_begin(struct act *act, struct store *store, const struct origin *origin, int32_t today,
	struct problems *why);
bool act_end(struct act *act, struct problems *why);

/* The rulebooks alone, of an act that only reads: its store and today are set, the rest is zero. It
 * is released like any other. */
bool act_rules(struct act *act, struct problem *why);

/* Whether a version is among those in force until today. */
bool act_was_in_force(const struct act *act, int64_t version);
void act_release(struct act *act);

/* Notes that the repeat places of a group must be computed again. */
bool act_touch(struct act *act, const struct failure_group *group, struct problems *why);

/* What became of something that was sent under an id of its sender's. */
struct recorded {
	int64_t id;        /* of the record kept */
	bool already;      /* the same was kept before; nothing was written now */
	int64_t bond_id;   /* whose due day it may have moved; 0: none */
};

/* A problem of a store or a rule, taken into the list; returns false. field may be NULL: the
 * problem's own stays. */
bool act_refuse(struct problems *why, const struct problem *one, const char *field);

#endif
