#include "derived/repeat.h"

#include <math.h>
#include <stdlib.h>

#include "base/form.h"
#include "derived/derive.h"

/* The names under which the settings are asked for, and the rulebook's for them. */
static const struct { const char *asked, *member; } names[] = {
	{ "window_m", "repeat_window_mm" }, { "period_months", "repeat_period_months" },
};

static bool within(int setting, double value, double per_unit, struct problems *why)
{
	const struct member *m = form_member(&rulebook_form, names[setting].member);

	return (value >= m->least && value <= m->most) || problems_add(why, PROBLEM_VALUE,
		names[setting].asked, "%s must be from %g to %g.", names[setting].asked,
		m->least / per_unit, m->most / per_unit);
}

bool repeat_settings_apply(const struct repeat_settings *settings, struct rulebook *r,
	bool *changed, struct problems *why)
{
	const struct rulebook was = *r;
	size_t before = why->count;

	if (!isnan(settings->window_m) && within(0, settings->window_m * 1000, 1000, why)) {
		r->repeat_window_mm = (int64_t)round(settings->window_m * 1000);
	}
	if (settings->period_months != FORM_NO_INTEGER &&
		within(1, (double)settings->period_months, 1, why)) {
		r->repeat_period_months = settings->period_months;
	}
	if (settings->least_count != FORM_NO_INTEGER &&
		settings->least_count < r->repeat_least_count) {
		r->repeat_least_count = settings->least_count > 2 ? settings->least_count : 2;
	}
	*changed = r->repeat_window_mm != was.repeat_window_mm ||
		r->repeat_period_months != was.repeat_period_months ||
		r->repeat_least_count != was.repeat_least_count;
	return why->count == before;
}

static bool put_group(struct view *view, const struct failure_group *group, struct problem *why)
{
	struct derived_places d;
	bool ok = derive_places(view, group, &d, why);

	for (size_t i = 0; ok && i < d.n_places; i++) {
		ok = store_trial_put(view->store, &d.places[i], why);
	}
	derived_places_release(&d);
	return ok;
}

bool repeat_places_with(struct view *view, int64_t line_id, struct problem *why)
{
	struct failure_group *groups = NULL;
	size_t count = 0;
	bool ok = store_failure_groups(view->store, line_id, &groups, &count, why);

	for (size_t i = 0; ok && i < count; i++) {
		ok = put_group(view, &groups[i], why);
	}
	free(groups);
	return ok;
}

/* The place of a failure among those found; 0: it belongs to none. */
static int64_t place_of(const struct derived_places *d, int64_t failure_id)
{
	for (size_t i = 0; i < d->n_failures; i++) {
		if (d->failures[i].id == failure_id) {
			return d->place_ids[i];
		}
	}
	return 0;
}

static bool put_members(struct view *view, const struct failure_group *group,
	const struct derived_places *d, int64_t place_id, struct problem *why)
{
	char chainage[CHAINAGE_SIZE];
	bool ok = true;

	for (size_t i = 0; ok && i < d->n_failures; i++) {
		ok = d->place_ids[i] != place_id || (store_chainage(view->store, group->line_id,
			group->track_id, d->failures[i].distance_mm, chainage, why) &&
			store_trial_member(view->store, d->failures[i].id, chainage, place_id, why));
	}
	return ok;
}

bool repeat_place_with(struct view *view, int64_t failure_id, struct repeat_row *row,
	struct problem *why)
{
	struct failure f;
	struct failure_group group;
	struct derived_places d;
	int64_t id;
	bool ok;

	if (!store_failure_get(view->store, failure_id, &f, why)) {
		return false;
	}
	group = (struct failure_group){ f.line_id, f.track_id, f.rail };
	if (!derive_places(view, &group, &d, why)) {
		return false;
	}
	id = place_of(&d, failure_id);
	ok = id != 0 || problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no repeat place %lld.",
		(long long)failure_id);
	for (size_t i = 0; ok && i < d.n_places; i++) {
		if (d.places[i].id == id) {
			*row = d.places[i];
			row->is_tried = true;
		}
	}
	ok = ok && put_members(view, &group, &d, id, why);
	derived_places_release(&d);
	return ok;
}
