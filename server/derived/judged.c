#include "derived/judged.h"

#include <math.h>
#include <stdlib.h>

#include "base/array.h"
#include "rules/edition.h"

enum { CONTACTS_IN_SERIES = 2 };

bool judging_read(struct view *view, struct judging *j, int64_t first_id, int64_t last_id,
	struct problem *why)
{
	return store_records_read(view->store, first_id, last_id, RECORD_ALL, &j->records, why);
}

bool judging_bond_then(struct view *view, struct judging *j, size_t i, struct problem *why)
{
	j->records.bonds[i].bond.status = BOND_IN_SERVICE;
	return judging_bond(view, j, i, why);
}

bool judging_one_on(struct view *view, struct judging *j, int64_t bond_id, int32_t day,
	struct problem *why)
{
	return store_records_read(view->store, bond_id, bond_id, day, &j->records, why) &&
		(j->records.n_bonds > 0 || problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no bond %lld.",
		(long long)bond_id)) && (day != RECORD_ALL ? judging_bond_then(view, j, 0, why) :
		judging_bond(view, j, 0, why));
}

void judging_release(struct judging *j)
{
	records_release(&j->records);
	if (j->on_day != NULL) {
		judging_free(j->on_day->judged);
	}
	free(j->on_day);
	free(j->timely);
	free(j->scratch);
	free(j->attachments);
	*j = (struct judging){ 0 };
}

struct judging *judging_of_view(struct view *view, struct problem *why)
{
	if (view->judged == NULL) {
		view->judged = calloc(1, sizeof *view->judged);
	}
	if (view->judged == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	return view->judged;
}

void judging_free(struct judging *j)
{
	if (j != NULL) {
		judging_release(j);
	}
	free(j);
}

/* The commissioning reading is judged with the readings, so it does not count here. */
static struct judge_attachment judged_attachment(const struct view *view,
	const struct record_attachment *a)
{
	struct acceptance acceptance;

	acceptance_compute(view->rulebook, &a->facts, &acceptance);
	return (struct judge_attachment){ .end = a->end, .made_day = a->made_day,
		.ended_day = a->ended_day, .ended_at_ms = a->ended_at_ms,
		.at_ms = a->at_ms, .arrived_at_ms = a->arrived_at_ms, .accepted = (int)acceptance.accepted,
		.accepted_anyway = a->accepted_anyway, .strength_failed = a->facts.hammer_passed == 0 };
}

/* An end that a renewal took off, and of which no attachment was ever recorded, had one. Returns
 * how many there are; there is room for two more than were recorded. */
static size_t judge_attachments(const struct view *view, struct judging *j, const struct record *r,
	int32_t until_day)
{
	size_t n = 0;

	for (int end = END_A; end <= END_B; end++) {
		size_t before = n;

		for (size_t i = 0; i < r->n_attachments; i++) {
			const struct record_attachment *a = &j->records.attachments[r->attachment + i];

			if ((int)a->end == end && a->made_day <= until_day) {
				j->attachments[n++] = judged_attachment(view, a);
			}
		}
		if (n == before && r->detached_day[end] != DAY_NONE) {
			j->attachments[n++] = (struct judge_attachment){ .end = (enum bond_end)end,
				.made_day = DAY_NONE, .ended_day = r->detached_day[end],
				.ended_at_ms = r->detached_at_ms[end], .accepted = ACCEPTANCE_OPEN };
		}
	}
	return n;
}

/* How far into the record it is judged. */
struct extent {
	int32_t until_day, inspected_day;
	bool in_service;
	size_t n_visits, n_readings, n_failures;
};

static bool judge_extent(struct view *view, struct judging *j, const struct record *r,
	const struct extent *x, struct problem *why)
{
	const struct bond *b = &r->bond;

	if (!view_rules(view, why) ||
		!array_room((void **)&j->scratch, &j->room, r->n_readings, sizeof *j->scratch, why) ||
		!array_room((void **)&j->attachments, &j->room_attachments, r->n_attachments + 2,
		sizeof *j->attachments, why)) {
		return false;
	}
	j->facts = (struct judge_facts){
		.due = { .kind = b->kind, .criticality = b->criticality,
		.in_service = x->in_service, .installed_day = b->installed_day,
		.inspected_day = x->inspected_day, .known_since_day = r->known_since_day,
		.commissioning_day = DAY_NONE, .evidence_until_day = DAY_NONE,
		.lacks_since_day = DAY_NONE, .deferred_until_day = DAY_NONE, .act_since_day = DAY_NONE,
		.early_day = DAY_NONE },
		.limit = { .kind = b->kind, .criticality = b->criticality, .baseline = NAN,
		.cable_uohm_per_m = r->cable_uohm_per_m, .length_m = b->length_m, .cables = b->cables,
		.ends = CONTACTS_IN_SERIES, .rail_uohm_per_m = r->rail.uohm_per_m,
		.rail_between_joints_m = r->rail.between_joints_m },
		.material = b->material, .register_began_day = j->records.register_began_day,
		.spans = view->in_force, .n_spans = view->n_in_force, .n_visits = x->n_visits,
		.n_readings = x->n_readings, .attachments = j->attachments,
		.n_attachments = judge_attachments(view, j, r, x->until_day), .n_failures = x->n_failures,
		.n_clearings = r->n_clearings, .deferral = r->deferral };
	if (x->n_failures > 0) {
		j->facts.failures = &j->records.failures[r->failure];
	}
	if (r->n_clearings > 0) {
		j->facts.clearings = &j->records.clearings[r->clearing];
	}
	if (x->n_visits > 0) {
		j->facts.visits = &j->records.visits[r->visit];
	}
	if (x->n_readings > 0) {
		j->facts.readings = &j->records.readings[r->reading];
	}
	judge_bond(view->rulebook, &j->facts, j->scratch, &j->judgement);
	return true;
}

bool judging_bond(struct view *view, struct judging *j, size_t i, struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	const struct extent whole = { RECORD_ALL, r->inspected_day,
		r->bond.status == BOND_IN_SERVICE, r->n_visits, r->n_readings, r->n_failures };

	return judge_extent(view, j, r, &whole, why);
}

/* Whether all that counted until a day is a beginning of what was read. Of a failure the newest
 * repair was read alone, of deferrals the newest, and a renewal ends what was attached before
 * it. */
static bool can_be_cut(const struct judging *j, const struct record *r, int32_t until_day)
{
	for (size_t i = r->failure; i < r->failure + r->n_failures; i++) {
		const struct judge_failure *f = &j->records.failures[i];

		if (f->found_day <= until_day && f->repaired_day != DAY_NONE &&
			f->repaired_day > until_day) {
			return false;
		}
	}
	for (size_t i = r->attachment; i < r->attachment + r->n_attachments; i++) {
		if (j->records.attachments[i].ended_day != DAY_NONE) {
			return false;
		}
	}
	return r->deferral.id == 0 && r->n_clearings == 0 && r->detached_day[END_A] == DAY_NONE &&
		r->detached_day[END_B] == DAY_NONE;
}

/* (the day of the last complete one, of several on a day of that which came last) */
static struct extent extent_until(const struct judging *j, const struct record *r, int32_t day)
{
	struct extent x = { day, DAY_NONE, true, 0, 0, 0 };
	int32_t last_day = DAY_NONE;
	int64_t last_id = 0;

	while (x.n_visits < r->n_visits && j->records.visits[r->visit + x.n_visits].day <= day) {
		const struct judge_visit *v = &j->records.visits[r->visit + x.n_visits];
		int64_t id = j->records.visit_ids[r->visit + x.n_visits];

		x.n_visits++;
		if (v->outcome == OUTCOME_COMPLETE && (last_id == 0 || v->day > last_day ||
			id > last_id)) {
			last_day = v->day;
			last_id = id;
			x.inspected_day = v->counted_day != DAY_NONE ? v->counted_day : v->day;
		}
	}
	if (x.n_visits > 0) {
		x.n_readings = j->records.visit_ends[r->visit + x.n_visits - 1] - r->reading;
	}
	while (x.n_failures < r->n_failures &&
		j->records.failures[r->failure + x.n_failures].found_day <= day) {
		x.n_failures++;
	}
	return x;
}

bool judging_until(struct view *on_day, struct judging *j, size_t i, int32_t until_day,
	struct due *due, struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	struct judging *past;

	if (can_be_cut(j, r, until_day)) {
		const struct extent x = extent_until(j, r, until_day);

		if (!judge_extent(on_day, j, r, &x, why)) {
			return false;
		}
		*due = j->judgement.due;
		return true;
	}
	past = judging_of_view(on_day, why);
	if (past == NULL) {
		return false;
	}
	past->records.without_states = true;
	if (!judging_one_on(on_day, past, r->bond.id, until_day, why)) {
		return false;
	}
	*due = past->judgement.due;
	return true;
}

bool judging_one(struct view *view, struct judging *j, int64_t bond_id, struct problem *why)
{
	return judging_one_on(view, j, bond_id, RECORD_ALL, why);
}

bool judging_for_answer(struct view *view, int64_t bond_id, const struct judging **to,
	struct problem *why)
{
	struct judging *j = judging_of_view(view, why);

	*to = j;
	if (j == NULL || (view->judged_id != bond_id && !judging_one(view, j, bond_id, why))) {
		view->judged_id = 0;
		return false;
	}
	view->judged_id = bond_id;
	return true;
}

static int64_t ppm_of(const struct grade_reading *last)
{
	double share = last->value / last->limit;

	if (last->open_circuit || share >= (double)LIMIT_PPM_MOST / 1e6) {
		return LIMIT_PPM_MOST;
	}
	return isnan(share) ? -1 : share <= 0 ? 0 : llround(share * 1e6);
}

bool judging_state(struct view *view, const struct judging *j, size_t i, struct bond_state *to,
	struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	const struct bond_end_fact *a = &r->bond.end[END_A];
	const struct judgement *m = &j->judgement;
	int worst = m->worst_quantity;

	*to = (struct bond_state){ .version = r->bond.version, .line_id = r->bond.line_id,
		.kind = r->bond.kind, .criticality = r->bond.criticality, .surveyed = r->bond.surveyed,
		.rulebook_version = view->rulebook->version, .edition = RULES_EDITION, .due = m->due,
		.last_inspection_day = r->inspected_day,
		.deferral_id = m->due.deferred_until_day != DAY_NONE ? r->deferral.id : 0,
		.failures_open = r->failures_open, .grade = m->grade, .act_since_day = m->act_since_day,
		.worst_quantity = worst, .worst_verdict = worst < 0 ? -1 : (int)m->last[worst].verdict,
		.limit_ppm = worst < 0 ? -1 : ppm_of(&m->last[worst]), .crosses_day = m->crosses_day,
		.early_day = m->early_day, .asked = m->asked, .commissioning_day = m->commissioning_day,
		.lacks_since_day = m->lacks_since_day, .wants_reading = m->wants_reading,
		.ever_proved = m->ever_proved, .is_watched = m->is_watched,
		.judged_again = m->judged_again };
	return store_chainage(view->store, r->bond.line_id, a->track_id, a->distance_mm, to->chainage,
		why);
}

static void state_of_reading(const struct view *view, const struct judge_reading *r,
	struct reading_state *to)
{
	*to = (struct reading_state){ .r_uohm = r->reading.r_uohm, .r20_uohm = r->reading.r20_uohm,
		.thermal_uv = r->reading.thermal_uv, .equivalent_m = r->reading.equivalent_m,
		.remark = (int)r->reading.remark, .meter = (int)r->meter.standing,
		.verdict = (int)r->verdict, .limit_kind = r->limits.lowest, .limit = r->limits.limit,
		.u95 = judge_is_evidence(r) ? r->uncertainty.u95_uohm : NAN, .p_within = r->p_within,
		.asked = (int)r->asked, .status = (int)r->status, .parallel = r->parallel ? 1 : 0,
		.told = (int)r->told, .told_version = r->told_version,
		.rulebook_version = view->rulebook->version };
}

void judging_reading_kept(const struct view *view, const struct judging *j, size_t i, size_t n,
	struct reading_kept *to)
{
	const struct record_reading *key = &j->records.reading_keys[j->records.bonds[i].reading + n];
	struct reading_state state;

	state_of_reading(view, &j->facts.readings[n], &state);
	reading_state_write(&state, to);
	if (key->has_state && reading_kept_same(to, &key->kept) &&
		view_was_in_force(view, reading_kept_version(&key->kept))) {
		reading_kept_put_version(to, reading_kept_version(&key->kept));
	}
}

void judging_reading_state(const struct view *view, const struct judging *j, size_t i, size_t n,
	struct reading_state *to)
{
	struct reading_kept kept;

	judging_reading_kept(view, j, i, n, &kept);
	reading_state_read(&kept, to);
}
