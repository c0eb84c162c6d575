/* Conductors, rail profiles, the rails of tracks, marks on the rail: what limits and spots rest
 * on. */
#include "api/deed.h"
#include "api/json/rail_json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/record/rail.h"
#include "service/record/rulebook.h"

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
	program_follow_rulebook(req);
}

static void profile_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_profile, "/api/rail-profiles");
	program_follow_rulebook(req);
}

static void track_rail_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, put_track_rail, "/api/tracks");
	program_follow_rulebook(req);
}

static void mark_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, put_mark, "/api/rail-marks");
}

static void rail_get(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t id;

	if (request_id(req, 0, &id, &why) && json_rail(view_of(req), id, &body, &why)) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problem(out, &why);
	}
}

const struct route rail_routes[] = {
	{ METHOD_GET, "/api/bonds/{id}/rail", ROUTE_READ, CAN_READ, rail_get,
	  "What a new attachment of a bond keeps clear of on the rail, of whatever bond it is, what is "
	  "not known there, and the next free place of each end." },
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
