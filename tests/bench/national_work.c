/* What crews did in the made-up country: visits, readings, failures and how they were made good. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "national.h"
#include "derived/derive.h"
#include "rules/reading.h"
#include "service/record/attachment.h"
#include "service/record/work.h"
#include "store/kept/visit_count.h"
#include "store/record/inspection.h"
#include "store/record/work.h"

/* One crew on one day: so many bonds of one interval class, in order along a line. */
struct sweep {
	int32_t day;
	uint32_t first;             /* place in struct visits.order */
	uint32_t count;
};

struct visits {
	uint32_t *order;            /* bonds: by line, class, place */
	struct sweep *all;
	size_t count;
};

static int by_day(const void *a, const void *b)
{
	const struct sweep *one = a, *two = b;

	return one->day != two->day ? (one->day > two->day) - (one->day < two->day) :
		(one->first > two->first) - (one->first < two->first);
}

/* The last visit lies up to a whole interval back; one sweep of 25 is late. */
static void plan_sweep(struct national *n, struct visits *v, uint32_t first, uint32_t count,
	int months)
{
	int32_t days = months * 30;
	int32_t last = n->today - 1 - (int32_t)draw(n, (uint64_t)days) -
		(draw(n, 25) == 0 ? (int32_t)draw(n, (uint64_t)days / 2) : 0);

	for (int visit = 0; visit < VISITS_OF_BOND; visit++) {
		v->all[v->count++] = (struct sweep){ last - visit * (days - 5), first, count };
	}
}

static void plan_line(struct national *n, struct visits *v, size_t from, size_t to, uint32_t *at)
{
	for (int c = 0; c < CLASSES; c++) {
		uint32_t first = *at;

		for (size_t i = from; i < to; i++) {
			if (n->bonds[i].interval_class == c) {
				v->order[(*at)++] = (uint32_t)i;
			}
		}
		for (; first < *at; first += BONDS_OF_SWEEP) {
			uint32_t left = *at - first;

			plan_sweep(n, v, first, left < BONDS_OF_SWEEP ? left : BONDS_OF_SWEEP,
				class_months[c]);
		}
	}
}

static void plan(struct national *n, struct visits *v)
{
	size_t most = n->n_lines * (BONDS_OF_LINE / BONDS_OF_SWEEP + CLASSES) * VISITS_OF_BOND;
	uint32_t at = 0;

	v->order = calloc(n->n_bonds, sizeof *v->order);
	v->all = calloc(most, sizeof *v->all);
	if (v->order == NULL || v->all == NULL) {
		abort();
	}
	for (size_t from = 0; from < n->n_bonds; from += BONDS_OF_LINE) {
		size_t to = from + BONDS_OF_LINE;

		plan_line(n, v, from, to < n->n_bonds ? to : n->n_bonds, &at);
	}
	qsort(v->all, v->count, sizeof *v->all, by_day);
}

/* A contact, a few micro-ohms of its own, as the meter showed it. */
static void draw_contact(struct national *n, const struct known_bond *b, struct reading_row *r)
{
	double own = 3 + (double)(b->distance_mm / 1000 % 50) / 10;

	r->shown_uohm = round(own * (0.95 + 0.1 * draw_real(n)) * 10) / 10;
}

/* The cable both ways, with both contacts, near what such a cable may have; but for a few. */
static void draw_cable(struct national *n, const struct known_bond *b, double temp_c,
	struct reading_row *r)
{
	const double alpha = reading_alpha20((enum material)b->material);
	double share = draw(n, 200) == 0 ? 1.25 : 0.95;
	double uohm = b->r20_uohm * (1 + alpha * (temp_c - 20)) * (0.97 + 0.06 * draw_real(n)) * share;
	double thermal_uv = 4 * draw_real(n) - 2;

	r->current_a = 10;
	r->forward_uv = round((uohm * 10 + thermal_uv) * 10) / 10;
	r->reverse_uv = round((-uohm * 10 + thermal_uv) * 10) / 10;
}

/* What proves the kind: a joint bond's contacts; else the cable, then one contact. */
static void draw_reading(struct national *n, const struct known_bond *b, int which, double temp_c,
	struct reading_row *r)
{
	bool joint = b->kind == BOND_RAIL_JOINT, cable = which == 0 && !joint;

	*r = (struct reading_row){ .quantity = cable ? QUANTITY_END_TO_END : joint && which > 0 ?
		QUANTITY_CONTACT_B : QUANTITY_CONTACT_A, .method = READING_FOUR_WIRE, .forward_uv = NAN,
		.reverse_uv = NAN, .current_a = NAN, .shown_uohm = NAN, .lead_uohm = NAN, .rail_uv = NAN,
		.rail_m = NAN, .joint_m = NAN, .temp_c = round(temp_c), .probed = -1, .temp_carried = -1,
		.round_temp_c = NAN, .instrument_id = 1 + (int64_t)draw(n, INSTRUMENTS) };
	if (cable) {
		draw_cable(n, b, temp_c, r);
	} else {
		draw_contact(n, b, r);
	}
}

static void make_readings(struct national *n, const struct known_bond *b, int64_t inspection_id)
{
	double temp_c = 28 * draw_real(n);
	struct problem why = { 0 };

	for (int i = 0; i < READINGS_OF_VISIT; i++) {
		struct reading_row row;

		draw_reading(n, b, i, temp_c, &row);
		must(store_reading_insert(n->store, inspection_id, i, &row, &why), &why);
	}
}

static void make_visit(struct national *n, size_t bond, int32_t day)
{
	const struct origin origin = { .person_id = n->act.origin.person_id,
		.now_ms = evening_ms(day) };
	struct sent_as sent;
	struct inspection inspection = { .uuid = sent.uuid, .content_hash = sent.hash,
		.bond_id = (int64_t)bond + 1, .day = day, .purpose = PURPOSE_ROUTINE,
		.outcome = draw(n, 100) == 0 ? OUTCOME_PARTLY : OUTCOME_COMPLETE, .seen_a = SEEN_GOOD,
		.seen_b = draw(n, 60) == 0 ? SEEN_CORRODED : SEEN_GOOD, .cables_whole = 1,
		.strength_a = -1, .strength_b = -1, .surroundings = -1, .failed = -1, .at_ms = FORM_NO_INTEGER,
		.person_id = origin.person_id };
	struct problem why = { 0 };

	draw_sent(n, origin.now_ms, &sent);
	must(store_inspection_insert(n->store, &inspection, &origin, &why), &why);
	make_readings(n, &n->bonds[bond], inspection.id);
	wrote(n, 5);
}

void make_visits(struct national *n)
{
	struct visits v = { 0 };

	plan(n, &v);
	for (size_t s = 0; s < v.count; s++) {
		for (uint32_t i = 0; i < v.all[s].count; i++) {
			make_visit(n, v.order[v.all[s].first + i], v.all[s].day);
		}
	}
	free(v.all);
	free(v.order);
}

/* Three of five failures lie at one of the line's 20 bad places, on one of four bonds there. */
static size_t draw_failing(struct national *n, size_t line)
{
	size_t from = line * BONDS_OF_LINE;
	size_t count = n->n_bonds - from < BONDS_OF_LINE ? n->n_bonds - from : BONDS_OF_LINE;
	size_t place = draw(n, 20) * 97 + (line * 31) % 60;

	return from + (draw(n, 5) < 3 ? place + draw(n, 4) : draw(n, count)) % count;
}

static void make_good(struct national *n, int64_t failure_id, const struct failure *f)
{
	int32_t day = f->found_day + (int32_t)draw(n, 12);
	const struct origin origin = { .person_id = n->act.origin.person_id,
		.now_ms = evening_ms(day) };
	struct sent_as sent;
	struct repair repair = { .uuid = sent.uuid, .content_hash = sent.hash,
		.failure_id = failure_id, .day = day, .at_ms = FORM_NO_INTEGER, .how = "New lug and pin, measured after." };
	struct attachment_new a;
	struct record_row row = { .bond_id = f->bond_id };
	struct problem why = { 0 };

	if (day > n->today) {
		return;
	}
	draw_sent(n, origin.now_ms, &sent);
	must(store_repair_insert(n->store, &repair, &origin, &why), &why);
	draw_sent(n, origin.now_ms, &sent);
	form_clear(&attachment_form, &a);
	memcpy(a.uuid, sent.uuid, sizeof a.uuid);
	a.end = f->bond_end < 0 ? END_A : f->bond_end;
	a.made_day = day;
	a.method = draw(n, 4) == 0 ? ATTACH_BOLTED : ATTACH_BRAZED_PIN;
	a.batch = "B-17";
	a.offset_mm = (int64_t)draw(n, 900);
	a.ground_bright = a.hammer_passed = 1;
	record_row_integer(&row, "person_id", origin.person_id);
	must(store_record_insert(n->store, &attachment_kind, &a, sent.hash, &row, &origin, &why), &why);
}

static void make_failure(struct national *n, size_t bond, int32_t day)
{
	const struct known_bond *b = &n->bonds[bond];
	const struct origin origin = { .person_id = n->act.origin.person_id,
		.now_ms = evening_ms(day) };
	struct sent_as sent;
	struct failure f = { .uuid = sent.uuid, .content_hash = sent.hash,
		.bond_id = (int64_t)bond + 1, .bond_end = (int)draw(n, 3) - 1, .found_day = day,
		.mode = (enum failure_mode)draw(n, 8), .line_id = b->line, .track_id = b->track,
		.rail = b->rail, .distance_mm = b->distance_mm, .at_ms = FORM_NO_INTEGER };
	struct problem why = { 0 };

	draw_sent(n, origin.now_ms, &sent);
	must(store_failure_insert(n->store, &f, &origin, &why), &why);
	if (draw(n, 200) != 0) {
		make_good(n, f.id, &f);
	}
	wrote(n, 3);
}

/* Evenly over eight years, in the order in which they were found. */
void make_failures(struct national *n)
{
	size_t count = n->n_bonds / BONDS_OF_FAILURE;
	int32_t days = 8 * 365;

	for (size_t i = 0; i < count; i++) {
		make_failure(n, draw_failing(n, draw(n, n->n_lines)),
			n->today - days + (int32_t)(i * (size_t)days / count));
	}
}

/* One bond of 400 is put off, by a month or so past its due day. */
static void make_deferral(struct national *n, const struct bond *bond)
{
	const struct origin origin = { .person_id = n->act.origin.person_id,
		.now_ms = evening_ms(n->today) };
	struct sent_as sent;
	struct deferral_new d = { .until_day = n->today + 20 + (int32_t)draw(n, 60),
		.reason = "No possession before then." };
	struct record_row row = { .bond_id = bond->id };
	struct problem why = { 0 };

	draw_sent(n, origin.now_ms, &sent);
	memcpy(d.uuid, sent.uuid, sizeof d.uuid);
	record_row_integer(&row, "decided_day", n->today);
	record_row_integer(&row, "person_id", origin.person_id);
	record_row_integer(&row, "named", 0);
	must(store_record_insert(n->store, &deferral_kind, &d, sent.hash, &row, &origin, &why), &why);
}

enum { DERIVED_AT_ONCE = 1000 };

void derive_all(struct national *n)
{
	struct failure_group *groups = NULL;
	size_t count = 0;
	struct problem why = { 0 };

	for (size_t i = 0; i < n->n_bonds; i++) {
		struct bond bond;

		must(store_bond_get(n->store, (int64_t)i + 1, &bond, &why), &why);
		if (i % 400 == 7) {
			make_deferral(n, &bond);
		}
		wrote(n, 1);
	}
	for (int64_t first = 1; first <= (int64_t)n->n_bonds; first += DERIVED_AT_ONCE) {
		must(derive_range_anew(&n->act, first, first + DERIVED_AT_ONCE - 1, &why), &why);
		wrote(n, DERIVED_AT_ONCE * 10);
	}
	must(store_due_count_make(n->store, &why) && store_visit_count_make(n->store, &why), &why);
	must(store_failure_groups(n->store, 0, &groups, &count, &why), &why);
	for (size_t i = 0; i < count; i++) {
		must(derive_repeat_places(&n->act, &groups[i], &why), &why);
	}
	free(groups);
}
