/*
 * What would change if a rulebook came into force today: every bond in service, under the one in
 * force and under that one. Reads only, piece by piece; several threads may work at one trial, each
 * with a reading connection of its own that sees the same state (store_read_now):
 *
 *     ok = rulebook_trial_begin(store, today, &then, progress, &trial, why) &&
 *         rulebook_trial_work(&trial, store, &count, why);
 */
#ifndef DERIVED_RULEBOOK_TRIAL_H
#define DERIVED_RULEBOOK_TRIAL_H

#include "base/progress.h"
#include "derived/trial_count.h"
#include "derived/view.h"

struct rulebook_trial {
	struct rulebook now, then;
	int32_t today;
	bool alike;                   /* both judge alike: only due days differ */
	int64_t last_id;              /* of all bonds */
	_Atomic int64_t next_id;      /* the first of the next piece */
	struct progress *progress;    /* in bonds; borrowed */
};

/* then passes rulebook_check. */
bool rulebook_trial_begin(struct store *store, int32_t today, const struct rulebook *then,
	struct progress *progress, struct rulebook_trial *trial, struct problem *why);

/* Takes pieces until there is none left, and counts them. False also when the progress says that it
 * is to stop: PROBLEM_BUSY. */
bool rulebook_trial_work(struct rulebook_trial *trial, struct store *store,
	struct trial_count *count, struct problem *why);

/* How many repeat places there are, and would be; -1 both when they are found alike. */
bool rulebook_trial_places(struct rulebook_trial *trial, struct store *store, int64_t *before,
	int64_t *after, struct problem *why);

#endif
