/* The outcome of a rulebook's trial as JSON. */
#ifndef API_JSON_TRIAL_JSON_H
#define API_JSON_TRIAL_JSON_H

#include "base/text.h"
#include "derived/rulebook_trial.h"

struct trial_outcome {
	const struct rulebook_trial *trial;
	const struct trial_count *count;
	int64_t places_before, places_after;   /* -1: found alike */
	int64_t ms;
};

/* Labels are read with the store. */
bool trial_json(struct store *store, const struct trial_outcome *outcome, struct text *to,
	struct problem *why);

#endif
