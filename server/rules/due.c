#include "rules/due.h"

#include "base/day.h"
#include "rules/sentence.h"

static const char *const basis_code[] = {
	"after_inspection", "after_installation", "at_once", "out_of_service", "act", "forecast"
};
static const char *const basis_title[] = {
	"after the last inspection", "never inspected, from installation",
	"never inspected and no installation date: due at once", "not due: out of service",
	"graded act", "before a limit may be crossed"
};
const struct words due_basis_words = { "due_basis", basis_code, basis_title, 6 };

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

	if (due->basis == DUE_AT_ONCE) {
		due->counted_from_day = due->due_day = due->soon_from_day = facts->known_since_day;
		return;
	}
	if (facts->grade == GRADE_WATCH || facts->grade == GRADE_ACT) {
		part = whole * rulebook->watch_interval_percent / 100;
		part = part < 1 ? 1 : part;
	}
	due->counted_from_day = due->basis == DUE_AFTER_INSPECTION ? facts->inspected_day :
		facts->installed_day;
	due->interval_months = part;
	due->shortened = part < whole;
	due->due_day = day_add_months(due->counted_from_day, (int)part);
	due->soon_from_day = due->due_day - (int32_t)rulebook->notice_days;
}

/* Takes the place of the calendar. */
static void by_other(const struct rulebook *rulebook, enum due_basis basis, int32_t from_day,
	int32_t due_day, struct due *due)
{
	due->basis = basis;
	due->counted_from_day = from_day;
	due->interval_months = 0;
	due->shortened = false;
	due->due_day = due_day;
	due->soon_from_day = due_day - (int32_t)rulebook->notice_days;
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

static void by_grade(const struct rulebook *rulebook, const struct due_facts *facts,
	struct due *due)
{
	if (facts->early_day != DAY_NONE && due_forecast_day(rulebook, facts) < due->due_day) {
		by_other(rulebook, DUE_FORECAST, facts->early_day, due_forecast_day(rulebook, facts), due);
	}
	if (facts->grade == GRADE_ACT && facts->act_since_day != DAY_NONE &&
		facts->act_since_day + (int32_t)rulebook->act_days <= due->due_day) {
		by_other(rulebook, DUE_ACT, facts->act_since_day,
			facts->act_since_day + (int32_t)rulebook->act_days, due);
	}
}

void due_compute(const struct rulebook *rulebook, const struct due_facts *facts, struct due *due)
{
	*due = (struct due){ .basis = basis_of(facts), .counted_from_day = DAY_NONE,
		.due_day = DAY_NONE, .soon_from_day = DAY_NONE, .overdue_from_day = DAY_NONE,
		.deferred_until_day = DAY_NONE };
	if (due->basis == DUE_OUT_OF_SERVICE) {
		return;
	}
	by_calendar(rulebook, facts, due);
	if (facts->grade != GRADE_NONE) {
		by_grade(rulebook, facts, due);
	}
	due->overdue_from_day = due->due_day + (int32_t)rulebook->grace_days + 1;
	if (facts->deferred_until_day > due->due_day) {
		due->deferred_until_day = facts->deferred_until_day;
	}
}

bool due_forecast_matters(const struct rulebook *rulebook, const struct due_facts *facts,
	int32_t early_day)
{
	struct due_facts ungraded = *facts;
	struct due due, calendar;

	if (early_day == DAY_NONE || !facts->in_service) {
		return false;
	}
	ungraded.grade = GRADE_NONE;
	due_compute(rulebook, &ungraded, &calendar);
	due_compute(rulebook, facts, &due);
	/* the grade looks at the whole interval; what a forecast asks for is never before its lead */
	return early_day < calendar.due_day ||
		early_day - (int32_t)rulebook->forecast_lead_days < due.due_day;
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
		[DUE_ACT] = "Graded act since ",
		[DUE_FORECAST] = "A limit may be crossed from ",
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
