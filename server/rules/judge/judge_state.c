/* What is to be mended beside what was measured: failures, strength tests, defects, ends that are
 * not attached, attachments that were not accepted. Whatever a new attachment mends is mended once
 * it is proved. */
#include "base/day.h"
#include "rules/judge/judge_parts.h"

void judge_add_item(struct judge_pass *p, enum grade_reason reason, enum act_key key,
	int32_t since_day, int64_t arrived_at_ms)
{
	struct judgement *to = p->to;
	int32_t day = since_day != DAY_NONE ? since_day : p->facts->due.known_since_day;

	p->reasons |= 1u << reason;
	for (size_t i = 0; i < to->n_items; i++) {
		struct act_item *item = &to->items[i];

		if (item->key == key) {
			item->since_day = day < item->since_day ? day : item->since_day;
			item->arrived_at_ms = arrived_at_ms < item->arrived_at_ms ? arrived_at_ms :
				item->arrived_at_ms;
			item->again_at_ms = arrived_at_ms > item->again_at_ms ? arrived_at_ms :
				item->again_at_ms;
			return;
		}
	}
	to->items[to->n_items++] = (struct act_item){ key, day, arrived_at_ms, arrived_at_ms };
}

static void take_failures(struct judge_pass *p)
{
	for (size_t i = 0; i < p->facts->n_failures; i++) {
		const struct judge_failure *f = &p->facts->failures[i];

		if (f->repaired_day == DAY_NONE) {
			judge_add_item(p, REASON_FAILURE_OPEN,
				(enum act_key)((int)ACT_FAILURE + 3 * (int)f->mode + f->end + 1), f->found_day,
				f->arrived_at_ms);
		} else if (!judge_shown_good_since(p,
			judge_repaired(f))) {
			judge_add_item(p, REASON_FAILURE_NOT_PROVED, ACT_NOT_PROVED, f->found_day,
				f->arrived_at_ms);
		}
	}
}

/* Whether another attachment of the end came after, and was shown to be good. */
static bool is_succeeded(const struct judge_pass *p, int end, int n)
{
	const struct judge_attachment *next = judge_attachment_of(p, end, n + 1);

	return next != NULL && judge_shown_good_since(p, judge_made(next));
}

static bool passed_later(const struct judge_pass *p, int end, struct judge_when when)
{
	for (size_t i = 0; i < p->facts->n_visits; i++) {
		const struct judge_visit *v = &p->facts->visits[i];

		if ((end == END_A ? v->strength_a : v->strength_b) == 1 &&
			judge_is_before(when, judge_when_of(v))) {
			return true;
		}
	}
	return false;
}

static void take_attachment(struct judge_pass *p, int end, int n)
{
	const struct judge_attachment *a = judge_attachment_of(p, end, n);

	if (is_succeeded(p, end, n)) {
		return;
	}
	if (a->strength_failed && !passed_later(p, end, judge_made(a))) {
		judge_add_item(p, REASON_STRENGTH_FAILED, (enum act_key)(ACT_STRENGTH + end), a->made_day,
			a->arrived_at_ms);
	} else if (a->accepted == NOT_ACCEPTED && !a->accepted_anyway && !a->strength_failed) {
		p->reasons |= 1u << REASON_NOT_ACCEPTED;
	}
	if (a->ended_day != DAY_NONE) {
		judge_add_item(p, REASON_NOT_ATTACHED, (enum act_key)(ACT_NOT_ATTACHED + end),
			a->ended_day, a->ended_at_ms);
	}
}

/* A strength test of a visit, by itself. */
static void take_tests(struct judge_pass *p, int end)
{
	for (size_t i = 0; i < p->facts->n_visits; i++) {
		const struct judge_visit *v = &p->facts->visits[i];
		struct judge_when when = judge_when_of(v);

		if ((end == END_A ? v->strength_a : v->strength_b) == 0 && !passed_later(p, end, when) &&
			!is_succeeded(p, end, judge_attached_at(p, end, when))) {
			judge_add_item(p, REASON_STRENGTH_FAILED, (enum act_key)(ACT_STRENGTH + end), v->day,
				v->arrived_at_ms);
		}
	}
}

/* What was seen at one place, unbroken up to the last time. */
struct sight {
	int severity;
	int32_t since_day;
	int64_t arrived_at_ms, again_at_ms;
	struct judge_when last;
};

/* Only a complete visit that finds it good clears what is critical. */
static void see(const struct judge_visit *v, int severity, bool good, struct sight *to)
{
	if (to->severity == SEVERITY_ACT && !(good && v->outcome == OUTCOME_COMPLETE) &&
		severity != SEVERITY_ACT) {
		return;
	}
	if (severity != to->severity) {
		to->since_day = v->day;
		to->arrived_at_ms = to->again_at_ms = v->arrived_at_ms;
	}
	to->again_at_ms = v->arrived_at_ms > to->again_at_ms ? v->arrived_at_ms : to->again_at_ms;
	to->severity = severity;
	to->last = judge_when_of(v);
}

/* A repair of this end or of the whole bond, after it was last seen. */
static bool is_repaired(const struct judge_pass *p, int end, struct judge_when last)
{
	for (size_t i = 0; i < p->facts->n_failures; i++) {
		const struct judge_failure *f = &p->facts->failures[i];

		if (f->repaired_day != DAY_NONE && (f->end < 0 || end < 0 || f->end == end) &&
			judge_is_before(last, judge_repaired(f))) {
			return true;
		}
	}
	return false;
}

static void take_sight(struct judge_pass *p, int end, const struct sight *s)
{
	if (s->severity == SEVERITY_NONE || is_repaired(p, end, s->last) ||
		(end >= 0 && is_succeeded(p, end, judge_attached_at(p, end, s->last)))) {
		return;
	}
	if (s->severity == SEVERITY_ACT) {
		enum act_key key = end < 0 ? ACT_CABLE_LOST : (enum act_key)(ACT_DEFECT + end);

		judge_add_item(p, REASON_CRITICAL_DEFECT, key, s->since_day, s->arrived_at_ms);
		judge_add_item(p, REASON_CRITICAL_DEFECT, key, s->since_day, s->again_at_ms);
	} else {
		p->reasons |= 1u << REASON_DEFECT;
	}
}

static void take_end(struct judge_pass *p, int end)
{
	struct sight sight = { .severity = SEVERITY_NONE };

	for (size_t i = 0; i < p->facts->n_visits; i++) {
		const struct judge_visit *v = &p->facts->visits[i];
		int seen = end == END_A ? v->seen_a : v->seen_b;

		if (v->outcome != OUTCOME_NOT_REACHED && seen >= 0 && seen < RULEBOOK_SEEN) {
			int severity = p->rulebook->severity[seen];

			/* an end that could not be seen hides nothing that was seen before */
			if (seen != SEEN_NOT_VISIBLE || severity > sight.severity) {
				see(v, severity, seen == SEEN_GOOD, &sight);
			}
		}
	}
	take_sight(p, end, &sight);
}

static void take_cables(struct judge_pass *p)
{
	struct sight sight = { .severity = SEVERITY_NONE };

	for (size_t i = 0; i < p->facts->n_visits; i++) {
		const struct judge_visit *v = &p->facts->visits[i];

		if (v->outcome != OUTCOME_NOT_REACHED && v->cables_whole >= 0) {
			bool whole = v->cables_whole >= p->cables;

			see(v, whole ? SEVERITY_NONE : SEVERITY_ACT, whole, &sight);
		}
	}
	take_sight(p, -1, &sight);
}

void judge_state(struct judge_pass *p)
{
	bool inspected = false;

	take_failures(p);
	for (int end = END_A; end <= END_B; end++) {
		for (int n = 0; judge_attachment_of(p, end, n) != NULL; n++) {
			take_attachment(p, end, n);
		}
		take_tests(p, end);
		take_end(p, end);
	}
	take_cables(p);
	for (size_t i = 0; i < p->facts->n_visits; i++) {
		inspected = inspected || p->facts->visits[i].outcome != OUTCOME_NOT_REACHED;
	}
	p->reasons |= inspected ? 0 : 1u << REASON_NEVER_INSPECTED;
}
