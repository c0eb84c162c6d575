/* The rounds of these days: two for tonight, one that was walked last night, one that was
 * withdrawn; a temporary bridge still on, what people may do and until when, and when kits were
 * serviced. */
#include <stdio.h>
#include <string.h>

#include "base/day.h"
#include "demo.h"
#include "derived/derived.h"
#include "service/record/bridge.h"
#include "service/record/competence.h"
#include "service/record/crew_round.h"

enum { ROUND_BONDS = 16, NO_STEP = -1 };

static const struct plan_shift {
	int line;
	size_t bonds;
	int32_t days_ago;
	const char *crew, *begins, *ends;
	int person[2];                      /* of plan_people */
	int steps[3];                       /* enum round_step, ended by NO_STEP */
	const char *said;                   /* with the last one */
} shifts[] = {
	{ LINE_SUBURBAN, 9, 1, "City night crew", "23:30", "03:30",
	  { PERSON_MORE_CREW + 4, PERSON_MORE_CREW + 5 },
	  { ROUND_STEP_BEGUN, ROUND_STEP_DONE, NO_STEP },
	  "Handed over at the depot" },
	{ LINE_MAIN, 14, 0, "Night crew north", "23:10", "03:40", { PERSON_CREW, PERSON_MORE_CREW },
	  { ROUND_STEP_TAKEN, NO_STEP }, NULL },
	{ LINE_BRANCH, 12, 0, "Branch night crew", "22:30", "02:30",
	  { PERSON_MORE_CREW + 2, PERSON_MORE_CREW + 3 }, { NO_STEP }, NULL },
	{ LINE_MAIN, 10, 0, "Night crew south", "23:10", "03:40", { PERSON_CREW, PERSON_MORE_CREW + 1 },
	  { ROUND_STEP_WITHDRAWN, NO_STEP }, "The possession was given to a rail change" },
};

struct tonight {
	struct demo *demo;
	struct store *store;
	struct random r;
	struct act act;
	struct view view;
	bool round_used[1 << 12];           /* of demo->rounds */
	struct problems *why;
};

static bool begin(struct tonight *t, int32_t day, int hour, int person)
{
	const struct origin origin = { .person_id = t->demo->people[person],
		.now_ms = (int64_t)day * 86400000 + (int64_t)hour * 3600000 };

	t->view = (struct view){ .store = t->store, .today = day };
	return act_begin(&t->act, &t->view, &origin, t->why);
}

static bool end(struct tonight *t, bool ok)
{
	ok = ok && derived_end(&t->act, t->why);
	act_release(&t->act);
	view_release(&t->view);
	return ok;
}

/* The bonds of a line that nobody visited for longest, which lie together. */
static size_t choose(struct tonight *t, int line, int64_t *ids, size_t most)
{
	const struct demo *d = t->demo;
	size_t oldest = d->n_rounds, n = 0;

	for (size_t i = 0; i < d->n_rounds && i < sizeof t->round_used; i++) {
		const struct demo_round *round = &d->rounds[i];

		if (round->line == line && !t->round_used[i] && round->n_visits > 0 &&
			(oldest == d->n_rounds || round->visits[round->n_visits - 1].day <
			d->rounds[oldest].visits[d->rounds[oldest].n_visits - 1].day)) {
			oldest = i;
		}
	}
	if (oldest < d->n_rounds) {
		t->round_used[oldest] = true;
	}
	for (size_t i = 0; i < d->n_bonds && n < most; i++) {
		const struct demo_bond *b = &d->bonds[i];

		if (b->round == (int)oldest && b->id != 0 && b->removed_day == DAY_NONE) {
			ids[n++] = b->id;
		}
	}
	return n;
}

static bool make_round(struct tonight *t, const struct plan_shift *s, int64_t *bonds, size_t n,
	char uuid[UUID_TEXT_SIZE])
{
	const char *persons[] = { plan_people[s->person[0]].name, plan_people[s->person[1]].name };
	struct round_new form;
	struct recorded recorded;

	form_clear(&round_form, &form);
	demo_uuid(t->demo->today - s->days_ago - 1, &t->r, uuid);
	memcpy(form.uuid, uuid, UUID_TEXT_SIZE);
	form.work = ROUND_INSPECT;
	form.crew = s->crew;
	form.persons = (struct form_list){ persons, 2 };
	form.shift_day = t->demo->today - s->days_ago;
	form.begins = s->begins;
	form.ends = s->ends;
	form.bonds = (struct form_list){ bonds, n };
	return round_record(&t->act, &form, &recorded, t->why);
}

static bool say(struct tonight *t, const struct plan_shift *s, const char *round, int step,
	const char *said)
{
	struct round_said form;
	struct recorded recorded;

	form_clear(&round_step_form, &form);
	demo_uuid(t->demo->today, &t->r, form.uuid);
	memcpy(form.round, round, sizeof form.round);
	form.step = step;
	form.said = said;
	if (step == ROUND_STEP_BEGUN) {
		form.kit = plan_kits[plan_lines[s->line].first_kit].code;
		form.instrument = plan_instruments[0].serial;
		form.possession = "Controller, 23:34";
		form.isolation = "Switched off 23:41";
	}
	return round_say(&t->act, &form, &recorded, t->why);
}

/* Both ends seen, but of two bonds that were not reached. */
static bool walk(struct tonight *t, const struct plan_shift *s, const char *round,
	const int64_t *bonds, size_t n)
{
	bool ok = true;

	for (size_t i = 0; ok && i < n; i++) {
		struct inspection_new form;
		struct recorded recorded;
		bool reached = i % 5 != 3;

		form_clear(&inspection_form, &form);
		demo_uuid(t->demo->today - s->days_ago, &t->r, form.uuid);
		form.of.bond_id = bonds[i];
		form.day = t->demo->today - s->days_ago;
		form.outcome = reached ? OUTCOME_COMPLETE : OUTCOME_NOT_REACHED;
		form.seen_a = form.seen_b = reached ? SEEN_GOOD : -1;
		form.note = reached ? NULL : i < 5 ? "buried" : "line not blocked";
		memcpy(form.round, round, sizeof form.round);
		ok = inspection_record(&t->act, &form, &recorded, t->why);
	}
	return ok;
}

static bool plan_shift(struct tonight *t, const struct plan_shift *s)
{
	int32_t day = t->demo->today - s->days_ago;
	int64_t bonds[ROUND_BONDS];
	size_t n = choose(t, s->line, bonds, s->bonds);
	char round[UUID_TEXT_SIZE];
	bool ok = n == 0 ||
		end(t, begin(t, day, 9, PERSON_PLANNER) && make_round(t, s, bonds, n, round));

	for (int i = 0; ok && n > 0 && s->steps[i] != NO_STEP; i++) {
		bool is_last = s->steps[i + 1] == NO_STEP;
		bool by_planner = s->steps[i] == ROUND_STEP_WITHDRAWN;

		ok = end(t, begin(t, day, (s->days_ago > 0 ? 21 : 10) + i,
			by_planner ? PERSON_PLANNER : s->person[0]) &&
			say(t, s, round, s->steps[i], is_last ? s->said : NULL) &&
			(s->steps[i] != ROUND_STEP_BEGUN || walk(t, s, round, bonds, n)));
	}
	return ok;
}

/* Where a failure is not made good yet. */
static bool put_bridge_on(struct tonight *t)
{
	const struct demo *d = t->demo;
	struct bridge_new form;
	struct recorded recorded;
	size_t last = d->n_failures;

	for (size_t i = 0; i < d->n_failures; i++) {
		const struct demo_failure *f = &d->failures[i];
		const struct demo_bond *b = &d->bonds[f->bond];

		if (f->stays_open && b->removed_day == DAY_NONE && b->rail_b >= 0 &&
			(last == d->n_failures || f->day > d->failures[last].day)) {
			last = i;
		}
	}
	if (last == d->n_failures) {
		return true;
	}
	form_clear(&bridge_form, &form);
	demo_uuid(d->today - 1, &t->r, form.uuid);
	form.bond_id = d->bonds[d->failures[last].bond].id;
	form.on_day = d->today - 1;
	form.place = "From rail head to rail head, one sleeper towards lower chainage";
	form.note = "Clamped, 70 mm², until the bond is attached anew";
	return end(t, begin(t, d->today - 1, 22, PERSON_CREW) &&
		bridge_record(&t->act, &form, &recorded, t->why));
}

/* Of one crew the right to braze ended three weeks ago; of one kit the service is past. */
static bool may_do_what(struct tonight *t)
{
	int32_t today = t->demo->today;
	struct recorded recorded;
	bool ok = begin(t, today, 8, PERSON_MANAGER);

	for (int i = PERSON_CREW; ok && i < PLAN_PEOPLE; i++) {
		const struct competence_new brazes = { t->demo->people[i], "Pin brazing",
			i == PLAN_PEOPLE - 1 ? today - 21 : today + 60 + 31 * i };
		const struct competence_new measures = { t->demo->people[i], "Four-wire measuring",
			DAY_NONE };

		ok = plan_people[i].role != ROLE_CREW ||
			(competence_set(&t->act, &brazes, &recorded, t->why) &&
			competence_set(&t->act, &measures, &recorded, t->why));
	}
	for (int i = 0; ok && i < PLAN_KITS; i++) {
		const struct kit_service_new service = { plan_kits[i].code, today - 200 - 60 * i,
			today + 165 - 60 * i, NULL };

		ok = kit_service_record(&t->act, &service, &recorded, t->why);
	}
	return end(t, ok);
}

bool demo_tonight(struct demo *demo, struct store *store, struct problems *why)
{
	static struct tonight t;
	bool ok;

	t = (struct tonight){ .demo = demo, .store = store, .why = why,
		.r = random_stream(STREAM_OTHER, 7001) };
	ok = may_do_what(&t);
	for (size_t i = 0; ok && i < sizeof shifts / sizeof shifts[0]; i++) {
		ok = plan_shift(&t, &shifts[i]);
	}
	return ok && put_bridge_on(&t);
}
