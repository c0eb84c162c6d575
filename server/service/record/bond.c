#include "service/record/bond.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "derived/made_from.h"
#include "rules/place/chainage.h"
#include "rules/plausible.h"
#include "service/record/refer.h"
#include "store/record/bond_coming.h"
#include "store/record/renewal.h"
#include "store/record/withdrawal.h"

#define AT(field) offsetof(struct bond_new, field)

#define END_MEMBERS(p, P, end) \
	{ .name = p "_on", .title = "End " P " is on", .type = MEMBER_WORD, .offset = AT(end.on), \
	  .words = &end_on_words, .help = "Rail when it is left out." }, \
	{ .name = p "_track", .title = "Track of end " P, .type = MEMBER_TEXT, \
	  .offset = AT(end.track), .longest = 60 }, \
	{ .name = p "_rail", .title = "Rail of end " P, .type = MEMBER_WORD, .offset = AT(end.rail), \
	  .words = &rail_words, .help = "Seen in the direction of rising chainage." }, \
	{ .name = p "_face", .title = "Face of the rail at end " P, .type = MEMBER_WORD, \
	  .offset = AT(end.face), .words = &rail_face_words }, \
	{ .name = p "_structure", .title = "Structure or equipment at end " P, .type = MEMBER_TEXT, \
	  .offset = AT(end.structure), .longest = 60 }

static const struct member members[] = {
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .required = true, .offset = AT(line),
	  .longest = 60, .help = "The line's code." },
	{ .name = "label", .title = "Label", .type = MEMBER_TEXT, .required = true,
	  .offset = AT(label), .longest = BOND_LABEL_SIZE - 1,
	  .characters = PLAUSIBLE_LABEL_CHARACTERS, .help = "As it stands on the plate." },
	{ .name = "kind", .title = "Kind", .type = MEMBER_WORD, .required = true, .offset = AT(kind),
	  .words = &bond_kind_words },
	{ .name = "criticality", .title = "Criticality", .type = MEMBER_WORD,
	  .offset = AT(criticality), .words = &criticality_words,
	  .help = "Normal when it is left out." },
	{ .name = "a_chainage", .title = "Chainage of end A", .type = MEMBER_TEXT, .required = true,
	  .offset = AT(a.chainage), .longest = 60, .help = "In the line's notation." },
	END_MEMBERS("a", "A", a),
	{ .name = "b_chainage", .title = "Chainage of end B", .type = MEMBER_TEXT,
	  .offset = AT(b.chainage), .longest = 60, .help = "As end A when it is left out." },
	END_MEMBERS("b", "B", b),
	{ .name = "status", .title = "Status", .type = MEMBER_WORD, .offset = AT(status),
	  .words = &bond_status_words, .help = "In service when it is left out." },
	{ .name = "surveyed", .title = "Surveyed", .type = MEMBER_FLAG, .offset = AT(surveyed),
	  .help = "No: known from a log only. Yes when it is left out." },
	{ .name = "installed_day", .title = "Installed", .type = MEMBER_DAY,
	  .offset = AT(installed_day) },
	{ .name = "removed_day", .title = "Removed", .type = MEMBER_DAY, .offset = AT(removed_day) },
	{ .name = "material", .title = "Conductor", .type = MEMBER_WORD, .offset = AT(material),
	  .words = &material_words },
	{ .name = "conductor_class", .title = "Class of the conductor (IEC 60228)",
	  .type = MEMBER_INTEGER, .offset = AT(conductor_class), .least = 1, .most = 6 },
	{ .name = "area_mm2", .title = "Cross-section of one cable", .unit = "mm²",
	  .type = MEMBER_REAL, .offset = AT(area_mm2), .least = 0.5, .most = 2000 },
	{ .name = "length_m", .title = "Length of one cable", .unit = "m", .type = MEMBER_REAL,
	  .offset = AT(length_m), .least = 0.05, .most = 2000 },
	{ .name = "cables", .title = "Cables in parallel", .type = MEMBER_INTEGER,
	  .offset = AT(cables), .least = 1, .most = 20 },
	{ .name = "latitude", .title = "Latitude (WGS 84)", .unit = "°", .type = MEMBER_REAL,
	  .offset = AT(latitude), .least = -90, .most = 90 },
	{ .name = "longitude", .title = "Longitude (WGS 84)", .unit = "°", .type = MEMBER_REAL,
	  .offset = AT(longitude), .least = -180, .most = 180 },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = AT(note), .longest = 2000 },
	{ .name = "place_written", .title = "The place as it was written", .type = MEMBER_TEXT,
	  .offset = AT(place_written), .longest = 60, .help = "Where the chainage was made of it; otherwise the "
	  "chainage as it was sent." },
	{ .name = "reason", .title = "Why it is changed", .type = MEMBER_TEXT, .offset = AT(reason),
	  .longest = 500 },
	{ 0 }
};
const struct form bond_form = { "Bond", members, sizeof (struct bond_new) };

static void copy(char *to, size_t size, const char *text)
{
	text_fit(to, size, "%s", text != NULL ? text : "");
}

static int word_or(int word, int usual)
{
	return word < 0 ? usual : word;
}

/* End A as sent; what end B leaves out is as at A. */
static bool read_end(struct act *act, const struct bond *bond, const struct end_new *sent,
	const struct bond_end_fact *like, const char *prefix, struct bond_end_fact *to,
	struct problems *why)
{
	char field[32];

	to->on = (enum end_on)word_or(sent->on, END_ON_RAIL);
	to->rail = sent->rail;
	to->face = sent->face;
	copy(to->structure, sizeof to->structure, sent->structure);
	if (to->on == END_ON_RAIL && like != NULL && sent->rail < 0) {
		to->rail = like->rail;
	}
	snprintf(field, sizeof field, "%s_track", prefix);
	if (sent->track == NULL && like != NULL) {
		to->track_id = like->track_id;
	} else if (!refer_track(act, bond->line_id, sent->track, field, &to->track_id, why)) {
		return false;
	}
	if (sent->chainage == NULL && like != NULL) {
		to->distance_mm = like->distance_mm;
		return true;
	}
	snprintf(field, sizeof field, "%s_chainage", prefix);
	return refer_place(act, bond->line_id, to->track_id, sent->chainage, field, &to->distance_mm,
		why);
}

/* A number of the form that is none of a bond. */
static bool check_class(int64_t conductor_class, struct problems *why)
{
	return (conductor_class != 3 && conductor_class != 4) || problems_add(why, PROBLEM_VALUE,
		"conductor_class", "IEC 60228 has the classes 1, 2, 5 and 6, not %d.",
		(int)conductor_class);
}

static bool check(const struct bond *b, bool names_other_track, int32_t today,
	struct problems *why)
{
	bool ok = plausible_label(b->label, strlen(b->label), "label", why);

	ok = plausible_bond(b->installed_day, b->removed_day, today, why) && ok;
	ok = plausible_span(b->end[END_A].distance_mm, b->end[END_B].distance_mm, "b_chainage", why) &&
		ok;
	if (b->kind == BOND_TRACK_CROSS && b->end[END_A].track_id != 0 && !names_other_track) {
		ok = problems_add(why, PROBLEM_RULE, "b_track",
			"A track-to-track cross bond reaches another track: name it in b_track.");
	}
	if (b->status == BOND_IN_SERVICE && b->removed_day != DAY_NONE) {
		ok = problems_add(why, PROBLEM_RULE, "removed_day",
			"A bond in service has no day of removal: give its status as removed, or leave it "
			"out.");
	}
	return check_class(b->conductor_class, why) && ok;
}

bool bond_read(struct act *act, const struct bond_new *form, struct bond *b,
	struct problems *why)
{
	*b = (struct bond){ .kind = (enum bond_kind)form->kind,
		.criticality = (enum criticality)word_or(form->criticality, CRITICALITY_NORMAL),
		.status = (enum bond_status)word_or(form->status, BOND_IN_SERVICE),
		.surveyed = form->surveyed != 0, .installed_day = form->installed_day,
		.removed_day = form->removed_day, .material = form->material,
		.conductor_class = form->conductor_class == FORM_NO_INTEGER ? 0 : form->conductor_class,
		.area_mm2 = form->area_mm2, .length_m = form->length_m,
		.cables = form->cables == FORM_NO_INTEGER ? 0 : form->cables,
		.latitude = form->latitude, .longitude = form->longitude };
	copy(b->label, sizeof b->label, form->label);
	copy(b->note, sizeof b->note, form->note);
	copy(b->reason, sizeof b->reason, form->reason);
	copy(b->place_written, sizeof b->place_written, form->place_written != NULL ?
		form->place_written : form->a.chainage);
	if (!refer_line(act, form->line, "line", &b->line_id, why)) {
		return false;
	}
	if (!read_end(act, b, &form->a, NULL, "a", &b->end[END_A], why) ||
		!read_end(act, b, &form->b, &b->end[END_A], "b", &b->end[END_B], why)) {
		return false;
	}
	return check(b, form->b.track != NULL, act->view->today, why);
}

static bool same_real(double a, double b)
{
	return (isnan(a) && isnan(b)) || a == b;
}

static const char *end_differs(const struct bond_end_fact *x, const struct bond_end_fact *y)
{
	return x->distance_mm != y->distance_mm ? "the chainage" : x->track_id != y->track_id ?
		"the track" : x->rail != y->rail ? "the rail" : x->on != y->on || x->face != y->face ||
		strcmp(x->structure, y->structure) != 0 ? "an end" : NULL;
}

/* The first thing in which two versions differ; NULL when they say the same. */
static const char *bond_differs(const struct bond *x, const struct bond *y)
{
	const char *end = end_differs(&x->end[END_A], &y->end[END_A]);

	end = end != NULL ? end : end_differs(&x->end[END_B], &y->end[END_B]);
	return end != NULL ? end : x->kind != y->kind ? "the kind" :
		x->criticality != y->criticality ? "the criticality" : x->status != y->status ?
		"the status" : x->installed_day != y->installed_day ? "the day of installation" :
		x->removed_day != y->removed_day ? "the day of removal" : x->material != y->material ||
		x->conductor_class != y->conductor_class || !same_real(x->area_mm2, y->area_mm2) ||
		!same_real(x->length_m, y->length_m) || x->cables != y->cables ? "the conductor" :
		!same_real(x->latitude, y->latitude) || !same_real(x->longitude, y->longitude) ?
		"the coordinates" : x->surveyed != y->surveyed ? "whether it is surveyed" :
		strcmp(x->note, y->note) != 0 ? "the note" : NULL;
}

static bool bond_again(struct act *act, const struct bond *wanted, struct recorded *recorded,
	struct problems *why)
{
	struct bond kept;
	struct problem trouble = { 0 };
	const char *differs;

	if (!store_bond_get(act->store, recorded->id, &kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	differs = bond_differs(&kept, wanted);
	recorded->already = differs == NULL;
	return recorded->already || problems_add(why, PROBLEM_CONFLICT, "label",
		"This line has a bond %s already, and %s of it differs.", kept.label, differs);
}

/* The bond of a label: one that counts, or of the same import as the act; *id 0: none. What another
 * import is just bringing has its label, too. */
static bool find_label(struct act *act, int64_t line_id, const char *label, int64_t *id,
	struct problems *why)
{
	struct bond_coming coming = { 0 };
	struct problem trouble = { 0 };

	if (!store_bond_find(act->store, line_id, label, id, &trouble) || (*id == 0 &&
		!store_bond_coming_find(act->store, line_id, label, &coming, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	if (coming.bond_id != 0 && act->is_coming && coming.import_id == act->origin.import_id) {
		*id = coming.bond_id;
		return true;
	}
	return coming.bond_id == 0 || problems_add(why, PROBLEM_CONFLICT, "label", "Import %lld, "
		"which is being taken, brings a bond %s of this line: try again when it is done.",
		(long long)coming.import_id, label);
}

static bool keep_new(struct act *act, struct bond *b, struct problems *why)
{
	struct problem trouble = { 0 };

	if (act->is_coming) {
		return (store_bond_insert(act->store, b, &act->origin, &trouble) &&
			store_bond_coming_put(act->store, b, act->origin.import_id, &trouble)) ||
			act_refuse(why, &trouble, NULL);
	}
	return (store_bond_insert(act->store, b, &act->origin, &trouble) &&
		store_renewals_take_off(act->store, b->id, &act->origin, &trouble) &&
		changed_of_bond(act, SENT_BOND, b->id, &trouble)) || act_refuse(why, &trouble, NULL);
}

bool bond_register(struct act *act, const struct bond_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct bond b;

	*recorded = (struct recorded){ 0 };
	if (!bond_read(act, form, &b, why) ||
		!find_label(act, b.line_id, b.label, &recorded->id, why)) {
		return false;
	}
	if (recorded->id != 0) {
		return bond_again(act, &b, recorded, why);
	}
	if (!keep_new(act, &b, why)) {
		return false;
	}
	recorded->id = b.id;
	return true;
}

/* The bond was there when work was done on it. What stands on record already is not asked again. */
static bool check_installed(struct act *act, const struct bond *kept, const struct bond *b,
	struct problems *why)
{
	static const char *const words[] = { [BOND_INSPECTED] = "An inspection",
		[BOND_ATTACHED] = "An attachment made", [BOND_FAILED] = "A failure found" };
	struct problem trouble = { 0 };
	enum bond_work work;
	int32_t day;

	if (b->installed_day == kept->installed_day) {
		return true;
	}
	return (store_bond_first_work(act->store, kept->id, &day, &work, &trouble) ||
		act_refuse(why, &trouble, NULL)) &&
		plausible_installed(b->installed_day, words[work], day, why);
}

static bool put_changed(struct act *act, const struct bond *kept, struct bond *b,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t other;

	if (!find_label(act, b->line_id, b->label, &other, why)) {
		return false;
	}
	if (other != 0 && other != kept->id) {
		return problems_add(why, PROBLEM_CONFLICT, "label", "Another bond of this line has the "
			"label %s.", b->label);
	}
	b->id = kept->id;
	b->version = kept->version;
	return check_installed(act, kept, b, why) &&
		((store_bond_change(act->store, b, &act->origin, &trouble) &&
		store_renewals_take_off(act->store, b->id, &act->origin, &trouble) &&
		changed_of_bond(act, SENT_BOND, b->id, &trouble)) || act_refuse(why, &trouble, NULL));
}

bool bond_change(struct act *act, int64_t bond_id, const struct bond_new *form,
	struct problems *why)
{
	struct bond kept, b;
	struct problem trouble = { 0 };
	bool withdrawn = false;

	if (!store_bond_get(act->store, bond_id, &kept, &trouble) ||
		!store_withdrawn(act->store, SENT_BOND, bond_id, &withdrawn, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (withdrawn) {
		return problems_add(why, PROBLEM_CONFLICT, NULL, "That bond was withdrawn.");
	}
	if (!bond_read(act, form, &b, why)) {
		return false;
	}
	return put_changed(act, &kept, &b, why);
}

bool bond_change_to(struct act *act, const struct bond *kept, struct bond *b, struct problems *why)
{
	return check(b, b->end[END_B].track_id != 0, act->view->today, why) &&
		put_changed(act, kept, b, why);
}

bool bond_register_found(struct act *act, int64_t line_id, int64_t track_id, int rail,
	int64_t distance_mm, const char *written, struct bond *b, struct problems *why)
{
	struct problem trouble = { 0 };
	struct bond_coming coming = { 0 };
	char chainage[CHAINAGE_SIZE];
	int64_t taken = 1;

	*b = (struct bond){ .line_id = line_id, .kind = BOND_KIND_NOT_KNOWN,
		.installed_day = DAY_NONE, .removed_day = DAY_NONE, .material = -1, .area_mm2 = NAN,
		.length_m = NAN, .latitude = NAN, .longitude = NAN,
		.end = { { .track_id = track_id, .rail = rail, .face = -1, .distance_mm = distance_mm },
		{ .track_id = track_id, .rail = rail, .face = -1, .distance_mm = distance_mm } } };
	copy(b->place_written, sizeof b->place_written, written);
	if (!store_chainage(act->store, line_id, track_id, distance_mm, chainage, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	for (int n = 1; taken != 0 && n < 1000; n++) {
		snprintf(b->label, sizeof b->label, n == 1 ? "? %.*s" : "? %.*s (%d)",
			(int)utf8_fit(chainage, strlen(chainage), 30), chainage, n);
		if (!store_bond_find(act->store, line_id, b->label, &taken, &trouble) ||
			!store_bond_coming_find(act->store, line_id, b->label, &coming, &trouble)) {
			return act_refuse(why, &trouble, NULL);
		}
		taken = taken != 0 ? taken : coming.bond_id;
	}
	return keep_new(act, b, why);
}
