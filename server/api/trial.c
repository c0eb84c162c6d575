#include "api/trial.h"

#include <math.h>
#include <string.h>

#include "api/views.h"
#include "base/decimal.h"
#include "derived/repeat.h"
#include "service/record/rulebook.h"

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

bool trial_begin(const struct request *req, struct trial *trial, struct problems *why)
{
	struct view *view = view_of(req);
	struct repeat_settings settings;
	struct problem trouble = { 0 };

	*trial = (struct trial){ 0 };
	if (!view_rules(view, &trouble)) {
		return problems_take(why, &trouble);
	}
	trial->rulebook = *view->rulebook;
	trial->with = (struct view){ .store = view->store, .today = view->today, .reader = view->reader,
		.rulebook = &trial->rulebook };
	if (!read_settings(req, &settings, why) ||
		!repeat_settings_apply(&settings, &trial->rulebook, &trial->is_on, why)) {
		return false;
	}
	return !trial->is_on || store_trial_begin(view->store, &trouble) || problems_take(why, &trouble);
}

bool trial_of_list(const struct request *req, struct list_query *query, struct problems *why)
{
	struct trial trial;
	struct problem trouble = { 0 };
	int64_t line_id = list_given_integer(query, "line", 0);

	if (query->list != &repeat_list) {
		return true;
	}
	if (!trial_begin(req, &trial, why)) {
		return false;
	}
	if (!trial.is_on) {
		return true;
	}
	query->list = &repeat_trial_list;
	return repeat_places_with(&trial.with, line_id, &trouble) || problems_take(why, &trouble);
}
