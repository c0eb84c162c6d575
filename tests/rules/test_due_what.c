/* What is due of a bond: its inspection (by the calendar, for commissioning, for its proof) and its
 * mending, each with a day of its own. */
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

/* Every 12 months, watched every 6, 14 days to mend, notice 30 days, grace 14. */
static struct rulebook rules(void)
{
	struct rulebook rulebook = rulebook_default();

	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		for (int c = 0; c < RULEBOOK_CRITICALITIES; c++) {
			rulebook.interval_months[k][c] = 12;
		}
	}
	rulebook.watch_interval_percent = 50;
	rulebook.act_days = 14;
	rulebook.notice_days = 30;
	rulebook.grace_days = 14;
	return rulebook;
}

/* Installed 2020-06-01, inspected 2025-03-31, proved once: due 2026-03-31 by the calendar. */
static struct due_facts inspected(void)
{
	return (struct due_facts){ .kind = BOND_TRACK_CROSS, .in_service = true,
		.installed_day = day("2020-06-01"), .inspected_day = day("2025-03-31"),
		.commissioning_day = DAY_NONE, .wants_reading = true,
		.evidence_until_day = day("2028-03-31"), .ever_proved = true, .lacks_since_day = DAY_NONE,
		.known_since_day = day("2022-02-01"), .deferred_until_day = DAY_NONE, .is_judged = true,
		.act_since_day = DAY_NONE, .early_day = DAY_NONE, .early_from_day = DAY_NONE };
}

static void expect(int line, const struct due_facts *facts, enum due_basis basis,
	const char *counted_from, const char *due_day)
{
	struct rulebook rulebook = rules();
	struct due due;
	char text[DAY_TEXT_SIZE];

	due_compute(&rulebook, facts, &due);
	day_write(due.due_day, text);
	ck_assert_msg(due.basis == basis && due.counted_from_day == day(counted_from) &&
		due.due_day == day(due_day), "line %d: %s %s", line, due_basis_words.code[due.basis], text);
	ck_assert_int_eq(due.overdue_from_day, due.due_day + 15);
}
#define EXPECT(facts, basis, counted_from, due_day) \
	expect(__LINE__, &(facts), basis, counted_from, due_day)

START_TEST(the_newest_proof_is_due_again_before_it_is_too_old)
{
	struct due_facts f = inspected();

	EXPECT(f, DUE_AFTER_INSPECTION, "2025-03-31", "2026-03-31");
	f.evidence_until_day = day("2026-03-31");      /* on one day the calendar is told */
	EXPECT(f, DUE_AFTER_INSPECTION, "2025-03-31", "2026-03-31");
	f.evidence_until_day = day("2026-03-30");
	EXPECT(f, DUE_PROOF_OLD, "2026-03-30", "2026-03-30");
	f.evidence_until_day = day("2024-01-01");      /* and the visit since moved nothing */
	EXPECT(f, DUE_PROOF_OLD, "2024-01-01", "2024-01-01");
	f.wants_reading = false;
	EXPECT(f, DUE_AFTER_INSPECTION, "2025-03-31", "2026-03-31");
	f.wants_reading = true;
	f.is_judged = false;
	EXPECT(f, DUE_AFTER_INSPECTION, "2025-03-31", "2026-03-31");
}
END_TEST

/* Without any: the attachment or repair that lacks it, and of a bond that never had one the first
 * day on which it was due: installation and 12 months, or the day since which it is known. */
START_TEST(a_bond_that_nothing_proved_is_due_since_its_first_due_day)
{
	struct due_facts f = inspected();

	f.evidence_until_day = DAY_NONE;
	f.lacks_since_day = day("2025-02-10");
	EXPECT(f, DUE_PROOF_LACKS, "2025-02-10", "2025-02-10");
	f.ever_proved = false;
	EXPECT(f, DUE_PROOF_LACKS, "2021-06-01", "2021-06-01");
	f.lacks_since_day = day("2021-05-31");
	EXPECT(f, DUE_PROOF_LACKS, "2021-05-31", "2021-05-31");
	f.lacks_since_day = DAY_NONE;
	EXPECT(f, DUE_PROOF_LACKS, "2021-06-01", "2021-06-01");
	f.installed_day = DAY_NONE;
	EXPECT(f, DUE_PROOF_LACKS, "2022-02-01", "2022-02-01");
	f.wants_reading = false;
	EXPECT(f, DUE_AFTER_INSPECTION, "2025-03-31", "2026-03-31");
	f.inspected_day = DAY_NONE;
	EXPECT(f, DUE_AT_ONCE, "2022-02-01", "2022-02-01");
}
END_TEST

START_TEST(what_was_made_is_due_for_commissioning_on_that_day)
{
	struct due_facts f = inspected();

	f.commissioning_day = day("2026-03-31");
	EXPECT(f, DUE_AFTER_INSPECTION, "2025-03-31", "2026-03-31");
	f.commissioning_day = day("2026-03-30");
	EXPECT(f, DUE_COMMISSIONING, "2026-03-30", "2026-03-30");
	f.evidence_until_day = f.commissioning_day;    /* of both commissioning is told */
	EXPECT(f, DUE_COMMISSIONING, "2026-03-30", "2026-03-30");
	f.is_judged = false;
	EXPECT(f, DUE_COMMISSIONING, "2026-03-30", "2026-03-30");
	f.in_service = false;
	f.commissioning_day = day("2026-01-01");
	struct rulebook rulebook = rules();
	struct due due;

	due_compute(&rulebook, &f, &due);
	ck_assert_int_eq(due.due_day, DAY_NONE);
	ck_assert_int_eq(due.inspect_day, DAY_NONE);
	ck_assert_int_eq(due.mend_day, DAY_NONE);
}
END_TEST

START_TEST(inspection_and_mending_have_a_day_each_and_the_earlier_is_due_first)
{
	struct rulebook rulebook = rules();
	struct due_facts f = inspected();
	struct due due;

	f.is_watched = true;
	f.act_since_day = day("2025-04-10");
	due_compute(&rulebook, &f, &due);
	ck_assert_int_eq(due.basis, DUE_ACT);
	ck_assert_int_eq(due_what_of(due.basis), DUE_MENDING);
	ck_assert_int_eq(due.mend_day, day("2025-04-24"));
	ck_assert_int_eq(due.inspect_day, day("2025-09-30"));
	ck_assert_int_eq(due.due_day, day("2025-04-24"));
	ck_assert_int_eq(due.soon_from_day, day("2025-03-25"));
	/* an inspection that is due before keeps its mending */
	f.act_since_day = day("2025-12-01");
	due_compute(&rulebook, &f, &due);
	ck_assert_int_eq(due.basis, DUE_AFTER_INSPECTION);
	ck_assert_int_eq(due_what_of(due.basis), DUE_INSPECTION);
	ck_assert_int_eq(due.mend_day, day("2025-12-15"));
	ck_assert_int_eq(due.due_day, day("2025-09-30"));
	f.act_since_day = DAY_NONE;
	due_compute(&rulebook, &f, &due);
	ck_assert_int_eq(due.mend_day, DAY_NONE);
	for (int basis = 0; basis < due_basis_words.n; basis++) {
		ck_assert_int_eq(due_what_of((enum due_basis)basis),
			basis == DUE_ACT ? DUE_MENDING : DUE_INSPECTION);
	}
}
END_TEST

START_TEST(of_two_ways_of_judging_each_day_is_the_earlier)
{
	struct rulebook rulebook = rules();
	struct due_facts f = inspected();
	struct due a, b, c;

	f.deferred_until_day = day("2025-12-31");
	due_compute(&rulebook, &f, &a);                /* inspection 2026-03-31, nothing deferred */
	f.is_watched = true;
	f.act_since_day = day("2025-12-01");
	due_compute(&rulebook, &f, &b);                /* inspection 2025-09-30, mending 2025-12-15 */
	c = a;
	due_take_earlier(&c, &b);
	ck_assert_int_eq(c.due_day, day("2025-09-30"));
	ck_assert_int_eq(c.basis, DUE_AFTER_INSPECTION);
	ck_assert_int_eq(c.interval_months, 6);
	ck_assert_int_eq(c.inspect_day, day("2025-09-30"));
	ck_assert_int_eq(c.mend_day, day("2025-12-15"));
	ck_assert_int_eq(c.deferred_until_day, day("2025-12-31"));
	c = b;
	due_take_earlier(&c, &a);
	ck_assert_int_eq(c.due_day, day("2025-09-30"));
	ck_assert_int_eq(c.inspect_day, day("2025-09-30"));
	ck_assert_int_eq(c.mend_day, day("2025-12-15"));
	ck_assert_int_eq(c.deferred_until_day, day("2025-12-31"));
}
END_TEST

START_TEST(by_the_calendar_alone_counts_the_whole_interval_and_nothing_else)
{
	struct rulebook rulebook = rules();
	struct due_facts f = inspected();

	f.is_watched = true;
	f.commissioning_day = f.evidence_until_day = f.act_since_day = day("2020-01-01");
	ck_assert_int_eq(due_calendar_day(&rulebook, &f), day("2026-03-31"));
}
END_TEST

START_TEST(says_what_is_due_and_why)
{
	static const struct { enum due_basis basis; const char *reason; } rows[] = {
		{ DUE_COMMISSIONING, "To be commissioned since it was made, 2025-03-31" },
		{ DUE_PROOF_OLD, "The newest proof of this bond counts until 2025-03-31" },
		{ DUE_PROOF_LACKS, "Nothing has proved this bond since 2025-03-31" },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct due due = { .basis = rows[i].basis, .counted_from_day = day("2025-03-31"),
			.due_day = day("2025-03-31"), .deferred_until_day = DAY_NONE };
		char to[DUE_REASON_SIZE];

		due_reason(&due, to, sizeof to);
		ck_assert_str_eq(to, rows[i].reason);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { the_newest_proof_is_due_again_before_it_is_too_old,
		a_bond_that_nothing_proved_is_due_since_its_first_due_day,
		what_was_made_is_due_for_commissioning_on_that_day,
		inspection_and_mending_have_a_day_each_and_the_earlier_is_due_first,
		of_two_ways_of_judging_each_day_is_the_earlier,
		by_the_calendar_alone_counts_the_whole_interval_and_nothing_else,
		says_what_is_due_and_why, NULL };

	return case_run("due_what", tests);
}
