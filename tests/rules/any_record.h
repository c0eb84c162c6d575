/*
 * Random records for the properties of the judgement: any kind, any rulebook, visits with
 * everything that may be seen, read and asked in them. One seed gives the same records everywhere.
 */
#ifndef TESTS_RULES_ANY_RECORD_H
#define TESTS_RULES_ANY_RECORD_H

#include <stdio.h>

#include "rules/record.h"

enum { ANY_VISITS = 8, ANY_READINGS = 16 };

static uint64_t any_seed;

static inline uint64_t any(uint64_t below)
{
	any_seed ^= any_seed << 13;
	any_seed ^= any_seed >> 7;
	any_seed ^= any_seed << 17;
	return (any_seed >> 11) % below;
}

static inline bool one_in(uint64_t n)
{
	return any(n) == 0;
}

static inline double between(double least, double most)
{
	return least + (most - least) * (double)any(1u << 30) / (1u << 30);
}

static inline void any_rulebook(struct rulebook *r)
{
	plain_rulebook(r);
	r->watch_interval_percent = 1 + (int64_t)any(100);
	r->act_days = (int64_t)any(60);
	r->forecast_lead_days = (int64_t)any(200);
	r->evidence_months = 40 + (int64_t)any(60);  /* no shorter than an interval */
	r->watch_percent = between(50, 100);
	r->repeatability_percent = between(0, 4);
	r->temp_uncertainty_k = between(0, 5);
	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		double limit = between(60, 200);

		r->proof[k] = one_in(2) ? PROOF_END_TO_END : (int)any(4);
		r->limits[k] = (struct rulebook_limits){ one_in(2) ? between(10, 40) : NAN,
			between(2, 20), one_in(2) ? between(1.1, 2) : NAN, one_in(2) ? 1 : NAN,
			one_in(2) ? 5 : NAN, one_in(2) ? between(5, 30) : NAN, { limit, limit, limit } };
		for (int c = 0; c < RULEBOOK_CRITICALITIES; c++) {
			r->interval_months[k][c] = 1 + (int64_t)any(40);
		}
	}
}

static inline int any_seen(void)
{
	return one_in(12) ? (int)any(2 + SEEN_NOT_VISIBLE) - 1 : SEEN_GOOD;
}

/* Never two routine ones on a day; sometimes a commissioning after it. Steps of up to most_step. */
static inline void any_visits(struct record *r, uint64_t most_step)
{
	size_t n = any(ANY_VISITS + 1);
	int32_t day = FIRST;

	for (size_t i = 0; i < n; i++) {
		bool same_day = i > 0 && r->visits[i - 1].purpose == PURPOSE_ROUTINE && one_in(8);
		struct judge_visit *v;

		day += same_day ? 0 : 1 + (int32_t)any(most_step);
		v = visit(r, day, same_day || i == 0 || one_in(6) ? PURPOSE_COMMISSIONING : one_in(8) ?
			PURPOSE_AFTER_WORKS : one_in(12) ? PURPOSE_AFTER_FAILURE : PURPOSE_ROUTINE);
		v->outcome = one_in(8) ? OUTCOME_PARTLY : one_in(16) ? OUTCOME_NOT_REACHED :
			OUTCOME_COMPLETE;
		v->seen_a = any_seen();
		v->seen_b = any_seen();
		v->cables_whole = one_in(4) ? -1 : r->facts.limit.cables - one_in(16);
		v->strength_a = one_in(20) ? (int)any(2) : -1;
		v->strength_b = one_in(20) ? (int)any(2) : -1;
		v->alone = one_in(4);
	}
}

static inline struct meter any_meter(bool contact)
{
	const struct meter not_believed = { (enum meter_standing)(METER_NOT_RECORDED + any(3)), NAN, NAN };

	return one_in(8) ? not_believed : (struct meter){ one_in(10) ? METER_STATED :
		METER_IN_CALIBRATION, between(0, 3), between(0, contact ? 1 : 5) };
}

/* Of the newest visit. */
static inline struct judge_reading *any_reading(struct record *r, enum quantity quantity,
	double value)
{
	bool contact = quantity == QUANTITY_CONTACT_A || quantity == QUANTITY_CONTACT_B;
	struct judge_reading *to = reads(r, quantity, value);
	struct reading_values *v = &to->values;

	if (quantity != QUANTITY_RAIL_DROP && one_in(4)) {
		v->current_a = 10;
		v->forward_uv = value * 10 + between(-30, 30);
		v->reverse_uv = one_in(8) ? NAN : -2 * value * 10 + v->forward_uv;
		v->shown_uohm = NAN;
	} else if (quantity != QUANTITY_RAIL_DROP && one_in(6)) {
		v->method = READING_TWO_WIRE;
		v->lead_uohm = between(0.5, 5);
		v->shown_uohm = value + v->lead_uohm;
	}
	v->temp_c = one_in(20) ? NAN : between(-10, 40);
	v->is_lug_only = contact && one_in(12);
	to->meter = any_meter(contact);
	to->instrument_id = to->meter.standing == METER_NOT_RECORDED ? 0 : 1 + (int64_t)any(2);
	to->meter.methods = one_in(30) ? 1 << (v->method == READING_VOLTAGE_DROP ? READING_FOUR_WIRE :
		READING_VOLTAGE_DROP) : 0;
	to->round_temp_c = one_in(3) ? v->temp_c + between(-18, 18) : NAN;
	return to;
}

/* What each quantity of the bond really has, more or less. */
static inline double any_value(const double *true_value, enum quantity quantity)
{
	double value = true_value[quantity] * between(0.9, 1.1);

	return one_in(8) ? value * between(0.3, 3) : one_in(16) ? value * (one_in(2) ? 10 : 0.1) :
		quantity != QUANTITY_RAIL_DROP && one_in(40) ? 2e9 : value;
}

static inline void any_readings(struct record *r)
{
	double true_value[GRADE_QUANTITIES] = { between(20, 130), between(1, 20), between(1, 20),
		between(0.1, 1.5) };
	size_t n_visits = r->facts.n_visits;

	for (size_t i = 0; i < n_visits; i++) {
		r->facts.n_visits = i + 1;
		for (int q = 0; q < GRADE_QUANTITIES; q++) {
			bool there = r->visits[i].outcome != OUTCOME_NOT_REACHED && !one_in(3) &&
				(q == QUANTITY_END_TO_END || one_in(3));
			size_t times = !there ? 0 : one_in(10) ? 2 : 1;

			while (times-- > 0 && r->facts.n_readings < ANY_READINGS) {
				any_reading(r, (enum quantity)q, any_value(true_value, (enum quantity)q));
			}
		}
	}
	r->facts.n_visits = n_visits;
}

static inline void any_attachments(struct record *r)
{
	for (int end = END_A; end <= END_B; end++) {
		size_t n = one_in(3) ? 0 : 1 + any(2);
		int32_t day = FIRST - (int32_t)any(30);

		for (size_t i = 0; i < n; i++) {
			struct judge_attachment *a = attach(r, (enum bond_end)end, i == 0 && one_in(8) ?
				DAY_NONE : day);

			a->accepted = one_in(12) ? NOT_ACCEPTED : ACCEPTED;
			a->strength_failed = one_in(24);
			a->ended_day = one_in(24) ? day + (int32_t)any(100) : DAY_NONE;
			a->ended_at_ms = a->ended_day == DAY_NONE ? 0 : noon_ms(a->ended_day);
			day += 1 + (int32_t)any(120);
		}
	}
}

static inline void any_failures(struct record *r)
{
	size_t n = one_in(5) ? 1 + any(2) : 0;

	for (size_t i = 0; i < n; i++) {
		int32_t day = FIRST + (int32_t)any(150);

		failed(r, (enum failure_mode)any(FAILURE_MODE_NOT_STATED + 1), (int)any(3) - 1, day,
			one_in(3) ? DAY_NONE : day + (int32_t)any(60));
	}
	if (one_in(10)) {
		r->clearings[r->facts.n_clearings++] = (struct judge_clearing){ (enum quantity)any(4),
			FIRST + (int32_t)any(150) };
	}
}

/* A rulebook that held before, at times with lower limits. */
static inline void any_span(struct record *r)
{
	static struct rulebook before;

	if (one_in(6)) {
		any_rulebook(&before);
		before.version = 0;
		r->spans[r->facts.n_spans++] = (struct rulebook_span){ -25567, FIRST + (int32_t)any(150),
			&before };
	}
}

static inline void copy_record(const struct record *from, struct record *to)
{
	*to = *from;
	to->facts.visits = to->visits;
	to->facts.readings = to->readings;
	to->facts.attachments = to->attachments;
	to->facts.failures = to->failures;
	to->facts.clearings = to->clearings;
	to->facts.spans = to->spans;
}

static inline void any_record(struct record *to, uint64_t most_step)
{
	enum bond_kind kind = (enum bond_kind)any(RULEBOOK_KINDS);

	copy_record(record_of(kind), to);
	any_rulebook(&to->rulebook);
	to->facts.limit.cables = one_in(3) ? 1 + (int64_t)any(6) : 1;
	if (one_in(2)) {
		to->facts.limit.cable_uohm_per_m = between(20, 100) * (double)to->facts.limit.cables;
		to->facts.limit.length_m = 1;
	}
	to->facts.limit.rail_between_joints_m = one_in(2) ? 18 : NAN;
	to->facts.due.installed_day = one_in(3) ? DAY_NONE : FIRST - (int32_t)any(100);
	to->facts.due.known_since_day = FIRST - (int32_t)any(50);
	to->facts.register_began_day = one_in(2) ? DAY_NONE : FIRST - (int32_t)any(50);
	any_visits(to, most_step);
	any_readings(to);
	any_attachments(to);
	any_failures(to);
	any_span(to);
}

/* For whom a property fails: the record, by days after the first. */
static inline void print_record(const struct record *r)
{
	printf("%s, proof %s, cables %d, installed %d\n", bond_kind_words.code[r->facts.limit.kind],
		proof_words.code[r->rulebook.proof[r->facts.limit.kind]], (int)r->facts.limit.cables,
		r->facts.due.installed_day == DAY_NONE ? -1 : r->facts.due.installed_day - FIRST);
	for (size_t i = 0; i < r->facts.n_attachments; i++) {
		const struct judge_attachment *a = &r->attachments[i];

		printf("  %s attached %d%s%s\n", a->end == END_A ? "A" : "B",
			a->made_day == DAY_NONE ? -999 : a->made_day - FIRST,
			a->strength_failed ? ", strength failed" : "", a->ended_day != DAY_NONE ? ", ended" : "");
	}
	for (size_t i = 0; i < r->facts.n_failures; i++) {
		printf("  failure %d, repaired %d\n", r->failures[i].found_day - FIRST,
			r->failures[i].repaired_day == DAY_NONE ? -1 : r->failures[i].repaired_day - FIRST);
	}
	for (size_t i = 0; i < r->facts.n_visits; i++) {
		const struct judge_visit *v = &r->visits[i];

		printf("  day %d %s, %s, seen %d %d, cables %d%s\n", v->day - FIRST,
			purpose_words.code[v->purpose], outcome_words.code[v->outcome], v->seen_a, v->seen_b,
			(int)v->cables_whole, v->alone ? ", alone" : "");
		for (size_t n = 0; n < r->facts.n_readings; n++) {
			const struct judge_reading *one = &r->readings[n];

			if (one->visit == i) {
				printf("    %s %.4g ± %.3g (worst %.4g) of %.4g: %s, would %s, %s%s, asked %x, "
					"meter %d, contains %d %d\n", quantity_words.code[one->values.quantity],
					one->value, one->uncertainty.u95_uohm, one->worst, one->limits.limit,
					verdict_words.code[one->verdict], verdict_words.code[one->would],
					judge_status_words.code[one->status], one->parallel ? ", parallel" : "",
					one->asked, one->meter.standing, one->attached_a, one->attached_b);
			}
		}
	}
	fflush(stdout);
}

static inline bool is_later(int32_t after, int32_t before)
{
	return before != DAY_NONE && (after == DAY_NONE || after > before);
}

/* (an act is due for mending whatever its forecast: an open circuit or a question may take the
 * forecast away, and with it the day of the inspection) */
static inline bool is_better(const struct judgement *a, const struct judgement *b)
{
	return grade_worse(a->grade.grade, b->grade.grade) ||
		is_later(b->due.due_day, a->due.due_day) ||
		is_later(b->due.overdue_from_day, a->due.overdue_from_day) ||
		(a->early_day == DAY_NONE && is_later(b->due.inspect_day, a->due.inspect_day)) ||
		is_later(b->due.mend_day, a->due.mend_day);
}

/* Nothing is better in `after`, nor on any later day, when evidence has become too old. */
static inline void refuse_better(const char *what, int n, struct record *before, struct record *after)
{
	const struct judgement *a = &before->is, *b = &after->is;
	char told[2][GRADE_REASONS_SIZE];

	if (is_better(a, b)) {
		print_record(before);
		print_record(after);
	}
	grade_sentence(a->grade.reasons, told[0], sizeof told[0]);
	grade_sentence(b->grade.reasons, told[1], sizeof told[1]);
	ck_assert_msg(!grade_worse(a->grade.grade, b->grade.grade), "record %d, %s: %s (%s) to %s (%s)",
		n, what, grade_words.code[a->grade.grade], told[0], grade_words.code[b->grade.grade],
		told[1]);
	ck_assert_msg(!is_better(a, b),
		"record %d, %s: due %d, inspection %d, mending %d later, by %s after %s (%s; then %s)", n,
		what, b->due.due_day - a->due.due_day, b->due.inspect_day - a->due.inspect_day,
		a->due.mend_day == DAY_NONE ? 0 : b->due.mend_day - a->due.mend_day,
		due_basis_words.code[b->due.basis], due_basis_words.code[a->due.basis], told[0], told[1]);
	for (int32_t day = FIRST; day < FIRST + 3000; day += 97) {
		ck_assert_msg(!grade_worse(grade_on(a->grade.grade, a->grade.evidence_until_day, day),
			grade_on(b->grade.grade, b->grade.evidence_until_day, day)),
			"record %d, %s: its proof counts until day %d and not %d (%s; then %s)", n, what,
			b->grade.evidence_until_day - FIRST, a->grade.evidence_until_day - FIRST, told[0],
			told[1]);
	}
}

#endif
