#include "rules/grade.h"

#include "base/day.h"
#include "rules/sentence.h"

static const char *const grade_code[] = { "none", "unknown", "sound", "watch", "act" };
static const char *const grade_title[] = { "not graded", "unknown", "sound", "watch", "act" };
const struct words grade_words = { "grade", grade_code, grade_title, 5 };

static const char *const reason_code[REASONS] = {
	"failure_open", "over", "open_circuit", "strength_failed", "not_accepted", "critical_defect",
	"unproven", "near_limit", "defect", "forecast", "never_inspected", "no_evidence",
	"evidence_old", "no_limit"
};
static const char *const reason_title[REASONS] = {
	"a failure is not made good", "a reading is over its limit", "a reading shows an open circuit",
	"an attachment failed its strength test", "an attachment was not accepted",
	"a critical defect was seen",
	"a reading proves neither within nor over its limit", "a reading is close to its limit",
	"a defect was seen", "a limit may be crossed before the next inspection",
	"never inspected", "no reading that is evidence of what is there now",
	"the newest evidence is too old", "no limit to judge a reading by"
};
const struct words grade_reason_words = { "grade_reason", reason_code, reason_title, REASONS };

enum grade grade_of_reason(enum grade_reason reason)
{
	return reason <= REASON_CRITICAL_DEFECT ? GRADE_ACT :
		reason <= REASON_FORECAST ? GRADE_WATCH : GRADE_UNKNOWN;
}

static bool is_judged(const struct grade_reading *r)
{
	return r->there && (r->open_circuit || r->verdict != VERDICT_NONE);
}

/* The worst that one reading gives: what is over need not be told to be close as well. */
static unsigned reason_of_reading(const struct rulebook *rulebook, const struct grade_reading *r)
{
	if (!is_judged(r)) {
		return 0;
	}
	return r->open_circuit ? 1u << REASON_OPEN_CIRCUIT :
		r->verdict == VERDICT_OVER ? 1u << REASON_OVER :
		r->verdict == VERDICT_UNPROVEN ? 1u << REASON_UNPROVEN :
		r->value > r->limit * (rulebook->watch_percent / 100) ? 1u << REASON_NEAR_LIMIT : 0;
}

static unsigned reasons_of_readings(const struct rulebook *rulebook,
	const struct grade_facts *facts, int32_t *newest_day)
{
	unsigned reasons = 0;
	bool there = false;

	*newest_day = DAY_NONE;
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		const struct grade_reading *r = &facts->last[q];

		reasons |= reason_of_reading(rulebook, r);
		there = there || r->there;
		if (is_judged(r) && r->day > *newest_day) {
			*newest_day = r->day;
		}
	}
	if (!facts->inspected) {
		reasons |= 1u << REASON_NEVER_INSPECTED;
	} else if (!there) {
		reasons |= 1u << REASON_NO_EVIDENCE;
	} else if (*newest_day == DAY_NONE) {
		reasons |= 1u << REASON_NO_LIMIT;
	}
	return reasons;
}

void grade_compute(const struct rulebook *rulebook, const struct grade_facts *facts,
	struct grade_result *to)
{
	int32_t newest_day;

	*to = (struct grade_result){ GRADE_NONE, 0, DAY_NONE };
	if (!facts->in_service) {
		return;
	}
	to->reasons = reasons_of_readings(rulebook, facts, &newest_day) |
		(facts->failures_open > 0 ? 1u << REASON_FAILURE_OPEN : 0) |
		(facts->strength_failed ? 1u << REASON_STRENGTH_FAILED : 0) |
		(facts->not_accepted ? 1u << REASON_NOT_ACCEPTED : 0) |
		(facts->worst_seen == SEVERITY_ACT ? 1u << REASON_CRITICAL_DEFECT : 0) |
		(facts->worst_seen == SEVERITY_WATCH ? 1u << REASON_DEFECT : 0) |
		(facts->early_day != DAY_NONE && facts->early_day < facts->calendar_due_day ?
		1u << REASON_FORECAST : 0);
	to->grade = GRADE_SOUND;
	for (int reason = 0; reason < REASONS; reason++) {
		enum grade grade = grade_of_reason((enum grade_reason)reason);

		if ((to->reasons >> reason & 1) != 0 && grade_worse(grade, to->grade)) {
			to->grade = grade;
		}
	}
	if (newest_day != DAY_NONE) {
		to->evidence_until_day = day_add_months(newest_day, (int)rulebook->evidence_months);
	}
}

enum grade grade_on(enum grade grade, int32_t evidence_until_day, int32_t today)
{
	return grade == GRADE_SOUND && today > evidence_until_day ? GRADE_UNKNOWN : grade;
}

bool grade_worse(enum grade a, enum grade b)
{
	static const int rank[] = { [GRADE_NONE] = 0, [GRADE_SOUND] = 1, [GRADE_UNKNOWN] = 2,
		[GRADE_WATCH] = 3, [GRADE_ACT] = 4 };

	return rank[a] > rank[b];
}

void grade_sentence(unsigned reasons, char *to, size_t size)
{
	struct sentence s;

	sentence_begin(&s, to, size);
	for (int reason = 0; reason < REASONS; reason++) {
		if ((reasons >> reason & 1) != 0) {
			sentence_add(&s, s.len > 0 ? "; " : "");
			sentence_add(&s, reason_title[reason]);
		}
	}
}
