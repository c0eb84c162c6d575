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

/* 12 months and 14 days of grace for all. */
static struct rulebook yearly(void)
{
	struct rulebook rulebook = rulebook_default();

	for (int i = 0; i < RULEBOOK_KINDS * RULEBOOK_CRITICALITIES; i++) {
		rulebook.interval_months[i / RULEBOOK_CRITICALITIES][i % RULEBOOK_CRITICALITIES] = 12;
	}
	rulebook.grace_days = 14;
	return rulebook;
}

/* By hand. 2025-03-31 + 12 months = 2026-03-31, + 14 days = 2026-04-14. */
static const struct {
	const char *label, *installed, *before;
	enum purpose purpose;
	const char *day;
	enum timely is;
	const char *due, *last;
	int32_t days_over;
} visits[] = {
	{ "on the due day", NULL, "2025-03-31", PURPOSE_ROUTINE, "2026-03-31", TIMELY_ON_TIME,
	  "2026-03-31", "2026-04-14", 0 },
	{ "the last day of grace", NULL, "2025-03-31", PURPOSE_ROUTINE, "2026-04-14", TIMELY_ON_TIME,
	  "2026-03-31", "2026-04-14", 14 },
	{ "the day after it", NULL, "2025-03-31", PURPOSE_ROUTINE, "2026-04-15", TIMELY_LATE,
	  "2026-03-31", "2026-04-14", 15 },
	{ "early, after works", NULL, "2025-03-31", PURPOSE_AFTER_WORKS, "2025-04-30", TIMELY_ON_TIME,
	  "2026-03-31", "2026-04-14", -335 },
	{ "late, after a failure", NULL, "2025-03-31", PURPOSE_AFTER_FAILURE, "2026-05-01", TIMELY_LATE,
	  "2026-03-31", "2026-04-14", 31 },
	{ "the end of February", NULL, "2024-02-29", PURPOSE_ROUTINE, "2025-03-14", TIMELY_ON_TIME,
	  "2025-02-28", "2025-03-14", 14 },
	{ "the first after installation", "2025-03-31", NULL, PURPOSE_ROUTINE, "2026-04-14",
	  TIMELY_ON_TIME, "2026-03-31", "2026-04-14", 14 },
	{ "and late", "2025-03-31", NULL, PURPOSE_ROUTINE, "2026-04-15", TIMELY_LATE,
	  "2026-03-31", "2026-04-14", 15 },
	{ "the one before counts, not the installation", "2020-01-01", "2025-03-31", PURPOSE_ROUTINE,
	  "2026-04-15", TIMELY_LATE, "2026-03-31", "2026-04-14", 15 },
	{ "nothing is known before it", NULL, NULL, PURPOSE_ROUTINE, "2026-04-15", TIMELY_NOT_JUDGED,
	  NULL, NULL, 0 },
	{ "a commissioning", "2025-03-31", NULL, PURPOSE_COMMISSIONING, "2025-04-01",
	  TIMELY_NOT_JUDGED, NULL, NULL, 0 },
	{ "a commissioning again", "2020-03-31", "2021-03-31", PURPOSE_COMMISSIONING, "2025-04-01",
	  TIMELY_NOT_JUDGED, NULL, NULL, 0 },
};

START_TEST(an_inspection_is_on_time_through_the_last_day_of_grace)
{
	const struct rulebook rulebook = yearly();

	for (size_t i = 0; i < sizeof visits / sizeof visits[0]; i++) {
		const struct due_facts facts = { .kind = BOND_RAIL_JOINT, .in_service = true,
			.installed_day = day(visits[i].installed), .inspected_day = day(visits[i].before),
			.known_since_day = day("2026-01-01"), .deferred_until_day = DAY_NONE };
		struct report_timely t;

		report_timely(&rulebook, &facts, visits[i].purpose, day(visits[i].day), &t);
		ck_assert_msg(t.is == visits[i].is, "%s", visits[i].label);
		ck_assert_msg(t.due_day == day(visits[i].due), "%s", visits[i].label);
		ck_assert_msg(t.last_day == day(visits[i].last), "%s", visits[i].label);
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
