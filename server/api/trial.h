/*
 * Repeat places by the settings in the address: window_m, period_months, least. When they differ
 * from the rulebook's the reading connection goes into a trial (store/failure.h), so that lists
 * and single places are read there as if they were kept.
 */
#ifndef API_TRIAL_H
#define API_TRIAL_H

#include "http/request.h"
#include "service/view.h"
#include "store/list.h"

struct trial {
	struct view with;             /* the request's, but by a rulebook that has the settings */
	struct rulebook rulebook;
	bool is_on;
};

/*
 * list   the list that is asked for; any other than repeat_list is left alone. NULL: the one place
 *        that counts failure_id.
 * False: *why; trial_end is called in any case.
 */
bool trial_begin(const struct request *req, const struct list *list, int64_t failure_id,
	struct trial *trial, struct problems *why);
void trial_end(struct trial *trial);

#endif
