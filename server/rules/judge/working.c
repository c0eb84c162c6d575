#include <math.h>

#include "rules/judge/judge_parts.h"
#include "rules/judge/working_parts.h"

static const char *const step_code[WORKING_STEPS] = {
	"resistance", "leads", "thermal", "at_20_degrees", "evidence", "meter", "temperature",
	"repeatability", "uncertainty", "limit_cable", "limit_baseline", "limit_rail", "limit_joint",
	"limit_contact", "limit_absolute", "lowest", "beside", "visit", "asked", "verdict",
	"probability"
};
static const char *const step_title[WORKING_STEPS] = {
	"Measured", "Leads", "Thermal voltage", "At 20 °C", "Evidence", "Uncertainty of the instrument",
	"Uncertainty of the temperature", "Repeatability", "Uncertainty", "Limit by the cable",
	"Limit by the value at commissioning", "Limit by metres of rail",
	"Limit by the rail between joints", "Limit of one contact", "Limit of the railway's own", "Limit", "What lies beside it",
	"Readings of this visit", "Asked", "Verdict", "Probability"
};
const struct words working_step_words = { "working_step", step_code, step_title, WORKING_STEPS };

/* Brackets around a figure below zero, unless it has the pattern's own. */
static void add_figure(struct sentence *s, double figure, bool bracketed)
{
	const char *open = bracketed ? "" : "(", *close = bracketed ? "" : ")";

	sentence_add(s, figure < 0 ? open : "");
	sentence_add(s, figure < 0 ? "−" : "");
	sentence_add_figures(s, fabs(figure), 6);
	sentence_add(s, figure < 0 ? close : "");
}

void working_fill(struct sentence *s, const char *pattern, const double *figures)
{
	for (const char *from = pattern; *pattern != '\0'; pattern++) {
		if (*pattern != '#') {
			char text[5] = { *pattern };   /* a whole character of UTF-8 */

			for (int i = 1; i < 4 && ((unsigned char)pattern[1] & 0xC0) == 0x80; i++) {
				text[i] = *++pattern;
			}
			sentence_add(s, text);
			continue;
		}
		add_figure(s, *figures++, pattern > from && pattern[-1] == '(' && pattern[1] == ')');
	}
}

static bool in_metres(const struct work *f)
{
	return f->values->quantity == QUANTITY_RAIL_DROP;
}

const char *working_unit(const struct work *f)
{
	return in_metres(f) ? " m of rail" : " µΩ";
}

static void voltage(const struct reading_values *v, struct sentence *s)
{
	if (!isnan(v->forward_uv) && !isnan(v->reverse_uv)) {
		FILL(s, "(# − #) µV", v->forward_uv, v->reverse_uv);
	} else if (!isnan(v->forward_uv)) {
		FILL(s, "# µV", v->forward_uv);
	} else {
		FILL(s, "−# µV", v->reverse_uv);
	}
}

static void resistance(const struct work *f, struct sentence *s)
{
	const struct reading_values *v = f->values;
	bool both = !isnan(v->forward_uv) && !isnan(v->reverse_uv);
	bool leads = v->method == READING_TWO_WIRE && !isnan(v->lead_uohm);
	double uohm = f->reading->r_uohm + (leads ? v->lead_uohm : 0);

	if (!isnan(f->reading->equivalent_m)) {
		sentence_add(s, "m = ");
		voltage(v, s);
		FILL(s, both ? " / (2 × # µV) × # m = # m of rail." : " / # µV × # m = # m of rail.",
			v->rail_uv, v->rail_m, f->reading->equivalent_m);
	} else if (isnan(uohm)) {
		sentence_add(s, "Nothing follows from what was written down.");
	} else if (isnan(v->forward_uv) && isnan(v->reverse_uv)) {
		FILL(s, "R = # µΩ, as the instrument showed it.", uohm);
	} else {
		sentence_add(s, "R = ");
		voltage(v, s);
		FILL(s, both ? " / (2 × # A) = # µΩ." : " / # A = # µΩ.", v->current_a, uohm);
	}
}

static void leads(const struct work *f, struct sentence *s)
{
	const struct reading_values *v = f->values;

	if (v->method != READING_TWO_WIRE) {
		sentence_add(s, v->method == READING_VOLTAGE_DROP ?
			"Two voltages were compared: no leads are in them." : "Four-wire: no leads are in it.");
	} else if (isnan(v->lead_uohm)) {
		sentence_add(s, "Two-wire, and the resistance of the leads was not recorded.");
	} else if (isnan(f->reading->r_uohm)) {
		FILL(s, "Two-wire, with # µΩ of leads.", v->lead_uohm);
	} else {
		FILL(s, "# µΩ − # µΩ of leads = # µΩ; evidence when that is not below 10 × # µΩ = # µΩ.",
			f->reading->r_uohm + v->lead_uohm, v->lead_uohm, f->reading->r_uohm, v->lead_uohm,
			10 * v->lead_uohm);
	}
}

static void thermal(const struct work *f, struct sentence *s)
{
	const struct reading_values *v = f->values;

	if (!isnan(f->reading->thermal_uv)) {
		FILL(s, "(# + #) µV / 2 = # µV.", v->forward_uv, v->reverse_uv, f->reading->thermal_uv);
	} else if (isnan(v->forward_uv) && isnan(v->reverse_uv)) {
		sentence_add(s, "Not known: no voltages were written down.");
	} else if (isnan(v->forward_uv) || isnan(v->reverse_uv)) {
		sentence_add(s, "Not known, and still in the value: the current went one way only.");
	} else {
		sentence_add(s, "Does not follow from these voltages.");
	}
}

static void at_20_degrees(const struct work *f, struct sentence *s)
{
	const struct reading_values *v = f->values;
	const struct reading *r = f->reading;

	if (!isnan(r->added_m)) {
		FILL(s, "The joint adds # m − # m = # m of rail.", r->equivalent_m, v->joint_m, r->added_m);
	} else if (isnan(r->r20_uohm)) {
		sentence_add(s, "There is no value that could be judged.");
	} else if (v->quantity != QUANTITY_END_TO_END) {
		FILL(s, "R20 = R = # µΩ: a contact measured alone is not corrected.", r->r20_uohm);
	} else {
		FILL(s, "R20 = # µΩ / (1 + # × (# − 20)) = # µΩ.", r->r_uohm,
			reading_alpha20((enum material)v->material), v->temp_c, r->r20_uohm);
	}
}

static void evidence(const struct work *f, struct sentence *s)
{
	const char *meter = meter_standing_words.title[f->meter->standing];
	const char *remark = reading_remark_words.title[f->reading->remark];

	if (f->reading->standing >= READING_NOT_EVIDENCE) {
		sentence_add(s, remark);
	} else if (!meter_believed(f->meter->standing)) {
		sentence_add(s, meter);
	} else {
		sentence_add(s, f->reading->standing == READING_WEAKER ? remark : "Evidence");
		sentence_add(s, "; ");
		sentence_add(s, meter);
	}
	sentence_add(s, ".");
}

static void meter(const struct work *f, struct sentence *s)
{
	bool assumed = !meter_believed(f->meter->standing) && isnan(f->meter->percent);
	double percent = assumed ? f->rulebook->unknown_meter_percent : f->meter->percent;
	double uohm = assumed ? f->rulebook->unknown_meter_uohm : f->meter->uohm;

	if (in_metres(f)) {
		FILL(s, "2 × # % × # m = # m of rail, as two voltages were measured", percent,
			f->reading->equivalent_m, f->uncertainty->meter_uohm);
	} else if (f->values->quantity == QUANTITY_END_TO_END) {
		FILL(s, "(# % × # µΩ + # µΩ) × # / # = # µΩ", percent, f->reading->r_uohm, uohm,
			f->reading->r20_uohm, f->reading->r_uohm, f->uncertainty->meter_uohm);
	} else {
		FILL(s, "# % × # µΩ + # µΩ = # µΩ", percent, f->reading->r_uohm, uohm,
			f->uncertainty->meter_uohm);
	}
	sentence_add(s, assumed ? ", by the rulebook's assumed figures." : ".");
}

static void temperature(const struct work *f, struct sentence *s)
{
	if (f->values->quantity != QUANTITY_END_TO_END) {
		sentence_add(s, "None: the value was not corrected for temperature.");
		return;
	}
	FILL(s, "# µΩ × # × # K × # / # = # µΩ.", f->reading->r20_uohm,
		reading_alpha20((enum material)f->values->material),
		f->reading->temp_u_k > 0 ? f->reading->temp_u_k : f->rulebook->temp_uncertainty_k,
		f->reading->r20_uohm, f->reading->r_uohm, f->uncertainty->temp_uohm);
}

static void repeatability(const struct work *f, struct sentence *s)
{
	FILL(s, in_metres(f) ? "# % × # m = # m of rail." : "# % × # µΩ = # µΩ.",
		f->rulebook->repeatability_percent,
		in_metres(f) ? f->reading->equivalent_m : f->reading->r20_uohm,
		f->uncertainty->repeat_uohm);
}

static void uncertainty(const struct work *f, struct sentence *s)
{
	const struct uncertainty *u = f->uncertainty;

	FILL(s, "U = √(#² + #² + #²) = #", u->meter_uohm, u->temp_uohm, u->repeat_uohm, u->u95_uohm);
	sentence_add(s, working_unit(f));
	FILL(s, " (k = 2), u = U / 2 = #", u->u95_uohm / 2);
	sentence_add(s, working_unit(f));
	sentence_add(s, ".");
}

static void limit(const struct work *f, enum limit_kind kind, struct sentence *s)
{
	if (f->limits->absence[kind] != LIMIT_FORMED) {
		sentence_add(s, "None: ");
	}
	limit_working(f->rulebook, &f->limit_facts, f->limits, kind, s);
	sentence_add(s, ".");
}

static void lowest(const struct work *f, struct sentence *s)
{
	if (f->limits->lowest < 0) {
		sentence_add(s, "No limit could be formed.");
		return;
	}
	sentence_add(s, "The lowest is that of ");
	sentence_add(s, limit_kind_words.title[f->limits->lowest]);
	FILL(s, ": #", f->limits->limit);
	sentence_add(s, working_unit(f));
	sentence_add(s, ".");
}

/* As many decimals as show on which side of the limit each of the two ends lies. */
static int decimals_that_tell(double low, double high, double limit, int least)
{
	double scale = pow(10, least);
	int decimals = least;

	while (decimals < 9 &&
		((low != limit && round(low * scale) == round(limit * scale)) ||
			(high != limit && round(high * scale) == round(limit * scale)))) {
		scale *= 10;
		decimals++;
	}
	return decimals;
}

/* What is held against the limit. */
struct held {
	enum verdict verdict;
	double value, u95;
};

/* One side: "90 + 10 = 100 µΩ <= 100 µΩ". */
static void side(const struct work *f, const struct held *h, bool high, int decimals,
	struct sentence *s)
{
	double end = high ? h->value + h->u95 : h->value - h->u95;

	sentence_add_real(s, h->value, decimals);
	sentence_add(s, high ? " + " : " − ");
	sentence_add_real(s, h->u95, decimals);
	sentence_add(s, " = ");
	sentence_add_real(s, end, decimals);
	sentence_add(s, working_unit(f));
	sentence_add(s, end <= f->limits->limit ? " ≤ " : " > ");
	sentence_add_real(s, f->limits->limit, decimals);
	sentence_add(s, working_unit(f));
}

static void sides(const struct work *f, const struct held *h, struct sentence *s)
{
	int decimals = decimals_that_tell(h->value - h->u95, h->value + h->u95, f->limits->limit,
		in_metres(f) ? 4 : 3);

	if (h->verdict != VERDICT_OVER) {
		side(f, h, true, decimals, s);
	}
	if (h->verdict == VERDICT_UNPROVEN) {
		sentence_add(s, ", but ");
	}
	if (h->verdict != VERDICT_WITHIN) {
		side(f, h, false, decimals, s);
	}
}

/* Its figures alone would give a verdict; how it was read does not allow it. */
static void add_but(const struct work *f, enum verdict verdict, struct sentence *s)
{
	if (verdict != VERDICT_OVER && f->lead->parallel) {
		sentence_add(s, ", but another path beside the bond shows");
	} else if (verdict == VERDICT_WITHIN && !judge_shows_good(f->rulebook, f->lead)) {
		sentence_add(s, ", but so read it can only show that it is over its limit");
	}
}

/* What is asked has no verdict. What it would be, at worst, is shown where one figure makes it. */
static void would(const struct work *f, struct sentence *s)
{
	const struct held h = { f->lead->would, f->lead->worst, f->lead->judged_u95 };

	sentence_add(s, "it waits for an answer");
	if (h.verdict == VERDICT_NONE) {
		return;
	}
	sentence_add(s, ". If it counted: ");
	sentence_add(s, verdict_words.title[h.verdict]);
	if (verdict_of(h.value, h.u95, f->limits->limit) == h.verdict) {
		sentence_add(s, f->lead->worst > f->lead->judged ? ", by the larger of its directions: " :
			": ");
		sides(f, &h, s);
	}
	add_but(f, h.verdict, s);
}

static void held_back(const struct work *f, struct sentence *s)
{
	const struct held h = { verdict_of(f->lead->judged, f->lead->judged_u95, f->limits->limit),
		f->lead->judged, f->lead->judged_u95 };

	sides(f, &h, s);
	add_but(f, h.verdict, s);
}

static void no_verdict(const struct work *f, struct sentence *s)
{
	enum judge_status status = f->one->status;

	if (status == STATUS_OPEN) {
		would(f, s);
	} else if (status == STATUS_DROPPED || status == STATUS_DROPPED_OVER) {
		sentence_add(s, judge_status_words.title[status]);
	} else if (f->limits->lowest < 0) {
		sentence_add(s, "there is no limit");
	} else if (status == STATUS_EVIDENCE && judge_can_prove(f->one)) {
		held_back(f, s);
	} else {
		sentence_add(s, "there is no evidence");
	}
}

static void verdict(const struct work *f, struct sentence *s)
{
	const struct held h = { f->one->verdict, f->lead->judged, f->lead->judged_u95 };

	sentence_add(s, verdict_words.title[h.verdict]);
	sentence_add(s, ": ");
	if (h.verdict == VERDICT_NONE) {
		no_verdict(f, s);
	} else {
		sides(f, &h, s);
	}
	sentence_add(s, ".");
}

static void probability(const struct work *f, struct sentence *s)
{
	double u = f->lead->judged_u95 / 2, p = f->one->p_within;

	if (f->one->verdict == VERDICT_NONE) {
		sentence_add(s, "None without a verdict.");
		return;
	}
	if (u > 0) {
		FILL(s, "Φ((# − #) / #) = Φ(#) = ", f->limits->limit, f->lead->judged, u,
			(f->limits->limit - f->lead->judged) / u);
	}
	if (u > 0 && (p > 0.9999 || p < 0.0001)) {
		sentence_add(s, p > 0.5 ? "more than 99.99" : "less than 0.01");
	} else {
		sentence_add_real(s, p * 100, 2);
	}
	sentence_add(s, " % that the true value is within the limit.");
}

/* The words of a table begin small. "m = ..." is a symbol and stays. */
static void begin_with_capital(char *text)
{
	if (text[0] >= 'a' && text[0] <= 'z' && text[1] != ' ') {
		text[0] = (char)(text[0] - 'a' + 'A');
	}
}

typedef void step_writer(const struct work *work, struct sentence *s);

static struct work work_of(const struct rulebook *rulebook, const struct judge_facts *judged,
	size_t reading)
{
	const struct judge_reading *one = &judged->readings[reading];
	struct work w = { .rulebook = rulebook, .judged = judged, .one = one,
		.lead = &judged->readings[one->leads], .values = &one->values, .reading = &one->reading,
		.meter = &one->meter, .uncertainty = &one->uncertainty, .limits = &one->limits,
		.limit_facts = judged->limit };

	w.limit_facts.quantity = one->values.quantity;
	w.limit_facts.baseline = one->baseline;
	return w;
}

void working_write(const struct rulebook *rulebook, const struct judge_facts *judged,
	size_t reading, struct working *to)
{
	static step_writer *const writers[WORKING_STEPS] = { resistance, leads, thermal, at_20_degrees,
		evidence, meter, temperature, repeatability, uncertainty, [WORKING_LOWEST] = lowest,
		working_beside, working_visit, working_asked, verdict, probability };
	const struct work w = work_of(rulebook, judged, reading);

	for (int i = 0; i < WORKING_STEPS; i++) {
		bool of_u = i >= WORKING_METER && i <= WORKING_UNCERTAINTY;
		struct sentence s;

		sentence_begin(&s, to->step[i], sizeof to->step[i]);
		if (of_u && isnan(w.uncertainty->u95_uohm)) {
			sentence_add(&s, "None: there is no evidence.");
		} else if (writers[i] != NULL) {
			writers[i](&w, &s);
		} else {
			limit(&w, (enum limit_kind)(i - WORKING_LIMIT), &s);
		}
		begin_with_capital(to->step[i]);
	}
}
