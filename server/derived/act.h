/*
 * One act: what one person does at one moment, in one transaction. It is a view that may write, and
 * says from whom that comes.
 *
 * The transaction is the caller's (the writer gives each job a savepoint): when any function of
 * the service returns false the caller rolls it back, so nothing is ever half-written.
 *
 *     struct view view = { .store = store, .today = today };
 *     struct act act;
 *     ok = act_begin(&act, &view, &origin, why) &&
 *         inspection_record(&act, &form, &recorded, why) && derived_end(&act, why);
 *     act_release(&act);
 *     view_release(&view);
 *
 * An act notes what it touched, and derives nothing: that is done once, when it ends
 * (derived/derived.h), or in between for what has to know what came of it.
 */
#ifndef DERIVED_ACT_H
#define DERIVED_ACT_H

#include "derived/view.h"
#include "store/record/failure.h"

struct touched_bond {
	int64_t bond_id;
	int32_t new_day;                /* all that is new of it is dated that day or later */
};

struct act {
	struct view *view;              /* what it sees, with its rules read; borrowed */
	struct store *store;            /* the view's, which it may write */
	struct origin origin;
	bool is_live;                   /* somebody tells of his own work now, through the API */
	bool is_coming;                 /* of an import that does not count yet: nothing is derived */
	/* what was touched and is not derived yet; bonds may stand twice */
	struct touched_bond *bonds;
	size_t n_bonds;
	struct failure_group *groups;
	size_t n_groups;
	size_t n_derived;               /* bonds and groups made again by it until now */
};

bool act_begin(struct act *act, struct view *view, const struct origin *origin,
	struct problems *why);
void act_release(struct act *act);

/* Notes that something was written that a bond is judged by, */
bool act_touch_bond(struct act *act, int64_t bond_id, struct problem *why);
/* an entry of a day that replaces none, */
bool act_touch_bond_on(struct act *act, int64_t bond_id, int32_t new_day, struct problem *why);

/* that the repeat places of a group may be others. */
bool act_touch_group(struct act *act, const struct failure_group *group, struct problem *why);

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
