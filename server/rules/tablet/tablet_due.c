#include "rules/judge/due.h"
#include "rules/tablet/tablet_member.h"

struct question {
	int kind, criticality, in_service, watched, wants_reading;
	int32_t installed_day, inspected_day, known_since_day, deferred_until_day, act_since_day;
	int32_t early_day, early_from_day, commissioning_day, evidence_until_day, lacks_since_day, today;
};

struct answer {
	int state, basis, what;
	int64_t days_over;
	int32_t due_day, soon_from_day, overdue_from_day, deferred_until_day, inspect_day, mend_day;
	const char *reason;
	char reason_text[DUE_REASON_SIZE];
};

static const struct member question_members[] = {
	TABLET_WORD(question, kind, "Kind", bond_kind_words),
	TABLET_WORD(question, criticality, "Criticality", criticality_words),
	TABLET_FLAG(question, in_service, "In service, as when it is left out"),
	TABLET_DAY(question, installed_day, "Installed"),
	TABLET_DAY(question, inspected_day, "Last complete inspection"),
	TABLET_DAY(question, known_since_day, "Registered"),
	TABLET_DAY(question, deferred_until_day, "Deferred until"),
	TABLET_FLAG(question, watched, "A reason of watch or act holds"),
	TABLET_FLAG(question, wants_reading, "The rulebook wants a reading"),
	TABLET_DAY(question, commissioning_day, "Made, and not commissioned"),
	TABLET_DAY(question, evidence_until_day, "The newest proof counts until"),
	TABLET_DAY(question, lacks_since_day, "Nothing has proved it since"),
	TABLET_DAY(question, act_since_day, "What makes it act began"),
	TABLET_DAY(question, early_day, "Early day of the forecast"),
	TABLET_DAY(question, early_from_day, "Newest reading that it rests on"),
	TABLET_DAY(question, today, "Today"),
	{ 0 }
};
static const struct form question_form = { "TabletDue", question_members,
	sizeof(struct question) };

static const struct member answer_members[] = {
	TABLET_WORD(answer, state, "State", due_state_words),
	TABLET_WORD(answer, basis, "Basis", due_basis_words),
	TABLET_WORD(answer, what, "What is due", due_what_words),
	TABLET_INTEGER(answer, days_over, "Days since it was due", "days"),
	TABLET_DAY(answer, due_day, "Due"),
	TABLET_DAY(answer, soon_from_day, "Soon from"),
	TABLET_DAY(answer, overdue_from_day, "Overdue from"),
	TABLET_DAY(answer, deferred_until_day, "Deferred until"),
	TABLET_DAY(answer, inspect_day, "Inspection due"),
	TABLET_DAY(answer, mend_day, "Mending due"),
	TABLET_TEXT(answer, reason, "Reason"),
	{ 0 }
};
static const struct form answer_form = { "TabletDueAnswer", answer_members,
	sizeof(struct answer) };

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	struct answer *to = out;
	struct due due;
	/* a kind or criticality that is not said gets the strictest row */
	const struct due_facts facts = {
		.kind = q->kind < 0 ? BOND_KIND_NOT_KNOWN : (enum bond_kind)q->kind,
		.criticality = q->criticality < 0 ? CRITICALITY_SAFETY : (enum criticality)q->criticality,
		.in_service = q->in_service != 0, .installed_day = q->installed_day,
		.inspected_day = q->inspected_day, .known_since_day = q->known_since_day,
		.deferred_until_day = q->deferred_until_day,
		.is_judged = true, .is_watched = q->watched == 1, .wants_reading = q->wants_reading == 1,
		.commissioning_day = q->commissioning_day, .evidence_until_day = q->evidence_until_day,
		.lacks_since_day = q->lacks_since_day, .act_since_day = q->act_since_day, .early_day = q->early_day,
		.early_from_day = q->early_from_day };

	due_compute(rulebook, &facts, &due);
	to->basis = (int)due.basis;
	to->what = (int)due_what_of(due.basis);
	to->inspect_day = due.inspect_day;
	to->mend_day = due.mend_day;
	to->due_day = due.due_day;
	to->soon_from_day = due.soon_from_day;
	to->overdue_from_day = due.overdue_from_day;
	to->deferred_until_day = due.deferred_until_day;
	if (q->today != DAY_NONE) {
		to->state = (int)due_state_on(&due, q->today);
		to->days_over = due_days_over(&due, q->today);
	}
	due_reason(&due, to->reason_text, sizeof to->reason_text);
	to->reason = to->reason_text;
}

const struct tablet_rule tablet_due = { "due", &question_form, &answer_form, answer };
