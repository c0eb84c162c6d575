/*
 * Repeat places by the settings in the address: window_m, period_months, least. When they differ
 * from the rulebook's they are found by a view that has them, in a trial (store/record/failure.h)
 * within the read of the answer.
 */
#ifndef API_TRIAL_H
#define API_TRIAL_H

#include "derived/view.h"
#include "http/request.h"
#include "store/lists/list.h"

struct trial {
	struct view with;             /* the request's, but by a rulebook that has the settings */
	struct rulebook rulebook;
	bool is_on;                   /* else the settings are the rulebook's, and what is kept is asked */
};

/* For the one place of a failure. False: *why. */
bool trial_begin(const struct request *req, struct trial *trial, struct problems *why);

/* For a list: where it is of repeat places by other settings, they are found, and it is of
 * these. */
bool trial_of_list(const struct request *req, struct list_query *query, struct problems *why);

#endif
