#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/report.h"

static int32_t day(const char *text)
{
	int32_t d = DAY_NONE;

	ck_assert_msg(text == NULL || day_read(text, strlen(text), &d), "%s is a day", text);
	return d;
}

/*
 * What was due then: 14 days of grace, 2026-03-31 + 14 = 2026-04-14.
 */
struct then {
	enum due_basis basis;
	const char *inspect, *mend, *deferred;   /* NULL: none */
};
static const struct then plain = { DUE_AFTER_INSPECTION, "2026-03-31", NULL, NULL },
	installed = { DUE_AFTER_INSTALLATION, "2026-03-31", NULL, NULL },
	forecast = { DUE_FORECAST, "2026-03-31", NULL, NULL },
	nothing_known = { DUE_AT_ONCE, "2026-01-01", NULL, NULL },
	/* its mending has been due since a year: that is no inspection */
	to_be_mended = { DUE_ACT, "2026-03-31", "2025-03-31", NULL },
	put_off = { DUE_AFTER_INSPECTION, "2026-03-31", NULL, "2026-05-31" },
	/* what is put off is the mending: the inspection is due after that */
	mending_put_off = { DUE_ACT, "2026-03-31", "2026-02-01", "2026-03-20" };

static const struct {
	const char *label;
	const struct then *then;
	enum purpose purpose;
	const char *day;
	enum timely is;
	int32_t days_over;
} visits[] = {
	{ "on the due day", &plain, PURPOSE_ROUTINE, "2026-03-31", TIMELY_ON_TIME, 0 },
	{ "the last day of grace", &plain, PURPOSE_ROUTINE, "2026-04-14", TIMELY_ON_TIME, 14 },
	{ "the day after it", &plain, PURPOSE_ROUTINE, "2026-04-15", TIMELY_LATE, 15 },
	{ "early, after works", &plain, PURPOSE_AFTER_WORKS, "2025-04-30", TIMELY_ON_TIME, -335 },
	{ "after a failure", &plain, PURPOSE_AFTER_FAILURE, "2026-03-31", TIMELY_NOT_JUDGED, 0 },
	{ "the first after installation", &installed, PURPOSE_ROUTINE, "2026-04-14", TIMELY_ON_TIME, 14 },
	{ "and late", &installed, PURPOSE_ROUTINE, "2026-04-15", TIMELY_LATE, 15 },
	{ "by the day that a forecast asked for", &forecast, PURPOSE_ROUTINE, "2026-04-15", TIMELY_LATE, 15 },
	{ "nothing was known before it", &nothing_known, PURPOSE_ROUTINE, "2026-04-15", TIMELY_NOT_JUDGED, 0 },
	{ "a commissioning", &plain, PURPOSE_COMMISSIONING, "2026-04-01", TIMELY_NOT_JUDGED, 0 },
	{ "its mending is late, not its inspection", &to_be_mended, PURPOSE_ROUTINE, "2026-04-14",
	  TIMELY_ON_TIME, 14 },
	{ "both are", &to_be_mended, PURPOSE_ROUTINE, "2026-04-15", TIMELY_LATE, 15 },
	{ "put off, on the last day", &put_off, PURPOSE_ROUTINE, "2026-05-31", TIMELY_DEFERRED, 61 },
	{ "the day after that", &put_off, PURPOSE_ROUTINE, "2026-06-01", TIMELY_LATE, 62 },
	{ "the mending alone was put off", &mending_put_off, PURPOSE_ROUTINE, "2026-03-15",
	  TIMELY_ON_TIME, -16 },
};

static struct due due_then(const struct then *then)
{
	int32_t inspect = day(then->inspect), mend = then->mend != NULL ? day(then->mend) : DAY_NONE;
	int32_t first = mend != DAY_NONE && mend <= inspect ? mend : inspect;

	return (struct due){ .basis = then->basis, .due_day = first, .soon_from_day = first - 30,
		.overdue_from_day = first + 15, .deferred_until_day = then->deferred != NULL ?
		day(then->deferred) : DAY_NONE, .inspect_day = inspect, .mend_day = mend,
		.notice_days = 30 };
}

START_TEST(an_inspection_is_on_time_through_the_last_day_of_grace)
{
	for (size_t i = 0; i < sizeof visits / sizeof visits[0]; i++) {
		const struct due due = due_then(visits[i].then);
		struct report_timely t;
		bool judged = visits[i].is != TIMELY_NOT_JUDGED;

		report_timely(&due, visits[i].purpose, day(visits[i].day), &t);
		ck_assert_msg(t.is == visits[i].is, "%s", visits[i].label);
		ck_assert_msg(t.due_day == (judged ? day("2026-03-31") : DAY_NONE), "%s", visits[i].label);
		ck_assert_msg(t.last_day == (judged ? day("2026-04-14") : DAY_NONE), "%s", visits[i].label);
		ck_assert_msg(t.days_over == visits[i].days_over, "%s: %d", visits[i].label, t.days_over);
	}
}
END_TEST

static const struct {
	const char *label;
	enum bond_status status;
	const char *installed, *removed, *known, *day;
	bool in_service;
} services[] = {
	{ "the day before installation", BOND_IN_SERVICE, "2020-05-02", NULL, "2026-01-01", "2020-05-01",
	  false },
	{ "the day of installation", BOND_IN_SERVICE, "2020-05-02", NULL, "2026-01-01", "2020-05-02",
	  true },
	{ "not yet known", BOND_IN_SERVICE, NULL, NULL, "2026-01-01", "2025-12-31", false },
	{ "known since that day", BOND_IN_SERVICE, NULL, NULL, "2026-01-01", "2026-01-01", true },
	{ "the last day before removal", BOND_REMOVED, "2020-05-02", "2024-02-29", "2019-01-01",
	  "2024-02-28", true },
	{ "the day of removal", BOND_REMOVED, "2020-05-02", "2024-02-29", "2019-01-01", "2024-02-29",
	  false },
	{ "removed at some time", BOND_REMOVED, "2020-05-02", NULL, "2019-01-01", "2024-02-28", false },
};

START_TEST(a_bond_counts_from_its_installation_until_its_removal)
{
	for (size_t i = 0; i < sizeof services / sizeof services[0]; i++) {
		ck_assert_msg(report_in_service_on(services[i].status, day(services[i].installed),
			day(services[i].removed), day(services[i].known), day(services[i].day)) ==
			services[i].in_service, "%s", services[i].label);
	}
}
END_TEST

START_TEST(each_age_is_in_one_band)
{
	static const struct { int32_t days; int band; } ages[] = {
		{ 1, 0 }, { 30, 0 }, { 31, 1 }, { 90, 1 }, { 91, 2 }, { 365, 2 }, { 366, 3 }, { 9999, 3 },
	};

	for (size_t i = 0; i < sizeof ages / sizeof ages[0]; i++) {
		const struct report_band *band = &report_bands[ages[i].band];

		ck_assert_int_eq(report_band_of(ages[i].days), ages[i].band);
		ck_assert(ages[i].days >= band->from_days && ages[i].days <= band->to_days);
	}
	for (int b = 1; b < REPORT_BANDS; b++) {
		ck_assert_int_eq(report_bands[b].from_days, report_bands[b - 1].to_days + 1);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { an_inspection_is_on_time_through_the_last_day_of_grace,
		a_bond_counts_from_its_installation_until_its_removal, each_age_is_in_one_band, NULL };

	return case_run("report", tests);
}
