/* Whether a bond is proved, as the rulebook wants it for its kind. */
#include <math.h>

#include "base/day.h"
#include "rules/judge/judge_parts.h"

static enum proof proof_of_kind(const struct judge_pass *p)
{
	int kind = (int)p->facts->limit.kind;

	return (enum proof)p->rulebook->proof[kind >= 0 && kind < RULEBOOK_KINDS ? kind :
		BOND_KIND_NOT_KNOWN];
}

bool judge_wants_reading(const struct judge_pass *p)
{
	return proof_of_kind(p) != PROOF_SEEN;
}

static int32_t counted_day(const struct judge_visit *v)
{
	return v->counted_day != DAY_NONE && v->counted_day < v->day ? v->counted_day : v->day;
}

static int32_t older(int32_t a, int32_t b)
{
	return a < b ? a : b;
}

static int32_t earlier(int32_t a, int32_t b)
{
	return a == DAY_NONE || (b != DAY_NONE && b < a) ? b : a;
}

static bool is_of(const struct judge_pass *p, size_t visit, const struct judge_proof_of *of)
{
	struct judge_when when = judge_when_of(&p->facts->visits[visit]);

	return (of->until_visit == EVERY_VISIT || (int64_t)visit <= of->until_visit) &&
		!judge_is_before(when, of->since);
}

static bool counts(const struct judge_pass *p, const struct judge_reading *r)
{
	return judge_is_evidence(r) && judge_shows_good(p->rulebook, r);
}

/* The newest reading of a quantity that counts; NULL. *no_limit: there is one, without a
 * verdict. */
static const struct judge_reading *newest(const struct judge_pass *p, enum quantity quantity,
	const struct judge_proof_of *of, bool *no_limit)
{
	const struct judge_reading *found = NULL;

	for (size_t i = 0; i < p->facts->n_readings; i++) {
		const struct judge_reading *r = &p->facts->readings[i];

		if (r->values.quantity == quantity && r->leads == i && is_of(p, r->visit, of) &&
			counts(p, r) && judge_contains(r, of->attached_a, of->attached_b)) {
			*no_limit = *no_limit || r->verdict == VERDICT_NONE;
			found = r->verdict != VERDICT_NONE ? r : found;
		}
	}
	return found;
}

/* The newest visit that saw what is wanted, of what is attached as the numbers say; -1. */
static int64_t newest_seen(const struct judge_pass *p, const struct judge_proof_of *of, bool ends,
	bool whole, int64_t cables)
{
	int64_t found = -1;

	for (size_t i = 0; i < p->facts->n_visits; i++) {
		const struct judge_visit *v = &p->facts->visits[i];
		struct judge_when when = judge_when_of(v);
		bool seen = v->seen_a >= 0 && v->seen_a != SEEN_NOT_VISIBLE && v->seen_b >= 0 &&
			v->seen_b != SEEN_NOT_VISIBLE;
		bool good = v->seen_a == SEEN_GOOD && v->seen_b == SEEN_GOOD;

		if (v->outcome != OUTCOME_NOT_REACHED && is_of(p, i, of) && (!ends || seen) &&
			(!whole || good) && v->cables_whole >= cables &&
			judge_attached_at(p, END_A, when) == of->attached_a &&
			judge_attached_at(p, END_B, when) == of->attached_b) {
			found = (int64_t)i;
		}
	}
	return found;
}

static void take_reading(const struct judge_pass *p, enum quantity quantity,
	const struct judge_proof_of *of, struct judge_proof *to)
{
	bool no_limit = false;
	const struct judge_reading *r = newest(p, quantity, of, &no_limit);

	if (r == NULL) {
		to->lacks |= 1u << (no_limit ? REASON_NO_LIMIT : REASON_NO_EVIDENCE);
		return;
	}
	to->day = older(to->day, counted_day(&p->facts->visits[r->visit]));
	to->is_within = to->is_within && r->verdict == VERDICT_WITHIN;
}

static bool is_critical(const struct judge_pass *p, int seen)
{
	return seen >= 0 && seen < RULEBOOK_SEEN && p->rulebook->severity[seen] == SEVERITY_ACT;
}

static void take_seen(const struct judge_pass *p, const struct judge_proof_of *of, bool ends,
	bool whole, int64_t cables, enum grade_reason lacks, struct judge_proof *to)
{
	int64_t visit = newest_seen(p, of, ends, whole, cables);

	if (visit < 0) {
		to->lacks |= 1u << lacks;
	} else {
		const struct judge_visit *v = &p->facts->visits[visit];

		to->day = older(to->day, counted_day(v));
		to->is_within = to->is_within && !is_critical(p, v->seen_a) && !is_critical(p, v->seen_b);
	}
}

/* With one cable of several lost, and the best of contacts, the bond would still be within. */
static bool hides_a_lost_cable(const struct judge_pass *p, const struct judge_proof_of *of)
{
	bool no_limit = false;
	const struct judge_reading *r = newest(p, QUANTITY_END_TO_END, of, &no_limit);
	double n = (double)p->cables;

	return p->cables > 1 && (r == NULL || isnan(p->conductor_uohm) ||
		p->conductor_uohm * n / (n - 1) <= r->limits.limit);
}

struct judge_proof judge_prove(const struct judge_pass *p, const struct judge_proof_of *of)
{
	struct judge_proof to = { .day = INT32_MAX, .is_within = true };

	switch (proof_of_kind(p)) {
	case PROOF_CONTACTS:
		take_reading(p, QUANTITY_CONTACT_A, of, &to);
		take_reading(p, QUANTITY_CONTACT_B, of, &to);
		take_seen(p, of, true, true, p->cables, REASON_NOT_SEEN_WHOLE, &to);
		break;
	case PROOF_SEEN:
		take_seen(p, of, true, false, -1, REASON_NO_EVIDENCE, &to);
		break;
	default:
		take_reading(p, QUANTITY_END_TO_END, of, &to);
		if (hides_a_lost_cable(p, of)) {
			take_seen(p, of, false, false, p->cables, REASON_CABLES_NOT_SEEN, &to);
		}
		break;
	}
	if (to.lacks != 0) {
		to.day = DAY_NONE;
	}
	return to;
}

/* The newest day on which the bond was proved after a time, as it was then attached; DAY_NONE. */
static int32_t proved_day(const struct judge_pass *p, struct judge_when since, bool within)
{
	int32_t newest = DAY_NONE;

	for (size_t i = 0; i < p->facts->n_visits; i++) {
		struct judge_when when = judge_when_of(&p->facts->visits[i]);
		const struct judge_proof_of of = { judge_attached_at(p, END_A, when),
			judge_attached_at(p, END_B, when), since, (int64_t)i };
		struct judge_proof proof;

		if (judge_is_before(when, since)) {
			continue;
		}
		proof = judge_prove(p, &of);
		if ((proof.is_within || !within) && proof.day > newest) {
			newest = proof.day;
		}
	}
	return newest;
}

bool judge_proved_since(const struct judge_pass *p, struct judge_when since)
{
	return p->proved || proved_day(p, since, false) != DAY_NONE;
}

bool judge_shown_good_since(const struct judge_pass *p, struct judge_when since)
{
	return p->shown_good || proved_day(p, since, true) != DAY_NONE;
}

static struct judge_when after_failures(const struct judge_facts *f)
{
	struct judge_when when = { DAY_NONE, 0, 0 };

	for (size_t i = 0; i < f->n_failures; i++) {
		bool open = f->failures[i].repaired_day == DAY_NONE;
		const struct judge_when found = { f->failures[i].found_day, RANK_FAILURE, 0 };
		const struct judge_when this = open ? found : judge_repaired(&f->failures[i]);

		when = judge_is_before(when, this) ? this : when;
	}
	return when;
}

/* What was proved once is to be proved again before that is too old, whatever ended it. */
static void find_former(struct judge_pass *p)
{
	struct judgement *to = p->to;
	int32_t day = proved_day(p, (struct judge_when){ DAY_NONE, 0, 0 }, false);

	to->ever_proved = day != DAY_NONE;
	if (to->ever_proved) {
		to->lacks_since_day = day_add_months(day, (int)p->rulebook->evidence_months);
	}
}

/* The oldest attachment or repair that nothing has proved since; and of what was made after the
 * register began, for its commissioning. */
static void find_lacking(struct judge_pass *p)
{
	const struct judge_facts *f = p->facts;
	struct judgement *to = p->to;

	for (int end = END_A; end <= END_B; end++) {
		const struct judge_attachment *a;

		for (int n = 0; (a = judge_attachment_of(p, end, n)) != NULL; n++) {
			if (f->register_began_day != DAY_NONE && a->made_day >= f->register_began_day &&
				!judge_proved_since(p, judge_made(a))) {
				to->commissioning_day = earlier(to->commissioning_day, a->made_day);
			}
		}
	}
	to->lacks_since_day = earlier(to->lacks_since_day, to->commissioning_day);
	for (size_t i = 0; i < f->n_failures; i++) {
		int32_t day = f->failures[i].repaired_day;

		if (day != DAY_NONE && !judge_proved_since(p, judge_repaired(&f->failures[i]))) {
			to->lacks_since_day = earlier(to->lacks_since_day, day);
		}
	}
	if (f->register_began_day != DAY_NONE && f->due.installed_day >= f->register_began_day &&
		!to->ever_proved) {
		to->commissioning_day = earlier(to->commissioning_day, f->due.installed_day);
	}
}

void judge_proof_now(struct judge_pass *p)
{
	const struct judge_proof_of of = { (int)p->n_attached[END_A] - 1,
		(int)p->n_attached[END_B] - 1, after_failures(p->facts), EVERY_VISIT };
	struct judge_proof proof = judge_prove(p, &of);

	p->to->proof_day = proof.day;
	p->to->commissioning_day = p->to->lacks_since_day = DAY_NONE;
	p->to->wants_reading = judge_wants_reading(p);
	p->proved = p->to->ever_proved = proof.day != DAY_NONE;
	p->shown_good = p->proved && proof.is_within;
	p->reasons |= proof.lacks;
	if (!p->proved) {
		find_former(p);
		find_lacking(p);
	}
}
