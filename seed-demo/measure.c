/* Readings as a crew would write them down, from what the bond is made of. */
#include <math.h>

#include "base/day.h"
#include "demo.h"
#include "rules/reading.h"

/* IEC 60228, greatest resistance at 20 °C, in µΩ per metre (mΩ/km): tables 2 and 3, plain copper
 * and aluminium. A cable as made is a little below it. */
static const struct {
	enum material material;
	int conductor_class;
	double area_mm2, uohm_per_m;
} resistances[] = {
	{ MATERIAL_COPPER, 2, 50, 387 }, { MATERIAL_COPPER, 2, 95, 193 },
	{ MATERIAL_COPPER, 2, 185, 99.1 }, { MATERIAL_COPPER, 2, 240, 75.4 },
	{ MATERIAL_COPPER, 5, 50, 386 }, { MATERIAL_COPPER, 5, 70, 272 },
	{ MATERIAL_COPPER, 5, 120, 161 }, { MATERIAL_COPPER, 5, 150, 129 },
	{ MATERIAL_COPPER, 5, 185, 106 }, { MATERIAL_COPPER, 5, 240, 80.1 },
	{ MATERIAL_ALUMINIUM, 2, 95, 320 }, { MATERIAL_ALUMINIUM, 2, 120, 253 },
	{ MATERIAL_ALUMINIUM, 2, 185, 164 }, { MATERIAL_ALUMINIUM, 2, 240, 125 },
};

/* Usual temperature of a conductor by night, January to December. */
static const double month_c[12] = { 2, 3, 6, 9, 13, 17, 19, 18, 14, 10, 6, 3 };

static double uohm_per_m(const struct plan_conductor *c)
{
	for (size_t i = 0; i < sizeof resistances / sizeof resistances[0]; i++) {
		if (resistances[i].material == c->material &&
			resistances[i].conductor_class == c->conductor_class &&
			fabs(resistances[i].area_mm2 - c->area_mm2) < 0.5) {
			return resistances[i].uohm_per_m;
		}
	}
	return 200;
}

static double rounded(double value, double step)
{
	return floor(value / step + 0.5) * step;
}

/* For how long it has drifted. */
static double years_of(const struct demo_contact *c, int32_t day)
{
	int32_t from = c->since_day > c->drift_from_day ? c->since_day : c->drift_from_day;

	return day > from ? (day - from) / 365.25 : 0;
}

/* At 20 °C. */
static double r20_uohm(const struct demo_bond *b, const struct demo_contact *c, int32_t day)
{
	double cable = 0.985 * uohm_per_m(b->conductor) * b->length_m / b->conductor->cables;

	return (cable + c->uohm[0] + c->uohm[1]) * (1 + b->drift_a_year * years_of(c, day));
}

/* U is given with k = 2; the scatter seen in service is about half of the standard uncertainty. */
static double with_noise(double uohm, const struct plan_instrument *i, struct random *r)
{
	double u = (i->uncertainty_percent / 100 * uohm + i->uncertainty_uohm) / 2;

	return random_normal(r, uohm, u / 2);
}

static void read_four_wire(double uohm, int instrument, struct random *r, struct reading_new *to)
{
	const struct plan_instrument *i = &plan_instruments[instrument];
	double thermal_uv = random_normal(r, 0, 2.5);
	double uv = with_noise(uohm, i, r) * i->current_a;

	to->method = READING_FOUR_WIRE;
	to->current_a = i->current_a;
	to->forward_uv = rounded(uv + thermal_uv, 0.1);
	to->reverse_uv = rounded(-uv + thermal_uv, 0.1);
	to->instrument = i->serial;
	if (random_chance(r, 0.0015)) {
		to->reverse_uv = -to->reverse_uv;   /* typed without its sign */
	}
}

static void read_two_wire(double uohm, struct random *r, struct reading_new *to)
{
	const struct plan_instrument *i = &plan_instruments[INSTRUMENT_TWO_WIRE];

	to->method = READING_TWO_WIRE;
	to->lead_uohm = rounded(random_between(r, 55, 210), 1);
	to->shown_uohm = rounded(with_noise(uohm, i, r) + to->lead_uohm, 10);
	to->instrument = i->serial;
}

/* The drop over the joint against a metre of rail, with whatever return current flows; a metre of
 * 60 kg/m rail has about 35 µΩ (common practice). */
static void read_drop(double uohm, struct random *r, struct reading_new *to)
{
	double amperes = random_between(r, 40, 160), rail_uohm = random_normal(r, 34.5, 0.6);
	double joint = uohm * random_between(r, 0.55, 0.8);   /* the fishplates share the current */

	to->quantity = QUANTITY_RAIL_DROP;
	to->method = READING_VOLTAGE_DROP;
	to->joint_m = 1;
	to->rail_m = 1;
	to->forward_uv = rounded(amperes * (joint + rail_uohm * 0.4), 1);
	to->rail_uv = rounded(amperes * rail_uohm, 1);
	to->instrument = plan_instruments[INSTRUMENT_DROP].serial;
}

/* Nobody opens a fishplate to measure: both contacts are read, now and then the drop over the joint
 * too. A contact that gets worse is what grows in a joint bond here. */
static size_t read_joint(const struct demo_bond *b, const struct demo_contact *contact, int32_t day,
	double uohm, int instrument, struct random *r, struct reading_new *to)
{
	double grown = 1 + b->drift_a_year * years_of(contact, day);
	size_t n = 0;

	for (int end = 0; end < 2; end++) {
		to[n].quantity = end == 0 ? QUANTITY_CONTACT_A : QUANTITY_CONTACT_B;
		read_four_wire(contact->uohm[end] * (end == 0 ? grown : 1), instrument, r, &to[n++]);
	}
	if (n < EVENT_READINGS && random_chance(r, 0.05)) {
		read_drop(uohm, r, &to[n++]);
	}
	return n;
}

size_t demo_measure(const struct demo_bond *b, const struct demo_contact *contact, int32_t day,
	int instrument, bool all, struct random *r, struct reading_new *to)
{
	int year, month, day_of_month;
	double temp_c, uohm;
	size_t n = 1;

	if (b->conductor == NULL) {
		return 0;
	}
	day_to_parts(day, &year, &month, &day_of_month);
	temp_c = rounded(random_normal(r, month_c[month - 1], 3), 0.5);
	uohm = r20_uohm(b, contact, day) *
		(1 + reading_alpha20(b->conductor->material) * (temp_c - 20));
	for (size_t i = 0; i < EVENT_READINGS; i++) {
		form_clear(&reading_form, &to[i]);
		to[i].quantity = (int)i;
		to[i].temp_c = temp_c;
	}
	if (b->kind == BOND_RAIL_JOINT) {
		return read_joint(b, contact, day, uohm, instrument, r, to);
	}
	if (b->kind == BOND_PROTECTIVE_EARTH && random_chance(r, 0.25)) {
		read_two_wire(uohm, r, &to[0]);
		return 1;
	}
	read_four_wire(uohm, instrument, r, &to[0]);
	for (; all && n < EVENT_READINGS; n++) {
		if (n == QUANTITY_CONTACT_A || b->rail_b >= 0) {
			read_four_wire(contact->uohm[n - 1], instrument, r, &to[n]);
		} else {
			break;
		}
	}
	return n;
}
