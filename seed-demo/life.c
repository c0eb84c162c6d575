/* The life of one bond as events: entered, fixed, visited, failed, made good, removed. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/day.h"
#include "demo.h"

/* A bond as its days go by. */
struct life {
	struct demo *demo;
	size_t index;
	const struct demo_round *round;
	const struct demo_failure *failures;
	size_t n_failures;
	struct random r;
	struct demo_contact contact;
	int64_t offset_mm[2];
	int32_t busy_until;           /* a repair is under way */
	int32_t again_day;            /* what could not be done is tried again; DAY_NONE: no */
};

enum { LAST_OF_TIME = INT32_MAX };

static struct demo_bond *bond_of(struct life *l)
{
	return &l->demo->bonds[l->index];
}

static struct demo_event *event(struct life *l, enum event_kind kind, int32_t day, int person)
{
	return demo_event(l->demo, kind, day < l->demo->last_day ? day : l->demo->last_day, person,
		l->index);
}

static void fresh_contact(struct life *l, int end, int32_t day)
{
	l->contact.uohm[end] = random_between(&l->r, 3, 8);
	l->contact.since_day = day;
}

static int crew_of(struct life *l)
{
	int n = (int)l->round->n_visits;
	int person = n > 0 ? l->round->visits[random_int(&l->r, 0, n - 1)].person : PERSON_CREW;

	return person != PERSON_PLANNER ? person : l->round->line == LINE_BRANCH ?
		PERSON_MORE_CREW + 2 : PERSON_CREW;
}

static enum attach_method method_of(struct life *l, int32_t day)
{
	static const int early[] = { 10, 0, 30, 50, 10 };   /* before 2004 */
	const struct demo_bond *b = bond_of(l);

	if (b->repeat >= 0 && day > l->demo->first_day) {
		return ATTACH_BRAZED_PIN;
	}
	return (enum attach_method)random_pick(&l->r, day < 12418 ? early :
		plan_lines[b->line].method_weights, 5);
}

/* The checks on a brazed pin, recorded since crews have tablets. */
static void accept_braze(struct life *l, struct attachment_new *a, bool bad_batch)
{
	a->ground_bright = a->battery_charged = a->gun_flush = a->hammer_passed = 1;
	a->solder_all_round = !(bad_batch && random_chance(&l->r, 0.6));
	a->arc_s = floor(random_between(&l->r, 18, 24)) / 10;
	a->hold_s = floor(random_between(&l->r, 20, 28)) / 10;
	a->stub_mm = floor(random_between(&l->r, 4, 20)) / 10;
}

static void give_maker(struct life *l, struct demo_event *e, bool bad_batch)
{
	const struct demo_bond *b = bond_of(l);
	const struct plan_line *line = &plan_lines[b->line];
	struct attachment_new *a = &e->form.attachment;
	bool brazed = a->method == ATTACH_BRAZED_PIN || a->method == ATTACH_DIRECT_BRAZE;
	int32_t kits_since = l->demo->first_day - 5 * 365;

	a->person = a->made_day < l->demo->first_day ? plan_names_only[random_int(&l->r, 0,
		PLAN_NAMES_ONLY - 1)] : plan_people[crew_of(l)].name;
	if (brazed && a->made_day > kits_since) {
		a->kit = plan_kits[bad_batch ? KIT_BAD_BATCH :
			line->first_kit + random_int(&l->r, 0, line->kits - 1)].code;
		demo_batch(a->made_day, bad_batch ? BAD_BATCH : random_int(&l->r, 1, 2), e->text,
			sizeof e->text);
	}
	if (a->method == ATTACH_BRAZED_PIN && a->made_day > l->demo->first_day + 3 * 365) {
		accept_braze(l, a, bad_batch);
	}
}

static void attach(struct life *l, int end, int32_t made_day, int32_t entered_day, bool bad_batch)
{
	struct demo_event *e = event(l, EVENT_ATTACHMENT, entered_day,
		made_day < l->demo->first_day ? PERSON_PLANNER : crew_of(l));
	struct attachment_new *a;

	if (e == NULL) {
		return;
	}
	a = &e->form.attachment;
	a->end = end;
	a->made_day = made_day;
	a->method = bad_batch ? ATTACH_BRAZED_PIN : (int)method_of(l, made_day);
	a->offset_mm = l->offset_mm[end];
	demo_uuid(e->day, &l->r, a->uuid);
	give_maker(l, e, bad_batch);
	fresh_contact(l, end, made_day);
}

/* The new spot lies beyond the old one; at the place where nobody looks, on it. */
static void move_along(struct life *l, int end, bool same_spot)
{
	if (same_spot) {
		l->offset_mm[end] += random_int(&l->r, -1, 1) * 5;
	} else {
		l->offset_mm[end] += (l->offset_mm[end] >= 0 ? 1 : -1) * (100 + 5 * random_int(&l->r, 0, 14));
	}
}

static void enter(struct life *l)
{
	const struct demo_bond *b = bond_of(l);
	bool bad_batch = b->repeat >= 0 && plan_repeats[b->repeat].reason == REASON_BATCH;

	event(l, EVENT_BOND, b->known_day, PERSON_PLANNER);
	for (int end = 0; end < 2; end++) {
		l->offset_mm[end] = (end == 0 ? -1 : 1) * 5 * random_int(&l->r, 16, 44);
		fresh_contact(l, end, b->installed_day);
		if (b->installed_day != DAY_NONE && b->surveyed && (end == END_A || b->rail_b >= 0)) {
			attach(l, end, b->installed_day, b->known_day, bad_batch);
		}
	}
}

/* Chance of a reading on a routine visit, in percent, by kind. */
static const int measured_percent[] = {
	[BOND_RAIL_JOINT] = 80, [BOND_TRACK_CROSS] = 80, [BOND_RAIL_CROSS] = 80, [BOND_STRUCTURE] = 85,
	[BOND_IMPEDANCE_LEAD] = 80, [BOND_FEEDER_LEAD] = 80, [BOND_TRACK_CIRCUIT_LEAD] = 80,
	[BOND_PROTECTIVE_EARTH] = 85, [BOND_KIND_NOT_KNOWN] = 0
};

static struct inspection_new *inspect(struct life *l, const struct demo_visit *v, int32_t day,
	enum purpose purpose, bool measured)
{
	/* what is on paper is entered some days later */
	struct demo_event *e = event(l, EVENT_INSPECTION,
		v->name != NULL ? day + random_int(&l->r, 1, 4) : day, v->person);
	struct inspection_new *i;

	if (e == NULL) {
		return NULL;
	}
	i = &e->form.inspection;
	demo_uuid(e->day, &l->r, i->uuid);
	i->day = day;
	i->purpose = purpose;
	i->outcome = OUTCOME_COMPLETE;
	i->seen_a = i->seen_b = SEEN_GOOD;
	i->cables_whole = bond_of(l)->conductor != NULL ? bond_of(l)->conductor->cables : 1;
	i->inspector = v->name;
	if (measured) {
		i->readings.count = demo_measure(bond_of(l), &l->contact, day, v->instrument,
			purpose != PURPOSE_ROUTINE && random_chance(&l->r, 0.5), &l->r, e->readings);
	}
	bond_of(l)->last_complete_day = day;
	return i;
}

static void see(struct life *l, struct inspection_new *i)
{
	static const char *const notes[] = { "ballast up to the lug, dug free", "cable clip missing",
		"plate not legible", "grease renewed" };
	static const int seen[] = { SEEN_LOOSE, SEEN_CORRODED, SEEN_STRANDS_BROKEN, SEEN_DAMAGED };

	if (random_chance(&l->r, 0.02)) {
		*(random_chance(&l->r, 0.5) ? &i->seen_a : &i->seen_b) = seen[random_int(&l->r, 0, 3)];
	}
	if (random_chance(&l->r, 0.03)) {
		i->note = notes[random_int(&l->r, 0, 3)];
	}
}

/* Done in part, or not reached: tried again some weeks later, mostly. */
static void fall_short(struct life *l, struct inspection_new *i, int32_t last_complete_day)
{
	static const char *const partly[] = { "end B under ballast", "possession given up early",
		"point motor in the way of end A" };
	static const char *const not_reached[] = { "no possession", "engineering train on the track",
		"not found in the dark", "water over the sleepers" };

	i->readings.count = 0;
	if (random_chance(&l->r, 0.6)) {
		i->outcome = OUTCOME_PARTLY;
		i->seen_b = SEEN_NOT_VISIBLE;
		i->note = partly[random_int(&l->r, 0, 2)];
	} else {
		i->outcome = OUTCOME_NOT_REACHED;
		i->seen_a = i->seen_b = -1;
		i->cables_whole = FORM_NO_INTEGER;
		i->note = not_reached[random_int(&l->r, 0, 3)];
	}
	bond_of(l)->last_complete_day = last_complete_day;
	l->again_day = random_chance(&l->r, 0.93) ? i->day + random_int(&l->r, 6, 38) : DAY_NONE;
}

static void visit(struct life *l, const struct demo_visit *v, int32_t day, bool again)
{
	struct demo_bond *b = bond_of(l);
	int32_t before = b->last_complete_day;
	bool measured = b->drift_a_year > 0 ||
		random_chance(&l->r, measured_percent[b->kind] / 100.0);
	struct inspection_new *i = inspect(l, v, day, PURPOSE_ROUTINE, measured);

	if (i == NULL) {
		return;
	}
	see(l, i);
	if (!again && random_chance(&l->r, b->kind == BOND_STRUCTURE ? 0.03 : 0.045)) {
		fall_short(l, i, before);
	}
}

static int seen_of(enum failure_mode mode)
{
	static const int seen[] = { [FAILURE_CABLE_BROKEN] = SEEN_STRANDS_BROKEN,
		[FAILURE_DETACHED] = SEEN_LOOSE, [FAILURE_LUG_CRACKED] = SEEN_DAMAGED,
		[FAILURE_HIGH_RESISTANCE] = SEEN_GOOD, [FAILURE_CORRODED] = SEEN_CORRODED,
		[FAILURE_BURNT] = SEEN_DAMAGED, [FAILURE_CUT_OR_STOLEN] = SEEN_MISSING,
		[FAILURE_MISSING] = SEEN_MISSING };

	return seen[mode];
}

/* Writes down the failure; its id goes to uuid. */
static void report(struct life *l, const struct demo_failure *f, const struct demo_visit *v,
	char uuid[UUID_TEXT_SIZE])
{
	struct inspection_new *i;
	struct demo_event *e;

	demo_uuid(f->day, &l->r, uuid);
	if (f->by_visit && v != NULL) {
		/* not from paper: it is known, and made good, before the papers come in */
		const struct demo_visit now = { f->day, crew_of(l), NULL, v->instrument };

		i = inspect(l, &now, f->day, PURPOSE_ROUTINE, false);
		if (i != NULL) {
			*(f->end == END_B ? &i->seen_b : &i->seen_a) = seen_of(f->mode);
			memcpy(i->failure.uuid, uuid, UUID_TEXT_SIZE);
			i->failure.end = f->end;
			i->failure.mode = (int)f->mode;
			i->failure.cause = f->cause;
		}
		return;
	}
	e = event(l, EVENT_FAILURE, f->day, PERSON_PLANNER);
	if (e != NULL) {
		int year, month, day;

		day_to_parts(f->day, &year, &month, &day);
		memcpy(e->form.failure.uuid, uuid, UUID_TEXT_SIZE);
		e->form.failure.end = f->end;
		e->form.failure.found_day = f->day;
		e->form.failure.mode = (int)f->mode;
		e->form.failure.cause = f->cause;
		snprintf(e->text, sizeof e->text, "FR-%d-%04d", year, random_int(&l->r, 1, 9999));
	}
}

static const char *how_of(const struct life *l, const struct demo_failure *f, bool removed)
{
	if (removed) {
		return "given up; a new bond stands in its place";
	}
	switch (f->mode) {
	case FAILURE_CABLE_BROKEN:
	case FAILURE_CUT_OR_STOLEN:
	case FAILURE_MISSING:
		return "new cable, both ends fixed anew";
	case FAILURE_HIGH_RESISTANCE:
		return "taken off, ground and fixed anew";
	default:
		return l->demo->bonds[l->index].rail_b < 0 && f->end == END_B ? "new lug at the equipment" :
			"fixed anew beside the old spot";
	}
}

static int32_t repair_day(struct life *l, const struct demo_failure *f)
{
	static const int days[] = { 0, 1, 1, 2, 3, 4, 6, 8, 11, 15, 21, 30 };
	const struct demo_bond *b = bond_of(l);
	int32_t day = f->day + days[random_int(&l->r, 0, 11)];

	if (b->removed_day != DAY_NONE && day > b->removed_day) {
		day = b->removed_day;
	}
	return day;
}

static void mend(struct life *l, const struct demo_failure *f, const char *uuid)
{
	const struct demo_bond *b = bond_of(l);
	int32_t day = repair_day(l, f);
	bool removed = b->removed_day != DAY_NONE && b->removed_day <= day + 4;
	bool whole = f->end < 0;
	struct demo_event *e;
	struct demo_visit after = { .day = day, .person = crew_of(l),
		.instrument = random_int(&l->r, 0, 1) };

	l->busy_until = day;
	if (f->stays_open || day >= l->demo->last_day) {
		return;
	}
	e = event(l, EVENT_REPAIR, day, after.person);
	if (e == NULL) {
		return;
	}
	demo_uuid(day, &l->r, e->form.repair.uuid);
	memcpy(e->form.repair.failure, uuid, UUID_TEXT_SIZE);
	e->form.repair.day = day;
	e->form.repair.how = how_of(l, f, removed);
	if (removed) {
		return;
	}
	for (int end = 0; end < 2; end++) {
		if ((whole || f->end == end) && (end == END_A || b->rail_b >= 0)) {
			move_along(l, end, f->repeat >= 0 &&
				plan_repeats[f->repeat].reason == REASON_SAME_SPOT);
			attach(l, end, day, day, false);
		} else if (whole || f->end == end) {
			fresh_contact(l, end, day);
		}
	}
	if (random_chance(&l->r, 0.97)) {
		inspect(l, &after, day, PURPOSE_COMMISSIONING, true);
	}
}

/* The visit of the round on a day; NULL: none. */
static const struct demo_visit *visit_on(const struct life *l, int32_t day)
{
	for (size_t i = 0; i < l->round->n_visits; i++) {
		if (l->round->visits[i].day == day) {
			return &l->round->visits[i];
		}
	}
	return NULL;
}

static void fail(struct life *l, const struct demo_failure *f)
{
	char uuid[UUID_TEXT_SIZE];

	report(l, f, visit_on(l, f->day), uuid);
	mend(l, f, uuid);
}

static void commission(struct life *l)
{
	const struct demo_bond *b = bond_of(l);
	struct demo_visit v = { .day = b->installed_day, .person = crew_of(l),
		.instrument = random_int(&l->r, 0, 1) };

	if (b->installed_day > l->demo->first_day && !b->never_inspected &&
		(b->repeat >= 0 || random_chance(&l->r, 0.93))) {
		inspect(l, &v, b->known_day, PURPOSE_COMMISSIONING, true);
	}
}

static void renew(struct life *l)
{
	const struct demo_bond *b = bond_of(l);

	move_along(l, END_A, false);
	attach(l, END_A, b->renewed_day, b->renewed_day, true);
}

/* What comes next on or after the day: a visit of the round, a second try, a failure, a renewal. */
static void pass_days(struct life *l)
{
	const struct demo_bond *b = bond_of(l);
	int32_t end = b->removed_day != DAY_NONE ? b->removed_day : l->demo->last_day;
	size_t at = 0, failed = 0;
	bool renewed = b->renewed_day == DAY_NONE;

	for (;;) {
		const struct demo_visit *v = at < l->round->n_visits && !b->never_inspected ?
			&l->round->visits[at] : NULL;
		int32_t visit_day = v != NULL ? v->day : LAST_OF_TIME;
		int32_t fail_day = failed < l->n_failures ? l->failures[failed].day : LAST_OF_TIME;
		int32_t again_day = l->again_day != DAY_NONE ? l->again_day : LAST_OF_TIME;
		int32_t renew_day = renewed ? LAST_OF_TIME : b->renewed_day;

		if (fail_day <= visit_day && fail_day <= again_day && fail_day <= renew_day &&
			fail_day <= end) {
			if (fail_day > b->installed_day) {
				fail(l, &l->failures[failed]);
			}
			failed++;
		} else if (renew_day <= visit_day && renew_day <= again_day && renew_day <= end) {
			renew(l);
			renewed = true;
		} else if (again_day <= visit_day && again_day <= end) {
			struct demo_visit again = { again_day, crew_of(l), NULL, random_int(&l->r, 0, 1) };

			l->again_day = DAY_NONE;
			visit(l, &again, again_day, true);
		} else if (visit_day <= end) {
			if (visit_day > b->known_day + 45 && visit_day > l->busy_until) {
				l->again_day = DAY_NONE;
				visit(l, v, visit_day, false);
			}
			at++;
		} else {
			return;
		}
	}
}

bool demo_live(struct demo *demo, size_t bond, size_t first_failure, size_t n_failures)
{
	const struct demo_bond *b = &demo->bonds[bond];
	struct life l = { .demo = demo, .index = bond, .round = &demo->rounds[b->round],
		.failures = demo->failures + first_failure, .n_failures = n_failures,
		.r = random_stream(STREAM_HISTORY, bond), .busy_until = DAY_NONE, .again_day = DAY_NONE };

	l.contact.drift_from_day = demo->last_day - random_int(&l.r, 700, 1700);
	enter(&l);
	commission(&l);
	pass_days(&l);
	if (b->removed_day != DAY_NONE) {
		event(&l, EVENT_REMOVAL, b->removed_day, PERSON_PLANNER);
	}
	return !demo->no_memory;
}
