/* What is over its limit, and what clears it. */
#include <math.h>

#include "base/day.h"
#include "rules/judge/judge_parts.h"

/* What is over of one quantity, since the first of an unbroken run. */
struct over {
	bool is, is_circuit, is_asked;
	bool only_former;             /* only a former rulebook calls it so */
	const struct judge_reading *last;     /* the newest that was over */
	int32_t since_day;
	int64_t arrived_at_ms, again_at_ms;
};

static const struct judge_visit *visit_of(const struct judge_pass *p,
	const struct judge_reading *r)
{
	return &p->facts->visits[r->visit];
}

/* An open circuit has no value, but says more than one. */
static bool is_open_circuit(const struct judge_reading *r)
{
	return (r->reading.remarks >> REMARK_TOO_LARGE & 1) != 0;
}

static bool is_over(const struct judge_reading *r)
{
	return r->verdict == VERDICT_OVER || r->over_once || r->status == STATUS_DROPPED_OVER ||
		is_open_circuit(r);
}

/* Over by a limit that came into force after it was read, it was found when that did. */
static int32_t found_day(const struct judge_pass *p, const struct judge_reading *r)
{
	int32_t day = visit_of(p, r)->day;
	bool by_limit = r->status == STATUS_EVIDENCE && !is_open_circuit(r);

	return by_limit && r->over_from_day > day ? r->over_from_day : day;
}

static void find(const struct judge_pass *p, const struct judge_reading *r, struct over *over)
{
	bool only_former = r->over_once && r->verdict != VERDICT_OVER &&
		r->status != STATUS_DROPPED_OVER && !is_open_circuit(r);

	if (!over->is) {
		over->since_day = found_day(p, r);
		over->arrived_at_ms = over->again_at_ms = visit_of(p, r)->arrived_at_ms;
		over->is_circuit = false;
		over->is_asked = r->status == STATUS_OPEN;
		over->only_former = only_former;
	}
	over->is = true;
	over->again_at_ms = visit_of(p, r)->arrived_at_ms > over->again_at_ms ?
		visit_of(p, r)->arrived_at_ms : over->again_at_ms;
	over->is_circuit = over->is_circuit || is_open_circuit(r);
	over->is_asked = over->is_asked && r->status == STATUS_OPEN;
	over->only_former = over->only_former && only_former;
	over->last = r;
}

/* Between the newest reading over and a later one. */
static bool work_between(const struct judge_pass *p, const struct over *over,
	const struct judge_reading *within)
{
	const struct judge_facts *f = p->facts;
	int32_t from_day = visit_of(p, over->last)->day, to_day = visit_of(p, within)->day;

	for (size_t v = over->last->visit + 1; v <= within->visit; v++) {
		if (f->visits[v].outcome != OUTCOME_NOT_REACHED &&
			(f->visits[v].purpose == PURPOSE_AFTER_WORKS ||
			f->visits[v].purpose == PURPOSE_AFTER_FAILURE)) {
			return true;
		}
	}
	for (size_t i = 0; i < f->n_failures; i++) {
		if (f->failures[i].repaired_day != DAY_NONE && f->failures[i].repaired_day >= from_day &&
			f->failures[i].repaired_day <= to_day) {
			return true;
		}
	}
	for (size_t i = 0; i < f->n_clearings; i++) {
		if (f->clearings[i].quantity == within->values.quantity &&
			f->clearings[i].day >= from_day) {
			return true;
		}
	}
	return false;
}

/* A successor of what was over, which this visit commissions: itself within, or proved. */
static bool is_successor(const struct judge_pass *p, const struct over *over,
	const struct judge_reading *r)
{
	/* (where instants are noted of some alone, what is given later may contain what was before) */
	return visit_of(p, r)->purpose == PURPOSE_COMMISSIONING &&
		!judge_contains(over->last, r->attached_a, r->attached_b) &&
		r->attached_a >= over->last->attached_a && r->attached_b >= over->last->attached_b;
}

/* By this visit and those before it since the newest attachment: two crews may share a night. */
static bool proves(const struct judge_pass *p, const struct judge_reading *r)
{
	struct judge_proof_of of = { r->attached_a, r->attached_b, { DAY_NONE, RANK_ATTACHMENT, 0 },
		(int64_t)r->visit };
	struct judge_proof proof;

	for (int end = END_A; end <= END_B; end++) {
		const struct judge_attachment *a = judge_attachment_of(p, end, end == END_A ?
			r->attached_a : r->attached_b);

		of.since.day = a != NULL && a->made_day > of.since.day ? a->made_day : of.since.day;
	}
	proof = judge_prove(p, &of);
	return proof.day != DAY_NONE && proof.is_within;
}

static bool clears(const struct judge_pass *p, const struct over *over,
	const struct judge_reading *r)
{
	bool same_quantity = r->values.quantity == over->last->values.quantity;
	bool within = judge_is_evidence(r) && r->verdict == VERDICT_WITHIN && !r->over_once;
	bool later = visit_of(p, r)->day > visit_of(p, over->last)->day;

	if (same_quantity && within && later && (over->only_former ||
		(judge_same_attached(r, over->last) && work_between(p, over, r)))) {
		return true;
	}
	return within && is_successor(p, over, r) && (same_quantity || proves(p, r));
}

static void judge_quantity(struct judge_pass *p, enum quantity quantity)
{
	const struct judge_facts *f = p->facts;
	struct over over = { .is = false };

	for (size_t i = 0; i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];

		if (r->leads != i) {
			continue;
		}
		if (over.is && r->visit >= over.last->visit && clears(p, &over, r)) {
			over.is = false;
		}
		if (r->values.quantity == quantity && is_over(r)) {
			find(p, r, &over);
		}
	}
	p->to->over_since_day[quantity] = over.is ? over.since_day : DAY_NONE;
	if (over.is) {
		enum grade_reason reason = over.is_circuit ? REASON_OPEN_CIRCUIT : over.is_asked ?
			REASON_ASKED_OVER : REASON_OVER;
		enum act_key key = (enum act_key)((int)quantity + (over.is_circuit ?
			(int)ACT_OPEN_CIRCUIT : over.is_asked ? (int)ACT_ASKED : (int)ACT_OVER));

		judge_add_item(p, reason, key, over.since_day, over.arrived_at_ms);
		judge_add_item(p, reason, key, over.since_day, over.again_at_ms);
	}
}

static double share_of_limit(const struct grade_reading *r)
{
	return r->open_circuit ? INFINITY : r->value / r->limit;
}

/* Of two readings of one day: by what they prove, then by how much of the limit is used. */
static bool is_worse(const struct grade_reading *a, const struct grade_reading *b)
{
	if (a->open_circuit != b->open_circuit) {
		return a->open_circuit;
	}
	return a->verdict != b->verdict ? a->verdict > b->verdict :
		share_of_limit(a) > share_of_limit(b) || (isnan(share_of_limit(b)) && a->value > b->value);
}

static void keep_last(struct judge_pass *p, const struct judge_reading *r)
{
	struct grade_reading *last = &p->to->last[r->values.quantity];
	bool open = r->status == STATUS_OPEN;
	const struct grade_reading this = { .there = true, .day = visit_of(p, r)->day,
		.value = open ? r->worst : r->judged, .u95 = r->judged_u95, .limit = r->limits.limit,
		.verdict = r->verdict, .open_circuit = is_open_circuit(r) };

	if ((r->verdict == VERDICT_NONE && !this.open_circuit) || !judge_is_live(p, r)) {
		return;
	}
	/* what waits for an answer takes the place of nothing worse */
	if (!last->there || is_worse(&this, last) || (!open && this.day > last->day)) {
		*last = this;
	}
}

static int worst_quantity(const struct grade_reading *last)
{
	int worst = -1;

	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		if (last[q].there && !isnan(share_of_limit(&last[q])) &&
			(worst < 0 || share_of_limit(&last[q]) > share_of_limit(&last[worst]))) {
			worst = q;
		}
	}
	return worst;
}

/* Bits of those of which anything was over: of most bonds none. */
static unsigned over_quantities(const struct judge_facts *f)
{
	unsigned over = 0;

	for (size_t i = 0; i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];

		if (r->leads == i && is_over(r)) {
			over |= 1u << r->values.quantity;
		}
	}
	return over;
}

void judge_over(struct judge_pass *p)
{
	unsigned over = over_quantities(p->facts);

	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		p->to->last[q] = (struct grade_reading){ .value = NAN, .u95 = NAN, .limit = NAN };
		p->to->over_since_day[q] = DAY_NONE;
		if ((over >> q & 1) != 0) {
			judge_quantity(p, (enum quantity)q);
		}
	}
	for (size_t i = 0; i < p->facts->n_readings; i++) {
		if (p->facts->readings[i].leads == i) {
			keep_last(p, &p->facts->readings[i]);
		}
	}
	p->to->worst_quantity = worst_quantity(p->to->last);
}
