/* One walk over the readings of a quantity: what they are asked, what answers it, and what they are
 * evidence of. */
#include <math.h>

#include "rules/judge/judge_parts.h"

/* What one walk over the readings of a quantity needs. */
struct walk {
	struct judge_pass *p;
	enum quantity quantity;
	const struct judge_reading *before;   /* the one before, whatever it is; NULL */
	double carried, own;          /* commissioning value before what is contained now, and of it */
	const struct judge_reading *evidence; /* the last that counts; NULL */
	double start;                 /* and before the first of all; NAN */
	size_t waiting;               /* how many wait for an answer */
};

static const struct judge_visit *visit_of(const struct judge_pass *p,
	const struct judge_reading *r)
{
	return &p->facts->visits[r->visit];
}

static bool is_number(const struct judge_reading *r)
{
	return isfinite(r->value) && r->uncertainty.u95_uohm >= 0;
}

bool judge_can_prove(const struct judge_reading *r)
{
	return is_number(r) && meter_believed(r->meter.standing) &&
		(r->reading.standing <= READING_WEAKER || r->reading.remark == REMARK_LUG_ONLY);
}

/* Never evidence, whatever is answered. */
static bool is_hopeless(const struct judge_reading *r)
{
	return r->reading.standing == READING_NOT_EVIDENCE && r->reading.remark != REMARK_LUG_ONLY;
}

static double lower(double a, double b)
{
	return isnan(a) ? b : isnan(b) ? a : a < b ? a : b;
}

/* Both ends attached anew on one day is another cable; one end alone is the same one. */
static bool is_other_cable(const struct judge_pass *p, const struct judge_reading *r,
	const struct judge_reading *before)
{
	const struct judge_attachment *a = judge_attachment_of(p, END_A, r->attached_a);
	const struct judge_attachment *b = judge_attachment_of(p, END_B, r->attached_b);

	return a != NULL && b != NULL && r->attached_a != before->attached_a &&
		r->attached_b != before->attached_b && a->made_day == b->made_day;
}

static void follow_baseline(struct walk *w, const struct judge_reading *r)
{
	if (w->before != NULL && !judge_same_attached(w->before, r)) {
		w->carried = is_other_cable(w->p, r, w->before) ? NAN : lower(w->carried, w->own);
		w->own = NAN;
	}
	w->before = r;
}

static void take_baseline(struct walk *w, const struct judge_reading *r)
{
	if (isnan(w->own) && judge_is_evidence(r) &&
		visit_of(w->p, r)->purpose == PURPOSE_COMMISSIONING) {
		w->own = r->judged;
	}
}

static bool same_number(double a, double b)
{
	return (isnan(a) && isnan(b)) || (a >= b && a <= b);
}

/* Two sets are mostly enough for all readings of a quantity. */
static const struct limits *limits_by(struct judge_pass *p, enum quantity quantity,
	double baseline)
{
	struct limit_facts *facts = &p->facts->limit;

	if (p->limits_quantity != (int)quantity || !same_number(baseline, p->limits_baseline)) {
		facts->quantity = quantity;
		facts->baseline = baseline;
		limit_form(p->rulebook, facts, &p->limits);
		p->limits_quantity = (int)quantity;
		p->limits_baseline = baseline;
	}
	return &p->limits;
}

/* What it would be at worst: a slipped sign or digit hides nothing. */
static double worst_of(const struct judge_reading *r)
{
	const unsigned of_directions = 1u << ASKED_DIRECTIONS | 1u << ASKED_SAME_SIGN |
		1u << ASKED_THERMAL;

	return (r->asked & of_directions) == 0 ? r->value : isnan(r->value) ?
		reading_worst_uohm(&r->values) : fmax(r->value, reading_worst_uohm(&r->values));
}

static double without_none(double u95)
{
	return u95 >= 0 ? u95 : 0;
}

/* What is asked of one reading by itself. */
static void ask(const struct walk *w, struct judge_reading *r, double limit)
{
	const struct judge_pass *p = w->p;
	const struct asked_facts facts = { .values = &r->values, .reading = &r->reading,
		.is_joint = p->facts->limit.kind == BOND_RAIL_JOINT, .value = r->value,
		.conductor_uohm = p->conductor_uohm, .limit = limit,
		.last_value = r->values.is_lug_only ? NAN : w->evidence == NULL ? w->start :
		judge_same_attached(w->evidence, r) ? w->evidence->judged : NAN,
		.round_temp_c = r->round_temp_c, .meter_cannot = !meter_can(&r->meter, r->values.method) };

	r->asked = is_hopeless(r) ? 0 : asked_of(p->rulebook, &facts);
	r->worst = worst_of(r);
	r->would = is_hopeless(r) ? VERDICT_NONE :
		verdict_of(r->worst, without_none(r->uncertainty.u95_uohm), limit);
	if (is_number(r) && !meter_believed(r->meter.standing) && r->would >= VERDICT_UNPROVEN) {
		r->asked |= 1u << ASKED_METER;
	}
}

/* Whether two readings of a visit measure one thing. What has no number stands alone, so that
 * neither an open circuit nor a slipped sign is lost beside another reading; between the lug and
 * the strands lies the crimp. */
static bool is_same_thing(const struct judge_reading *a, const struct judge_reading *b)
{
	return a == b || (a->values.quantity == b->values.quantity && isfinite(a->value) &&
		isfinite(b->value) && a->values.is_lug_only == b->values.is_lug_only);
}

/* The first that can prove something, else the first. */
static struct judge_reading *lead_of(const struct walk *w, size_t first, size_t end)
{
	struct judge_reading *all = w->p->facts->readings;

	for (size_t i = first; i < end; i++) {
		if (is_same_thing(&all[first], &all[i]) && judge_can_prove(&all[i])) {
			return &all[i];
		}
	}
	return &all[first];
}

/* One that agrees with the first of a visit answers it, and their mean is judged, no more certain
 * than the least certain. What cannot prove is not in the mean. */
static void join(struct judge_reading *lead, const struct judge_reading *r, size_t *n)
{
	if (judge_can_prove(r)) {
		lead->judged += (r->value - lead->judged) / (double)++*n;
		lead->judged_u95 = fmax(lead->judged_u95, r->uncertainty.u95_uohm);
		lead->asked = asked_answers(lead->asked, r->asked) ? 0 : lead->asked & r->asked;
	}
}

/* The others of a visit that have a say. When one does not agree they are asked, and the worst of
 * all stands. */
static void join_all(const struct walk *w, size_t first, size_t end, struct judge_reading *lead)
{
	const struct judge_reading *all = w->p->facts->readings, *worst = lead;
	enum verdict would = lead->would;
	bool agree = true;
	size_t n = 1;

	for (size_t i = first; i < end; i++) {
		const struct judge_reading *r = &all[i];

		if (r == lead || !is_same_thing(lead, r) || !is_number(r) || is_hopeless(r) ||
			(!judge_can_prove(r) && r->asked == 0)) {
			continue;
		}
		lead->worst = fmax(lead->worst, r->worst);
		if (r->would > would || (r->would == would && r->value > worst->value)) {
			worst = r;
			would = r->would;
		}
		if (asked_agree(lead->value, &lead->uncertainty, r->value, &r->uncertainty,
			lead->instrument_id == r->instrument_id)) {
			join(lead, r, &n);
		} else {
			agree = false;
		}
	}
	lead->would = would;
	if (!agree) {
		lead->judged = worst->value;
		lead->judged_u95 = without_none(worst->uncertainty.u95_uohm);
		lead->asked |= 1u << ASKED_TWICE;
	}
}

/* The readings of one visit that measure what the first does become one; returns it. */
static struct judge_reading *gather(struct walk *w, size_t first, size_t end, double limit)
{
	struct judge_reading *all = w->p->facts->readings, *lead = lead_of(w, first, end);

	for (size_t i = first; i < end; i++) {
		if (is_same_thing(&all[first], &all[i])) {
			ask(w, &all[i], limit);
			all[i].leads = (size_t)(lead - all);
		}
	}
	lead->judged = lead->value;
	lead->judged_u95 = without_none(lead->uncertainty.u95_uohm);
	join_all(w, first, end, lead);
	lead->status = lead->asked != 0 ? STATUS_OPEN : judge_can_prove(lead) ? STATUS_EVIDENCE :
		STATUS_NONE;
	return lead;
}

/* What lies in circuit, or shows a parallel path, confirms nothing that could be good. */
static bool may_confirm(const struct walk *w, const struct judge_reading *open,
	const struct judge_reading *r)
{
	return judge_shows_good(w->p->rulebook, r) || !judge_shows_good(w->p->rulebook, open);
}

/* A later reading answers those of the same attachments that wait: one that agrees, or any that
 * could itself show that the bond is good. */
static void answer_waiting(struct walk *w, struct judge_reading *r)
{
	struct judge_reading *all = w->p->facts->readings;
	bool counts = judge_is_evidence(r) && judge_shows_good(w->p->rulebook, r);

	for (size_t i = 0; w->waiting > 0 && all[i].visit < r->visit; i++) {
		struct judge_reading *open = &all[i];

		if (open->values.quantity != w->quantity || open->leads != i ||
			open->status != STATUS_OPEN || !judge_same_attached(open, r)) {
			continue;
		}
		if (judge_can_prove(open) && judge_can_prove(r) && may_confirm(w, open, r) &&
			asked_answers(open->asked, r->asked) && asked_agree(open->judged, &open->uncertainty,
			r->judged, &r->uncertainty, open->instrument_id == r->instrument_id)) {
			open->status = r->status = STATUS_EVIDENCE;
			take_baseline(w, open);
			w->waiting--;
		} else if (counts) {
			open->status = open->would == VERDICT_OVER ? STATUS_DROPPED_OVER : STATUS_DROPPED;
			w->waiting--;
		}
	}
	w->waiting += r->status == STATUS_OPEN;
}

/* What shows another path beside the bond. */
static bool shows_parallel(const struct walk *w, const struct judge_reading *r)
{
	double commissioned = isnan(w->own) ? w->carried : w->own;
	double alone = isnan(w->p->conductor_uohm) ? commissioned : w->p->conductor_uohm;

	return w->quantity == QUANTITY_END_TO_END && !visit_of(w->p, r)->alone &&
		r->judged < w->p->rulebook->asked.parallel_share * alone;
}

static bool is_open_circuit(const struct judge_reading *r)
{
	return (r->reading.remarks >> REMARK_TOO_LARGE & 1) != 0;
}

/* Beside an open circuit no other reading of the visit agrees. One with a slipped sign is answered
 * by another that agrees with what it would be without the slip. */
static void set_beside(struct judge_reading *odd, struct judge_reading *lead, size_t lead_at)
{
	if (!is_open_circuit(odd) && judge_can_prove(lead) && meter_believed(odd->meter.standing) &&
		asked_agree(odd->worst, &lead->uncertainty, lead->value, &lead->uncertainty,
		odd->instrument_id == lead->instrument_id)) {
		odd->leads = lead_at;
	} else {
		lead->asked |= 1u << ASKED_TWICE;
		lead->status = STATUS_OPEN;
	}
}

static void set_beside_all(const struct walk *w, size_t first, size_t end)
{
	struct judge_reading *all = w->p->facts->readings;

	for (size_t i = first; i < end; i++) {
		bool odd = all[i].values.quantity == w->quantity && all[i].leads == i &&
			!isfinite(all[i].value) && (all[i].asked != 0 || is_open_circuit(&all[i]));

		for (size_t j = first; odd && j < end; j++) {
			if (all[j].values.quantity == w->quantity && all[j].leads == j &&
				isfinite(all[j].value) &&
				all[j].values.is_lug_only == all[i].values.is_lug_only) {
				set_beside(&all[i], &all[j], j);
			}
		}
	}
}

/* What a visit read of the quantity, from the first on. */
static void settle(struct walk *w, size_t first, size_t end)
{
	struct judge_pass *p = w->p;
	struct judge_reading *all = p->facts->readings;
	double baseline;

	for (size_t i = first; i < end; i++) {
		all[i].leads = all[i].values.quantity == w->quantity ? SIZE_MAX : all[i].leads;
	}
	follow_baseline(w, &all[first]);
	baseline = lower(w->carried, w->own);
	for (size_t i = first; i < end; i++) {
		if (all[i].values.quantity == w->quantity && all[i].leads == SIZE_MAX) {
			struct judge_reading *r = gather(w, i, end, limits_by(p, w->quantity, baseline)->limit);

			r->limits = p->limits;
			r->baseline = baseline;
			r->parallel = shows_parallel(w, r);
		}
	}
	set_beside_all(w, first, end);
	/* compared with what came before the visit, and not with each other */
	for (size_t i = first; i < end; i++) {
		if (all[i].values.quantity == w->quantity && all[i].leads == i) {
			answer_waiting(w, &all[i]);
			if (judge_is_evidence(&all[i])) {
				w->evidence = &all[i];
				take_baseline(w, &all[i]);
			}
		}
	}
}

static size_t end_of_visit(const struct judge_facts *facts, size_t first)
{
	size_t end = first;

	while (end < facts->n_readings && facts->readings[end].visit == facts->readings[first].visit) {
		end++;
	}
	return end;
}

void judge_walk(struct judge_pass *p, enum quantity quantity)
{
	struct judge_facts *facts = p->facts;
	struct walk w = { .p = p, .quantity = quantity, .carried = NAN, .own = NAN,
		.start = NAN };

	if (facts->start != NULL) {
		w.own = facts->start->baseline[quantity];
		w.start = facts->start->compared[quantity];
	}
	for (size_t i = 0; (p->quantities >> quantity & 1) != 0 && i < facts->n_readings; i++) {
		if (facts->readings[i].values.quantity == quantity) {
			size_t end = end_of_visit(facts, i);

			settle(&w, i, end);
			i = end - 1;
		}
	}
	p->to->baseline[quantity] = lower(w.carried, w.own);
	p->to->compared[quantity] = w.evidence != NULL && judge_is_live(p, w.evidence) ?
		w.evidence->judged : NAN;
}
