#include "rules/judge/due.h"

#include "base/day.h"
#include "rules/sentence.h"

static const char *const basis_code[] = {
	"after_inspection", "after_installation", "at_once", "out_of_service", "act", "forecast",
	"commissioning", "proof_old", "proof_lacks"
};
static const char *const basis_title[] = {
	"after the last inspection", "never inspected, from installation",
	"never inspected and no installation date: due at once", "not due: out of service",
	"to be mended", "before a limit may be crossed", "to be commissioned",
	"before its newest proof is too old", "it was never proved"
};
const struct words due_basis_words = { "due_basis", basis_code, basis_title, 9 };

static const char *const what_code[] = { "inspection", "mending" };
static const char *const what_title[] = { "inspection", "mending" };
const struct words due_what_words = { "due_what", what_code, what_title, 2 };

enum due_what due_what_of(enum due_basis basis)
{
	return basis == DUE_ACT ? DUE_MENDING : DUE_INSPECTION;
}

static enum due_basis basis_of(const struct due_facts *facts)
{
	return !facts->in_service ? DUE_OUT_OF_SERVICE :
		facts->inspected_day != DAY_NONE ? DUE_AFTER_INSPECTION :
		facts->installed_day != DAY_NONE ? DUE_AFTER_INSTALLATION : DUE_AT_ONCE;
}

static void by_calendar(const struct rulebook *rulebook, const struct due_facts *facts,
	struct due *due)
{
	int64_t whole = rulebook_interval_months(rulebook, facts->kind, facts->criticality);
	int64_t part = whole;

	if (facts->is_judged && facts->is_watched) {
		part = whole * rulebook->watch_interval_percent / 100;
		part = part < 1 ? 1 : part;
	}
	due->own_months = part;
	if (due->basis == DUE_AT_ONCE) {
		due->counted_from_day = due->due_day = due->soon_from_day = facts->known_since_day;
		return;
	}
	due->counted_from_day = due->basis == DUE_AFTER_INSPECTION ? facts->inspected_day :
		facts->installed_day;
	due->interval_months = part;
	due->shortened = part < whole;
	due->due_day = day_add_months(due->counted_from_day, (int)part);
	due->soon_from_day = due->due_day - (int32_t)rulebook->notice_days;
}

/* Takes the place of what is due already. */
static void take_place(const struct rulebook *rulebook, enum due_basis basis, int32_t from_day,
	int32_t due_day, struct due *due)
{
	due->basis = basis;
	due->counted_from_day = from_day;
	due->interval_months = 0;
	due->shortened = false;
	due->due_day = due_day;
	due->soon_from_day = due_day - (int32_t)rulebook->notice_days;
}

static void by_other(const struct rulebook *rulebook, enum due_basis basis, int32_t from_day,
	int32_t due_day, struct due *due)
{
	if (due_day != DAY_NONE && due_day < due->due_day) {
		take_place(rulebook, basis, from_day, due_day, due);
	}
}

/* The first day that asked for an inspection. */
static int32_t first_due_day(const struct rulebook *rulebook, const struct due_facts *facts)
{
	return facts->installed_day == DAY_NONE ? facts->known_since_day :
		day_add_months(facts->installed_day, (int)rulebook_interval_months(rulebook, facts->kind,
		facts->criticality));
}

static void by_proof(const struct rulebook *rulebook, const struct due_facts *facts,
	struct due *due)
{
	int32_t first_day = first_due_day(rulebook, facts);

	if (!facts->wants_reading) {
		return;
	}
	if (facts->evidence_until_day != DAY_NONE) {
		by_other(rulebook, DUE_PROOF_OLD, facts->evidence_until_day, facts->evidence_until_day, due);
		return;
	}
	by_other(rulebook, DUE_PROOF_LACKS, facts->lacks_since_day, facts->lacks_since_day, due);
	if (!facts->ever_proved || facts->lacks_since_day == DAY_NONE) {
		by_other(rulebook, DUE_PROOF_LACKS, first_day, first_day, due);
	}
}

/* Not before a number of days after another day, if that is known. */
static int32_t not_before(int32_t day, int32_t other_day, int32_t days)
{
	return other_day != DAY_NONE && day < other_day + days ? other_day + days : day;
}

int32_t due_forecast_day(const struct rulebook *rulebook, const struct due_facts *facts)
{
	int32_t day = facts->early_day - (int32_t)rulebook->forecast_lead_days;

	day = not_before(day, facts->inspected_day, 1);
	return not_before(day, facts->early_from_day, (int32_t)rulebook->act_days);
}

static void by_forecast(const struct rulebook *rulebook, const struct due_facts *facts,
	struct due *due)
{
	if (facts->early_day != DAY_NONE) {
		by_other(rulebook, DUE_FORECAST, facts->early_day, due_forecast_day(rulebook, facts), due);
	}
}

/* Of equal days mending is told. */
static void by_mending(const struct rulebook *rulebook, const struct due_facts *facts,
	struct due *due)
{
	if (facts->act_since_day == DAY_NONE) {
		return;
	}
	due->mend_day = facts->act_since_day + (int32_t)rulebook->act_days;
	if (due->mend_day <= due->due_day) {
		take_place(rulebook, DUE_ACT, facts->act_since_day, due->mend_day, due);
	}
}

void due_compute(const struct rulebook *rulebook, const struct due_facts *facts, struct due *due)
{
	*due = (struct due){ .basis = basis_of(facts), .counted_from_day = DAY_NONE,
		.due_day = DAY_NONE, .soon_from_day = DAY_NONE, .overdue_from_day = DAY_NONE,
		.deferred_until_day = DAY_NONE, .inspect_day = DAY_NONE, .mend_day = DAY_NONE,
		.notice_days = (int32_t)rulebook->notice_days };
	if (due->basis == DUE_OUT_OF_SERVICE) {
		return;
	}
	by_calendar(rulebook, facts, due);
	by_other(rulebook, DUE_COMMISSIONING, facts->commissioning_day, facts->commissioning_day, due);
	if (facts->is_judged) {
		by_proof(rulebook, facts, due);
		by_forecast(rulebook, facts, due);
	}
	due->inspect_day = due->due_day;
	if (facts->is_judged) {
		by_mending(rulebook, facts, due);
	}
	due->overdue_from_day = due->due_day + (int32_t)rulebook->grace_days + 1;
	if (facts->deferred_until_day > due->due_day) {
		due->deferred_until_day = facts->deferred_until_day;
	}
}

static int32_t earlier(int32_t a, int32_t b)
{
	return a == DAY_NONE || (b != DAY_NONE && b < a) ? b : a;
}

/* (a due day that is none is of a bond out of service, which both are) */
void due_take_earlier(struct due *due, const struct due *other)
{
	int32_t inspect_day = earlier(due->inspect_day, other->inspect_day);
	int32_t mend_day = earlier(due->mend_day, other->mend_day);
	int32_t deferred_until_day = due->deferred_until_day;
	int64_t own_months = other->own_months < due->own_months ? other->own_months :
		due->own_months;

	if (other->due_day < due->due_day) {
		*due = *other;
	}
	due->inspect_day = inspect_day;
	due->mend_day = mend_day;
	due->own_months = own_months;
	if (deferred_until_day != DAY_NONE && deferred_until_day > due->due_day) {
		due->deferred_until_day = deferred_until_day;
	}
}

void due_alone(const struct due *due, enum due_what what, struct due *to)
{
	int32_t day = what == DUE_MENDING ? due->mend_day : due->inspect_day;

	*to = *due;
	if (what == DUE_MENDING) {
		to->basis = DUE_ACT;
	}
	if (day == due->due_day) {
		return;
	}
	to->due_day = day;
	to->soon_from_day = day == DAY_NONE ? DAY_NONE : day - due->notice_days;
	to->overdue_from_day = day == DAY_NONE ? DAY_NONE :
		day + (due->overdue_from_day - due->due_day);
	if (day == DAY_NONE || due->deferred_until_day <= day) {
		to->deferred_until_day = DAY_NONE;
	}
}

int32_t due_calendar_day(const struct rulebook *rulebook, const struct due_facts *facts)
{
	struct due_facts plain = *facts;
	struct due due;

	plain.is_judged = false;
	plain.commissioning_day = DAY_NONE;
	due_compute(rulebook, &plain, &due);
	return due.due_day;
}

bool due_forecast_matters(const struct rulebook *rulebook, const struct due_facts *facts,
	int32_t early_day)
{
	struct due due;

	if (early_day == DAY_NONE || !facts->in_service) {
		return false;
	}
	due_compute(rulebook, facts, &due);
	/* the grade looks at the whole interval; what a forecast asks for is never before its lead */
	return early_day < due_calendar_day(rulebook, facts) ||
		early_day - (int32_t)rulebook->forecast_lead_days < due.inspect_day;
}

enum due_state due_state_on(const struct due *due, int32_t today)
{
	if (due->due_day == DAY_NONE) {
		return DUE_NOT;
	}
	if (due->deferred_until_day != DAY_NONE && today <= due->deferred_until_day) {
		return DUE_DEFERRED;
	}
	return today >= due->overdue_from_day ? DUE_OVERDUE : today >= due->due_day ? DUE_DUE :
		today >= due->soon_from_day ? DUE_SOON : DUE_LATER;
}

int32_t due_days_over(const struct due *due, int32_t today)
{
	return due->due_day == DAY_NONE ? 0 : today - due->due_day;
}

void due_reason(const struct due *due, char *to, size_t size)
{
	static const char *const begin[] = {
		[DUE_AFTER_INSPECTION] = "Last complete inspection ",
		[DUE_AFTER_INSTALLATION] = "Never inspected, installed ",
		[DUE_AT_ONCE] = "Never inspected and no installation date: due at once, registered ",
		[DUE_OUT_OF_SERVICE] = "Out of service: not due",
		[DUE_ACT] = "To be mended since ",
		[DUE_FORECAST] = "A limit may be crossed from ",
		[DUE_COMMISSIONING] = "To be commissioned since it was made, ",
		[DUE_PROOF_OLD] = "The newest proof of this bond counts until ",
		[DUE_PROOF_LACKS] = "Nothing has proved this bond since ",
	};
	struct sentence s;

	sentence_begin(&s, to, size);
	sentence_add(&s, begin[due->basis]);
	sentence_add_day(&s, due->counted_from_day);
	if (due->interval_months != 0) {
		sentence_add(&s, ", interval ");
		sentence_add_count(&s, due->interval_months, "month");
		sentence_add(&s, due->shortened ? " (shortened for its grade), due " : ", due ");
		sentence_add_day(&s, due->due_day);
	} else if (due->basis == DUE_ACT) {
		sentence_add(&s, ", due ");
		sentence_add_count(&s, due->due_day - due->counted_from_day, "day");
		sentence_add(&s, " later, ");
		sentence_add_day(&s, due->due_day);
	} else if (due->basis == DUE_FORECAST) {
		sentence_add(&s, " on: due ");
		sentence_add_day(&s, due->due_day);
	}
	if (due->deferred_until_day != DAY_NONE) {
		sentence_add(&s, "; deferred until ");
		sentence_add_day(&s, due->deferred_until_day);
	}
}
