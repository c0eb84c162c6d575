#include "rules/judge/judge.h"

#include <math.h>

#include "base/day.h"
#include "rules/judge/judge_parts.h"

static int32_t earlier(int32_t a, int32_t b)
{
	return a == DAY_NONE || (b != DAY_NONE && b < a) ? b : a;
}

static struct trend_point point_of(const struct judge_pass *p, const struct judge_reading *r)
{
	bool assumed = isnan(r->meter.percent);

	return (struct trend_point){ .day = p->facts->visits[r->visit].day,
		.value = r->status == STATUS_OPEN ? r->worst : r->judged, .meter = r->instrument_id,
		.meter_percent = assumed ? p->rulebook->unknown_meter_percent : r->meter.percent,
		.meter_uohm = assumed ? p->rulebook->unknown_meter_uohm : r->meter.uohm };
}

static struct trend_facts trend_facts_of(const struct judge_pass *p, enum quantity quantity)
{
	const struct rulebook *b = p->rulebook;

	return (struct trend_facts){ .quantity = quantity, .limit = p->to->last[quantity].limit,
		.first_equivalent_m = NAN,
		.temp_share = quantity != QUANTITY_END_TO_END || p->facts->material < 0 ? 0 :
		reading_alpha20((enum material)p->facts->material) * b->temp_uncertainty_k,
		.repeat_share = b->repeatability_percent / 100,
		.scatter_share = rulebook_scatter_percent(b, p->facts->limit.kind, quantity) / 100 };
}

enum { NO_QUESTION = -1 };

/* The line of the evidence, and of one reading that waits for an answer beside it. */
static void draw(struct judge_pass *p, enum quantity quantity, int64_t question,
	struct trend_point *scratch, struct trend *to)
{
	const struct judge_facts *f = p->facts;
	struct trend_facts trend = trend_facts_of(p, quantity);
	size_t n = 0;

	for (size_t i = 0; i < f->n_readings; i++) {
		struct judge_reading *r = &f->readings[i];

		if (r->values.quantity != quantity) {
			continue;
		}
		r->in_trend = r->leads == i && judge_is_live(p, r) &&
			(judge_is_evidence(r) || (int64_t)i == question);
		if (r->in_trend) {
			trend.first_equivalent_m = n == 0 ? r->reading.equivalent_m : trend.first_equivalent_m;
			scratch[n++] = point_of(p, r);
		}
	}
	trend_compute(&trend, scratch, n, to);
}

/* Each question is looked at by itself: a second one must not flatten the line of the first. */
static void take_trend(struct judge_pass *p, enum quantity quantity, struct trend_point *scratch)
{
	const struct judge_facts *f = p->facts;
	struct trend *to = &p->to->trend[quantity], with;
	int64_t drawn = NO_QUESTION, earliest = NO_QUESTION;

	if ((p->quantities >> quantity & 1) == 0) {
		trend_compute(&(struct trend_facts){ .quantity = quantity }, scratch, 0, to);
		return;
	}
	draw(p, quantity, NO_QUESTION, scratch, to);
	for (size_t i = 0; p->count_open && i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];

		if (r->values.quantity != quantity || r->leads != i || r->status != STATUS_OPEN ||
			!isfinite(r->worst) || r->parallel || r->values.is_lug_only) {
			continue;
		}
		drawn = (int64_t)i;
		draw(p, quantity, drawn, scratch, &with);
		if (with.early_day != DAY_NONE &&
			(to->early_day == DAY_NONE || with.early_day < to->early_day)) {
			*to = with;
			earliest = drawn;
		}
	}
	if (drawn != earliest) {
		draw(p, quantity, earliest, scratch, to);    /* in_trend is of the line that is told */
	}
}

/* The newest evidence is over: it is to be mended, and that is due no later than any forecast of
 * its own could ask for an inspection. */
static bool is_excess(const struct judge_pass *p, enum quantity quantity)
{
	for (size_t i = p->facts->n_readings; i-- > 0;) {
		const struct judge_reading *r = &p->facts->readings[i];

		if (r->values.quantity == quantity && r->leads == i && judge_is_evidence(r) &&
			judge_is_live(p, r)) {
			return r->verdict == VERDICT_OVER;
		}
	}
	return false;
}

/* The earliest forecast is told; the one that asks for the earliest inspection moves the due day,
 * and that may be another one. An excess gets none. */
static void take_forecasts(const struct judge_pass *p, struct due_facts *due)
{
	struct judgement *to = p->to;
	int32_t early_day = DAY_NONE, from_day = DAY_NONE, due_day = DAY_NONE;

	to->crosses_day = to->early_day = DAY_NONE;
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		int32_t early = to->trend[q].early_day;

		if (early == DAY_NONE || is_excess(p, (enum quantity)q)) {
			continue;
		}
		due->early_day = early;
		due->early_from_day = to->trend[q].last_day;
		to->crosses_day = earlier(to->crosses_day, to->trend[q].crosses_day);
		to->early_day = earlier(to->early_day, early);
		if (due_day == DAY_NONE || due_forecast_day(p->rulebook, due) < due_day) {
			early_day = early;
			from_day = to->trend[q].last_day;
			due_day = due_forecast_day(p->rulebook, due);
		}
	}
	due->early_day = early_day;
	due->early_from_day = from_day;
}

static void take_grade(struct judge_pass *p)
{
	struct judgement *to = p->to;
	struct grade_facts grade = { .in_service = p->facts->due.in_service, .reasons = p->reasons,
		.calendar_due_day = due_calendar_day(p->rulebook, &p->facts->due),
		.early_day = to->early_day, .evidence_day = to->proof_day };

	if (to->asked > 0) {
		grade.reasons |= 1u << REASON_ASKED;
	}
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		grade.last[q] = to->last[q];
	}
	grade_compute(p->rulebook, &grade, &to->grade);
	to->is_watched = grade_is_watched(to->grade.reasons);
	to->act_since_day = DAY_NONE;
	for (size_t i = 0; to->grade.grade == GRADE_ACT && i < to->n_items; i++) {
		to->act_since_day = earlier(to->act_since_day, to->items[i].since_day);
	}
}

static void take_due(struct judge_pass *p)
{
	struct due_facts due = p->facts->due;
	struct judgement *to = p->to;

	due.is_judged = true;
	due.is_watched = to->is_watched;
	due.act_since_day = to->act_since_day;
	due.commissioning_day = to->commissioning_day;
	due.wants_reading = to->wants_reading;
	due.evidence_until_day = to->grade.evidence_until_day;
	due.lacks_since_day = to->lacks_since_day;
	due.ever_proved = to->ever_proved;
	due_compute(p->rulebook, &due, &to->due);
}

static void judge_once(struct judge_pass *p, struct trend_point *scratch)
{
	struct judgement *to = p->to;

	*to = (struct judgement){ 0 };
	p->limits_quantity = -1;
	p->reasons = 0;
	p->proved = p->shown_good = false;
	judge_contained(p);
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		judge_readings(p, (enum quantity)q);
	}
	judge_over(p);
	judge_proof_now(p);
	judge_state(p);
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		take_trend(p, (enum quantity)q, scratch);
	}
	take_forecasts(p, &p->facts->due);
	take_grade(p);
	take_due(p);
}

/* What one way of judging finds, and another does not. The worse of both stands. */
static void take_worse(const struct judgement *other, bool asked, struct judgement *to)
{
	const unsigned of_readings = 1u << REASON_UNPROVEN | 1u << REASON_NEAR_LIMIT;
	unsigned reasons = other->grade.reasons;

	if (asked && (reasons & of_readings & ~to->grade.reasons) != 0) {
		reasons = (reasons & ~of_readings) | 1u << REASON_ASKED_WATCH;
	}
	for (size_t i = 0; i < other->n_items; i++) {
		bool there = false;

		for (size_t j = 0; j < to->n_items; j++) {
			there = there || to->items[j].key == other->items[i].key;
		}
		if (!there && to->n_items < JUDGE_ITEMS) {
			to->items[to->n_items++] = other->items[i];
		}
	}
	to->grade.grade = grade_worse(other->grade.grade, to->grade.grade) ? other->grade.grade :
		to->grade.grade;
	to->grade.reasons |= reasons;
	to->grade.evidence_until_day = to->grade.evidence_until_day < other->grade.evidence_until_day ?
		to->grade.evidence_until_day : other->grade.evidence_until_day;
	to->act_since_day = earlier(to->act_since_day, other->act_since_day);
	to->crosses_day = earlier(to->crosses_day, other->crosses_day);
	to->early_day = earlier(to->early_day, other->early_day);
	to->is_watched = to->is_watched || other->is_watched;
	due_take_earlier(&to->due, &other->due);
}

/* The newest visit that told something of the bond as it was then attached: by evidence, or (asked)
 * also by what waits for an answer; where no reading is wanted, by what was seen. -1: none. */
static int64_t newest_told(const struct judge_pass *p, bool asked)
{
	const struct judge_facts *f = p->facts;
	int64_t visit = -1;

	for (size_t i = 0; p->to->wants_reading && i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];

		visit = judge_is_evidence(r) || (asked && r->status == STATUS_OPEN) ? (int64_t)r->visit :
			visit;
	}
	for (size_t i = 0; !p->to->wants_reading && i < f->n_visits; i++) {
		visit = f->visits[i].outcome != OUTCOME_NOT_REACHED ? (int64_t)i : visit;
	}
	return visit;
}

/* As a visit found it attached, without what was attached since. False: that is nothing. */
static bool as_found(const struct judge_pass *p, int64_t visit, struct judge_pass *to)
{
	struct judge_when when;

	*to = *p;
	if (visit < 0) {
		return false;
	}
	when = judge_when_of(&p->facts->visits[visit]);
	to->n_attached[END_A] = (size_t)(judge_attached_at(p, END_A, when) + 1);
	to->n_attached[END_B] = (size_t)(judge_attached_at(p, END_B, when) + 1);
	return to->n_attached[END_A] != p->n_attached[END_A] ||
		to->n_attached[END_B] != p->n_attached[END_B];
}

/* With what waits for an answer as if it counted, and, while nothing has proved what is attached
 * now, as it was attached before; the worse of all is taken. Then once more as it is, so that the
 * readings are left so. */
static void judge_again(struct judge_pass *p, struct trend_point *scratch)
{
	struct judgement all, other;
	bool asked = p->to->asked > 0;
	int64_t told[] = { -1, -1, -1 };

	if (p->proved && !asked) {
		return;
	}
	all = *p->to;
	told[1] = newest_told(p, false);
	told[2] = newest_told(p, true);
	for (int former = 0; former < (p->proved ? 1 : 3); former++) {
		struct judge_pass again;
		bool left_out = as_found(p, told[former], &again);

		if ((former > 0 && !left_out) || (former == 2 && told[2] == told[1])) {
			continue;
		}
		again.to = &other;
		for (int open = !left_out; open <= asked; open++) {
			again.count_open = open != 0;
			judge_once(&again, scratch);
			take_worse(&other, again.count_open, &all);
			all.judged_again = true;
		}
	}
	if (all.judged_again) {
		judge_once(p, scratch);
		*p->to = all;
	}
}

/* Whether a deferral holds is known once all that is to be mended is. */
static void take_deferral(struct judge_facts *facts, struct judgement *to)
{
	int64_t last_complete_ms = 0;

	for (size_t i = 0; i < facts->n_visits; i++) {
		const struct judge_visit *v = &facts->visits[i];

		if (v->outcome == OUTCOME_COMPLETE && v->arrived_at_ms > last_complete_ms) {
			last_complete_ms = v->arrived_at_ms;
		}
	}
	to->deferral_holds = deferral_holds(&facts->deferral, to->items, to->n_items,
		last_complete_ms);
	facts->due.deferred_until_day = to->deferral_holds ? facts->deferral.until_day : DAY_NONE;
	if (facts->due.deferred_until_day > to->due.due_day && to->due.due_day != DAY_NONE) {
		to->due.deferred_until_day = facts->due.deferred_until_day;
	}
}

void judge_bond(const struct rulebook *rulebook, struct judge_facts *facts,
	struct trend_point *scratch, struct judgement *to)
{
	struct judge_pass p = { .rulebook = rulebook, .facts = facts, .to = to };

	judge_prepare(&p);
	facts->due.deferred_until_day = DAY_NONE;
	judge_values(rulebook, facts);
	judge_once(&p, scratch);
	judge_again(&p, scratch);
	take_deferral(facts, to);
}
