#include <string.h>

#include "base/day.h"
#include "case.h"
#include "rules/plausible.h"

static int32_t day(const char *text)
{
	int32_t d = DAY_NONE;

	ck_assert_msg(text == NULL || day_read(text, strlen(text), &d), "%s is a day", text);
	return d;
}

typedef bool plausible_check(int32_t a, int32_t b, int32_t today, enum sent_from from,
	struct problems *why);

static bool bond(int32_t a, int32_t b, int32_t today, enum sent_from from, struct problems *why)
{
	(void)from;
	return plausible_bond(a, b, today, why);
}

static bool deferral(int32_t a, int32_t b, int32_t today, enum sent_from from,
	struct problems *why)
{
	(void)from;
	return plausible_deferral(a, b, today, why);
}

#define TODAY "2026-05-01"

/* a and b in the order of the function's arguments; field NULL when nothing is wrong. */
static const struct {
	const char *label;
	plausible_check *check;
	const char *a, *b;
	const char *field;
	enum problem_code code;
} days[] = {
	{ "inspected today", plausible_inspection, TODAY, "2020-01-01", NULL },
	{ "inspected tomorrow, as the shift is dated", plausible_inspection, "2026-05-02", "2020-01-01", NULL },
	{ "inspected in two days", plausible_inspection, "2026-05-03", "2020-01-01", "day",
		PROBLEM_VALUE },
	{ "inspected when installed", plausible_inspection, "2020-01-01", "2020-01-01", NULL },
	{ "inspected a day before", plausible_inspection, "2019-12-31", "2020-01-01", "day",
		PROBLEM_RULE },
	{ "installed nobody knows when", plausible_inspection, "1950-01-01", NULL, NULL },
	{ "attached today", plausible_attachment, TODAY, NULL, NULL },
	{ "attached tomorrow, as the shift is dated", plausible_attachment, "2026-05-02", NULL, NULL },
	{ "attached in two days", plausible_attachment, "2026-05-03", NULL, "made_day",
		PROBLEM_VALUE },
	{ "attached when installed", plausible_attachment, "2020-01-01", "2020-01-01", NULL },
	{ "attached a day before", plausible_attachment, "2019-12-31", "2020-01-01", "made_day",
		PROBLEM_RULE },
	{ "failed today", plausible_failure, TODAY, "2020-01-01", NULL },
	{ "failed tomorrow, as the shift is dated", plausible_failure, "2026-05-02", "2020-01-01", NULL },
	{ "failed in two days", plausible_failure, "2026-05-03", "2020-01-01", "found_day",
		PROBLEM_VALUE },
	{ "failed when installed", plausible_failure, "2020-01-01", "2020-01-01", NULL },
	{ "failed a day before", plausible_failure, "2019-12-31", "2020-01-01", "found_day",
		PROBLEM_RULE },
	{ "made good today", plausible_repair, TODAY, "2026-04-30", NULL },
	{ "made good tomorrow, as the shift is dated", plausible_repair, "2026-05-02", "2026-04-30",
		NULL },
	{ "made good in two days", plausible_repair, "2026-05-03", "2026-04-30", "day", PROBLEM_VALUE },
	{ "made good when found", plausible_repair, "2026-04-30", "2026-04-30", NULL },
	{ "made good a day before", plausible_repair, "2026-04-29", "2026-04-30", "day", PROBLEM_RULE },
	{ "installed today, not removed", bond, TODAY, NULL, NULL },
	{ "installed tomorrow", bond, "2026-05-02", NULL, "installed_day", PROBLEM_VALUE },
	{ "removed today", bond, TODAY, TODAY, NULL },
	{ "removed tomorrow", bond, NULL, "2026-05-02", "removed_day", PROBLEM_VALUE },
	{ "removed a day before", bond, TODAY, "2026-04-30", "removed_day", PROBLEM_RULE },
	{ "deferred until tomorrow", deferral, "2026-05-02", "2026-04-01", NULL },
	{ "deferred until today", deferral, TODAY, "2026-04-01", "until_day", PROBLEM_VALUE },
	{ "deferred to a day after due", deferral, "2026-07-02", "2026-07-01", NULL },
	{ "deferred to the due day", deferral, "2026-07-01", "2026-07-01", "until_day",
		PROBLEM_RULE },
	{ "never due", deferral, "2026-07-01", NULL, "", PROBLEM_RULE },
};

START_TEST(refuses_days_out_of_order_and_days_to_come)
{
	for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
		struct problems why = { 0 };
		bool ok = days[i].check(day(days[i].a), day(days[i].b), day(TODAY), SENT_FROM_DESK,
			&why);

		ck_assert_msg(ok == (days[i].field == NULL), "%s: %s", days[i].label, why.item[0].detail);
		ck_assert_uint_eq(why.count, ok ? 0 : 1);
		if (!ok) {
			ck_assert_str_eq(why.item[0].field, days[i].field);
			ck_assert_msg(why.item[0].code == days[i].code, "%s: code", days[i].label);
		}
	}
}
END_TEST

START_TEST(takes_what_a_tablet_kept_however_far_ahead_but_never_out_of_order)
{
	static plausible_check *const checks[] = { plausible_inspection, plausible_attachment,
		plausible_failure, plausible_repair };

	for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++) {
		struct problems why = { 0 };

		ck_assert(checks[i](day("2999-12-31"), day("2020-01-01"), day(TODAY), SENT_FROM_TABLET, &why));
		ck_assert(!checks[i](day("2999-12-31"), day("2020-01-01"), day(TODAY), SENT_FROM_DESK, &why));
		ck_assert(!checks[i](day("2019-12-31"), day("2020-01-01"), day(TODAY), SENT_FROM_TABLET,
			&why));
	}
}
END_TEST

START_TEST(what_is_dated_more_than_a_day_ahead_counts_from_its_arrival)
{
	static const struct { const char *day, *arrived, *counted; } rows[] = {
		{ "2026-04-30", "2026-05-01", "2026-04-30" }, { "2026-05-01", "2026-05-01", "2026-05-01" },
		{ "2026-05-02", "2026-05-01", "2026-05-02" }, { "2026-05-03", "2026-05-01", "2026-05-01" },
		{ "2999-12-31", "2026-05-01", "2026-05-01" },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		ck_assert_int_eq(day_counted(day(rows[i].day), day(rows[i].arrived)), day(rows[i].counted));
	}
	ck_assert_int_eq(day_counted(DAY_NONE, day(TODAY)), DAY_NONE);
}
END_TEST

START_TEST(a_bond_is_not_installed_after_work_on_it)
{
	struct problems why = { 0 };

	ck_assert(plausible_installed(day("2026-03-31"), "An inspection", day("2026-03-31"), &why));
	ck_assert(plausible_installed(DAY_NONE, "An inspection", day("2026-03-31"), &why));
	ck_assert(plausible_installed(day("2026-03-31"), "An inspection", DAY_NONE, &why));
	ck_assert(!plausible_installed(day("2026-04-01"), "An inspection", day("2026-03-31"), &why));
	ck_assert_str_eq(why.item[0].field, "installed_day");
	ck_assert_str_eq(why.item[0].detail, "An inspection on 2026-03-31 cannot be: that is before the "
		"bond was installed on 2026-04-01. One of the two days is wrong.");
}
END_TEST

START_TEST(names_both_days_and_all_that_is_wrong)
{
	struct problems why = { 0 };

	plausible_inspection(day("2026-05-03"), DAY_NONE, day(TODAY), SENT_FROM_DESK, &why);
	ck_assert_str_eq(why.item[0].detail,
		"An inspection on 2026-05-03 cannot be: that is more than one day after today, 2026-05-01.");
	why.count = 0;
	plausible_failure(day("2019-12-31"), day("2020-01-01"), day(TODAY), SENT_FROM_DESK, &why);
	ck_assert_str_eq(why.item[0].detail, "A failure found on 2019-12-31 cannot be: that is before "
		"the bond was installed on 2020-01-01. One of the two days is wrong.");
	why.count = 0;
	plausible_bond(day("2026-06-02"), day("2026-06-01"), day(TODAY), &why);
	ck_assert_uint_eq(why.count, 3);
	ck_assert_str_eq(why.item[0].detail,
		"Installed on 2026-06-02 cannot be: that is after today, 2026-05-01.");
}
END_TEST

START_TEST(refuses_ends_more_than_2_km_apart)
{
	static const struct { int64_t a_mm, b_mm; bool ok; } rows[] = {
		{ 0, 0, true }, { 0, 2000000, true }, { 2000000, 0, true }, { 0, 2000001, false },
		{ 2000001, 0, false }, { -1000000, 1000000, true }, { -1000000, 1000001, false },
		{ INT64_MIN, INT64_MAX, false }, { INT64_MAX, INT64_MIN, false },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct problems why = { 0 };

		ck_assert_msg(plausible_span(rows[i].a_mm, rows[i].b_mm, "ends", &why) == rows[i].ok,
			"row %zu", i);
		ck_assert_uint_eq(why.count, rows[i].ok ? 0 : 1);
	}
}
END_TEST

#define TEN "1234567890"
#define MICRO "\xC2\xB5"  /* U+00B5, two bytes */

static const struct { const char *label, *text; size_t len; bool ok; } labels[] = {
	{ "one character", "7", 0, true },
	{ "none", "", 0, false },
	{ "spaces within", "XB 12/4 north", 0, true },
	{ "a space before", " XB", 0, false },
	{ "a space after", "XB ", 0, false },
	{ "a space", " ", 0, false },
	{ "40 characters", TEN TEN TEN TEN, 0, true },
	{ "41 characters", TEN TEN TEN TEN "1", 0, false },
	{ "40 characters of more bytes", TEN TEN TEN "123456789" MICRO, 0, true },
	{ "41 of more bytes", TEN TEN TEN TEN MICRO, 0, false },
	{ "other scripts", "\xD0\x96\xE7\xBA\xBF\xF0\x9F\x9A\x86", 0, true },
	{ "a tab", "X\tB", 0, false },
	{ "a new line", "XB\n", 0, false },
	{ "a NUL", "X\0B", 3, false },
	{ "the last control before space", "X\x1F", 0, false },
	{ "the last before delete", "X~", 0, true },
	{ "delete", "X\x7F", 0, false },
	{ "no-break space, U+00A0", "X\xC2\xA0" "B", 0, false },
	{ "U+00A1 prints", "X\xC2\xA1" "B", 0, true },
	{ "zero-width space, U+200B", "X\xE2\x80\x8B" "B", 0, false },
	{ "a dash, U+2013", "X\xE2\x80\x93" "B", 0, true },
	{ "right-to-left override, U+202E", "X\xE2\x80\xAE" "B", 0, false },
	{ "byte order mark, U+FEFF", "\xEF\xBB\xBFXB", 0, false },
	{ "not UTF-8", "X\xFF", 0, false },
	{ "half a character", "X\xC2", 0, false },
};

START_TEST(takes_labels_as_they_can_be_read_from_a_plate)
{
	for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++) {
		struct problems why = { 0 };
		size_t len = labels[i].len > 0 ? labels[i].len : strlen(labels[i].text);

		ck_assert_msg(plausible_label(labels[i].text, len, "label", &why) == labels[i].ok, "%s",
			labels[i].label);
		ck_assert_uint_eq(why.count, labels[i].ok ? 0 : 1);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { refuses_days_out_of_order_and_days_to_come,
		takes_what_a_tablet_kept_however_far_ahead_but_never_out_of_order,
		what_is_dated_more_than_a_day_ahead_counts_from_its_arrival,
		a_bond_is_not_installed_after_work_on_it,
		names_both_days_and_all_that_is_wrong, refuses_ends_more_than_2_km_apart,
		takes_labels_as_they_can_be_read_from_a_plate, NULL };

	return case_run("plausible", tests);
}
