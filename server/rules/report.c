#include "rules/report.h"

#include "base/day.h"

static const char *const timely_code[] = { "on_time", "late", "not_judged", "deferred" };
static const char *const timely_title[] = { "on time", "late", "not judged", "deferred" };
const struct words timely_words = { "timely", timely_code, timely_title, 4 };

bool report_is_judged(enum purpose purpose)
{
	return purpose != PURPOSE_COMMISSIONING && purpose != PURPOSE_AFTER_FAILURE;
}

void report_timely(const struct due *due, enum purpose purpose, int32_t day,
	struct report_timely *to)
{
	struct due inspection;

	due_alone(due, DUE_INSPECTION, &inspection);
	*to = (struct report_timely){ TIMELY_NOT_JUDGED, DAY_NONE, DAY_NONE, 0 };
	if (!report_is_judged(purpose) || inspection.due_day == DAY_NONE ||
		due->basis == DUE_AT_ONCE) {
		return;
	}
	to->is = due_state_on(&inspection, day) == DUE_DEFERRED ? TIMELY_DEFERRED :
		day < inspection.overdue_from_day ? TIMELY_ON_TIME : TIMELY_LATE;
	to->due_day = inspection.due_day;
	to->last_day = inspection.overdue_from_day - 1;
	to->days_over = day - inspection.due_day;
}

bool report_in_service_on(enum bond_status status, int32_t installed_day, int32_t removed_day,
	int32_t known_since_day, int32_t day)
{
	int32_t there_from = installed_day != DAY_NONE ? installed_day : known_since_day;

	if (day < there_from) {
		return false;
	}
	return status == BOND_IN_SERVICE || (removed_day != DAY_NONE && day < removed_day);
}

const struct report_band report_bands[REPORT_BANDS] = {
	{ 1, 30 }, { 31, 90 }, { 91, 365 }, { 366, INT32_MAX }
};

int report_band_of(int32_t days_over)
{
	int band = 0;

	while (band < REPORT_BANDS - 1 && days_over > report_bands[band].to_days) {
		band++;
	}
	return band;
}
