#include "api/json.h"
#include "api/json/repeat_json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/rows.h"
#include "api/trial.h"
#include "api/views.h"
#include "derived/repeat.h"
#include "store/record/failure.h"

#include <stdio.h>
#include <stdlib.h>

static void add_place(const struct repeat_row *r, const struct line *line,
	const struct track *track, struct json *j)
{
	json_integer(j, "id", r->id);
	json_integer(j, "line_id", r->group.line_id);
	json_text(j, "line", line->code);
	json_text(j, "track", track->name);
	json_word(j, "rail", &rail_words, r->group.rail);
	json_text(j, "chainage_from", r->chainage_from);
	json_text(j, "chainage_to", r->chainage_to);
	json_integer(j, "from_mm", r->from_mm);
	json_integer(j, "to_mm", r->to_mm);
	json_integer(j, "span_mm", r->to_mm - r->from_mm);
	json_integer(j, "count", r->failures);
	json_day(j, "first_day", r->first_day);
	json_day(j, "last_day", r->last_day);
	json_integer(j, "days_apart", r->last_day - r->first_day);
}

/* The place is named after its first failure, but any other of it will do. */
static bool find_place(struct trial *trial, int64_t failure_id, struct repeat_row *row,
	struct problem *why)
{
	struct store *store = trial->with.store;
	char chainage[CHAINAGE_SIZE];
	int64_t id = 0;

	return trial->is_on ? repeat_place_with(&trial->with, failure_id, row, why) :
		store_failure_state_get(store, failure_id, chainage, &id, why) &&
		store_repeat_get(store, id > 0 ? id : failure_id, row, why);
}

static bool write_place(const struct request *req, struct trial *trial, int64_t failure_id,
	struct explained *e, struct text *body, struct problem *why)
{
	struct view *view = &trial->with;
	struct repeat_row r;
	struct line line;
	struct track track = { 0 };
	struct json j;
	char number[24];

	if (!find_place(trial, failure_id, &r, why) ||
		!store_line_get(view->store, r.group.line_id, &line, why) ||
		(r.group.track_id != 0 && !store_track_get(view->store, r.group.track_id, &track, why)) ||
		!repeat_explain(view, &r, e, why)) {
		return false;
	}
	snprintf(number, sizeof number, "%lld", (long long)r.id);
	j = json_begin(body);
	add_place(&r, &line, &track, &j);
	json_real(&j, "window_m", (double)view->rulebook->repeat_window_mm / 1000);
	json_integer(&j, "period_months", view->rulebook->repeat_period_months);
	repeat_json_involved(e, &j);
	repeat_json_explained(e, &j);
	json_name(&j, "failures");
	text_add_char(body, '[');
	if (!rows_add(view_of(req), r.is_tried ? &failure_trial_list : &failure_list, "place", number,
		body, why)) {
		return false;
	}
	text_add_char(body, ']');
	json_end(&j);
	return true;
}

static void place_get(const struct request *req, struct reply *out)
{
	struct trial trial = { 0 };
	struct explained *explained = calloc(1, sizeof *explained);
	struct problem why = { 0 };
	struct problems wrong = { 0 };
	struct text body = { 0 };
	int64_t id;
	bool ok = explained != NULL || problem_set(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	ok = ok && request_id(req, 0, &id, &why);
	if (ok && !trial_begin(req, &trial, &wrong)) {
		reply_problems(out, &wrong);
	} else if (ok && write_place(req, &trial, id, explained, &body, &why)) {
		reply_json(out, 200, &body);
	} else {
		reply_problem(out, &why);
	}
	text_release(&body);
	free(explained);
}

const struct route repeat_routes[] = {
	{ METHOD_GET, "/api/repeat-places/{id}", ROUTE_LONG, CAN_READ, place_get,
	  "A place that keeps failing, explained, with what was involved and each failure; also by "
	  "window_m and period_months." },
	{ 0 }
};
