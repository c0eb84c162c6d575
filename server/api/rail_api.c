/* Conductors, rail profiles, the rails of tracks, marks on the rail: what limits and spots rest on. */
#include <stdlib.h>

#include "api/app.h"
#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "service/rail.h"
#include "service/rulebook.h"
#include "store/rail.h"

static bool new_conductor(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return conductor_register(act, form, recorded, why);
}

static bool new_profile(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return profile_register(act, form, recorded, why);
}

static bool put_track_rail(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return track_rail_put(act, form, recorded, why);
}

static bool put_mark(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return rail_mark_put(act, form, recorded, why);
}

/* The bonds that are judged by it are made again by the keeper. */
static void conductor_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_conductor, "/api/conductors");
	app_follow_rulebook(req->app);
}

static void profile_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_profile, "/api/rail-profiles");
	app_follow_rulebook(req->app);
}

static void track_rail_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, put_track_rail, "/api/tracks");
	app_follow_rulebook(req->app);
}

static void mark_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, put_mark, "/api/rail-marks");
}

/* The free offset that is nearest to the live attachment, or to the reference mark. */
static bool add_end(const struct request *req, const struct rulebook *rulebook, int64_t bond_id,
	int end, struct text *to, struct problem *why)
{
	struct rail_mark *marks = NULL;
	size_t count = 0;
	int64_t wanted_mm = 0, free_mm = 0;
	struct json j;

	if (!store_end_marks(req->context, bond_id, end, 0, &marks, &count, why)) {
		return false;
	}
	for (size_t i = 0; i < count; i++) {
		if (marks[i].kind == MARK_LIVE) {
			wanted_mm = marks[i].offset_mm;
		}
	}
	j = json_begin(to);
	json_word(&j, "end", &bond_end_words, end);
	if (spot_next_free(rulebook, marks, count, wanted_mm, &free_mm)) {
		json_integer(&j, "next_free_mm", free_mm);
	} else {
		json_id(&j, "next_free_mm", 0);
	}
	json_end(&j);
	free(marks);
	return true;
}

static void add_clearances(const struct rulebook *rulebook, struct json *to)
{
	struct json j;

	json_name(to, "clearance_mm");
	j = json_begin(to->to);
	for (int kind = 0; kind < MARK_KINDS; kind++) {
		json_integer(&j, mark_kind_words.code[kind],
			mark_clearance_mm(rulebook, (enum mark_kind)kind));
	}
	json_end(&j);
}

static void rail_get(const struct request *req, struct reply *out)
{
	struct rulebook rulebook;
	struct problem why = { 0 };
	struct text body = { 0 };
	struct bond bond;
	struct json j = json_begin(&body);
	int64_t id;
	bool ok = request_id(req, 0, &id, &why) && store_bond_get(req->context, id, &bond, &why) &&
		rulebook_in_force(req->context, req->today, &rulebook, &why);

	if (ok) {
		add_clearances(&rulebook, &j);
		json_name(&j, "ends");
		text_add_char(&body, '[');
		ok = add_end(req, &rulebook, id, END_A, &body, &why);
		text_add_char(&body, ',');
		ok = ok && add_end(req, &rulebook, id, END_B, &body, &why);
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

const struct route rail_routes[] = {
	{ METHOD_GET, "/api/bonds/{id}/rail", ROUTE_READ, CAN_READ, rail_get,
	  "What a new attachment of a bond keeps clear of on the rail, and the next free place of each "
	  "end." },
	{ METHOD_POST, "/api/conductors", ROUTE_WRITE, CAN_MANAGE, conductor_post,
	  "Registers a conductor of the railway's own, with its greatest resistance.",
	  DEED_BODY(&conductor_form) },
	{ METHOD_POST, "/api/rail-profiles", ROUTE_WRITE, CAN_MANAGE, profile_post,
	  "Registers a rail profile of the railway's own, with its resistance.",
	  DEED_BODY(&profile_form) },
	{ METHOD_POST, "/api/track-rails", ROUTE_WRITE, CAN_MANAGE, track_rail_post,
	  "Says which rail a track has, and how far its joints are apart.",
	  DEED_BODY(&track_rail_form) },
	{ METHOD_POST, "/api/rail-marks", ROUTE_WRITE, CAN_INSPECT, mark_post,
	  "Marks a rail end, a weld or a bolt hole near an end of a bond.",
	  DEED_BODY(&rail_mark_form) },
	{ 0 }
};
