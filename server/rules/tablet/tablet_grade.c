#include "rules/tablet/tablet_member.h"

struct question {
	int in_service, inspected, strength_failed, not_accepted, seen_a, seen_b;
	int64_t failures_open;
	struct tablet_last last[GRADE_QUANTITIES];
	int32_t calendar_due_day, early_day, evidence_day, today;
};

struct reason { int reason, grade; };

struct answer {
	int grade;
	struct form_list reasons;
	struct reason reason[REASONS];
	const char *sentence;
	char sentence_text[GRADE_REASONS_SIZE];
	int32_t evidence_until_day;
};

static const struct member question_members[] = {
	TABLET_FLAG(question, in_service, "In service, as when it is left out"),
	TABLET_FLAG(question, inspected, "Visited at least once"),
	TABLET_FLAG(question, strength_failed, "A live attachment failed its strength test"),
	TABLET_FLAG(question, not_accepted, "A live attachment was not accepted"),
	TABLET_INTEGER(question, failures_open, "Failures not made good", NULL),
	TABLET_WORD(question, seen_a, "Last seen at end A", seen_words),
	TABLET_WORD(question, seen_b, "Last seen at end B", seen_words),
	TABLET_OBJECT(question, last, "Last readings", tablet_lasts_form),
	TABLET_DAY(question, calendar_due_day, "Due by the calendar"),
	TABLET_DAY(question, early_day, "Early day of the forecast"),
	TABLET_DAY(question, evidence_day, "Oldest part of the newest proof"),
	TABLET_DAY(question, today, "Today"),
	{ 0 }
};
static const struct form question_form = { "TabletGrade", question_members,
	sizeof(struct question) };

static const struct member reason_members[] = {
	TABLET_WORD(reason, reason, "Reason", grade_reason_words),
	TABLET_WORD(reason, grade, "Grade that it gives", grade_words),
	{ 0 }
};
static const struct form reason_form = { "TabletReason", reason_members, sizeof(struct reason) };

static const struct member answer_members[] = {
	TABLET_WORD(answer, grade, "Grade", grade_words),
	TABLET_LIST(answer, reasons, "Reasons", reason_form),
	TABLET_TEXT(answer, sentence, "Reasons in words"),
	TABLET_DAY(answer, evidence_until_day, "Evidence counts until"),
	{ 0 }
};
static const struct form answer_form = { "TabletGradeAnswer", answer_members,
	sizeof(struct answer) };

static int severity(const struct rulebook *rulebook, int seen)
{
	return seen < 0 ? SEVERITY_NONE : rulebook->severity[seen];
}

static unsigned bit(bool holds, enum grade_reason reason)
{
	return holds ? 1u << reason : 0;
}

static struct grade_facts facts_of(const struct rulebook *rulebook, const struct question *q)
{
	int a = severity(rulebook, q->seen_a), b = severity(rulebook, q->seen_b);
	int worst_seen = a > b ? a : b;
	struct grade_facts facts = { .in_service = q->in_service != 0,
		.reasons = bit(q->inspected != 1, REASON_NEVER_INSPECTED) |
		bit(q->strength_failed == 1, REASON_STRENGTH_FAILED) |
		bit(q->not_accepted == 1, REASON_NOT_ACCEPTED) |
		bit(q->failures_open != FORM_NO_INTEGER && q->failures_open > 0, REASON_FAILURE_OPEN) |
		bit(worst_seen == SEVERITY_ACT, REASON_CRITICAL_DEFECT) |
		bit(worst_seen == SEVERITY_WATCH, REASON_DEFECT) |
		bit(q->evidence_day == DAY_NONE, REASON_NO_EVIDENCE),
		.calendar_due_day = q->calendar_due_day, .early_day = q->early_day,
		.evidence_day = q->evidence_day };

	for (int i = 0; i < GRADE_QUANTITIES; i++) {
		const struct tablet_last *l = &q->last[i];

		facts.last[i] = (struct grade_reading){ l->day != DAY_NONE, l->day, l->value, l->u95,
			l->limit, l->verdict < 0 ? VERDICT_NONE : (enum verdict)l->verdict,
			l->open_circuit == 1 };
		facts.reasons |= bit(facts.last[i].there && facts.last[i].open_circuit,
			REASON_OPEN_CIRCUIT) | bit(facts.last[i].there && !facts.last[i].open_circuit &&
			facts.last[i].verdict == VERDICT_OVER, REASON_OVER);
	}
	return facts;
}

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	const struct grade_facts facts = facts_of(rulebook, q);
	struct answer *to = out;
	struct grade_result made;

	grade_compute(rulebook, &facts, &made);
	to->grade = (int)made.grade;
	if (q->today != DAY_NONE) {
		to->grade = (int)grade_on(made.grade, made.evidence_until_day, q->today);
	}
	if (to->grade != (int)made.grade) {
		made.reasons |= 1u << REASON_EVIDENCE_OLD;
	}
	to->reasons.items = to->reason;
	for (int n = 0; n < REASONS; n++) {
		enum grade_reason reason = grade_reason_at(n);

		if ((made.reasons >> reason & 1) != 0) {
			to->reason[to->reasons.count++] = (struct reason){ (int)reason,
				(int)grade_of_reason(reason) };
		}
	}
	grade_sentence(made.reasons, to->sentence_text, sizeof to->sentence_text);
	to->sentence = made.reasons != 0 ? to->sentence_text : NULL;
	to->evidence_until_day = made.evidence_until_day;
}

const struct tablet_rule tablet_grade = { "grade", &question_form, &answer_form, answer };
