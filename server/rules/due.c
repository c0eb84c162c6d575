#include "rules/due.h"

#include "base/day.h"
#include "rules/sentence.h"

static const char *const basis_code[] = {
	"after_inspection", "after_installation", "at_once", "out_of_service"
};
static const char *const basis_title[] = {
	"after the last inspection", "never inspected, from installation",
	"never inspected and no installation date: due at once", "not due: out of service"
};
const struct words due_basis_words = { "due_basis", basis_code, basis_title, 4 };

static enum due_basis basis_of(const struct due_facts *facts)
{
	return !facts->in_service ? DUE_OUT_OF_SERVICE :
		facts->inspected_day != DAY_NONE ? DUE_AFTER_INSPECTION :
		facts->installed_day != DAY_NONE ? DUE_AFTER_INSTALLATION : DUE_AT_ONCE;
}

void due_compute(const struct rulebook *rulebook, const struct due_facts *facts, struct due *due)
{
	due->basis = basis_of(facts);
	due->interval_months = 0;
	due->counted_from_day = due->due_day = due->soon_from_day = due->overdue_from_day =
		due->deferred_until_day = DAY_NONE;
	if (due->basis == DUE_OUT_OF_SERVICE) {
		return;
	}
	if (due->basis == DUE_AT_ONCE) {
		due->counted_from_day = due->due_day = due->soon_from_day = facts->known_since_day;
	} else {
		due->counted_from_day = due->basis == DUE_AFTER_INSPECTION ? facts->inspected_day :
			facts->installed_day;
		due->interval_months = rulebook_interval_months(rulebook, facts->kind,
			facts->criticality);
		due->due_day = day_add_months(due->counted_from_day, (int)due->interval_months);
		due->soon_from_day = due->due_day - (int32_t)rulebook->notice_days;
	}
	due->overdue_from_day = due->due_day + (int32_t)rulebook->grace_days + 1;
	if (facts->deferred_until_day > due->due_day) {
		due->deferred_until_day = facts->deferred_until_day;
	}
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
	};
	struct sentence s;

	sentence_begin(&s, to, size);
	sentence_add(&s, begin[due->basis]);
	sentence_add_day(&s, due->counted_from_day);
	if (due->interval_months != 0) {
		sentence_add(&s, ", interval ");
		sentence_add_count(&s, due->interval_months, "month");
		sentence_add(&s, ", due ");
		sentence_add_day(&s, due->due_day);
	}
	if (due->deferred_until_day != DAY_NONE) {
		sentence_add(&s, "; deferred until ");
		sentence_add_day(&s, due->deferred_until_day);
	}
}
