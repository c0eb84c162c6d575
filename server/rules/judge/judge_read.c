/* Readings: their order, what they contain, their values, and their verdicts. */
#include <math.h>

#include "base/day.h"
#include "rules/judge/judge_parts.h"

static const char *const status_code[] = { "none", "evidence", "open", "dropped", "dropped_over" };
static const char *const status_title[] = {
	"speaks for nothing", "evidence", "waits for an answer",
	"was asked, and a later reading took its place",
	"was asked, would have been over, and a later reading took its place"
};
const struct words judge_status_words = { "reading_status", status_code, status_title, 5 };

static int rank_of(enum purpose purpose)
{
	return purpose == PURPOSE_ROUTINE ? 0 : 3;
}

struct judge_when judge_when_of(const struct judge_visit *visit)
{
	return (struct judge_when){ visit->day, rank_of(visit->purpose), visit->at_ms };
}

struct judge_when judge_made(const struct judge_attachment *attachment)
{
	return (struct judge_when){ attachment->made_day, RANK_ATTACHMENT, attachment->at_ms };
}

struct judge_when judge_repaired(const struct judge_failure *failure)
{
	return (struct judge_when){ failure->repaired_day, RANK_ATTACHMENT, failure->repaired_at_ms };
}

bool judge_is_before(struct judge_when a, struct judge_when b)
{
	return a.day != b.day ? a.day < b.day : a.at_ms != 0 && b.at_ms != 0 && a.at_ms != b.at_ms ?
		a.at_ms < b.at_ms : a.rank < b.rank;
}

bool judge_visit_is_before(const struct judge_visit *a, const struct judge_visit *b)
{
	return judge_is_before(judge_when_of(a), judge_when_of(b));
}

bool judge_is_evidence(const struct judge_reading *r)
{
	return r->status == STATUS_EVIDENCE && !r->parallel && !r->values.is_lug_only;
}

const struct judge_attachment *judge_attachment_of(const struct judge_pass *p, int end, int n)
{
	int at = 0;

	if (n < 0 || (size_t)n >= p->n_attached[end]) {
		return NULL;
	}
	for (size_t i = 0; i < p->facts->n_attachments; i++) {
		if ((int)p->facts->attachments[i].end == end && at++ == n) {
			return &p->facts->attachments[i];
		}
	}
	return NULL;
}

int judge_attached_at(const struct judge_pass *p, int end, struct judge_when when)
{
	int n = 0;

	for (size_t i = 0; i < p->facts->n_attachments; i++) {
		const struct judge_attachment *a = &p->facts->attachments[i];

		if ((int)a->end == end && (size_t)n < p->n_attached[end] &&
			judge_is_before(judge_made(a), when)) {
			n++;
		}
	}
	return n - 1;
}

void judge_contained(struct judge_pass *p)
{
	struct judge_facts *facts = p->facts;

	for (size_t i = 0; i < facts->n_readings; i++) {
		struct judge_reading *r = &facts->readings[i];

		if (i > 0 && r->visit == r[-1].visit) {
			r->attached_a = r[-1].attached_a;
			r->attached_b = r[-1].attached_b;
		} else {
			struct judge_when when = judge_when_of(&facts->visits[r->visit]);

			r->attached_a = judge_attached_at(p, END_A, when);
			r->attached_b = judge_attached_at(p, END_B, when);
		}
	}
}

bool judge_contains(const struct judge_reading *r, int attached_a, int attached_b)
{
	enum quantity quantity = r->values.quantity;

	return (quantity == QUANTITY_CONTACT_B || r->attached_a == attached_a) &&
		(quantity == QUANTITY_CONTACT_A || r->attached_b == attached_b);
}

bool judge_same_attached(const struct judge_reading *a, const struct judge_reading *b)
{
	return judge_contains(a, b->attached_a, b->attached_b);
}

bool judge_is_live(const struct judge_pass *p, const struct judge_reading *r)
{
	return judge_contains(r, (int)p->n_attached[END_A] - 1, (int)p->n_attached[END_B] - 1);
}

/* 0: the day is not known. */
static int month_of(int32_t day)
{
	int year, month = 0, day_of_month;

	if (day == DAY_NONE) {
		return 0;
	}
	day_to_parts(day, &year, &month, &day_of_month);
	return month;
}

void judge_prepare(struct judge_pass *p)
{
	const struct limit_facts *limit = &p->facts->limit;

	p->cables = limit->cables < 1 ? 1 : limit->cables;
	p->conductor_uohm = limit->cable_uohm_per_m > 0 && limit->length_m > 0 && limit->cables >= 1 ?
		limit->cable_uohm_per_m * limit->length_m / (double)p->cables : NAN;
	for (size_t i = 0; i < p->facts->n_attachments; i++) {
		p->n_attached[p->facts->attachments[i].end]++;
	}
	for (size_t i = 0; i < p->facts->n_readings; i++) {
		p->quantities |= 1u << p->facts->readings[i].values.quantity;
	}
}

/* All the values that no limit is needed for. */
static void compute_values(const struct rulebook *rulebook, const struct judge_facts *facts,
	struct judge_reading *r)
{
	enum quantity quantity = r->values.quantity;
	const struct judge_visit *visit = &facts->visits[r->visit];

	r->values.material = facts->material;
	if (r->values.is_climate) {
		r->values.temp_c = NAN;
		r->values.is_climate = false;
	}
	temperature_take(rulebook, isnan(r->values.temp_c) ? month_of(visit->day) : 0, &r->values);
	reading_compute(&r->values, &r->reading);
	uncertainty_compute(rulebook, &r->reading, quantity, facts->material, &r->meter,
		&r->uncertainty);
	r->value = quantity == QUANTITY_RAIL_DROP ? r->reading.added_m : r->reading.r20_uohm;
	r->only_over = r->values.is_lug_only || (facts->limit.kind == BOND_RAIL_JOINT &&
		!visit->alone && (quantity == QUANTITY_END_TO_END || quantity == QUANTITY_RAIL_DROP));
}

void judge_values(const struct rulebook *rulebook, struct judge_facts *facts)
{
	for (size_t i = 0; i < facts->n_readings; i++) {
		compute_values(rulebook, facts, &facts->readings[i]);
	}
}

static const struct judge_visit *visit_of(const struct judge_pass *p,
	const struct judge_reading *r)
{
	return &p->facts->visits[r->visit];
}

bool judge_shows_good(const struct rulebook *rulebook, const struct judge_reading *r)
{
	bool taken = rulebook->proof[BOND_RAIL_JOINT] == PROOF_IN_CIRCUIT &&
		r->values.quantity == QUANTITY_END_TO_END;

	return !r->parallel && (!r->only_over || taken);
}

/* A reading in circuit of a joint is never within, one that shows a parallel path over or
 * nothing. */
static enum verdict allowed(const struct rulebook *rulebook, const struct judge_reading *r,
	enum verdict verdict)
{
	return verdict != VERDICT_OVER && (r->parallel ||
		(verdict == VERDICT_WITHIN && !judge_shows_good(rulebook, r))) ? VERDICT_NONE : verdict;
}

/* Under another rulebook: its own temperature, uncertainty and limits. */
static enum verdict verdict_under(const struct judge_pass *p, const struct rulebook *rulebook,
	const struct judge_reading *r)
{
	struct limit_facts facts = p->facts->limit;
	struct judge_reading then = *r;
	struct limits limits;

	facts.quantity = r->values.quantity;
	facts.baseline = r->baseline;
	compute_values(rulebook, p->facts, &then);
	limit_form(rulebook, &facts, &limits);
	/* (several readings that were joined are judged as one under any rulebook) */
	if (r->judged > r->value || r->judged < r->value) {
		then.value = r->judged;
	}
	return allowed(rulebook, r, verdict_of(then.value, then.uncertainty.u95_uohm, limits.limit));
}

static void tell_former(const struct judge_pass *p, struct judge_reading *r)
{
	int32_t day = visit_of(p, r)->day;

	for (size_t i = 0; i < p->facts->n_spans; i++) {
		const struct rulebook_span *span = &p->facts->spans[i];
		enum verdict then;

		if (span->to_day < day || span->rulebook->version == p->rulebook->version) {
			continue;
		}
		then = verdict_under(p, span->rulebook, r);
		if (then == VERDICT_OVER && !r->over_once) {
			r->over_once = true;
			r->over_from_day = span->from_day;
		}
		if (span->from_day <= day) {
			r->told = then;
			r->told_version = span->rulebook->version;
		}
	}
}

static void give_verdict(const struct judge_pass *p, struct judge_reading *r)
{
	bool open = p->count_open && r->status == STATUS_OPEN;
	bool counts = open || r->status == STATUS_EVIDENCE;
	double value = !counts ? NAN : open ? r->worst : r->judged;

	r->verdict = allowed(p->rulebook, r, open ? r->would :
		verdict_of(value, r->judged_u95, r->limits.limit));
	r->p_within = r->verdict == VERDICT_NONE ? NAN :
		verdict_p_within(value, r->judged_u95, r->limits.limit);
	r->told = r->verdict;
	r->told_version = p->rulebook->version;
	r->over_once = false;
	r->over_from_day = p->rulebook->from_day;
	if (counts) {
		tell_former(p, r);
	}
}

/* What the others of a visit are shown with. */
static void follow_lead(const struct judge_reading *lead, struct judge_reading *r)
{
	bool joined = judge_can_prove(r);

	r->status = joined || r->asked != 0 ? lead->status : STATUS_NONE;
	r->limits = lead->limits;
	r->baseline = lead->baseline;
	r->parallel = lead->parallel;
	r->verdict = joined ? lead->verdict : VERDICT_NONE;
	r->told = joined ? lead->told : VERDICT_NONE;
	r->told_version = lead->told_version;
	r->over_once = false;
	r->p_within = joined ? lead->p_within : NAN;
}

void judge_readings(struct judge_pass *p, enum quantity quantity)
{
	struct judge_facts *facts = p->facts;

	judge_walk(p, quantity);
	if ((p->quantities >> quantity & 1) == 0) {
		return;
	}
	for (size_t i = 0; i < facts->n_readings; i++) {
		struct judge_reading *r = &facts->readings[i];

		if (r->values.quantity == quantity && r->leads == i) {
			give_verdict(p, r);
			p->to->asked += r->status == STATUS_OPEN;
		}
	}
	for (size_t i = 0; i < facts->n_readings; i++) {
		struct judge_reading *r = &facts->readings[i];

		if (r->values.quantity == quantity && r->leads != i) {
			follow_lead(&facts->readings[r->leads], r);
		}
	}
}
