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
 *         inspection_record(&act, &form, &recorded, why) && act_end(&act, why);
 *     act_release(&act);
 *     view_release(&view);
 *
 * What is derived of bonds is computed at once; the repeat places of the groups that were touched
 * are computed once, by act_end, so that a file of many failures does not compute them each time.
 */
#ifndef SERVICE_ACT_H
#define SERVICE_ACT_H

#include "service/view.h"
#include "store/failure.h"

struct act {
	struct view *view;              /* what it sees, with its rules read; borrowed */
	struct store *store;            /* the view's, which it may write */
	struct origin origin;
	bool is_live;                   /* somebody tells of his own work now, through the API */
	struct failure_group *touched;
	size_t n_touched;
};

bool act_begin(struct act *act, struct view *view, const struct origin *origin,
	struct problems *why);
bool act_end(struct act *act, struct problems *why);
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
