#include <math.h>

#include "rules/judge/judge_parts.h"
#include "rules/judge/working_parts.h"

static const struct judge_visit *visit_of(const struct work *w)
{
	return &w->judged->visits[w->one->visit];
}

static bool is_contact(enum quantity quantity)
{
	return quantity == QUANTITY_CONTACT_A || quantity == QUANTITY_CONTACT_B;
}

/* The conductor alone, or the value at commissioning where it is not known. */
static double alone_uohm(const struct work *w, const char **of)
{
	const struct limit_facts *limit = &w->judged->limit;
	bool known = limit->cable_uohm_per_m > 0 && limit->length_m > 0 && limit->cables >= 1;

	*of = known ? "the conductor alone" : "the value at commissioning";
	return known ? limit->cable_uohm_per_m * limit->length_m / (double)limit->cables :
		w->lead->baseline;
}

/* Whether it is too low for the bond alone. The figures are left out where they would not say the
 * same: a value at commissioning that only the judgement knows. */
static void path(const struct work *w, struct sentence *s)
{
	double share = w->rulebook->asked.parallel_share;
	const char *of;
	double alone = alone_uohm(w, &of), least = share * alone;

	if (!isfinite(w->lead->judged)) {
		return;
	}
	if ((w->lead->judged < least) == w->lead->parallel && !isnan(least)) {
		FILL(s, w->lead->parallel ? " # µΩ < # × # µΩ of " : " # µΩ ≥ # × # µΩ of ",
			w->lead->judged, share, alone);
		sentence_add(s, of);
		FILL(s, " = # µΩ:", least);
	} else if (isnan(least) && !w->lead->parallel) {
		sentence_add(s, " What the bond has alone is not known, so nothing tells whether another path "
			"shows.");
		return;
	}
	sentence_add(s, w->lead->parallel ? " another path beside the bond shows. So read it is over its "
		"limit, or it says nothing." : " no other path shows.");
}

void working_beside(const struct work *w, struct sentence *s)
{
	enum quantity quantity = w->values->quantity;

	if (w->values->is_lug_only) {
		sentence_add(s, "Probed on the lug: the crimp is not in it, so it can only show that the "
			"contact is over its limit.");
	} else if (is_contact(quantity)) {
		sentence_add(s, "A contact is read by itself: nothing lies beside it.");
	} else if (visit_of(w)->alone) {
		sentence_add(s, "Alone: what else joins the rails was opened.");
	} else {
		sentence_add(s, "In circuit: nothing was opened, and what lies beside the bond was read with "
			"it.");
		if (w->lead->only_over) {
			sentence_add(s, quantity == QUANTITY_END_TO_END &&
				w->rulebook->proof[BOND_RAIL_JOINT] == PROOF_IN_CIRCUIT ?
				" The rulebook takes that for proof of a rail joint bond." :
				" Of a rail joint bond it can only show that it is over its limit.");
		}
		if (quantity == QUANTITY_END_TO_END) {
			path(w, s);
		}
	}
}

/* Whether it has a say beside the one that leads. */
static bool has_say(const struct work *w, const struct judge_reading *r)
{
	const struct judge_reading *all = w->judged->readings;

	return r->values.quantity == w->values->quantity && r->leads == (size_t)(w->lead - all) &&
		isfinite(r->value) && r->uncertainty.u95_uohm >= 0 && (judge_can_prove(r) || r->asked != 0);
}

enum { SHOWN = 8 };   /* readings of a visit; more are counted */

/* Its own, in the order in which they were read. */
struct company {
	const struct judge_reading *of[SHOWN];
	size_t n, proving;
	double mean;
};

static struct company company_of(const struct work *w)
{
	const struct judge_facts *f = w->judged;
	struct company c = { .n = 0 };
	double sum = 0;

	for (size_t i = 0; i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];

		if (r->visit != w->one->visit || !has_say(w, r)) {
			continue;
		}
		if (c.n < SHOWN) {
			c.of[c.n] = r;
		}
		c.n++;
		if (judge_can_prove(r)) {
			c.proving++;
			sum += r->value;
		}
	}
	c.mean = sum / (double)c.proving;
	return c;
}

static void add_bounded(const struct work *w, double value, double u95, struct sentence *s)
{
	FILL(s, "# ± #", value, u95);
	sentence_add(s, working_unit(w));
}

static double without_meter(const struct uncertainty *u)
{
	return sqrt(u->temp_uohm * u->temp_uohm + u->repeat_uohm * u->repeat_uohm);
}

/* " |102 − 100| = 2 ≤ √(2² + 2²) = 2.82843 µΩ." */
static void add_agreement(const struct work *w, const struct judge_reading *r, struct sentence *s)
{
	const struct judge_reading *lead = w->lead;
	bool same = lead->instrument_id == r->instrument_id;
	double a = same ? without_meter(&r->uncertainty) : r->uncertainty.u95_uohm;
	double b = same ? without_meter(&lead->uncertainty) : lead->uncertainty.u95_uohm;
	bool agree = asked_agree(lead->value, &lead->uncertainty, r->value, &r->uncertainty, same);

	FILL(s, agree ? " |# − #| = # ≤ √(#² + #²) = #" : " |# − #| = # > √(#² + #²) = #", r->value,
		lead->value, fabs(r->value - lead->value), a, b, sqrt(a * a + b * b));
	sentence_add(s, working_unit(w));
	sentence_add(s, same ? ", without the part of U that one meter has in both." : ".");
}

/* What the judged figure is: the mean of those that may prove something, or one of them all. */
static bool is_mean(const struct work *w, const struct company *c)
{
	return c->proving > 1 && fabs(w->lead->judged - c->mean) <= 1e-9 * fabs(c->mean);
}

static void mean_of(const struct work *w, const struct company *c, struct sentence *s)
{
	const char *joint = "(";

	sentence_add(s, "Mean of ");
	sentence_add_integer(s, (int64_t)c->proving);
	sentence_add(s, " readings of this visit that agree: ");
	for (size_t i = 0; i < c->n && i < SHOWN; i++) {
		if (judge_can_prove(c->of[i])) {
			sentence_add(s, joint);
			FILL(s, "#", c->of[i]->value);
			joint = " + ";
		}
	}
	sentence_add(s, c->n > SHOWN ? " + …)" : ")");
	sentence_add(s, working_unit(w));
	FILL(s, " / # = #", (double)c->proving, w->lead->judged);
	sentence_add(s, working_unit(w));
	FILL(s, ", with the largest of their U, #", w->lead->judged_u95);
	sentence_add(s, working_unit(w));
	sentence_add(s, ".");
}

static void worst_of(const struct work *w, const struct company *c, struct sentence *s)
{
	const char *joint = "";

	sentence_add_integer(s, (int64_t)c->n);
	sentence_add(s, " readings of this visit do not all agree: ");
	for (size_t i = 0; i < c->n && i < SHOWN; i++) {
		sentence_add(s, joint);
		add_bounded(w, c->of[i]->value, c->of[i]->uncertainty.u95_uohm, s);
		joint = ", ";
	}
	sentence_add(s, c->n > SHOWN ? ", …" : "");
	sentence_add(s, ". The worst is judged: ");
	add_bounded(w, w->lead->judged, w->lead->judged_u95, s);
	sentence_add(s, ".");
}

void working_visit(const struct work *w, struct sentence *s)
{
	struct company c = company_of(w);

	if (c.n < 2) {
		sentence_add(s, w->one == w->lead ? "Judged by itself: no other reading of this visit has a "
			"say in it." : "It has no say of its own: another reading of this visit is judged.");
		return;
	}
	if (!has_say(w, w->one)) {
		sentence_add(s, "It has no say itself. ");
	}
	if (is_mean(w, &c)) {
		mean_of(w, &c, s);
	} else {
		worst_of(w, &c, s);
	}
	for (size_t i = 0; i < c.n && i < SHOWN; i++) {
		if (c.of[i] != w->lead) {
			add_agreement(w, c.of[i], s);
		}
	}
}

static void questions(unsigned asked, struct sentence *s)
{
	const char *joint = "";

	for (int question = 0; question < ASKEDS; question++) {
		if ((asked >> question & 1) != 0) {
			sentence_add(s, joint);
			sentence_add(s, asked_words.title[question]);
			joint = "; ";
		}
	}
}

void working_asked(const struct work *w, struct sentence *s)
{
	static const char *const standing[] = {
		[STATUS_NONE] = "It is no evidence, whatever is answered",
		[STATUS_EVIDENCE] = "It was asked, and answered by another reading that agrees",
		[STATUS_OPEN] = "It waits for an answer",
		[STATUS_DROPPED] = "It was asked, and a later reading took its place: it never counts",
		[STATUS_DROPPED_OVER] = ("It was asked, and a later reading took its place; it would have been "
			"over its limit, and that stands until it is cleared")
	};
	struct company c = company_of(w);
	unsigned asked = w->one->asked | w->lead->asked;

	/* (one that is answered within its visit keeps its questions only in those that answer) */
	for (size_t i = 0; i < c.n && i < SHOWN; i++) {
		asked |= c.of[i]->asked;
	}
	if (asked == 0) {
		sentence_add(s, "Nothing is asked of it.");
		return;
	}
	sentence_add(s, standing[w->one->status]);
	sentence_add(s, ". Asked: ");
	questions(asked, s);
	sentence_add(s, ".");
}
