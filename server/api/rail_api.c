/* Conductors, rail profiles, the rails of tracks, marks on the rail: what limits and spots rest on. */
#include "api/app.h"
#include "api/deed.h"
#include "api/rights.h"
#include "api/routes.h"
#include "service/rail.h"

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

const struct route rail_routes[] = {
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
