#include "api/json/bond_json.h"

#include <math.h>
#include <stdio.h>

#include "api/json/end_json.h"
#include "api/json/judgement_json.h"
#include "api/views.h"
#include "base/form.h"
#include "derived/judged.h"
#include "service/record/ends.h"
#include "service/record/refer.h"
#include "store/record/bond_coming.h"
#include "store/record/withdrawal.h"
#include "store/record/work.h"

void json_bond_etag(int64_t version, char *to, size_t size)
{
	snprintf(to, size, "\"%lld\"", (long long)version);
}

static bool add_attachment(struct view *view, const struct bond *b, enum bond_end which,
	struct json *end, struct problem *why)
{
	struct attachment_live a;
	struct json j;

	if (!store_attachment_live(view->store, b->id, which, &a, why)) {
		return false;
	}
	json_name(end, "attachment");
	if (a.id == 0) {
		text_add_z(end->to, "null");
		return true;
	}
	j = json_begin(end->to);
	json_text(&j, "id", a.uuid);
	json_day(&j, "made_day", a.made_day);
	json_word(&j, "method", &attach_method_words, (int)a.method);
	json_text(&j, "done_by", a.person);
	json_text(&j, "entered_by", a.entered_by);
	json_instant(&j, "entered_at", a.entered_at_ms);
	json_text(&j, "kit", a.kit);
	json_text(&j, "batch", a.batch);
	if (a.offset_mm != FORM_NO_INTEGER) {
		json_integer(&j, "offset_mm", a.offset_mm);
	} else {
		json_id(&j, "offset_mm", 0);
	}
	json_end(&j);
	return true;
}

static bool add_end(struct view *view, const struct bond *b, enum bond_end which,
	const struct end_words *ends, struct text *to, struct problem *why)
{
	const struct bond_end_fact *e = &b->end[which];
	struct track track = { 0 };
	char chainage[CHAINAGE_SIZE];
	struct json j = json_begin(to);

	if ((e->track_id != 0 && !store_track_get(view->store, e->track_id, &track, why)) ||
		!store_chainage(view->store, b->line_id, e->track_id, e->distance_mm, chainage,
		why)) {
		return false;
	}
	json_end_words(&j, ends, (int)which);
	json_word(&j, "on", &end_on_words, (int)e->on);
	json_id(&j, "track_id", e->track_id);
	json_text(&j, "track", track.name);
	json_word(&j, "rail", &rail_words, e->rail);
	json_text(&j, "rail_label", e->rail == RAIL_LEFT ? track.left_label :
		e->rail == RAIL_RIGHT ? track.right_label : NULL);
	json_word(&j, "face", &rail_face_words, e->face);
	json_text(&j, "chainage", chainage);
	json_integer(&j, "distance_mm", e->distance_mm);
	json_text(&j, "structure", e->structure);
	if (!add_attachment(view, b, which, &j, why)) {
		return false;
	}
	json_end(&j);
	return true;
}

static void add_due(struct json *bond, const struct bond_state *s, const char *deferral,
	int32_t today)
{
	char reason[DUE_REASON_SIZE];
	struct json j;

	due_reason(&s->due, reason, sizeof reason);
	json_name(bond, "due");
	j = json_begin(bond->to);
	json_word(&j, "what", &due_what_words, s->due.due_day == DAY_NONE ? -1 :
		(int)due_what_of(s->due.basis));
	json_word(&j, "state", &due_state_words, (int)due_state_on(&s->due, today));
	json_day(&j, "due_day", s->due.due_day);
	if (s->due.due_day == DAY_NONE) {
		json_text(&j, "days_over", NULL);
	} else {
		json_integer(&j, "days_over", due_days_over(&s->due, today));
	}
	json_day(&j, "inspect_day", s->due.inspect_day);
	json_day(&j, "mend_day", s->due.mend_day);
	json_integer(&j, "asked", s->asked);
	json_text(&j, "reason", reason);
	json_word(&j, "basis", &due_basis_words, (int)s->due.basis);
	json_integer(&j, "interval_months", s->due.interval_months);
	json_day(&j, "last_inspection_day", s->last_inspection_day);
	json_day(&j, "deferred_to_day", s->due.deferred_until_day);
	json_text(&j, "deferral_reason", deferral);
	json_integer(&j, "failures_open", s->failures_open);
	json_integer(&j, "rulebook_version", s->rulebook_version);
	json_end(&j);
}

/* The members "due" and "grade", as the rules give them now from the record. */
static bool add_state(struct view *view, int64_t bond_id, struct json *to, struct problem *why)
{
	const struct judging *judging;
	struct bond_state s;
	char deferral[2001];

	if (!judging_for_answer(view, bond_id, &judging, why) ||
		!judging_state(view, judging, 0, &s, why) ||
		!store_deferral_reason(view->store, s.deferral_id, deferral, sizeof deferral, why)) {
		return false;
	}
	add_due(to, &s, deferral, view->today);
	json_grade(to, &s, view->today);
	return true;
}

void json_state_of(struct view *view, int64_t bond_id, struct json *to)
{
	struct problem why = { 0 };
	size_t from = to->to->len;
	const char *joint = to->joint;

	if (!add_state(view, bond_id, to, &why)) {
		to->to->len = from;
		to->joint = joint;
	}
}

/* One that was withdrawn is judged no more, and says by whom, when and why. */
static bool add_withdrawal(struct store *store, int64_t bond_id, struct json *bond, bool *withdrawn,
	struct problem *why)
{
	struct withdrawn_word said;
	struct json j;
	bool coming = false;

	if (!store_bond_withdrawn(store, bond_id, &said, why)) {
		return false;
	}
	if (!store_bond_is_coming(store, bond_id, &coming, why)) {
		return false;
	}
	*withdrawn = said.id != 0;
	if (coming && !*withdrawn) {
		return problem_set(why, PROBLEM_NOT_FOUND, NULL, "Bond %lld is of an import that does not "
			"count, or not yet.", (long long)bond_id);
	}
	json_name(bond, "withdrawn");
	if (!*withdrawn) {
		text_add_z(bond->to, "null");
		return true;
	}
	j = json_begin(bond->to);
	json_text(&j, "by", said.person);
	json_instant(&j, "at", said.at_ms);
	json_text(&j, "reason", said.reason);
	json_end(&j);
	return true;
}

static void add_line(const struct line *line, struct json *bond)
{
	struct json j;

	json_name(bond, "line");
	j = json_begin(bond->to);
	json_integer(&j, "id", line->id);
	json_text(&j, "code", line->code);
	json_text(&j, "name", line->name);
	json_word(&j, "notation", &notation_words, (int)line->notation);
	json_word(&j, "electrification", &electrification_words, (int)line->electrification);
	json_end(&j);
}

static void add_facts(const struct bond *b, struct json *j)
{
	json_word(j, "kind", &bond_kind_words, (int)b->kind);
	json_word(j, "criticality", &criticality_words, (int)b->criticality);
	json_word(j, "status", &bond_status_words, (int)b->status);
	json_flag(j, "surveyed", b->surveyed);
	json_day(j, "installed_day", b->installed_day);
	json_day(j, "removed_day", b->removed_day);
	json_word(j, "material", &material_words, b->material);
	json_id(j, "conductor_class", b->conductor_class);
	json_real(j, "area_mm2", b->area_mm2);
	json_real(j, "length_m", b->length_m);
	json_id(j, "cables", b->cables);
	json_real(j, "latitude", b->latitude);
	json_real(j, "longitude", b->longitude);
	json_text(j, "place_written", b->place_written);
	json_text(j, "note", b->note);
	json_text(j, "reason", b->reason);
	json_integer(j, "distance_mm", b->end[END_A].distance_mm);
}

bool json_bond(struct view *view, const struct bond *b, struct text *to,
	struct problem *why)
{
	struct line line;
	char chainage[CHAINAGE_SIZE];
	struct end_words ends;
	struct json j;
	bool ok, withdrawn = false;

	if (!store_line_get(view->store, b->line_id, &line, why) ||
		!ends_of_bond(view->store, b, &ends, why) ||
		!store_chainage(view->store, b->line_id, b->end[END_A].track_id,
		b->end[END_A].distance_mm, chainage, why)) {
		return false;
	}
	j = json_begin(to);
	json_integer(&j, "id", b->id);
	json_integer(&j, "version", b->version);
	json_text(&j, "label", b->label);
	add_line(&line, &j);
	json_text(&j, "chainage", chainage);
	add_facts(b, &j);
	json_name(&j, "ends");
	text_add_char(to, '[');
	if (!add_end(view, b, END_A, &ends, to, why)) {
		return false;
	}
	text_add_char(to, ',');
	if (!add_end(view, b, END_B, &ends, to, why)) {
		return false;
	}
	text_add_char(to, ']');
	json_word(&j, "ends_differ_by", &ends_differ_words, (int)ends.by);
	json_quantities_words(&j, &ends);
	ok = add_withdrawal(view->store, b->id, &j, &withdrawn, why) &&
		(withdrawn || add_state(view, b->id, &j, why));
	json_end(&j);
	return ok;
}
