#include "rules/judge/grade.h"

#include "base/day.h"
#include "rules/sentence.h"

static const char *const grade_code[] = { "none", "unknown", "sound", "watch", "act" };
static const char *const grade_title[] = { "not graded", "unknown", "sound", "watch", "act" };
const struct words grade_words = { "grade", grade_code, grade_title, 5 };

static const char *const reason_code[REASONS] = {
	"failure_open", "over", "open_circuit", "strength_failed", "not_accepted", "critical_defect",
	"unproven", "near_limit", "defect", "forecast", "never_inspected", "no_evidence",
	"evidence_old", "no_limit", "failure_not_proved", "not_attached", "cables_not_seen",
	"not_seen_whole", "asked_over", "asked_watch", "asked"
};
static const char *const reason_title[REASONS] = {
	"a failure is not made good", "a reading was over its limit, and nothing has cleared it",
	"a reading shows an open circuit", "an attachment failed its strength test",
	"an attachment was not accepted", "a critical defect was seen",
	"a reading proves neither within nor over its limit", "a reading is close to its limit",
	"a defect was seen", "a limit may be crossed before the next inspection", "never inspected",
	"what proves this kind of bond was not read of what is attached now",
	"the newest proof is too old", "no limit to judge a reading by",
	"a failure was made good, and nothing has proved the bond since", "an end is not attached",
	"not every cable was seen whole, and no reading shows that one is lost",
	"cable and lugs were not seen whole",
	"a reading that waits for an answer would be over its limit",
	"a reading that waits for an answer would be unproven, or close to its limit",
	"a reading waits for an answer"
};
const struct words grade_reason_words = { "grade_reason", reason_code, reason_title, REASONS };

/* Worst first. */
static const struct { enum grade_reason reason; enum grade grade; } order[REASONS] = {
	{ REASON_FAILURE_OPEN, GRADE_ACT }, { REASON_NOT_ATTACHED, GRADE_ACT },
	{ REASON_OPEN_CIRCUIT, GRADE_ACT }, { REASON_OVER, GRADE_ACT },
	{ REASON_STRENGTH_FAILED, GRADE_ACT }, { REASON_CRITICAL_DEFECT, GRADE_ACT },
	{ REASON_FAILURE_NOT_PROVED, GRADE_ACT }, { REASON_ASKED_OVER, GRADE_ACT },
	{ REASON_NEVER_INSPECTED, GRADE_UNKNOWN }, { REASON_NO_EVIDENCE, GRADE_UNKNOWN },
	{ REASON_CABLES_NOT_SEEN, GRADE_UNKNOWN }, { REASON_NOT_SEEN_WHOLE, GRADE_UNKNOWN },
	{ REASON_NO_LIMIT, GRADE_UNKNOWN }, { REASON_EVIDENCE_OLD, GRADE_UNKNOWN },
	{ REASON_ASKED_WATCH, GRADE_WATCH }, { REASON_UNPROVEN, GRADE_WATCH },
	{ REASON_NEAR_LIMIT, GRADE_WATCH }, { REASON_NOT_ACCEPTED, GRADE_WATCH },
	{ REASON_DEFECT, GRADE_WATCH }, { REASON_FORECAST, GRADE_WATCH },
	{ REASON_ASKED, GRADE_SOUND },
};

enum grade_reason grade_reason_at(int n)
{
	return order[n].reason;
}

/* Bits of the reasons that give a grade, which the table above says one by one; a test holds both
 * together. */
#define BIT(reason) (1u << (reason))
static const unsigned reasons_of[] = {
	[GRADE_ACT] = BIT(REASON_FAILURE_OPEN) | BIT(REASON_NOT_ATTACHED) | BIT(REASON_OPEN_CIRCUIT) |
		BIT(REASON_OVER) | BIT(REASON_STRENGTH_FAILED) | BIT(REASON_CRITICAL_DEFECT) |
		BIT(REASON_FAILURE_NOT_PROVED) | BIT(REASON_ASKED_OVER),
	[GRADE_WATCH] = BIT(REASON_ASKED_WATCH) | BIT(REASON_UNPROVEN) | BIT(REASON_NEAR_LIMIT) |
		BIT(REASON_NOT_ACCEPTED) | BIT(REASON_DEFECT) | BIT(REASON_FORECAST),
};

bool grade_is_watched(unsigned reasons)
{
	return (reasons & (reasons_of[GRADE_ACT] | reasons_of[GRADE_WATCH])) != 0;
}

enum grade grade_of_reason(enum grade_reason reason)
{
	int n = 0;

	while (order[n].reason != reason) {
		n++;
	}
	return order[n].grade;
}

enum grade_reason grade_worst_reason(unsigned reasons)
{
	for (int n = 0; n < REASONS; n++) {
		if ((reasons >> order[n].reason & 1) != 0) {
			return order[n].reason;
		}
	}
	return REASONS;
}

/* The worst that one reading gives: what is over is told by who looks whether it was cleared. */
static unsigned reason_of_reading(const struct rulebook *rulebook, const struct grade_reading *r)
{
	if (!r->there || r->open_circuit) {
		return 0;
	}
	return r->verdict == VERDICT_UNPROVEN ? 1u << REASON_UNPROVEN :
		r->verdict == VERDICT_WITHIN && r->value > r->limit * (rulebook->watch_percent / 100) ?
		1u << REASON_NEAR_LIMIT : 0;
}

void grade_compute(const struct rulebook *rulebook, const struct grade_facts *facts,
	struct grade_result *to)
{
	enum grade_reason worst;

	*to = (struct grade_result){ GRADE_NONE, 0, DAY_NONE };
	if (!facts->in_service) {
		return;
	}
	to->reasons = facts->reasons;
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		to->reasons |= reason_of_reading(rulebook, &facts->last[q]);
	}
	if (facts->early_day != DAY_NONE && facts->early_day < facts->calendar_due_day) {
		to->reasons |= 1u << REASON_FORECAST;
	}
	worst = grade_worst_reason(to->reasons);
	to->grade = worst == REASONS ? GRADE_SOUND : grade_of_reason(worst);
	if (facts->evidence_day != DAY_NONE) {
		to->evidence_until_day = day_add_months(facts->evidence_day,
			(int)rulebook->evidence_months);
	}
}

enum grade grade_on(enum grade grade, int32_t evidence_until_day, int32_t today)
{
	return grade_worse(GRADE_UNKNOWN, grade) && grade != GRADE_NONE &&
		today > evidence_until_day ? GRADE_UNKNOWN : grade;
}

bool grade_worse(enum grade a, enum grade b)
{
	static const int rank[] = { [GRADE_NONE] = 0, [GRADE_SOUND] = 1, [GRADE_WATCH] = 2,
		[GRADE_UNKNOWN] = 3, [GRADE_ACT] = 4 };

	return rank[a] > rank[b];
}

void grade_sentence(unsigned reasons, char *to, size_t size)
{
	struct sentence s;

	sentence_begin(&s, to, size);
	for (int n = 0; n < REASONS; n++) {
		if ((reasons >> order[n].reason & 1) != 0) {
			sentence_add(&s, s.len > 0 ? "; " : "");
			sentence_add(&s, reason_title[order[n].reason]);
		}
	}
}
