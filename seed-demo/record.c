/* Enters the railway through the service layer, day by day, each act by the person who did it. A
 * refused record is a mistake of the demo: it stops there and says why. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/day.h"
#include "demo.h"
#include "derived/derived.h"
#include "rules/place/chainage.h"
#include "service/access/person.h"
#include "service/access/register.h"
#include "service/access/sign_in.h"
#include "service/record/bond.h"
#include "service/record/line.h"
#include "service/record/rail.h"
#include "store/lists/report.h"
#include "store/writer.h"

enum { EVENTS_OF_JOB = 12000 };

/* One transaction: the railway itself, or a run of events. */
struct demo_job {
	struct job job;
	struct demo *demo;
	char (*hashes)[PERSON_HASH_SIZE];   /* of passwords; NULL: events */
	size_t from, to;
	int32_t *day;                       /* of the last event, and how many it had */
	int *on_day;
	struct problems why;
	size_t refused;
};

static bool register_people(struct demo_job *j, struct act *act)
{
	struct recorded recorded;

	for (size_t i = 0; i < PLAN_PEOPLE; i++) {
		const struct plan_person *p = &plan_people[i];
		const struct person_new form = { p->login, p->name, (int)p->role, 1 };

		if (!person_register(act, &form, j->hashes[i], &recorded, &j->why)) {
			return false;
		}
		j->demo->people[i] = recorded.id;
	}
	return true;
}

static bool register_map(struct act *act, const char *line, const char *track,
	const struct line_map *map, struct problems *why)
{
	struct stretch_new stretches[8];
	struct map_new form = { line, track, { stretches, map->count } };
	struct recorded recorded;

	for (size_t i = 0; i < map->count; i++) {
		const struct map_stretch *s = &map->stretches[i];

		stretches[i] = (struct stretch_new){ (double)s->distance_mm / 1000,
			(double)s->start_mm / 1000, (double)s->end_mm / 1000, s->is_long };
	}
	return map->count == 0 || map_register(act, &form, &recorded, why);
}

/* Welded rail throughout: no length between joints. */
static bool register_rail(struct act *act, const char *line, const char *track,
	struct problems *why)
{
	const struct track_rail_new rail = { line, track, "60E1", NAN, NULL };
	struct recorded recorded;

	return track_rail_put(act, &rail, &recorded, why);
}

static bool register_line(struct act *act, const struct plan_line *p, struct problems *why)
{
	const struct line_new line = { p->code, p->name, (int)p->notation, (int)p->electrification };
	struct recorded recorded;

	if (!line_register(act, &line, &recorded, why)) {
		return false;
	}
	for (int i = 0; i < p->n_tracks; i++) {
		const struct plan_track *t = &p->track[i];
		const struct track_new track = { p->code, t->name, t->left_label, t->right_label };

		if (!track_register(act, &track, &recorded, why) ||
			(t->map != NULL && !register_map(act, p->code, t->name, t->map, why)) ||
			!register_rail(act, p->code, t->name, why)) {
			return false;
		}
	}
	return register_map(act, p->code, NULL, &p->map, why);
}

static bool register_railway(struct demo_job *j, struct act *act)
{
	struct recorded recorded;
	bool ok = register_people(j, act);

	for (int i = 0; ok && i < PLAN_LINES; i++) {
		ok = register_line(act, &plan_lines[i], &j->why);
	}
	for (int i = 0; ok && i < PLAN_KITS; i++) {
		const struct kit_new kit = { plan_kits[i].code, plan_kits[i].name };

		ok = kit_register(act, &kit, &recorded, &j->why);
	}
	return ok;
}

/*
 * Where a bond is on the globe. The railway is invented and so is its land, which lies in the open
 * sea of the South Atlantic: each line is an arc, its tracks 4 m apart. The branch has only been
 * surveyed by chainage.
 */
static void give_coordinates(const struct demo_bond *b, struct bond_new *form)
{
	static const struct { double latitude, longitude, heading, turn_a_m; } arcs[PLAN_LINES] = {
		[LINE_MAIN] = { -41.2, -19.6, 0.9, 1.6e-5 },       /* degrees; radians, from north */
		[LINE_SUBURBAN] = { -41.1, -19.2, 2.4, -4e-5 },
	};
	static const double degree_m = 111195, radians = 0.017453292519943295;
	double from = arcs[b->line].heading, turn_a_m = arcs[b->line].turn_a_m;
	double heading = from + turn_a_m * (double)b->distance_mm / 1000;
	double east_m, north_m;

	if (turn_a_m == 0 || !b->surveyed) {
		return;
	}
	east_m = (cos(from) - cos(heading)) / turn_a_m + 4 * b->track * cos(heading);
	north_m = (sin(heading) - sin(from)) / turn_a_m - 4 * b->track * sin(heading);
	form->latitude = round((arcs[b->line].latitude + north_m / degree_m) * 1e6) / 1e6;
	form->longitude = round((arcs[b->line].longitude +
		east_m / (degree_m * cos(arcs[b->line].latitude * radians))) * 1e6) / 1e6;
}

/* A bond's two chainages, which the form borrows. */
struct end_chainages { char a[CHAINAGE_TEXT_SIZE], b[CHAINAGE_TEXT_SIZE]; };

/* Over a joint, a metre from end to end. By miles and chains both are on the same chain, so that
 * nothing tells the ends on the branch apart. */
static void fill_bond(const struct demo_bond *b, struct end_chainages *chainage,
	struct bond_new *form)
{
	enum { JOINT_MM = 1000 };

	const struct plan_line *line = &plan_lines[b->line];

	form_clear(&bond_form, form);
	chainage_write(b->distance_mm, plan_map(b->line, b->track), chainage->a, sizeof chainage->a);
	chainage_write(b->distance_mm + JOINT_MM, plan_map(b->line, b->track), chainage->b,
		sizeof chainage->b);
	form->line = line->code;
	form->label = b->label;
	form->kind = b->surveyed ? (int)b->kind : BOND_KIND_NOT_KNOWN;
	form->criticality = (int)b->criticality;
	form->surveyed = b->surveyed;
	form->installed_day = b->installed_day;
	form->a = (struct end_new){ END_ON_RAIL, line->track[b->track].name, b->rail,
		b->kind == BOND_RAIL_JOINT ? FACE_WEB_FIELD : FACE_WEB_GAUGE, chainage->a, NULL };
	if (b->rail_b >= 0) {
		form->b = form->a;
		form->b.chainage = b->kind == BOND_RAIL_JOINT && b->line != LINE_BRANCH ? chainage->b : NULL;
		form->b.rail = b->rail_b;
		form->b.track = line->track[b->track_b].name;
	} else {
		form->b.on = b->structure_is_equipment ? END_ON_EQUIPMENT : END_ON_STRUCTURE;
		form->b.structure = b->structure;
	}
	if (b->conductor != NULL) {
		form->material = (int)b->conductor->material;
		form->conductor_class = b->conductor->conductor_class;
		form->area_mm2 = b->conductor->area_mm2;
		form->length_m = b->length_m;
		form->cables = b->conductor->cables;
	}
	give_coordinates(b, form);
}

static bool send_bond(struct act *act, struct demo_bond *b, bool removal, struct problems *why)
{
	struct end_chainages chainage;
	struct bond_new form;
	struct recorded recorded;

	fill_bond(b, &chainage, &form);
	if (removal) {
		form.status = BOND_REMOVED;
		form.removed_day = b->removed_day;
		form.reason = b->repeat >= 0 ? "stolen twice, given up" : "taken out with the rail";
		return bond_change(act, b->id, &form, why);
	}
	if (!bond_register(act, &form, &recorded, why)) {
		return false;
	}
	b->id = recorded.id;
	return !recorded.already || problems_add(why, PROBLEM_CONFLICT, "label", "Registered twice.");
}

static bool send_failure(struct act *act, struct demo_event *e, struct demo_bond *b,
	struct problems *why)
{
	struct recorded recorded;

	if (b != NULL) {
		e->form.failure.of.bond_id = b->id;
		e->form.failure.reference = e->text;
	} else {
		e->form.failure.chainage = e->text;
	}
	return failure_record(act, &e->form.failure, 0, &recorded, why);
}

static bool send(struct demo *demo, struct act *act, struct demo_event *e, struct problems *why)
{
	struct demo_bond *b = e->bond < demo->n_bonds ? &demo->bonds[e->bond] : NULL;
	struct recorded recorded;

	switch (e->kind) {
	case EVENT_CALIBRATION:
		return instrument_register(act, &e->form.calibration, &recorded, why);
	case EVENT_BOND:
	case EVENT_REMOVAL:
		return send_bond(act, b, e->kind == EVENT_REMOVAL, why);
	case EVENT_ATTACHMENT:
		e->form.attachment.of.bond_id = b->id;
		e->form.attachment.batch = e->text[0] != '\0' ? e->text : NULL;
		return attachment_record(act, &e->form.attachment, &recorded, why);
	case EVENT_INSPECTION:
		e->form.inspection.of.bond_id = b->id;
		e->form.inspection.readings.items = e->readings;
		return inspection_record(act, &e->form.inspection, &recorded, why);
	case EVENT_FAILURE:
		return send_failure(act, e, b, why);
	case EVENT_REPAIR:
		return repair_record(act, &e->form.repair, &recorded, why);
	case EVENT_DEFERRAL:
		e->form.deferral.of.bond_id = b->id;
		return deferral_record(act, &e->form.deferral, &recorded, why);
	}
	return false;
}

/* One act: who, when (from eight in the morning on, some seconds apart), what. */
static bool act_of_event(struct demo_job *j, struct store *store, struct demo_event *e)
{
	struct origin origin = { .person_id = j->demo->people[e->person] };
	struct view view = { .store = store, .today = e->day };
	struct act act;
	bool ok;

	*j->on_day = e->day == *j->day ? *j->on_day + 1 : 0;
	*j->day = e->day;
	origin.now_ms = (int64_t)e->day * 86400000 + 8 * 3600000 + *j->on_day * INT64_C(3000);
	ok = act_begin(&act, &view, &origin, &j->why) && send(j->demo, &act, e, &j->why) &&
		derived_end(&act, &j->why);
	act_release(&act);
	view_release(&view);
	return ok;
}

static bool run_events(struct job *job, void *context)
{
	struct demo_job *j = (struct demo_job *)job;

	for (size_t i = j->from; i < j->to; i++) {
		if (!act_of_event(j, context, &j->demo->events[i])) {
			j->refused = i;
			return false;
		}
	}
	return true;
}

static bool run_tonight(struct job *job, void *context)
{
	struct demo_job *j = (struct demo_job *)job;

	return demo_tonight(j->demo, context, &j->why);
}

/* A register that was made before must be fresh, and begin with the demo. */
static bool is_as_begun(struct demo_job *j, const struct act *act)
{
	struct problem why = { 0 };
	struct register_facts facts;
	struct report_line *lines = NULL;
	size_t n_lines = 0;
	bool ok = register_facts(act->store, &facts, &why) &&
		store_report_lines(act->store, &lines, &n_lines, &why);

	free(lines);
	if (!ok) {
		return act_refuse(&j->why, &why, NULL);
	}
	return (n_lines == 0 && strcmp(facts.zone, PLAN_ZONE) == 0 &&
		facts.began_day == j->demo->first_day) || problems_add(&j->why, PROBLEM_RULE, NULL,
		"The register is in use, or does not begin with the demo (bondbook-demo --init tells how).");
}

static bool run_railway(struct job *job, void *context)
{
	struct demo_job *j = (struct demo_job *)job;
	const struct origin origin = { .now_ms = (int64_t)j->demo->first_day * 86400000 };
	struct view view = { .store = context, .today = j->demo->first_day };
	struct act act;
	bool ok = act_begin(&act, &view, &origin, &j->why) &&
		(j->demo->is_begun ? is_as_begun(j, &act) :
		register_begin(&act, PLAN_ZONE, DAY_NONE, &j->why)) && register_railway(j, &act) &&
		derived_end(&act, &j->why);

	act_release(&act);
	view_release(&view);
	return ok;
}

static void tell_refused(const struct demo_job *j)
{
	static const char *const kinds[] = { "calibration", "bond", "removal", "attachment",
		"inspection", "failure", "repair", "deferral" };
	const struct demo_event *e = &j->demo->events[j->refused];
	bool of_bond = j->hashes == NULL && e->bond < j->demo->n_bonds;
	const struct problem *p = &j->why.item[0];

	fprintf(stderr, "bondbook-demo: %s %s %s was refused: %s: %s\n",
		j->job.run == run_tonight ? "tonight" : j->hashes != NULL ? "the railway" : kinds[e->kind],
		of_bond ? plan_lines[j->demo->bonds[e->bond].line].code : "",
		of_bond ? j->demo->bonds[e->bond].label : "", p->field, p->detail);
}

static bool do_job(struct writer *writer, struct demo_job *j)
{
	if (writer_do(writer, &j->job) && j->job.ok) {
		return true;
	}
	tell_refused(j);
	return false;
}

/* Slow on purpose, so before any transaction. */
static bool hash_passwords(char (*hashes)[PERSON_HASH_SIZE])
{
	struct problems why = { 0 };

	for (size_t i = 0; i < PLAN_PEOPLE; i++) {
		if (plan_people[i].password != NULL &&
			!password_hash(plan_people[i].password, hashes[i], &why)) {
			fprintf(stderr, "bondbook-demo: %s\n", why.item[0].detail);
			return false;
		}
	}
	return true;
}

bool demo_record(struct demo *demo, const char *path, bool passwords)
{
	static char hashes[PLAN_PEOPLE][PERSON_HASH_SIZE];
	const struct writer_options options = { .make = !demo->is_begun };
	struct problem why = { 0 };
	int32_t day = DAY_NONE;
	int on_day = 0;
	struct demo_job railway = { .job.run = run_railway, .demo = demo, .hashes = hashes };
	struct writer *writer;
	bool ok;

	memset(hashes, 0, sizeof hashes);
	if (passwords && !hash_passwords(hashes)) {
		return false;
	}
	writer = writer_start(path, &options, &why);
	if (writer == NULL) {
		fprintf(stderr, "bondbook-demo: %s\n", why.detail);
		return false;
	}
	ok = do_job(writer, &railway);
	for (size_t from = 0; ok && from < demo->n_events; from += EVENTS_OF_JOB) {
		struct demo_job j = { .job.run = run_events, .demo = demo, .from = from,
			.to = from + EVENTS_OF_JOB < demo->n_events ? from + EVENTS_OF_JOB : demo->n_events,
			.day = &day, .on_day = &on_day };

		ok = do_job(writer, &j);
	}
	if (ok) {
		struct demo_job tonight = { .job.run = run_tonight, .demo = demo, .hashes = hashes };

		ok = do_job(writer, &tonight);
	}
	writer_stop(writer);
	return ok;
}
