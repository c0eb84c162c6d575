#include "api/trial.h"

#include <math.h>
#include <string.h>

#include "api/views.h"
#include "base/decimal.h"
#include "service/derive.h"
#include "service/repeat.h"
#include "service/rulebook.h"

static bool read_whole(const struct request *req, const char *name, int64_t *to,
	struct problems *why)
{
	const char *text = request_query(req, name);

	*to = FORM_NO_INTEGER;
	return text == NULL || text[0] == '\0' ||
		decimal_read_integer(text, strlen(text), '.', to) ||
		problems_add(why, PROBLEM_VALUE, name, "%s must be a whole number, not \"%.40s\".", name, text);
}

static bool read_settings(const struct request *req, struct repeat_settings *to,
	struct problems *why)
{
	const char *window = request_query(req, "window_m");
	bool ok = true;

	to->window_m = NAN;
	if (window != NULL && window[0] != '\0' &&
		!decimal_read(window, strlen(window), '.', &to->window_m)) {
		ok = problems_add(why, PROBLEM_VALUE, "window_m",
			"window_m must be a number like 7.5, not %.40s.", window);
	}
	ok = read_whole(req, "period_months", &to->period_months, why) && ok;
	return read_whole(req, "least", &to->least_count, why) && ok;
}

static bool fill(const struct request *req, const struct list *list, int64_t failure_id,
	struct trial *trial, struct problem *why)
{
	struct failure f;
	const char *line = request_query(req, "line");
	int64_t line_id = 0;

	trial->is_on = true;
	if (!store_trial_begin(trial->with.store, why)) {
		return false;
	}
	if (list != NULL) {
		return (line == NULL || decimal_read_integer(line, strlen(line), '.', &line_id) ||
			line[0] == '\0') && repeat_places_with(&trial->with, line_id, why);
	}
	return store_failure_get(trial->with.store, failure_id, &f, why) &&
		derive_repeat_places(&(struct act){ .view = &trial->with, .store = trial->with.store },
		&(struct failure_group){ f.line_id, f.track_id, f.rail }, why);
}

bool trial_begin(const struct request *req, const struct list *list, int64_t failure_id,
	struct trial *trial, struct problems *why)
{
	struct view *view = view_of(req);
	struct repeat_settings settings;
	struct problem trouble = { 0 };
	bool changed;

	*trial = (struct trial){ 0 };
	if (list != NULL && list != &repeat_list) {
		return true;
	}
	if (!view_rules(view, &trouble)) {
		return problems_take(why, &trouble);
	}
	trial->rulebook = *view->rulebook;
	trial->with = (struct view){ .store = view->store, .today = view->today, .reader = view->reader,
		.rulebook = &trial->rulebook };
	if (!read_settings(req, &settings, why) ||
		!repeat_settings_apply(&settings, &trial->rulebook, &changed, why)) {
		return false;
	}
	return !changed || fill(req, list, failure_id, trial, &trouble) ||
		problems_take(why, &trouble);
}

void trial_end(struct trial *trial)
{
	if (trial->is_on) {
		store_trial_end(trial->with.store);
	}
	view_release(&trial->with);
}
