#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/rows.h"
#include "store/failure.h"

#include <stdio.h>

enum { INVOLVED_MOST = 20 };

static bool add_involved(const struct request *req, int64_t id, struct json *j,
	struct problem *why)
{
	static const char *const names[] = { [INVOLVED_MODE] = "modes", [INVOLVED_METHOD] = "methods",
		[INVOLVED_KIT] = "kits", [INVOLVED_BATCH] = "batches", [INVOLVED_PERSON] = "people" };

	for (int which = INVOLVED_MODE; which <= INVOLVED_PERSON; which++) {
		struct involved_row rows[INVOLVED_MOST];
		size_t count;

		if (!store_repeat_involved(req->context, id, (enum involved)which, rows, INVOLVED_MOST,
			&count, why)) {
			return false;
		}
		json_name(j, names[which]);
		text_add_char(j->to, '[');
		for (size_t i = 0; i < count; i++) {
			struct json row;

			text_add_z(j->to, i > 0 ? "," : "");
			row = json_begin(j->to);
			json_text(&row, "what", rows[i].what);
			json_integer(&row, "count", rows[i].count);
			json_end(&row);
		}
		text_add_char(j->to, ']');
	}
	return true;
}

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
	json_real(j, "mean_days_between",
		(double)(r->last_day - r->first_day) / (double)(r->failures - 1));
}

static void place_get(const struct request *req, struct reply *out)
{
	struct repeat_row r;
	struct line line;
	struct track track = { 0 };
	struct problem why = { 0 };
	struct text body = { 0 };
	struct json j;
	int64_t id;
	size_t rows;
	char number[24];
	bool ok = request_id(req, 0, &id, &why) && store_repeat_get(req->context, id, &r, &why) &&
		store_line_get(req->context, r.group.line_id, &line, &why) &&
		(r.group.track_id == 0 || store_track_get(req->context, r.group.track_id, &track, &why));

	if (ok) {
		snprintf(number, sizeof number, "%lld", (long long)id);
		j = json_begin(&body);
		add_place(&r, &line, &track, &j);
		ok = add_involved(req, id, &j, &why);
		json_name(&j, "failures");
		text_add_char(&body, '[');
		ok = ok && rows_add(req, &failure_list, "place", number, &body, &rows, &why);
		text_add_char(&body, ']');
		json_end(&j);
	}
	if (!ok) {
		text_release(&body);
		reply_problem(out, &why);
		return;
	}
	reply_json(out, 200, &body);
}

const struct route repeat_routes[] = {
	{ METHOD_GET, "/api/repeat-places/{id}", ROUTE_READ, CAN_READ, place_get,
	  "A place that keeps failing, with what was involved and each failure." },
	{ 0 }
};
