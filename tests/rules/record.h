/*
 * A bond's record for the tests of the judgement, written line by line and judged.
 *
 * Figures follow by hand: the one limit end to end is 100 µΩ, that of a contact 20 µΩ, U is the 5
 * µΩ of the meter (1 µΩ for a contact) and nothing else, watched above 80 %. Every 12 months,
 * watched every 6, 14 days to mend, forecasts 90 days before, evidence is remembered for 36 months.
 */
#ifndef TESTS_RULES_RECORD_H
#define TESTS_RULES_RECORD_H

#include <check.h>
#include <math.h>
#include <string.h>

#include "base/day.h"
#include "rules/judge/judge.h"
#include "rules/judge/judge_parts.h"

enum { RECORD_MOST = 24, FIRST = 20000 };   /* day 20000 is 2024-10-04 */

struct record {
	struct rulebook rulebook;
	struct judge_visit visits[RECORD_MOST];
	struct judge_reading readings[RECORD_MOST];
	struct judge_attachment attachments[RECORD_MOST];
	struct judge_failure failures[RECORD_MOST];
	struct judge_clearing clearings[RECORD_MOST];
	struct rulebook_span spans[RECORD_MOST];
	struct judge_facts facts;
	struct judgement is;
};

static inline int64_t noon_ms(int32_t day)
{
	return (day * (int64_t)24 + 12) * 3600000;
}

static inline void plain_rulebook(struct rulebook *to)
{
	*to = rulebook_default();
	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		to->limits[k] = (struct rulebook_limits){ NAN, 0, NAN, NAN, NAN, 20, { 100, 100, 100 } };
		for (int c = 0; c < RULEBOOK_CRITICALITIES; c++) {
			to->interval_months[k][c] = 12;
		}
	}
	to->temp_uncertainty_k = to->carried_temp_k = to->repeatability_percent = 0;
}

static inline struct record *record_of(enum bond_kind kind)
{
	static struct record r;

	memset(&r, 0, sizeof r);
	plain_rulebook(&r.rulebook);
	r.facts = (struct judge_facts){ .due = { .kind = kind, .in_service = true,
		.installed_day = FIRST, .inspected_day = DAY_NONE, .known_since_day = FIRST - 7,
		.deferred_until_day = DAY_NONE }, .limit = { .kind = kind, .ends = 2, .cables = 1,
		.cable_uohm_per_m = NAN, .length_m = NAN, .rail_uohm_per_m = NAN,
		.rail_between_joints_m = NAN }, .material = MATERIAL_COPPER,
		.register_began_day = DAY_NONE, .visits = r.visits, .readings = r.readings,
		.attachments = r.attachments, .failures = r.failures, .clearings = r.clearings,
		.spans = r.spans };
	return &r;
}

/* A cross bond: proved end to end. */
static inline struct record *record(void)
{
	return record_of(BOND_RAIL_CROSS);
}

/* Both ends seen good, the one cable whole. In the order of day and rank (rules/judge/judge.h). */
static inline struct judge_visit *visit(struct record *r, int32_t day, enum purpose purpose)
{
	struct judge_visit *to = &r->visits[r->facts.n_visits++];

	ck_assert_uint_le(r->facts.n_visits, RECORD_MOST);
	*to = (struct judge_visit){ .day = day, .counted_day = DAY_NONE, .arrived_at_ms = noon_ms(day),
		.purpose = purpose, .outcome = OUTCOME_COMPLETE, .seen_a = SEEN_GOOD,
		.seen_b = SEEN_GOOD, .cables_whole = 1, .strength_a = -1, .strength_b = -1 };
	return to;
}

/* Of the newest visit. */
static inline struct judge_reading *reads(struct record *r, enum quantity quantity, double value)
{
	struct judge_reading *to = &r->readings[r->facts.n_readings++];
	bool drop = quantity == QUANTITY_RAIL_DROP;
	bool contact = quantity == QUANTITY_CONTACT_A || quantity == QUANTITY_CONTACT_B;

	ck_assert_uint_le(r->facts.n_readings, RECORD_MOST);
	/* a drop of 1000 µV over each metre of rail, half a metre of it between the clips */
	*to = (struct judge_reading){ .visit = r->facts.n_visits - 1,
		.values = { .quantity = quantity, .method = drop ? READING_VOLTAGE_DROP :
		READING_FOUR_WIRE, .material = -1, .forward_uv = drop ? (value + 0.5) * 1000 : NAN,
		.reverse_uv = drop ? -(value + 0.5) * 1000 : NAN, .current_a = NAN,
		.shown_uohm = drop ? NAN : value, .lead_uohm = NAN, .rail_uv = drop ? 1000 : NAN,
		.rail_m = drop ? 1 : NAN, .joint_m = drop ? 0.5 : NAN, .temp_c = 20 },
		.meter = { METER_IN_CALIBRATION, 0, contact ? 1 : 5 }, .instrument_id = 1,
		.round_temp_c = NAN };
	return to;
}

/* A visit with one reading from end to end. */
static inline struct judge_reading *measure(struct record *r, int32_t day, double uohm)
{
	visit(r, day, PURPOSE_ROUTINE);
	return reads(r, QUANTITY_END_TO_END, uohm);
}

static inline struct judge_reading *commission(struct record *r, int32_t day, double uohm)
{
	visit(r, day, PURPOSE_COMMISSIONING);
	return reads(r, QUANTITY_END_TO_END, uohm);
}

/* A visit with both contacts. */
static inline struct judge_visit *contacts(struct record *r, int32_t day, enum purpose purpose,
	double a_uohm, double b_uohm)
{
	struct judge_visit *to = visit(r, day, purpose);

	reads(r, QUANTITY_CONTACT_A, a_uohm);
	reads(r, QUANTITY_CONTACT_B, b_uohm);
	return to;
}

/* In the order of their days at each end. */
static inline struct judge_attachment *attach(struct record *r, enum bond_end end, int32_t day)
{
	struct judge_attachment *to = &r->attachments[r->facts.n_attachments++];

	ck_assert_uint_le(r->facts.n_attachments, RECORD_MOST);
	*to = (struct judge_attachment){ .end = end, .made_day = day, .ended_day = DAY_NONE,
		.arrived_at_ms = day == DAY_NONE ? 0 : noon_ms(day), .accepted = ACCEPTED };
	return to;
}

static inline void attach_both(struct record *r, int32_t day)
{
	attach(r, END_A, day);
	attach(r, END_B, day);
}

/* end -1: the bond as a whole; repaired_day DAY_NONE: open. */
static inline struct judge_failure *failed(struct record *r, enum failure_mode mode, int end,
	int32_t found_day, int32_t repaired_day)
{
	struct judge_failure *to = &r->failures[r->facts.n_failures++];

	*to = (struct judge_failure){ end, mode, found_day, noon_ms(found_day), repaired_day };
	return to;
}

static inline void defer(struct record *r, int32_t until_day, int64_t decided_at_ms,
	uint64_t named)
{
	r->facts.deferral = (struct deferral_fact){ 1, until_day, decided_at_ms, named, true };
}

static inline const struct judgement *judged(struct record *r)
{
	struct trend_point scratch[RECORD_MOST];

	r->facts.due.inspected_day = DAY_NONE;
	for (size_t i = 0; i < r->facts.n_visits; i++) {
		if (r->visits[i].outcome == OUTCOME_COMPLETE) {
			r->facts.due.inspected_day = r->visits[i].day;
		}
	}
	memset(&r->is, 0x55, sizeof r->is);
	judge_bond(&r->rulebook, &r->facts, scratch, &r->is);
	return &r->is;
}

static inline const struct judgement *expect_at(int line, struct record *r, enum grade grade,
	unsigned reasons)
{
	const struct judgement *is = judged(r);
	char told[GRADE_REASONS_SIZE];

	grade_sentence(is->grade.reasons, told, sizeof told);
	ck_assert_msg(is->grade.grade == grade && is->grade.reasons == reasons, "line %d: %s: %s", line,
		grade_words.code[is->grade.grade], told);
	return is;
}
#define expect(r, grade, reasons) expect_at(__LINE__, r, grade, reasons)
#define BECAUSE(reason) (1u << REASON_##reason)

/* What is due first, and when. */
static inline void expect_due_at(int line, const struct judgement *is, enum due_basis basis,
	int32_t day)
{
	ck_assert_msg(is->due.basis == basis && is->due.due_day == day, "line %d: %s, day %d", line,
		due_basis_words.code[is->due.basis], is->due.due_day);
}
#define expect_due(is, basis, day) expect_due_at(__LINE__, is, basis, day)

#endif
