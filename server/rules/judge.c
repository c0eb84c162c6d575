#include "rules/judge.h"

#include <math.h>

#include "base/day.h"

static bool has_remark(const struct reading *reading, enum reading_remark remark)
{
	return (reading->remarks >> remark & 1) != 0;
}

static void compute_reading(const struct rulebook *rulebook, int material,
	struct judge_reading *r)
{
	enum quantity quantity = r->values.quantity;

	r->values.material = material;
	reading_compute(&r->values, &r->reading);
	r->evidence = r->reading.standing <= READING_WEAKER && meter_believed(r->meter.standing);
	uncertainty_compute(rulebook, &r->reading, quantity, material, &r->meter, &r->uncertainty);
	r->value = quantity == QUANTITY_RAIL_DROP ? r->reading.added_m : r->reading.r20_uohm;
}

/* Attaching one end anew mends nothing at the other end's contact. */
static int32_t live_since(const struct judge_facts *facts, enum quantity quantity)
{
	int32_t day = DAY_NONE;

	for (size_t i = 0; i < facts->n_attachments; i++) {
		const struct judge_attachment *a = &facts->attachments[i];
		bool is_other_end = quantity ==
			(a->end == END_A ? QUANTITY_CONTACT_B : QUANTITY_CONTACT_A);

		day = a->live && !is_other_end && a->made_day > day ? a->made_day : day;
	}
	return day;
}

/* The first visit to what was attached on a day. What a crew finds, attaches anew and commissions in
 * one night is of one day: found before the commissioning, it is of what was taken off. */
static size_t live_from(const struct judge_facts *facts, int32_t day)
{
	size_t first = 0;

	while (first < facts->n_visits && facts->visits[first].day < day) {
		first++;
	}
	for (size_t i = first; i < facts->n_visits && facts->visits[i].day == day; i++) {
		if (facts->visits[i].purpose == PURPOSE_COMMISSIONING &&
			facts->visits[i].outcome != OUTCOME_NOT_REACHED) {
			return i;
		}
	}
	return first;
}

/* What one pass over the readings of a quantity needs. */
struct quantity_pass {
	const struct rulebook *rulebook;
	struct judge_facts *facts;
	enum quantity quantity;
	size_t live_from;             /* the first visit that counts */
	struct limits limits;         /* of what is live now */
	struct limits bare;           /* without the baseline */
	bool formed;
	int32_t run_since_day;        /* over_since_day until the day before the last */
};

static const struct judge_visit *visit_of(const struct judge_facts *facts,
	const struct judge_reading *r)
{
	return &facts->visits[r->visit];
}

static bool is_commissioning(const struct judge_facts *facts, const struct judge_reading *r)
{
	return visit_of(facts, r)->purpose == PURPOSE_COMMISSIONING;
}

/* Of what is live now, and with a value that counts. */
static bool counts(const struct quantity_pass *p, const struct judge_reading *r)
{
	return r->values.quantity == p->quantity && r->evidence && !isnan(r->value) &&
		r->visit >= p->live_from;
}

static double baseline(const struct quantity_pass *p)
{
	double sum = 0;
	size_t n = 0;

	for (size_t i = 0; i < p->facts->n_readings; i++) {
		const struct judge_reading *r = &p->facts->readings[i];

		if (counts(p, r) && is_commissioning(p->facts, r)) {
			sum += r->value;
			n++;
		}
	}
	return n > 0 ? sum / (double)n : NAN;
}

/* Two sets are enough for all readings of a quantity. */
static void form_limits(struct quantity_pass *p)
{
	struct limit_facts *facts = &p->facts->limit;

	facts->quantity = p->quantity;
	facts->baseline = NAN;
	limit_form(p->rulebook, facts, &p->bare);
	facts->baseline = baseline(p);
	limit_form(p->rulebook, facts, &p->limits);
	p->formed = true;
}

static void judge_reading(struct quantity_pass *p, struct judge_reading *r)
{
	double value = r->evidence ? r->value : NAN;

	if (!p->formed) {
		form_limits(p);
	}
	r->limits = is_commissioning(p->facts, r) || r->visit < p->live_from ? p->bare : p->limits;
	r->verdict = verdict_of(value, r->uncertainty.u95_uohm, r->limits.limit);
	r->p_within = verdict_p_within(value, r->uncertainty.u95_uohm, r->limits.limit);
}

static double share_of_limit(const struct grade_reading *r)
{
	return r->open_circuit ? INFINITY : r->value / r->limit;
}

/* Of two readings of one day: by what they prove, then by how much of the limit is used. */
static bool is_worse(const struct grade_reading *a, const struct grade_reading *b)
{
	if (a->open_circuit != b->open_circuit) {
		return a->open_circuit;
	}
	return a->verdict != b->verdict ? a->verdict > b->verdict :
		share_of_limit(a) > share_of_limit(b) || (isnan(share_of_limit(b)) && a->value > b->value);
}

/* An open circuit has no value, but says more than one. */
static bool is_open_circuit(const struct quantity_pass *p, const struct judge_reading *r)
{
	return r->values.quantity == p->quantity && has_remark(&r->reading, REMARK_TOO_LARGE) &&
		meter_believed(r->meter.standing) && r->visit >= p->live_from;
}

static bool is_over(const struct grade_reading *r)
{
	return r->there && (r->open_circuit || r->verdict == VERDICT_OVER);
}

/* Readings come oldest first. Finding the same again does not begin anew what is to be done. */
static void keep_last(struct quantity_pass *p, const struct judge_reading *r,
	struct grade_reading *last, int32_t *over_since_day)
{
	const struct grade_reading this = { .there = true, .day = visit_of(p->facts, r)->day,
		.value = r->value, .u95 = r->uncertainty.u95_uohm, .limit = r->limits.limit,
		.verdict = r->verdict, .open_circuit = is_open_circuit(p, r) };

	if (last->there && this.day > last->day) {
		p->run_since_day = *over_since_day;
	}
	if (!last->there || this.day > last->day || (this.day == last->day && is_worse(&this, last))) {
		*last = this;
	}
	*over_since_day = !is_over(last) ? DAY_NONE :
		p->run_since_day != DAY_NONE ? p->run_since_day : last->day;
}

static struct trend_point point_of(const struct quantity_pass *p, const struct judge_reading *r)
{
	bool assumed = r->meter.standing == METER_NOT_RECORDED;

	return (struct trend_point){ .day = visit_of(p->facts, r)->day, .value = r->value,
		.meter = r->instrument_id,
		.meter_percent = assumed ? p->rulebook->unknown_meter_percent : r->meter.percent,
		.meter_uohm = assumed ? p->rulebook->unknown_meter_uohm : r->meter.uohm };
}

static struct trend_facts trend_facts_of(const struct quantity_pass *p, double limit,
	double first_equivalent_m)
{
	const struct rulebook *b = p->rulebook;

	return (struct trend_facts){ .quantity = p->quantity, .limit = limit,
		.first_equivalent_m = first_equivalent_m,
		.temp_share = p->quantity != QUANTITY_END_TO_END || p->facts->material < 0 ? 0 :
		reading_alpha20((enum material)p->facts->material) * b->temp_uncertainty_k,
		.repeat_share = b->repeatability_percent / 100,
		.scatter_share = rulebook_scatter_percent(b, p->facts->limit.kind, p->quantity) / 100 };
}

static void judge_quantity(struct quantity_pass *p, struct trend_point *scratch,
	struct judgement *to)
{
	struct grade_reading *last = &to->last[p->quantity];
	struct trend_facts trend;
	double first_equivalent_m = NAN;
	size_t n = 0;

	*last = (struct grade_reading){ .value = NAN, .u95 = NAN, .limit = NAN };
	to->over_since_day[p->quantity] = p->run_since_day = DAY_NONE;
	for (size_t i = 0; i < p->facts->n_readings; i++) {
		struct judge_reading *r = &p->facts->readings[i];

		if (r->values.quantity != p->quantity) {
			continue;
		}
		judge_reading(p, r);
		r->in_trend = counts(p, r);
		if (r->in_trend) {
			first_equivalent_m = n == 0 ? r->reading.equivalent_m : first_equivalent_m;
			scratch[n++] = point_of(p, r);
		}
		if (counts(p, r) || is_open_circuit(p, r)) {
			keep_last(p, r, last, &to->over_since_day[p->quantity]);
		}
	}
	trend = trend_facts_of(p, last->limit, first_equivalent_m);
	trend_compute(&trend, scratch, n, &to->trend[p->quantity]);
}

static int32_t earlier(int32_t a, int32_t b)
{
	return a == DAY_NONE || (b != DAY_NONE && b < a) ? b : a;
}

/* The earliest forecast is told; the one that asks for the earliest inspection moves the due day,
 * and that may be another one. */
static void take_forecasts(const struct rulebook *rulebook, struct due_facts *due,
	struct judgement *to)
{
	int32_t early_day = DAY_NONE, from_day = DAY_NONE, due_day = DAY_NONE;

	to->crosses_day = to->early_day = DAY_NONE;
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		int32_t early = to->trend[q].early_day;

		to->crosses_day = earlier(to->crosses_day, to->trend[q].crosses_day);
		to->early_day = earlier(to->early_day, early);
		if (early == DAY_NONE) {
			continue;
		}
		due->early_day = early;
		due->early_from_day = to->trend[q].last_day;
		if (due_day == DAY_NONE || due_forecast_day(rulebook, due) < due_day) {
			early_day = early;
			from_day = to->trend[q].last_day;
			due_day = due_forecast_day(rulebook, due);
		}
	}
	due->early_day = early_day;
	due->early_from_day = from_day;
}

static int worst_quantity(const struct grade_reading *last)
{
	int worst = -1;

	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		if (last[q].there && !isnan(share_of_limit(&last[q])) &&
			(worst < 0 || share_of_limit(&last[q]) > share_of_limit(&last[worst]))) {
			worst = q;
		}
	}
	return worst;
}

/* Since when it acts: the earliest day of all that says so. */
static void acts_since(const struct judge_facts *facts, int32_t day, struct judgement *to)
{
	to->act_since_day = earlier(to->act_since_day,
		day != DAY_NONE ? day : facts->due.known_since_day);
}

/* The severity of what was last seen at one end, and since when it was seen without a break. */
static int seen_at(const struct rulebook *rulebook, const struct judge_facts *facts,
	enum bond_end end, int32_t *day)
{
	int32_t since_day = DAY_NONE;
	int severity = SEVERITY_NONE;

	for (size_t i = 0; i < facts->n_attachments; i++) {
		if (facts->attachments[i].live && facts->attachments[i].end == end) {
			since_day = facts->attachments[i].made_day;
		}
	}
	for (size_t i = live_from(facts, since_day); i < facts->n_visits; i++) {
		const struct judge_visit *v = &facts->visits[i];
		int seen = end == END_A ? v->seen_a : v->seen_b;

		if (v->outcome != OUTCOME_NOT_REACHED && seen >= 0 && seen < RULEBOOK_SEEN &&
			seen != SEEN_NOT_VISIBLE) {
			if (severity != rulebook->severity[seen] || *day == DAY_NONE) {
				*day = v->day;
			}
			severity = rulebook->severity[seen];
		}
	}
	return severity;
}

static void take_seen(const struct rulebook *rulebook, const struct judge_facts *facts,
	struct grade_facts *grade, struct judgement *to)
{
	for (size_t i = 0; i < facts->n_visits; i++) {
		grade->inspected = grade->inspected ||
			facts->visits[i].outcome != OUTCOME_NOT_REACHED;
	}
	for (int end = END_A; end <= END_B; end++) {
		int32_t day = DAY_NONE;
		int severity = seen_at(rulebook, facts, (enum bond_end)end, &day);

		grade->worst_seen = severity > grade->worst_seen ? severity : grade->worst_seen;
		if (severity == SEVERITY_ACT) {
			acts_since(facts, day, to);
		}
	}
}

static void take_attachments(const struct judge_facts *facts, struct grade_facts *grade,
	struct judgement *to)
{
	for (size_t i = 0; i < facts->n_attachments; i++) {
		const struct judge_attachment *a = &facts->attachments[i];

		if (a->live && (a->strength_failed || a->accepted == NOT_ACCEPTED)) {
			grade->strength_failed = grade->strength_failed || a->strength_failed;
			/* a failed test is what it was not accepted for */
			grade->not_accepted = grade->not_accepted || !a->strength_failed;
			acts_since(facts, a->made_day, to);
		}
	}
}

static void take_readings(const struct judge_facts *facts, struct grade_facts *grade,
	struct judgement *to)
{
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		grade->last[q] = to->last[q];
		if (is_over(&to->last[q])) {
			acts_since(facts, to->over_since_day[q], to);
		}
	}
}

static void judge_grade(const struct rulebook *rulebook, struct judge_facts *facts,
	struct judgement *to)
{
	struct grade_facts grade = { .in_service = facts->due.in_service,
		.failures_open = facts->failures_open, .early_day = to->early_day };
	struct due calendar;

	to->act_since_day = DAY_NONE;
	take_seen(rulebook, facts, &grade, to);
	take_attachments(facts, &grade, to);
	take_readings(facts, &grade, to);
	if (facts->failures_open > 0) {
		acts_since(facts, facts->failure_since_day, to);
	}
	facts->due.grade = GRADE_NONE;
	due_compute(rulebook, &facts->due, &calendar);
	grade.calendar_due_day = calendar.due_day;
	grade_compute(rulebook, &grade, &to->grade);
	if (to->grade.grade != GRADE_ACT) {
		to->act_since_day = DAY_NONE;
	}
}

void judge_bond(const struct rulebook *rulebook, struct judge_facts *facts,
	struct trend_point *scratch, struct judgement *to)
{
	struct quantity_pass pass = { .rulebook = rulebook, .facts = facts };

	for (size_t i = 0; i < facts->n_readings; i++) {
		compute_reading(rulebook, facts->material, &facts->readings[i]);
	}
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		pass.quantity = (enum quantity)q;
		to->live_since_day[q] = live_since(facts, pass.quantity);
		pass.live_from = live_from(facts, to->live_since_day[q]);
		pass.formed = false;
		judge_quantity(&pass, scratch, to);
		to->baseline[q] = pass.formed ? facts->limit.baseline : NAN;
	}
	to->worst_quantity = worst_quantity(to->last);
	take_forecasts(rulebook, &facts->due, to);
	judge_grade(rulebook, facts, to);
	facts->due.grade = to->grade.grade;
	facts->due.act_since_day = to->act_since_day;
	due_compute(rulebook, &facts->due, &to->due);
}
