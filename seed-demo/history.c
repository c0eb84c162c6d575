/* All lives in the order of their days, and what concerns no single bond. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/day.h"
#include "demo.h"
#include "rules/place/chainage.h"
#include "rules/rulebook.h"

enum { DEFERRALS = 15, FROM_OLD_LOG = 8 };

void *demo_grow(struct demo *demo, void *array, size_t count, size_t *room, size_t size)
{
	void *moved;

	if (count < *room) {
		return array;
	}
	moved = realloc(array, (*room > 0 ? *room * 2 : 64) * size);
	if (moved == NULL) {
		demo->no_memory = true;
		return NULL;
	}
	*room = *room > 0 ? *room * 2 : 64;
	return moved;
}

static const struct form *form_of(enum event_kind kind)
{
	static const struct form *const forms[] = { [EVENT_CALIBRATION] = &instrument_form,
		[EVENT_ATTACHMENT] = &attachment_form, [EVENT_INSPECTION] = &inspection_form,
		[EVENT_FAILURE] = &failure_form, [EVENT_REPAIR] = &repair_form,
		[EVENT_DEFERRAL] = &deferral_form };

	return forms[kind];
}

struct demo_event *demo_event(struct demo *demo, enum event_kind kind, int32_t day, int person,
	size_t bond)
{
	struct demo_event *e, *moved = demo_grow(demo, demo->events, demo->n_events,
		&demo->room_events, sizeof *demo->events);

	if (moved == NULL) {
		return NULL;
	}
	demo->events = moved;
	e = &demo->events[demo->n_events];
	memset(e, 0, sizeof *e);
	e->day = day;
	e->order = (uint32_t)demo->n_events++;
	e->kind = kind;
	e->person = person;
	e->bond = bond;
	if (kind != EVENT_BOND && kind != EVENT_REMOVAL) {
		form_clear(form_of(kind), &e->form);
	}
	return e;
}

void demo_uuid(int32_t day, struct random *r, char to[UUID_TEXT_SIZE])
{
	unsigned char bytes[10];
	int64_t at_ms = (int64_t)day * 86400000 + random_int(r, 22 * 3600, 24 * 3600 - 1) * INT64_C(1000);

	for (size_t i = 0; i < sizeof bytes; i++) {
		bytes[i] = (unsigned char)(random_next(r) >> 56);
	}
	uuid_v7(at_ms, bytes, to);
}

void demo_batch(int32_t day, int n, char *to, size_t size)
{
	int year, month, day_of_month;

	day_to_parts(day, &year, &month, &day_of_month);
	snprintf(to, size, "P%02d-%c%d", year % 100, "ABCD"[(month - 1) / 3], n);
}

/* Once a year, back to before the register began. */
static void calibrate(struct demo *demo)
{
	for (int n = 0; n < PLAN_INSTRUMENTS; n++) {
		const struct plan_instrument *p = &plan_instruments[n];
		int32_t first = demo->today - p->last_calibrated_days;

		while (first > demo->first_day) {
			first -= 361;
		}
		for (int32_t day = first; day <= demo->today - p->last_calibrated_days; day += 361) {
			struct demo_event *e = demo_event(demo, EVENT_CALIBRATION,
				day < demo->first_day ? demo->first_day : day, PERSON_PLANNER, 0);

			if (e == NULL) {
				return;
			}
			e->form.calibration = (struct instrument_new){ p->serial, p->name, day, day + 365,
				p->uncertainty_percent, p->uncertainty_uohm, -1, -1, { (void *)&p->method, 1 } };
		}
	}
}

static bool can_be_deferred(const struct demo *demo, const struct demo_bond *b, int32_t *due_day)
{
	const struct rulebook rulebook = rulebook_default();

	if (b->last_complete_day == DAY_NONE || b->removed_day != DAY_NONE || b->repeat >= 0) {
		return false;
	}
	*due_day = day_add_months(b->last_complete_day,
		(int)rulebook_interval_months(&rulebook, b->kind, b->criticality));
	return *due_day > demo->today - 100 && *due_day < demo->today + 4 &&
		b->last_complete_day < demo->today - 60;
}

/* Spread over what is due now; every fifth has lapsed. */
static void defer(struct demo *demo)
{
	static const char *const reasons[] = { "no possession before the timetable change",
		"track renewal booked, bond comes with it", "cable route flooded",
		"crew needed for the failures at Sallow Quay", "access road closed by the council" };
	struct random r = random_stream(STREAM_OTHER, 77);
	size_t all = 0, seen = 0, made = 0;
	int32_t due_day;

	for (size_t i = 0; i < demo->n_bonds; i++) {
		all += can_be_deferred(demo, &demo->bonds[i], &due_day) ? 1 : 0;
	}
	for (size_t i = 0; i < demo->n_bonds && made < DEFERRALS; i++) {
		struct demo_event *e;

		if (!can_be_deferred(demo, &demo->bonds[i], &due_day) ||
			seen++ * DEFERRALS < made * all) {
			continue;
		}
		e = demo_event(demo, EVENT_DEFERRAL, demo->last_day - random_int(&r, 4, 25),
			PERSON_PLANNER, i);
		if (e == NULL) {
			return;
		}
		demo_uuid(e->day, &r, e->form.deferral.uuid);
		e->form.deferral.reason = reasons[random_int(&r, 0, 4)];
		e->form.deferral.until_day = made % 5 == 4 && due_day < demo->today - 4 ? demo->today - 2 :
			demo->today + random_int(&r, 12, 80);
		made++;
	}
}

/* A log that had only places, typed in lately; most lie where no bond is registered. */
static void enter_old_log(struct demo *demo)
{
	static const enum failure_mode modes[] = { FAILURE_DETACHED, FAILURE_CABLE_BROKEN,
		FAILURE_MODE_NOT_STATED, FAILURE_CORRODED };
	struct random r = random_stream(STREAM_OTHER, 78);

	for (int i = 0; i < FROM_OLD_LOG; i++) {
		int line = i % 2 == 0 ? LINE_MAIN : LINE_BRANCH;
		struct demo_event *e = demo_event(demo, EVENT_FAILURE, demo->last_day - 70 + i,
			PERSON_PLANNER, demo->n_bonds);
		struct failure_new *f;
		int64_t at_mm = (int64_t)(plan_lines[line].length_m * (i + 1) / (FROM_OLD_LOG + 1)) * 1000;

		if (e == NULL) {
			return;
		}
		f = &e->form.failure;
		demo_uuid(e->day, &r, f->uuid);
		f->of.line = plan_lines[line].code;
		f->track = i % 3 == 2 ? NULL : plan_lines[line].track[0].name;
		f->rail = i % 4 == 3 ? -1 : i % 2;
		f->found_day = demo->last_day - random_int(&r, 300, 1800);
		f->mode = (int)modes[i % 4];
		f->made_good_day = f->found_day + random_int(&r, 1, 20);
		f->made_good_how = i % 3 == 0 ? "new bond fixed" : NULL;
		if (line == LINE_BRANCH) {
			at_mm = (at_mm * 10 / 201168 * 201168 + 5) / 10;   /* to the chain, as they wrote */
		}
		chainage_write(at_mm, plan_map(line, f->track != NULL ? 0 : -1), e->text, sizeof e->text);
	}
}

static int by_day(const void *a, const void *b)
{
	const struct demo_event *x = a, *y = b;

	return x->day != y->day ? (x->day < y->day ? -1 : 1) :
		(x->order > y->order) - (x->order < y->order);
}

bool demo_make_history(struct demo *demo)
{
	size_t failed = 0;

	calibrate(demo);
	for (size_t i = 0; i < demo->n_bonds; i++) {
		size_t n = 0;

		while (failed + n < demo->n_failures && demo->failures[failed + n].bond == i) {
			n++;
		}
		if (!demo_live(demo, i, failed, n)) {
			return false;
		}
		failed += n;
	}
	defer(demo);
	enter_old_log(demo);
	qsort(demo->events, demo->n_events, sizeof *demo->events, by_day);
	return !demo->no_memory;
}
