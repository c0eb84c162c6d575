/* Conductors, rail profiles, the rails of tracks, marks on the rail: what limits and spots rest
 * on. */
#include "api/deed.h"
#include "api/json.h"
#include "api/json/end_json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/record/ends.h"
#include "service/record/rail.h"
#include "service/record/rulebook.h"
#include "service/record/spot.h"

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

static void add_mark(const struct rail_spot *spot, const struct rail_mark *mark, struct text *to)
{
	struct json j = json_begin(to);

	json_word(&j, "kind", &mark_kind_words, (int)mark->kind);
	json_integer(&j, "offset_mm", mark->offset_mm);
	json_flag(&j, "is_placed", spot->is_placed);
	json_integer(&j, "bond_id", spot->bond_id);
	json_text(&j, "label", spot->label);
	json_word(&j, "end", &bond_end_words, spot->bond_end);
	json_text(&j, "attachment", spot->uuid);
	json_word(&j, "method", &attach_method_words, spot->method);
	json_day(&j, "made_day", spot->made_day);
	json_day(&j, "until_day", spot->until_day);
	json_end(&j);
}

static void add_marks(const struct end_spots *spots, struct json *to)
{
	json_name(to, "marks");
	text_add_char(to->to, '[');
	for (size_t i = 0; i < spots->count; i++) {
		if (i > 0) {
			text_add_char(to->to, ',');
		}
		add_mark(&spots->spots[i], &spots->marks[i], to->to);
	}
	text_add_char(to->to, ']');
}

static void add_unknowns(const struct spot_place *place, struct json *to)
{
	unsigned unknown = spot_unknown(place);
	const char *joint = "";

	json_name(to, "unknowns");
	text_add_char(to->to, '[');
	for (int what = 0; what < SPOT_UNKNOWNS; what++) {
		if ((unknown & 1u << what) != 0) {
			struct json j;

			text_add_z(to->to, joint);
			joint = ",";
			j = json_begin(to->to);
			json_word(&j, "what", &spot_unknown_words, what);
			json_text(&j, "sentence", spot_unknown_words.title[what]);
			json_end(&j);
		}
	}
	text_add_char(to->to, ']');
}

/* The free offset that is nearest to the live attachment, or to the reference mark. */
static void add_next(const struct rulebook *rulebook, const struct spot_place *place,
	struct json *to)
{
	char sentence[SPOT_SENTENCE_SIZE];
	int64_t free_mm = 0;

	if (spot_next_free(rulebook, place, place->home_mm, &free_mm)) {
		json_integer(to, "next_free_mm", free_mm);
	} else {
		json_id(to, "next_free_mm", 0);
	}
	spot_sentence(rulebook, place, place->home_mm, sentence, sizeof sentence);
	json_text(to, "sentence", sentence);
}

static bool add_end(const struct view *view, const struct bond *bond, const struct end_words *ends,
	int end, struct text *to, struct problem *why)
{
	struct end_spots spots;
	struct tablet_place place;
	struct json j;
	bool ok = end_spots_read(view->store, view->rulebook, bond, end, view->today, &spots,
		why);

	if (ok) {
		place = end_spots_place(&spots);
		j = json_begin(to);
		json_end_words(&j, ends, end);
		json_word(&j, "side", &joint_side_words, (int)spots.place.side);
		json_flag(&j, "length_known", spots.place.cable_mm > 0);
		json_name(&j, "place");
		form_write(&tablet_place_form, &place, to);
		add_marks(&spots, &j);
		add_unknowns(&spots.place, &j);
		add_next(view->rulebook, &spots.place, &j);
		json_end(&j);
	}
	end_spots_release(&spots);
	return ok;
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
	struct view *view = view_of(req);
	struct problem why = { 0 };
	struct text body = { 0 };
	struct bond bond;
	struct end_words ends;
	struct json j = json_begin(&body);
	int64_t id;
	bool ok = request_id(req, 0, &id, &why) && store_bond_get(view->store, id, &bond, &why) &&
		ends_of_bond(view->store, &bond, &ends, &why) && view_rules(view, &why);

	if (ok) {
		json_integer(&j, "reach_mm", SPOT_REACH_MM);
		add_clearances(view->rulebook, &j);
		json_name(&j, "ends");
		text_add_char(&body, '[');
		ok = add_end(view, &bond, &ends, END_A, &body, &why);
		text_add_char(&body, ',');
		ok = ok && add_end(view, &bond, &ends, END_B, &body, &why);
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
