/*
 * What the judgement promises of any record, over many random ones: a worse reading, a question, a
 * parallel path, an attachment that nothing was read of and a second commissioning never make a
 * bond better nor put anything off.
 *
 * A tenth of the records are tried, all with BONDBOOK_LONG in the environment.
 */
#include <stdio.h>
#include <stdlib.h>

#include "rules/any_record.h"
#include "case.h"

/* With forecasts visits lie up to 300 days apart; without, all within the 180 days below which
 * there is none. */
enum { WITH_FORECASTS = 1 };
enum { RECORDS = 100000, STEP = WITH_FORECASTS ? 300 : 22 };

static int records(void)
{
	return getenv("BONDBOOK_LONG") != NULL ? RECORDS : RECORDS / 10;
}

/* The newest reading of a quantity; -1. */
static int64_t newest(const struct record *r, enum quantity quantity)
{
	for (size_t i = r->facts.n_readings; i-- > 0;) {
		if (r->readings[i].values.quantity == quantity) {
			return (int64_t)i;
		}
	}
	return -1;
}

/* Whether a reading came to count because the newest, raised, agrees with it. */
static bool confirms(const struct record *low, const struct record *high, size_t at)
{
	for (size_t i = 0; i < at; i++) {
		if (high->readings[i].status == STATUS_EVIDENCE &&
			low->readings[i].status != STATUS_EVIDENCE) {
			return true;
		}
	}
	return false;
}

/* Too low to be believed, showing another path, or no evidence whatever is answered. */
static bool is_low(const struct judge_reading *r)
{
	const unsigned never = 1u << REMARK_LEADS_TOO_LARGE;

	return r->parallel || (r->asked >> ASKED_FAR_BELOW & 1) != 0 ||
		(r->asked >> ASKED_AWAY & 1) != 0 || (r->reading.remarks & never) != 0;
}

/* Asked as away on the high side only. */
static bool is_low_or_parallel(const struct record *r, size_t i, double compared)
{
	const struct judge_reading *one = &r->readings[i], *lead = &r->readings[one->leads];
	bool away_high = (one->asked & ~(1u << ASKED_AWAY)) == one->asked || one->value > compared;

	return lead->parallel || (is_low(one) && !(away_high && !one->parallel &&
		(one->asked >> ASKED_FAR_BELOW & 1) == 0 &&
		(one->reading.remarks >> REMARK_LEADS_TOO_LARGE & 1) == 0));
}

static void raise(struct judge_reading *r, double factor)
{
	r->values.shown_uohm *= factor;
	r->values.forward_uv *= factor;
	r->values.reverse_uv *= factor;
}

/* The last value that counted before a reading; NAN. */
static double before_it(const struct record *r, size_t at)
{
	double value = NAN;

	for (size_t i = 0; i < at && r->readings[i].visit < r->readings[at].visit; i++) {
		const struct judge_reading *one = &r->readings[i];

		if (one->values.quantity == r->readings[at].values.quantity && one->leads == i &&
			judge_is_evidence(one)) {
			value = one->judged;
		}
	}
	return value;
}

START_TEST(of_two_newest_readings_the_worse_is_never_better)
{
	int tried = 0;

	any_seed = 0x9e3779b97f4a7c15;
	for (int n = 0; n < records(); n++) {
		static struct record low, high;
		int64_t at;

		any_record(&low, STEP);
		at = newest(&low, (enum quantity)any(GRADE_QUANTITIES));
		if (at < 0 || low.visits[low.readings[at].visit].purpose == PURPOSE_COMMISSIONING) {
			continue;
		}
		copy_record(&low, &high);
		raise(&high.readings[at], one_in(3) ? between(1, 1.05) : one_in(10) ? 1e7 : between(1, 5));
		judged(&low);
		judged(&high);
		if (is_low_or_parallel(&low, (size_t)at, before_it(&low, (size_t)at)) ||
			is_low_or_parallel(&high, (size_t)at, before_it(&high, (size_t)at)) ||
			confirms(&low, &high, (size_t)at)) {
			continue;
		}
		refuse_better("raised", n, &low, &high);
		tried++;
	}
	printf("of two newest readings: %d records\n", tried);
	ck_assert_int_gt(tried, records() / 4);
}
END_TEST

static void drop_reading(struct record *r, size_t visit, enum quantity quantity)
{
	size_t n = 0;

	for (size_t i = 0; i < r->facts.n_readings; i++) {
		if (r->readings[i].visit != visit || r->readings[i].values.quantity != quantity) {
			r->readings[n++] = r->readings[i];
		}
	}
	r->facts.n_readings = n;
}

START_TEST(what_is_asked_or_shows_a_parallel_path_is_no_better_than_no_reading)
{
	int asked = 0, parallel = 0;

	any_seed = 0xd1342543de82ef95;
	for (int n = 0; n < records(); n++) {
		static struct record with, without;
		enum quantity quantity = one_in(2) ? QUANTITY_END_TO_END :
			(enum quantity)any(GRADE_QUANTITIES);
		const struct judge_reading *lead;
		int64_t at;

		any_record(&with, STEP);
		judged(&with);
		at = newest(&with, quantity);
		if (at < 0) {
			continue;
		}
		lead = &with.readings[with.readings[at].leads];
		if (lead->status != STATUS_OPEN && !lead->parallel) {
			continue;
		}
		copy_record(&with, &without);
		drop_reading(&without, lead->visit, quantity);
		judged(&without);
		refuse_better(lead->parallel ? "parallel" : "asked", n, &without, &with);
		asked += !lead->parallel;
		parallel += lead->parallel;
	}
	printf("no better than no reading: %d asked, %d parallel\n", asked, parallel);
	ck_assert_int_gt(asked, records() / 40);
	ck_assert_int_gt(parallel, records() / 100);
}
END_TEST

START_TEST(an_attachment_without_its_commissioning_is_never_better)
{
	any_seed = 0x2545f4914f6cdd1d;
	for (int n = 0; n < records(); n++) {
		static struct record before, after;
		struct judge_attachment *a;
		int32_t day = FIRST + 200;

		any_record(&before, STEP);
		copy_record(&before, &after);
		for (size_t i = 0; i < after.facts.n_visits; i++) {
			day = after.visits[i].day >= day ? after.visits[i].day + 1 : day;
		}
		a = attach(&after, (enum bond_end)any(2), day);
		a->accepted = one_in(2) ? ACCEPTED : ACCEPTANCE_OPEN;
		judged(&before);
		judged(&after);
		refuse_better("attached anew", n, &before, &after);
	}
}
END_TEST

START_TEST(a_question_is_never_better)
{
	int tried = 0;

	any_seed = 0x94d049bb133111eb;
	for (int n = 0; n < records(); n++) {
		static struct record before, after;
		int64_t at;

		any_record(&before, STEP);
		at = newest(&before, (enum quantity)any(GRADE_QUANTITIES));
		if (at < 0) {
			continue;
		}
		copy_record(&before, &after);
		after.readings[at].meter.methods = 1 << (after.readings[at].values.method ==
			READING_VOLTAGE_DROP ? READING_FOUR_WIRE : READING_VOLTAGE_DROP);
		judged(&before);
		judged(&after);
		refuse_better("asked", n, &before, &after);
		tried++;
	}
	printf("a question: %d records\n", tried);
	ck_assert_int_gt(tried, records() / 3);
}
END_TEST

/* A commissioning of the successor of what was over clears that, though it is a second one. */
static bool is_over(const struct judgement *is)
{
	for (size_t i = 0; i < is->n_items; i++) {
		if (is->items[i].key < ACT_STRENGTH || is->items[i].key >= ACT_ASKED) {
			return true;
		}
	}
	return false;
}

/* Then the purpose says which of the two came first. */
static bool is_day_of_work(const struct record *r, int32_t day)
{
	for (size_t i = 0; i < r->facts.n_attachments; i++) {
		if (r->attachments[i].made_day == day) {
			return true;
		}
	}
	for (size_t i = 0; i < r->facts.n_failures; i++) {
		if (r->failures[i].found_day == day || r->failures[i].repaired_day == day) {
			return true;
		}
	}
	return false;
}

/* Whether what a visit contains was commissioned before it. */
static bool is_commissioned(const struct record *r, size_t visit, const struct judge_reading *one)
{
	for (size_t i = 0; i < r->facts.n_readings; i++) {
		const struct judge_reading *c = &r->readings[i];

		if (c->visit < visit && c->leads == i && judge_is_evidence(c) &&
			c->values.quantity == QUANTITY_END_TO_END && judge_same_attached(c, one) &&
			r->visits[c->visit].purpose == PURPOSE_COMMISSIONING) {
			return true;
		}
	}
	return false;
}

START_TEST(a_second_commissioning_is_never_better)
{
	int tried = 0;

	any_seed = 0xbf58476d1ce4e5b9;
	for (int n = 0; n < records(); n++) {
		static struct record before, after;
		int64_t at;
		size_t visit;

		any_record(&before, STEP);
		judged(&before);
		at = newest(&before, QUANTITY_END_TO_END);
		if (at < 0) {
			continue;
		}
		visit = before.readings[at].visit;
		if (before.visits[visit].purpose == PURPOSE_COMMISSIONING ||
			is_day_of_work(&before, before.visits[visit].day) || is_over(&before.is) ||
			!is_commissioned(&before, visit, &before.readings[at])) {
			continue;
		}
		copy_record(&before, &after);
		after.visits[visit].purpose = PURPOSE_COMMISSIONING;
		judged(&after);
		refuse_better("a second commissioning", n, &before, &after);
		tried++;
	}
	printf("a second commissioning: %d records\n", tried);
	ck_assert_int_gt(tried, records() / 20);
}
END_TEST

START_TEST(a_deferral_moves_no_grade_and_no_day)
{
	any_seed = 0x853c49e6748fea9b;
	for (int n = 0; n < records(); n++) {
		static struct record before, after;

		any_record(&before, STEP);
		copy_record(&before, &after);
		defer(&after, FIRST + (int32_t)any(3000), noon_ms(FIRST + (int32_t)any(300)), any(1u << 30));
		after.facts.deferral.says_named = one_in(2);
		judged(&before);
		judged(&after);
		ck_assert_int_eq(after.is.grade.grade, before.is.grade.grade);
		ck_assert_uint_eq(after.is.grade.reasons, before.is.grade.reasons);
		ck_assert_int_eq(after.is.grade.evidence_until_day, before.is.grade.evidence_until_day);
		ck_assert_int_eq(after.is.due.due_day, before.is.due.due_day);
		ck_assert_int_eq(after.is.due.overdue_from_day, before.is.due.overdue_from_day);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { of_two_newest_readings_the_worse_is_never_better,
		what_is_asked_or_shows_a_parallel_path_is_no_better_than_no_reading,
		an_attachment_without_its_commissioning_is_never_better, a_question_is_never_better,
		a_second_commissioning_is_never_better, a_deferral_moves_no_grade_and_no_day, NULL };

	return case_run("judge_claims", tests);
}
