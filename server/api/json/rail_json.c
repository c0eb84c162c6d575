#include "api/json/rail_json.h"

#include "api/json.h"
#include "api/json/end_json.h"
#include "service/record/ends.h"
#include "service/record/spot.h"

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
		json_word(&j, "on", &end_on_words, (int)bond->end[end].on);
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

bool json_rail(struct view *view, int64_t bond_id, struct text *to, struct problem *why)
{
	struct bond bond;
	struct end_words ends;
	struct json j;
	bool ok = store_bond_get(view->store, bond_id, &bond, why) &&
		ends_of_bond(view->store, &bond, &ends, why) && view_rules(view, why);

	if (ok) {
		j = json_begin(to);
		json_integer(&j, "reach_mm", SPOT_REACH_MM);
		add_clearances(view->rulebook, &j);
		json_name(&j, "ends");
		text_add_char(to, '[');
		ok = add_end(view, &bond, &ends, END_A, to, why);
		text_add_char(to, ',');
		ok = ok && add_end(view, &bond, &ends, END_B, to, why);
		text_add_char(to, ']');
		json_end(&j);
	}
	return ok;
}
