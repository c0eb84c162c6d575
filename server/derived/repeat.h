/* Repeat places by other settings than the rulebook's: computed, shown, not kept. */
#ifndef DERIVED_REPEAT_H
#define DERIVED_REPEAT_H

#include "derived/view.h"
#include "store/record/failure.h"

/* What of the rulebook is to be replaced; what is absent is the rulebook's. */
struct repeat_settings {
	double window_m;            /* NAN: absent */
	int64_t period_months;      /* FORM_NO_INTEGER: absent */
	int64_t least_count;        /* FORM_NO_INTEGER: absent */
};

/*
 * Puts the settings into a rulebook, under the bounds of its members; a least count only when it is
 * below the rulebook's, because the places with more failures are among those of the rulebook
 * anyway, and at least 2. *changed: it is not the rulebook in force any more. False: one problem
 * for each wrong one, at window_m, period_months.
 */
bool repeat_settings_apply(const struct repeat_settings *settings, struct rulebook *rulebook,
	bool *changed, struct problems *why);

/* Finds the places of a line (0: of all) by view->rulebook, and puts them into the trial that the
 * store is in (store/record/failure.h): repeat_trial_list has them. */
bool repeat_places_with(struct view *view, int64_t line_id, struct problem *why);

/* Finds the one place that counts a failure, and puts its failures into the trial:
 * failure_trial_list has them. PROBLEM_NOT_FOUND: there is none. */
bool repeat_place_with(struct view *view, int64_t failure_id, struct repeat_row *row,
	struct problem *why);

#endif
