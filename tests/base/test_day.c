#include <string.h>

#include "base/day.h"
#include "case.h"

static int32_t day(const char *text)
{
	int32_t d = 0;

	ck_assert_msg(day_read(text, strlen(text), &d), "%s is a day", text);
	return d;
}

/*
 * Adding months clamps to the end of the month. Values: java.time (Java 17), PostgreSQL 15 and
 * python-dateutil 2.8.2, each executed on these rows; all three agree.
 */
static const struct { const char *start; int months; const char *expected; } months[] = {
	{ "2007-03-31", 1, "2007-04-30" }, { "2023-01-31", 1, "2023-02-28" },
	{ "2024-01-31", 1, "2024-02-29" }, { "2024-02-29", 12, "2025-02-28" },
	{ "2024-02-29", 48, "2028-02-29" }, { "2023-01-30", 1, "2023-02-28" },
	{ "2023-01-29", 1, "2023-02-28" }, { "2023-03-31", -1, "2023-02-28" },
	{ "2024-03-31", -1, "2024-02-29" }, { "2023-02-28", 1, "2023-03-28" },
	{ "2024-02-29", 1, "2024-03-29" }, { "2023-08-31", 6, "2024-02-29" },
	{ "2023-08-31", 18, "2025-02-28" }, { "2023-10-31", 1, "2023-11-30" },
	{ "2023-12-31", 2, "2024-02-29" }, { "2000-02-29", 1200, "2100-02-28" },
	{ "1900-02-28", 12, "1901-02-28" }, { "2023-11-30", 3, "2024-02-29" },
	{ "2025-05-31", 1, "2025-06-30" }, { "2025-12-15", 1, "2026-01-15" },
	{ "2026-01-31", 13, "2027-02-28" }, { "2023-05-31", -3, "2023-02-28" },
	{ "2005-01-31", 1, "2005-02-28" }, { "2019-01-31", 1, "2019-02-28" },
	{ "2013-10-31", -4, "2013-06-30" }, { "2023-01-31", 2, "2023-03-31" },
};

START_TEST(adds_months_as_the_calendar_libraries_do)
{
	for (size_t i = 0; i < sizeof months / sizeof months[0]; i++) {
		char text[DAY_TEXT_SIZE];

		day_write(day_add_months(day(months[i].start), months[i].months), text);
		ck_assert_msg(strcmp(text, months[i].expected) == 0, "%s %+d months: got %s, not %s",
			months[i].start, months[i].months, text, months[i].expected);
	}
}
END_TEST

START_TEST(two_steps_are_not_one)
{
	/* java.time, PostgreSQL 15, dateutil: 2023-01-31 + 1 month + 1 month is 2023-03-28 */
	ck_assert_int_eq(day_add_months(day_add_months(day("2023-01-31"), 1), 1), day("2023-03-28"));
	/* a public question page: 2020-01-31 + 1 month - 1 month is 2020-01-29 */
	ck_assert_int_eq(day_add_months(day_add_months(day("2020-01-31"), 1), -1), day("2020-01-29"));
}
END_TEST

START_TEST(counts_days_between)
{
	/* PostgreSQL 15 */
	ck_assert_int_eq(day("2026-03-01") - day("2024-02-29"), 731);
	ck_assert_int_eq(day("1970-01-01"), 0);
}
END_TEST

START_TEST(every_day_of_300_years_reads_back)
{
	for (int32_t d = day("1850-01-01"); d <= day("2150-01-01"); d++) {
		char text[DAY_TEXT_SIZE];

		day_write(d, text);
		ck_assert_int_eq(day(text), d);
	}
}
END_TEST

START_TEST(refuses_days_that_do_not_exist)
{
	static const char *const wrong[] = { "2023-02-29", "1900-02-29", "2100-02-29", "2024-04-31",
		"2024-13-01", "2024-00-10", "2024-01-00", "2024-1-1", "24-01-01", "2024/01/01",
		"2024-01-01 ", " 2024-01-01", "", "0000-01-01", "9999-12-31", "2024-01-0a" };

	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		int32_t d;

		ck_assert_msg(!day_read(wrong[i], strlen(wrong[i]), &d), "%s is no day", wrong[i]);
	}
}
END_TEST

static const struct { const char *text; enum day_format format; const char *expected; } dates[] = {
	{ "31.03.2021", DAY_DMY, "2021-03-31" }, { "3/31/2021", DAY_MDY, "2021-03-31" },
	{ "1-2-2021", DAY_DMY, "2021-02-01" }, { "2021/3/1", DAY_YMD, "2021-03-01" },
	{ "20210301", DAY_YMD, "2021-03-01" }, { "01032021", DAY_DMY, "2021-03-01" },
	{ "2021-03-04 00:00:00", DAY_YMD, "2021-03-04" }, { "2021-03-04T10:30:00Z", DAY_YMD, "2021-03-04" },
	{ "31.03.21", DAY_DMY, NULL }, { "31.13.2021", DAY_DMY, NULL }, { "30/02/2021", DAY_DMY, NULL },
	{ "31.03/2021", DAY_DMY, NULL }, { "2021-03-04 later", DAY_YMD, NULL }, { "44286", DAY_DMY, NULL },
};

START_TEST(reads_dates_as_spreadsheets_write_them)
{
	for (size_t i = 0; i < sizeof dates / sizeof dates[0]; i++) {
		int32_t d = 0;
		bool ok = day_read_as(dates[i].text, strlen(dates[i].text), dates[i].format, &d);

		ck_assert_msg(ok == (dates[i].expected != NULL), "%s", dates[i].text);
		ck_assert_msg(!ok || d == day(dates[i].expected), "%s", dates[i].text);
	}
}
END_TEST

START_TEST(refuses_dates_with_a_nul_in_them)
{
	int32_t d = 0;

	ck_assert(!day_read_as("2021\0" "03\0" "01", 10, DAY_YMD, &d));
	ck_assert(!day_read_as("2021-03-01 00:0\0", 16, DAY_YMD, &d));
}
END_TEST

START_TEST(writes_an_instant_in_utc)
{
	char text[INSTANT_TEXT_SIZE];

	instant_write(1774995303250, text); /* date -u -d @1774995303 */
	ck_assert_str_eq(text, "2026-03-31T22:15:03.250Z");
	instant_write(-1, text);
	ck_assert_str_eq(text, "1969-12-31T23:59:59.999Z");
}
END_TEST

/* RFC 3339, 5.8: its examples, but for the leap second, which no clock of a tablet shows; the
 * figures by Python's datetime. */
START_TEST(reads_an_instant_with_its_offset)
{
	static const struct { const char *text; int64_t ms; } instants[] = {
		{ "1985-04-12T23:20:50.52Z", 482196050520 },
		{ "1996-12-19T16:39:57-08:00", 851042397000 },
		{ "1937-01-01T12:00:27.87+00:20", -1041337172130 },
		{ "1985-04-12T23:20:50.5209999Z", 482196050520 },   /* thousandths, cut */
		{ "1985-04-12T23:20Z", 482196000000 },
	};
	char text[INSTANT_TEXT_SIZE];

	for (size_t i = 0; i < sizeof instants / sizeof instants[0]; i++) {
		int64_t ms = 0;

		ck_assert_msg(instant_read(instants[i].text, strlen(instants[i].text), &ms), "%s",
			instants[i].text);
		ck_assert_int_eq(ms, instants[i].ms);
		instant_write(ms, text);
		ck_assert(instant_read(text, strlen(text), &ms));
		ck_assert_int_eq(ms, instants[i].ms);
	}
}
END_TEST

START_TEST(refuses_what_is_no_instant)
{
	static const char *const wrong[] = { "", "1985-04-12", "1985-04-12T", "1985-04-12T23:20",
		"1985-04-12T23:20:50", "1985-04-12 23:20:50Z", "1985-04-31T23:20:50Z",
		"1985-04-12T24:00:00Z", "1985-04-12T23:60:00Z", "1985-04-12T23:20:60Z",
		"1985-04-12T23:20:50.Z", "1985-04-12T23:20:50+24:00", "1985-04-12T23:20:50+01:60",
		"1985-04-12T23:20:50+0100", "1985-04-12T23:20:50Z ", "1985-04-12T3:20:50Z" };
	int64_t ms = 7;

	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		ck_assert_msg(!instant_read(wrong[i], strlen(wrong[i]), &ms), "%s", wrong[i]);
		ck_assert_int_eq(ms, 7);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		adds_months_as_the_calendar_libraries_do, two_steps_are_not_one, counts_days_between,
		every_day_of_300_years_reads_back, refuses_days_that_do_not_exist,
		reads_dates_as_spreadsheets_write_them, refuses_dates_with_a_nul_in_them,
		writes_an_instant_in_utc, reads_an_instant_with_its_offset, refuses_what_is_no_instant,
		NULL };

	return case_run("day", tests);
}
