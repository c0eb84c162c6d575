/* Lines, tracks, maps, instruments, kits: what the manager registers. */
#include <string.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/record/line.h"
#include "service/record/work.h"

static bool new_line(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return line_register(act, form, recorded, why);
}

static bool new_track(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return track_register(act, form, recorded, why);
}

static bool new_map(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return map_register(act, form, recorded, why);
}

static bool new_instrument(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return instrument_register(act, form, recorded, why);
}

static bool new_kit(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return kit_register(act, form, recorded, why);
}

static void line_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_line, "/api/lines");
}

static void track_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_track, "/api/tracks");
}

static void map_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_map, "/api/lines");
}

static void instrument_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_instrument, "/api/instruments");
	program_follow_rulebook(req);   /* earlier readings may be evidence now */
}

static void kit_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, new_kit, "/api/kits");
}

static void line_get(const struct request *req, struct reply *out)
{
	struct line line;
	struct problem why = { 0 };
	struct text body = { 0 };
	struct json j;
	int64_t id;

	if (!request_id(req, 0, &id, &why) || !store_line_get(view_of(req)->store, id, &line, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_integer(&j, "id", line.id);
	json_text(&j, "code", line.code);
	json_text(&j, "name", line.name);
	json_word(&j, "notation", &notation_words, (int)line.notation);
	json_word(&j, "electrification", &electrification_words, (int)line.electrification);
	json_end(&j);
	reply_json(out, 200, &body);
}

/* The stretches of the map in force, in whole millimetres. */
static void add_stretches(const struct line_map *map, struct text *body)
{
	text_add_char(body, '[');
	for (size_t i = 0; i < map->count; i++) {
		struct json j;

		text_add_z(body, i > 0 ? "," : "");
		j = json_begin(body);
		json_integer(&j, "distance_mm", map->stretches[i].distance_mm);
		json_integer(&j, "start_mm", map->stretches[i].start_mm);
		json_integer(&j, "end_mm", map->stretches[i].end_mm);
		json_flag(&j, "is_long", map->stretches[i].is_long);
		json_end(&j);
	}
	text_add_char(body, ']');
}

static void track_map_get(const struct request *req, struct reply *out)
{
	struct track track;
	struct problem why = { 0 };
	const struct line_map *map = NULL;
	struct text body = { 0 };
	struct json j;
	int64_t id;

	if (request_id(req, 0, &id, &why) && store_track_get(view_of(req)->store, id, &track, &why)) {
		map = store_map_get(view_of(req)->store, track.line_id, track.id, &why);
	}
	if (map == NULL) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_integer(&j, "line_id", track.line_id);
	json_integer(&j, "track_id", track.id);
	json_word(&j, "notation", &notation_words, (int)map->notation);
	json_name(&j, "stretches");
	add_stretches(map, &body);
	json_end(&j);
	reply_json(out, 200, &body);
}

const struct route line_routes[] = {
	{ METHOD_GET, "/api/lines/{id}", ROUTE_READ, CAN_READ, line_get, "A line." },
	{ METHOD_POST, "/api/lines", ROUTE_WRITE, CAN_MANAGE, line_post, "Registers a line.",
	  DEED_BODY(&line_form) },
	{ METHOD_POST, "/api/tracks", ROUTE_WRITE, CAN_MANAGE, track_post, "Registers a track.",
	  DEED_BODY(&track_form) },
	{ METHOD_GET, "/api/tracks/{id}/map", ROUTE_READ, CAN_READ, track_map_get,
	  "The chainage map in force for a track." },
	{ METHOD_POST, "/api/maps", ROUTE_WRITE, CAN_MANAGE, map_post,
	  "Puts a chainage map in force for a line or a track.", DEED_BODY(&map_form) },
	{ METHOD_POST, "/api/instruments", ROUTE_WRITE, CAN_MANAGE, instrument_post,
	  "Registers an instrument, or a further calibration of one.", DEED_BODY(&instrument_form) },
	{ METHOD_POST, "/api/kits", ROUTE_WRITE, CAN_MANAGE, kit_post, "Registers a kit.",
	  DEED_BODY(&kit_form) },
	{ 0 }
};
