/* Repeat places by other settings than the rulebook's: computed, shown, not kept. */
#ifndef SERVICE_REPEAT_H
#define SERVICE_REPEAT_H

#include "service/view.h"

/* What of the rulebook is to be replaced; what is absent is the rulebook's. */
struct repeat_settings {
	double window_m;            /* NAN: absent */
	int64_t period_months;      /* FORM_NO_INTEGER: absent */
	int64_t least_count;        /* FORM_NO_INTEGER: absent */
};

/*
 * Puts the settings into a rulebook, under the bounds of its members; a least count only when it is
 * below the rulebook's, because the places with more failures are among those of the rulebook anyway,
 * and at least 2. *changed: it is not the rulebook in force any more.
 * False: one problem for each wrong one, at window_m, period_months.
 */
bool repeat_settings_apply(const struct repeat_settings *settings, struct rulebook *rulebook,
	bool *changed, struct problems *why);

/* Finds the places of a line (0: of all) with view->rulebook and puts them into the trial that the
 * store is in (store/failure.h). */
bool repeat_places_with(struct view *view, int64_t line_id, struct problem *why);

#endif
