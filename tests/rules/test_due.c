#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/judge/due.h"

static int32_t day(const char *text)
{
	int32_t d = DAY_NONE;

	ck_assert_msg(text == NULL || day_read(text, strlen(text), &d), "%s is a day", text);
	return d;
}

/* A rulebook with one interval for all, so that a row shows all that it depends on. */
static struct rulebook every(int64_t months, int64_t notice_days, int64_t grace_days)
{
	struct rulebook rulebook = rulebook_default();

	for (int i = 0; i < RULEBOOK_KINDS * RULEBOOK_CRITICALITIES; i++) {
		rulebook.interval_months[i / RULEBOOK_CRITICALITIES][i % RULEBOOK_CRITICALITIES] = months;
	}
	rulebook.notice_days = notice_days;
	rulebook.grace_days = grace_days;
	return rulebook;
}

static struct due due_of(const struct rulebook *rulebook, const char *installed,
	const char *inspected, const char *deferred_until)
{
	struct due_facts facts = {
		.kind = BOND_STRUCTURE, .criticality = CRITICALITY_HIGH, .in_service = true,
		.installed_day = day(installed), .inspected_day = day(inspected),
		.commissioning_day = DAY_NONE, .known_since_day = day("2026-01-15"),
		.deferred_until_day = day(deferred_until),
	};
	struct due due;

	due_compute(rulebook, &facts, &due);
	return due;
}

/*
 * Months added to the last inspection. Values: java.time (Java 17), PostgreSQL 15 and
 * python-dateutil 2.8.2, each executed on these rows; all three agree. The last four are quoted
 * on public pages about month arithmetic.
 */
static const struct { const char *inspected; int months; const char *due; } calendar[] = {
	{ "2007-03-31", 1, "2007-04-30" }, { "2023-01-31", 1, "2023-02-28" },
	{ "2024-01-31", 1, "2024-02-29" }, { "2024-02-29", 12, "2025-02-28" },
	{ "2024-02-29", 48, "2028-02-29" }, { "2023-01-30", 1, "2023-02-28" },
	{ "2023-01-29", 1, "2023-02-28" }, { "2023-02-28", 1, "2023-03-28" },
	{ "2024-02-29", 1, "2024-03-29" }, { "2023-08-31", 6, "2024-02-29" },
	{ "2023-08-31", 18, "2025-02-28" }, { "2023-10-31", 1, "2023-11-30" },
	{ "2023-12-31", 2, "2024-02-29" }, { "1900-02-28", 12, "1901-02-28" },
	{ "2023-11-30", 3, "2024-02-29" }, { "2025-05-31", 1, "2025-06-30" },
	{ "2025-12-15", 1, "2026-01-15" }, { "2026-01-31", 13, "2027-02-28" },
	{ "2023-01-31", 2, "2023-03-31" }, { "2005-01-31", 1, "2005-02-28" },
	{ "2019-01-31", 1, "2019-02-28" }, { "2007-03-31", 1, "2007-04-30" },
};

START_TEST(is_due_so_many_months_after_the_last_inspection)
{
	for (size_t i = 0; i < sizeof calendar / sizeof calendar[0]; i++) {
		struct rulebook rulebook = every(calendar[i].months, 0, 0);
		struct due due = due_of(&rulebook, "1890-06-30", calendar[i].inspected, NULL);
		char text[DAY_TEXT_SIZE];

		day_write(due.due_day, text);
		ck_assert_msg(strcmp(text, calendar[i].due) == 0, "%s + %d months: %s, not %s",
			calendar[i].inspected, calendar[i].months, text, calendar[i].due);
		ck_assert_int_eq(due.basis, DUE_AFTER_INSPECTION);
		ck_assert_int_eq(due.counted_from_day, day(calendar[i].inspected));
		ck_assert_int_eq(due.interval_months, calendar[i].months);
	}
}
END_TEST

START_TEST(counts_from_installation_when_never_inspected)
{
	struct rulebook rulebook = every(6, 0, 0);
	struct due due = due_of(&rulebook, "2023-08-31", NULL, NULL);

	ck_assert_int_eq(due.basis, DUE_AFTER_INSTALLATION);
	ck_assert_int_eq(due.counted_from_day, day("2023-08-31"));
	ck_assert_int_eq(due.due_day, day("2024-02-29"));
	ck_assert_int_eq(due.interval_months, 6);
}
END_TEST

START_TEST(is_due_at_once_with_no_date_at_all)
{
	struct rulebook rulebook = every(12, 30, 14);
	struct due due = due_of(&rulebook, NULL, NULL, NULL);

	ck_assert_int_eq(due.basis, DUE_AT_ONCE);
	ck_assert_int_eq(due.due_day, day("2026-01-15"));          /* known since */
	ck_assert_int_eq(due.soon_from_day, day("2026-01-15"));    /* no notice: it is due already */
	ck_assert_int_eq(due.overdue_from_day, day("2026-01-30")); /* 15th + 14 days is the last due */
	ck_assert_int_eq(due.interval_months, 0);
	ck_assert_int_eq(due_state_on(&due, day("2026-01-15")), DUE_DUE);
	ck_assert_int_eq(due_state_on(&due, day("2026-01-29")), DUE_DUE);
	ck_assert_int_eq(due_state_on(&due, day("2026-01-30")), DUE_OVERDUE);
	ck_assert_int_eq(due_days_over(&due, day("2026-04-15")), 90);  /* 16 + 28 + 31 + 15 */
}
END_TEST

START_TEST(the_installation_day_gives_way_to_an_inspection_even_before_it)
{
	struct rulebook rulebook = every(12, 0, 0);
	struct due due = due_of(&rulebook, "2025-06-01", "2025-03-31", NULL);

	ck_assert_int_eq(due.basis, DUE_AFTER_INSPECTION);
	ck_assert_int_eq(due.due_day, day("2026-03-31"));
}
END_TEST

START_TEST(takes_the_interval_of_the_kind_and_criticality)
{
	struct rulebook rulebook = every(12, 0, 0);

	rulebook.interval_months[BOND_STRUCTURE][CRITICALITY_HIGH] = 7;
	ck_assert_int_eq(due_of(&rulebook, NULL, "2025-03-31", NULL).due_day, day("2025-10-31"));
	rulebook = every(12, 0, 0);
	rulebook.interval_months[BOND_STRUCTURE][CRITICALITY_NORMAL] = 7;
	rulebook.interval_months[BOND_FEEDER_LEAD][CRITICALITY_HIGH] = 7;
	ck_assert_int_eq(due_of(&rulebook, NULL, "2025-03-31", NULL).due_day, day("2026-03-31"));
}
END_TEST

/* Inspected 2025-03-31, 12 months, notice 30 days, grace 14 days: due 2026-03-31. By hand from a
 * calendar: 30 days before is 2026-03-01, the grace ends with 2026-04-14. */
static const struct {
	const char *today, *deferred_until;
	enum due_state state;
	int over;
} states[] = {
	{ "2025-03-31", NULL, DUE_LATER, -365 },
	{ "2026-02-28", NULL, DUE_LATER, -31 },
	{ "2026-03-01", NULL, DUE_SOON, -30 },
	{ "2026-03-30", NULL, DUE_SOON, -1 },
	{ "2026-03-31", NULL, DUE_DUE, 0 },
	{ "2026-04-01", NULL, DUE_DUE, 1 },
	{ "2026-04-14", NULL, DUE_DUE, 14 },
	{ "2026-04-15", NULL, DUE_OVERDUE, 15 },
	{ "2036-04-15", NULL, DUE_OVERDUE, 3668 },   /* 15 + 10 x 365 + 3 leap days */
	/* a deferral hides no state after its last day, and does not move the due day */
	{ "2026-02-28", "2026-05-31", DUE_DEFERRED, -31 },
	{ "2026-04-15", "2026-05-31", DUE_DEFERRED, 15 },
	{ "2026-05-31", "2026-05-31", DUE_DEFERRED, 61 },
	{ "2026-06-01", "2026-05-31", DUE_OVERDUE, 62 },
	{ "2026-04-05", "2026-04-05", DUE_DEFERRED, 5 },
	{ "2026-04-06", "2026-04-05", DUE_DUE, 6 },  /* lapsed inside the grace */
	/* a day that is not after the due day defers nothing */
	{ "2026-03-30", "2026-03-31", DUE_SOON, -1 },
	{ "2026-03-31", "2026-03-31", DUE_DUE, 0 },
	{ "2026-03-31", "2026-04-01", DUE_DEFERRED, 0 },
};

START_TEST(each_state_begins_on_its_day)
{
	struct rulebook rulebook = every(12, 30, 14);

	for (size_t i = 0; i < sizeof states / sizeof states[0]; i++) {
		struct due due = due_of(&rulebook, "2020-01-01", "2025-03-31", states[i].deferred_until);
		enum due_state state = due_state_on(&due, day(states[i].today));

		ck_assert_int_eq(due.due_day, day("2026-03-31"));
		ck_assert_int_eq(due.soon_from_day, day("2026-03-01"));
		ck_assert_int_eq(due.overdue_from_day, day("2026-04-15"));
		ck_assert_msg(state == states[i].state, "row %zu, %s: %s, not %s", i, states[i].today,
			due_state_words.title[state], due_state_words.title[states[i].state]);
		ck_assert_int_eq(due_days_over(&due, day(states[i].today)), states[i].over);
	}
}
END_TEST

START_TEST(without_notice_and_grace_there_is_no_soon_and_one_day_due)
{
	struct rulebook rulebook = every(1, 0, 0);
	struct due due = due_of(&rulebook, NULL, "2023-01-31", NULL);

	ck_assert_int_eq(due_state_on(&due, day("2023-02-27")), DUE_LATER);
	ck_assert_int_eq(due_state_on(&due, day("2023-02-28")), DUE_DUE);
	ck_assert_int_eq(due_state_on(&due, day("2023-03-01")), DUE_OVERDUE);
}
END_TEST

START_TEST(is_never_due_out_of_service)
{
	struct rulebook rulebook = every(12, 30, 14);
	struct due_facts facts = { .in_service = false, .installed_day = day("2000-01-01"),
		.inspected_day = day("2001-01-01"), .known_since_day = day("2000-01-01"),
		.deferred_until_day = day("2030-01-01") };
	struct due due;

	due_compute(&rulebook, &facts, &due);
	ck_assert_int_eq(due.basis, DUE_OUT_OF_SERVICE);
	ck_assert_int_eq(due.due_day, DAY_NONE);
	ck_assert_int_eq(due.soon_from_day, DAY_NONE);
	ck_assert_int_eq(due.overdue_from_day, DAY_NONE);
	ck_assert_int_eq(due.deferred_until_day, DAY_NONE);
	ck_assert_int_eq(due_state_on(&due, day("2026-01-01")), DUE_NOT);
	ck_assert_int_eq(due_days_over(&due, day("2026-01-01")), 0);
}
END_TEST

START_TEST(gives_the_reason_as_one_sentence)
{
	static const struct {
		int months;
		const char *installed, *inspected, *deferred_until, *reason;
	} rows[] = {
		{ 12, NULL, "2025-03-31", NULL,
			"Last complete inspection 2025-03-31, interval 12 months, due 2026-03-31" },
		{ 1, NULL, "2025-03-31", NULL,
			"Last complete inspection 2025-03-31, interval 1 month, due 2025-04-30" },
		{ 6, "2025-01-01", NULL, "2025-10-01", "Never inspected, installed 2025-01-01, "
			"interval 6 months, due 2025-07-01; deferred until 2025-10-01" },
		{ 6, NULL, NULL, NULL,
			"Never inspected and no installation date: due at once, registered 2026-01-15" },
		{ 6, NULL, NULL, "2026-01-15",
			"Never inspected and no installation date: due at once, registered 2026-01-15" },
	};
	char to[DUE_REASON_SIZE];

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct rulebook rulebook = every(rows[i].months, 0, 0);
		struct due due = due_of(&rulebook, rows[i].installed, rows[i].inspected,
			rows[i].deferred_until);

		due_reason(&due, to, sizeof to);
		ck_assert_str_eq(to, rows[i].reason);
	}
}
END_TEST

START_TEST(the_longest_reason_fits_and_a_short_room_cuts_it)
{
	struct due due = { .basis = DUE_AFTER_INSPECTION, .interval_months = 240, .shortened = true };
	char to[DUE_REASON_SIZE], small[12];

	due_reason(&due, to, sizeof to);
	ck_assert_uint_lt(strlen(to), sizeof to - 10);
	ck_assert_ptr_nonnull(strstr(to, "; deferred until 1970-01-01"));
	due_reason(&due, small, sizeof small);
	ck_assert_str_eq(small, "Last comple");
	due.basis = DUE_OUT_OF_SERVICE;
	due.interval_months = 0;
	due.counted_from_day = due.deferred_until_day = DAY_NONE;
	due_reason(&due, to, sizeof to);
	ck_assert_str_eq(to, "Out of service: not due");
}
END_TEST

/* A structure bond of high criticality in service, as the judgement finds it: no reading wanted. */
static struct due_facts facts_of(const char *inspected, bool watched, const char *act_since,
	const char *early)
{
	return (struct due_facts){
		.kind = BOND_STRUCTURE, .criticality = CRITICALITY_HIGH, .in_service = true,
		.installed_day = DAY_NONE, .inspected_day = day(inspected),
		.commissioning_day = DAY_NONE, .evidence_until_day = DAY_NONE, .lacks_since_day = DAY_NONE,
		.known_since_day = day("2026-01-15"), .deferred_until_day = DAY_NONE, .is_judged = true,
		.is_watched = watched, .act_since_day = day(act_since), .early_day = day(early),
		.early_from_day = day(inspected),
	};
}

static struct due judged(const struct rulebook *rulebook, const char *inspected, bool watched,
	const char *act_since, const char *early)
{
	struct due_facts facts = facts_of(inspected, watched, act_since, early);
	struct due due;

	due_compute(rulebook, &facts, &due);
	return due;
}

/* Half of twice the months is the months: the rows above hold for a shortened interval too. */
START_TEST(a_shortened_interval_is_clamped_from_the_original_day)
{
	for (size_t i = 0; i < sizeof calendar / sizeof calendar[0]; i++) {
		struct rulebook rulebook = every(2 * calendar[i].months, 0, 0);
		struct due due;

		rulebook.watch_interval_percent = 50;
		due = judged(&rulebook, calendar[i].inspected, true, NULL, NULL);
		ck_assert_int_eq(due.due_day, day(calendar[i].due));
		ck_assert_int_eq(due.counted_from_day, day(calendar[i].inspected));
		ck_assert_int_eq(due.basis, DUE_AFTER_INSPECTION);
		ck_assert(due.shortened);
	}
}
END_TEST

START_TEST(a_shortened_interval_is_rounded_down_to_a_month_at_least)
{
	static const struct { int months, percent, left; } rows[] = {
		{ 12, 50, 6 }, { 12, 33, 3 }, { 12, 34, 4 },   /* 3.96, 4.08 */
		{ 3, 50, 1 }, { 5, 50, 2 }, { 1, 50, 1 }, { 24, 1, 1 }, { 12, 100, 12 }, { 12, 99, 11 },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct rulebook rulebook = every(rows[i].months, 0, 0);
		struct due due;

		rulebook.watch_interval_percent = rows[i].percent;
		due = judged(&rulebook, "2025-01-31", true, NULL, NULL);
		ck_assert_int_eq(due.interval_months, rows[i].left);
		ck_assert_int_eq(due.due_day, day_add_months(day("2025-01-31"), rows[i].left));
		ck_assert(due.shortened == (rows[i].left < rows[i].months));
	}
}
END_TEST

START_TEST(only_what_is_judged_and_watched_has_a_shortened_interval)
{
	struct rulebook rulebook = every(12, 30, 14);
	struct due_facts facts = facts_of("2025-03-31", true, "2020-01-01", "2020-01-01");
	struct due due, plain = due_of(&rulebook, NULL, "2025-03-31", NULL);

	rulebook.watch_interval_percent = 50;
	ck_assert_int_eq(judged(&rulebook, "2025-03-31", true, NULL, NULL).due_day, day("2025-09-30"));
	due = judged(&rulebook, "2025-03-31", false, NULL, NULL);
	ck_assert_int_eq(due.due_day, plain.due_day);
	ck_assert(!due.shortened);
	facts.is_judged = false;
	due_compute(&rulebook, &facts, &due);
	ck_assert_int_eq(due.due_day, plain.due_day);
	ck_assert_int_eq(due.soon_from_day, plain.soon_from_day);
	ck_assert_int_eq(due.overdue_from_day, plain.overdue_from_day);
	ck_assert_int_eq(due.basis, plain.basis);
	ck_assert_int_eq(due.interval_months, 12);
	ck_assert_int_eq(due.mend_day, DAY_NONE);
	ck_assert(!due.shortened);
}
END_TEST

/* Every 12 months, watched every 6; 14 days to mend, forecasts 90 days before. By hand. */
static const struct {
	const char *label, *inspected;
	bool watched;
	const char *act_since, *early;
	enum due_basis basis;
	const char *counted_from, *due;
} earliest[] = {
	{ "mending, 14 days after it was found", "2025-03-31", true, "2025-03-31", NULL,
	  DUE_ACT, "2025-03-31", "2025-04-14" },
	{ "long ago: on that day, and overdue since", "2025-03-31", true, "2020-05-01", NULL,
	  DUE_ACT, "2020-05-01", "2020-05-15" },
	{ "a day before the calendar", "2025-03-31", true, "2025-09-15", NULL,
	  DUE_ACT, "2025-09-15", "2025-09-29" },
	{ "on the same day mending is told", "2025-03-31", true, "2025-09-16", NULL,
	  DUE_ACT, "2025-09-16", "2025-09-30" },
	{ "a day after the calendar", "2025-03-31", true, "2025-09-17", NULL,
	  DUE_AFTER_INSPECTION, "2025-03-31", "2025-09-30" },
	{ "never inspected, known before", NULL, true, "2026-01-02", NULL,
	  DUE_AT_ONCE, "2026-01-15", "2026-01-15" },
	{ "never inspected, failed before it was known", NULL, true, "2026-01-01", NULL,
	  DUE_ACT, "2026-01-01", "2026-01-15" },
	{ "a forecast before the calendar", "2025-03-31", true, NULL, "2025-12-28",
	  DUE_FORECAST, "2025-12-28", "2025-09-29" },
	{ "on the same day the calendar is told", "2025-03-31", true, NULL, "2025-12-29",
	  DUE_AFTER_INSPECTION, "2025-03-31", "2025-09-30" },
	{ "of a sound bond too", "2025-03-31", false, NULL, "2026-06-28",
	  DUE_FORECAST, "2026-06-28", "2026-03-30" },
	{ "and not when it comes later", "2025-03-31", false, NULL, "2026-06-29",
	  DUE_AFTER_INSPECTION, "2025-03-31", "2026-03-31" },
	{ "14 days after its reading", "2025-03-31", true, NULL, "2025-07-13",
	  DUE_FORECAST, "2025-07-13", "2025-04-14" },
	{ "not sooner than that", "2025-03-31", true, NULL, "2025-07-12",
	  DUE_FORECAST, "2025-07-12", "2025-04-14" },
	{ "not even when the early day is over", "2025-03-31", true, NULL, "2024-01-01",
	  DUE_FORECAST, "2024-01-01", "2025-04-14" },
	{ "as early as mending: mending is told", "2025-03-31", true, "2025-03-31", "2025-04-01",
	  DUE_ACT, "2025-03-31", "2025-04-14" },
	{ "earlier than mending", "2025-03-31", true, "2025-04-30", "2025-04-01",
	  DUE_FORECAST, "2025-04-01", "2025-04-14" },
	{ "an early day of 1970-01-01 is a day", "1969-12-01", false, NULL, "1970-01-01",
	  DUE_FORECAST, "1970-01-01", "1969-12-15" },   /* 14 days after the first of December */
};

START_TEST(is_due_on_the_earliest_of_calendar_mending_and_forecast)
{
	struct rulebook rulebook = every(12, 30, 14);

	rulebook.watch_interval_percent = 50;
	rulebook.act_days = 14;
	rulebook.forecast_lead_days = 90;
	for (size_t i = 0; i < sizeof earliest / sizeof earliest[0]; i++) {
		struct due due = judged(&rulebook, earliest[i].inspected, earliest[i].watched,
			earliest[i].act_since, earliest[i].early);
		char text[DAY_TEXT_SIZE];

		day_write(due.due_day, text);
		ck_assert_msg(strcmp(text, earliest[i].due) == 0, "%s: %s", earliest[i].label, text);
		ck_assert_msg(due.basis == earliest[i].basis, "%s: %s", earliest[i].label,
			due_basis_words.code[due.basis]);
		ck_assert_msg(due.counted_from_day == day(earliest[i].counted_from), "%s",
			earliest[i].label);
		ck_assert_int_eq(due.overdue_from_day, due.due_day + 15);
		ck_assert_int_eq(due.soon_from_day, due.due_day - (due.basis == DUE_AT_ONCE ? 0 : 30));
	}
}
END_TEST

/* Inspected 2025-03-31, 90 days before the early day, 14 after the reading. By hand. */
static const struct { const char *label, *early, *from, *due; } forecasts[] = {
	{ "90 days before", "2025-08-01", "2025-04-19", "2025-05-03" },
	{ "a reading a day newer puts it off", "2025-08-01", "2025-04-20", "2025-05-04" },
	{ "an old reading: the day after the inspection", "2025-06-01", "2024-12-01", "2025-04-01" },
	{ "that day itself", "2025-06-30", "2024-12-01", "2025-04-01" },
	{ "and the first later one", "2025-07-01", "2024-12-01", "2025-04-02" },
	{ "of a reading whose day is not known", "2025-06-01", NULL, "2025-04-01" },
};

START_TEST(a_forecast_waits_for_the_inspection_and_for_the_days_to_act)
{
	struct rulebook rulebook = every(12, 30, 14);

	rulebook.act_days = 14;
	rulebook.forecast_lead_days = 90;
	for (size_t i = 0; i < sizeof forecasts / sizeof forecasts[0]; i++) {
		struct due_facts facts = facts_of("2025-03-31", true, NULL, forecasts[i].early);
		struct due due;

		facts.early_from_day = day(forecasts[i].from);
		due_compute(&rulebook, &facts, &due);
		ck_assert_msg(due.due_day == day(forecasts[i].due), "%s", forecasts[i].label);
		ck_assert_int_eq(due_forecast_day(&rulebook, &facts), due.due_day);
	}
}
END_TEST

START_TEST(gives_the_reason_of_mending_and_of_a_forecast)
{
	struct rulebook rulebook = every(12, 0, 0);
	struct due due;
	char to[DUE_REASON_SIZE];

	rulebook.act_days = 14;
	rulebook.watch_interval_percent = 50;
	rulebook.forecast_lead_days = 90;
	due = judged(&rulebook, "2025-03-31", true, "2025-03-31", NULL);
	due_reason(&due, to, sizeof to);
	ck_assert_str_eq(to, "To be mended since 2025-03-31, due 14 days later, 2025-04-14");
	due = judged(&rulebook, "2025-03-31", true, NULL, "2025-12-01");
	due_reason(&due, to, sizeof to);
	ck_assert_str_eq(to, "A limit may be crossed from 2025-12-01 on: due 2025-09-02");
	due = judged(&rulebook, "2025-03-31", true, NULL, NULL);
	due_reason(&due, to, sizeof to);
	ck_assert_str_eq(to, "Last complete inspection 2025-03-31, interval 6 months "
		"(shortened for its grade), due 2025-09-30");
}
END_TEST

/* Due 2026-03-31 by the calendar; 90 days later is 2026-06-29. */
START_TEST(a_late_forecast_does_not_matter)
{
	struct rulebook rulebook = every(12, 0, 0);
	struct due_facts facts = facts_of("2025-03-31", false, NULL, NULL);

	rulebook.forecast_lead_days = 90;
	rulebook.watch_interval_percent = 50;
	ck_assert(due_forecast_matters(&rulebook, &facts, day("2026-06-28")));
	ck_assert(!due_forecast_matters(&rulebook, &facts, day("2026-06-29")));
	ck_assert(!due_forecast_matters(&rulebook, &facts, DAY_NONE));
	/* due 2025-09-30 for its grade, but the grade looks at the whole interval */
	rulebook.forecast_lead_days = 0;
	facts.is_watched = true;
	ck_assert(due_forecast_matters(&rulebook, &facts, day("2026-03-30")));
	ck_assert(!due_forecast_matters(&rulebook, &facts, day("2026-03-31")));
	facts.in_service = false;
	ck_assert(!due_forecast_matters(&rulebook, &facts, day("2025-04-01")));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		is_due_so_many_months_after_the_last_inspection,
		counts_from_installation_when_never_inspected, is_due_at_once_with_no_date_at_all,
		the_installation_day_gives_way_to_an_inspection_even_before_it,
		takes_the_interval_of_the_kind_and_criticality, each_state_begins_on_its_day,
		without_notice_and_grace_there_is_no_soon_and_one_day_due, is_never_due_out_of_service,
		gives_the_reason_as_one_sentence, the_longest_reason_fits_and_a_short_room_cuts_it,
		a_shortened_interval_is_clamped_from_the_original_day,
		a_shortened_interval_is_rounded_down_to_a_month_at_least,
		only_what_is_judged_and_watched_has_a_shortened_interval,
		is_due_on_the_earliest_of_calendar_mending_and_forecast,
		a_forecast_waits_for_the_inspection_and_for_the_days_to_act,
		gives_the_reason_of_mending_and_of_a_forecast, a_late_forecast_does_not_matter, NULL };

	return case_run("due", tests);
}
