/* A repeat place against chance and against time: what its events are, how surprising they are,
 * whether they come more often, and how long it takes from one to the next. */
#include "service/report/explain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "rules/statistics/place_event.h"
#include "store/kept/repeat_facts.h"

static const double DAYS_OF_MONTH = 365.2425 / 12;
static const double CONFIDENCE = 0.95, CHANCE_P = 0.05;

/* Of the place's rail, by day. */
struct events {
	struct place_event *all;
	size_t n, here;
	int32_t first_day;        /* of the line's record of failures */
};

static bool find_events(const struct view *view, const struct failure_fact *facts, size_t n,
	struct events *to, struct problem *why)
{
	struct place_failure *failures = calloc(n + 1, sizeof *failures);

	to->all = calloc(n + 1, sizeof *to->all);
	if (failures == NULL || to->all == NULL) {
		free(failures);
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	to->first_day = view->today;
	for (size_t i = 0; i < n; i++) {
		failures[i] = (struct place_failure){ facts[i].found_day, facts[i].distance_mm,
			facts[i].of_group, facts[i].mode == FAILURE_CUT_OR_STOLEN, facts[i].here };
		to->first_day = facts[i].found_day < to->first_day ? facts[i].found_day : to->first_day;
	}
	to->n = place_events_of(failures, n, view->rulebook->repeat_window_mm, to->all);
	for (size_t i = 0; i < to->n; i++) {
		to->here += to->all[i].here;
	}
	free(failures);
	return true;
}

/* Whether an end lies within the window of each event: else the register has not all of them. */
static bool ends_are_known(const struct place_ends *ends, const struct events *events,
	int64_t window_mm)
{
	for (size_t i = 0; i < events->n; i++) {
		bool known = false;

		for (size_t e = 0; e < ends->n && !known; e++) {
			known = llabs((long long)(ends->at_mm[e] - events->all[i].distance_mm)) <= window_mm;
		}
		if (!known) {
			return false;
		}
	}
	return true;
}

static bool reckon(const struct view *view, const struct repeat_row *place,
	const struct place_ends *ends, const struct events *events, struct explained_chance *to,
	struct problem *why)
{
	int32_t *day = calloc(2 * events->n, sizeof *day);
	struct place_events dated = { day, day + events->n, events->n };
	bool ok = day != NULL;

	for (size_t i = 0; i < events->n && ok; i++) {
		day[i] = events->all[i].day;
		day[events->n + i] = day_add_months(day[i], (int)view->rulebook->repeat_period_months);
	}
	ok = ok && place_chance(ends, view->rulebook->repeat_window_mm, &dated, events->here,
		(unsigned long)place->id, &to->rail);
	free(day);
	to->p = ok ? place_chance_of_rails(to->rail.p, to->rails) : NAN;
	to->is_told = ok;
	to->is_more = ok && to->p <= CHANCE_P;
	return ok || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static void say_chance(const struct view *view, struct explained_chance *c)
{
	char odds[80];

	explain_odds(c->p, odds, sizeof odds);
	snprintf(c->words, sizeof c->words, "%s. If each of the %zu events of this rail had fallen on "
		"one of its %zu bond ends at random, %s%s registers with %zu such rails would show %zu or "
		"more within %g m and %lld months somewhere.", c->is_more ?
		"More than chance brings" : "As chance brings", c->events, c->ends,
		c->rail.is_bound && strncmp(odds, "fewer", 5) != 0 ? "less than " : "", odds, c->rails, c->here,
		(double)view->rulebook->repeat_window_mm / 1000,
		(long long)view->rulebook->repeat_period_months);
}

static bool explain_chance(struct view *view, const struct repeat_row *place,
	const struct events *events, struct explained_chance *to, struct problem *why)
{
	int64_t *at_mm = NULL;
	struct place_ends ends = { 0 };
	bool ok = store_group_ends(view->store, &place->group, &at_mm, &ends.n, why) &&
		store_groups_with(view->store, view->rulebook->repeat_least_count, &to->rails, why);

	ends.at_mm = at_mm;
	to->ends = ends.n;
	to->events = events->n;
	to->here = events->here;
	to->p = to->rail.p = NAN;
	to->rails = to->rails > 0 ? to->rails : 1;
	if (ok && events->here < 2) {
		snprintf(to->words, sizeof to->words, "No chance is told: what failed here was found on one "
			"day, or is of one night's theft on the line. That is one event and no repeat.");
	} else if (ok && (ends.n < PLACE_ENDS_LEAST ||
		!ends_are_known(&ends, events, view->rulebook->repeat_window_mm))) {
		snprintf(to->words, sizeof to->words, "No chance is told: the ends that did not fail are "
			"not in the register.");
	} else if (ok) {
		ok = reckon(view, place, &ends, events, to, why);
		if (ok) {
			say_chance(view, to);
		}
	}
	free(at_mm);
	return ok;
}

static void say_trend(struct explained *to)
{
	char odds[80];

	explain_odds(to->trend.p, odds, sizeof odds);
	switch (to->trend.meaning) {
	case TREND_TOO_FEW:
		snprintf(to->trend_words, sizeof to->trend_words, "Too few events to tell whether it is "
			"getting worse.");
		break;
	case TREND_NONE:
		snprintf(to->trend_words, sizeof to->trend_words, "No trend that could not be chance.");
		break;
	case TREND_WORSE:
	case TREND_BETTER:
		snprintf(to->trend_words, sizeof to->trend_words, "Getting %s: the failures gather "
			"towards %s. Of places that a steady rate brings, %s would look so.",
			to->trend.meaning == TREND_WORSE ? "worse" : "better",
			to->trend.meaning == TREND_WORSE ? "today" : "the beginning of the record", odds);
	}
}

/* All events within the place's span, not only those of its period. */
static bool explain_trend(const struct view *view, const struct repeat_row *place,
	const struct events *events, struct explained *to, struct problem *why)
{
	double *at = calloc(events->n + 1, sizeof *at);
	double total = view->today - events->first_day;
	size_t n = 0;

	if (at == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; i < events->n; i++) {
		if (events->all[i].distance_mm >= place->from_mm &&
			events->all[i].distance_mm <= place->to_mm) {
			at[n++] = events->all[i].day - events->first_day;
		}
	}
	to->record_days = (int32_t)total;
	to->trend = place_trend_compute(at, n, total,
		(double)view->rulebook->repeat_period_months * DAYS_OF_MONTH,
		(size_t)view->rulebook->repeat_least_count, (unsigned long)place->id);
	say_trend(to);
	free(at);
	return true;
}

/* A place was picked because it failed often, so its mean is too short where chance picked it, and
 * is none where the rate changes. */
static void explain_mean(struct explained *to)
{
	char lower[40], upper[40];

	to->has_mean = to->chance.is_more && to->trend.meaning == TREND_NONE &&
		mean_time_between(to->trend.events, to->record_days, TRUNCATED_BY_TIME, CONFIDENCE,
			&to->mean_days);
	if (!to->has_mean) {
		snprintf(to->mean_words, sizeof to->mean_words, "No mean time is told: %s.",
			to->trend.meaning == TREND_TOO_FEW ? "there are too few events" :
			to->trend.meaning != TREND_NONE ? "it is changing" :
			to->chance.is_told ? "chance may have picked this place" : "no chance is told");
		return;
	}
	explain_rounded(to->mean_days.lower, lower, sizeof lower);
	explain_rounded(to->mean_days.upper, upper, sizeof upper);
	snprintf(to->mean_words, sizeof to->mean_words, "From one event to the next %.0f days on "
		"average since the record began; from %zu of them, the true mean may be anything from %s to "
		"%s days (95 %%), and rather more than less: the place was picked for failing often.",
		to->mean_days.mean, to->trend.events, lower, upper);
}

bool explain_time(struct view *view, const struct repeat_row *place,
	const struct failure_fact *facts, size_t n, struct explained *to, struct problem *why)
{
	struct events events = { 0 };
	bool ok = find_events(view, facts, n, &events, why) &&
		explain_chance(view, place, &events, &to->chance, why) &&
		explain_trend(view, place, &events, to, why);

	if (ok) {
		explain_mean(to);
	}
	free(events.all);
	return ok;
}
