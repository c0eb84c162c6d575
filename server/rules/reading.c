#include "rules/reading.h"

#include <math.h>

static const char *const remark_code[REMARKS] = {
	"none", "one_direction", "no_temperature", "no_material", "leads_not_recorded",
	"leads_too_large", "nothing_measured", "no_current", "not_finite", "current_absurd",
	"temperature_absurd", "leads_negative", "same_sign", "not_positive", "too_small",
	"too_large", "no_rail", "rail_absurd", "rail_opposed", "other_method", "other_quantity",
	"no_joint_length", "leads_zero", "lug_only", "climate"
};
static const char *const remark_title[REMARKS] = {
	"nothing to remark",
	"weaker: measured with the current one way only, the thermal voltage is still in it",
	"not evidence: without the conductor's temperature there is no value at 20 °C",
	"not evidence: without the conductor's material there is no value at 20 °C",
	"not evidence: a two-wire value without the resistance of its leads",
	"not evidence: a two-wire value below ten times the resistance of its leads",
	"no result: neither a voltage nor a resistance was written down",
	"no result: a voltage without its test current",
	"no result: a value is not a finite number",
	"no result: the test current must be more than 0 and at most 10,000 A",
	"no result: the conductor's temperature must be from −60 to 120 °C",
	"no result: the resistance of the leads cannot be negative",
	"no result: with the current reversed the voltage must have the other sign",
	"no result: a resistance of zero or less cannot be, check the leads and the signs",
	"no result: less than 0.001 µΩ cannot be measured, was the value noted in ohms?",
	"no result: more than 1,000 Ω, or 1,000 km of rail, is an open circuit and not a reading",
	"no result: the voltage and the length of the rail compared with are needed",
	("no result: the rail compared with must be more than 0 and at most 1,000 m, and carry a "
		"voltage"),
	"no result: the voltages over joint and rail must have the same sign",
	"no result: a drop against the rail is measured by the voltage-drop ratio",
	"not evidence: a voltage-drop ratio gives metres of rail, and no resistance",
	("not evidence: without the length of rail between the contacts over the joint nobody knows "
		"what the joint adds"),
	"not evidence: leads of a two-wire reading always have a resistance, and none was taken off",
	"not evidence: read on the lug only, which proves nothing of the crimp",
	"weaker: no temperature was noted, the middle of what the month may bring was taken"
};
const struct words reading_remark_words = {
	"reading_remark", remark_code, remark_title, REMARKS
};

static const char *const standing_code[] = { "evidence", "weaker", "not_evidence", "no_result" };
static const char *const standing_title[] = { "evidence", "weaker", "not evidence", "no result" };
const struct words reading_standing_words = {
	"reading_standing", standing_code, standing_title, 4
};

enum reading_standing reading_standing_of(enum reading_remark remark)
{
	switch (remark) {
	case REMARK_NONE:
		return READING_EVIDENCE;
	case REMARK_ONE_DIRECTION:
	case REMARK_CLIMATE:
		return READING_WEAKER;
	case REMARK_NO_TEMPERATURE:
	case REMARK_NO_MATERIAL:
	case REMARK_LEADS_NOT_RECORDED:
	case REMARK_LEADS_TOO_LARGE:
	case REMARK_OTHER_QUANTITY:
	case REMARK_NO_JOINT_LENGTH:
	case REMARK_LEADS_ZERO:
	case REMARK_LUG_ONLY:
		return READING_NOT_EVIDENCE;
	default:
		return READING_NO_RESULT;
	}
}

double reading_alpha20(enum material material)
{
	return material == MATERIAL_ALUMINIUM ? 0.00403 : 0.00393;
}

static void clear(struct reading *reading)
{
	reading->r_uohm = reading->r20_uohm = reading->thermal_uv = NAN;
	reading->equivalent_m = reading->added_m = NAN;
}

/* Returns false, so that a step can end "return remark(...)". */
static bool remark(struct reading *reading, enum reading_remark which)
{
	enum reading_standing standing = reading_standing_of(which);

	reading->remarks |= 1u << which;
	if (standing > reading->standing) {
		reading->standing = standing;
		reading->remark = which;
	}
	return false;
}

/* What is written down at all must be a number that can be meant. */
static bool check_values(const struct reading_values *v, struct reading *reading)
{
	const double all[] = { v->forward_uv, v->reverse_uv, v->current_a, v->shown_uohm,
		v->lead_uohm, v->rail_uv, v->rail_m, v->joint_m, v->temp_c };

	for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
		if (isinf(all[i])) {
			return remark(reading, REMARK_NOT_FINITE);
		}
	}
	if (v->current_a <= 0 || v->current_a > READING_MOST_A) {
		return remark(reading, REMARK_CURRENT_ABSURD);
	}
	if (v->temp_c < READING_LEAST_C || v->temp_c > READING_MOST_C) {
		return remark(reading, REMARK_TEMPERATURE_ABSURD);
	}
	if (v->lead_uohm < 0) {
		return remark(reading, REMARK_LEADS_NEGATIVE);
	}
	if (v->quantity == QUANTITY_RAIL_DROP && v->method != READING_VOLTAGE_DROP) {
		return remark(reading, REMARK_OTHER_METHOD);
	}
	return true;
}

/* The voltage that the current alone makes: larger than the thermal one, or the sign is wrong. */
static bool voltage(const struct reading_values *v, struct reading *reading, double *uv)
{
	bool forward = !isnan(v->forward_uv), reverse = !isnan(v->reverse_uv);

	if (forward && reverse) {
		double thermal_uv = v->forward_uv / 2 + v->reverse_uv / 2;

		*uv = v->forward_uv / 2 - v->reverse_uv / 2;
		/* not so when the two have one sign, or one of them is zero */
		if (fabs(thermal_uv) >= fabs(*uv) && thermal_uv != 0) {
			return remark(reading, REMARK_SAME_SIGN);
		}
		reading->thermal_uv = thermal_uv;
		return true;
	}
	if (!forward && !reverse) {
		return remark(reading, REMARK_NOTHING_MEASURED);
	}
	*uv = forward ? v->forward_uv : -v->reverse_uv;
	remark(reading, REMARK_ONE_DIRECTION);
	return true;
}

/* The resistance between the instrument's contacts, leads included. */
static bool measured(const struct reading_values *v, struct reading *reading, double *uohm)
{
	double uv;

	if (isnan(v->forward_uv) && isnan(v->reverse_uv) && !isnan(v->shown_uohm)) {
		*uohm = v->shown_uohm;
		return true;
	}
	if (!voltage(v, reading, &uv)) {
		return false;
	}
	if (isnan(v->current_a)) {
		return remark(reading, REMARK_NO_CURRENT);
	}
	*uohm = uv / v->current_a;
	return true;
}

static void take_off_leads(const struct reading_values *v, struct reading *reading, double *uohm)
{
	if (isnan(v->lead_uohm)) {
		remark(reading, REMARK_LEADS_NOT_RECORDED);
		return;
	}
	*uohm -= v->lead_uohm;
	if (!(v->lead_uohm > 0)) {
		remark(reading, REMARK_LEADS_ZERO);
	} else if (*uohm < 10 * v->lead_uohm) {
		remark(reading, REMARK_LEADS_TOO_LARGE);
	}
}

static void to_20_degrees(const struct reading_values *v, struct reading *reading)
{
	if (v->quantity != QUANTITY_END_TO_END) {
		if (v->is_lug_only) {
			remark(reading, REMARK_LUG_ONLY);
		}
		reading->r20_uohm = reading->r_uohm;
		return;
	}
	if (isnan(v->temp_c)) {
		remark(reading, REMARK_NO_TEMPERATURE);
	} else if (v->is_climate) {
		remark(reading, REMARK_CLIMATE);
	}
	if (v->material < 0) {
		remark(reading, REMARK_NO_MATERIAL);
	}
	if (!isnan(v->temp_c) && v->material >= 0) {
		reading->r20_uohm = reading->r_uohm /
			(1 + reading_alpha20((enum material)v->material) * (v->temp_c - 20));
	}
}

static bool resistance(const struct reading_values *v, struct reading *reading)
{
	double uohm;

	if (!measured(v, reading, &uohm)) {
		return false;
	}
	if (v->method == READING_TWO_WIRE) {
		take_off_leads(v, reading, &uohm);
	}
	if (uohm <= 0) {
		return remark(reading, REMARK_NOT_POSITIVE);
	}
	if (uohm < READING_LEAST_UOHM) {
		return remark(reading, REMARK_TOO_SMALL);
	}
	if (uohm > READING_MOST_UOHM) {
		return remark(reading, REMARK_TOO_LARGE);
	}
	reading->r_uohm = uohm;
	to_20_degrees(v, reading);
	return true;
}

static bool equivalent(const struct reading_values *v, struct reading *reading)
{
	double joint_uv, m;

	if (!voltage(v, reading, &joint_uv)) {
		return false;
	}
	if (isnan(v->rail_uv) || isnan(v->rail_m)) {
		return remark(reading, REMARK_NO_RAIL);
	}
	if (v->rail_uv == 0 || v->rail_m <= 0 || v->rail_m > READING_MOST_RAIL_M ||
		v->joint_m < 0 || v->joint_m > READING_MOST_RAIL_M) {
		return remark(reading, REMARK_RAIL_ABSURD);
	}
	if (joint_uv == 0) {
		return remark(reading, REMARK_NOT_POSITIVE);
	}
	if ((joint_uv < 0) != (v->rail_uv < 0)) {
		return remark(reading, REMARK_RAIL_OPPOSED);
	}
	m = joint_uv / v->rail_uv * v->rail_m;
	if (m > READING_MOST_M) {
		return remark(reading, REMARK_TOO_LARGE);
	}
	reading->equivalent_m = m;
	reading->added_m = m - v->joint_m;
	if (v->quantity != QUANTITY_RAIL_DROP) {
		remark(reading, REMARK_OTHER_QUANTITY);
	}
	if (isnan(v->joint_m)) {
		remark(reading, REMARK_NO_JOINT_LENGTH);
	}
	return true;
}

void reading_compute(const struct reading_values *values, struct reading *reading)
{
	bool ok;

	clear(reading);
	reading->temp_u_k = values->temp_u_k;
	reading->remarks = 0;
	reading->remark = REMARK_NONE;
	reading->standing = READING_EVIDENCE;
	ok = check_values(values, reading) && (values->method == READING_VOLTAGE_DROP ?
		equivalent(values, reading) : resistance(values, reading));
	if (!ok) {
		clear(reading);
	}
}

double reading_worst_uohm(const struct reading_values *values)
{
	double uv = fmax(fabs(values->forward_uv), fabs(values->reverse_uv));
	struct reading_values worst = *values;
	struct reading reading;

	if (isnan(values->forward_uv) || isnan(values->reverse_uv)) {
		return NAN;
	}
	worst.forward_uv = uv;
	worst.reverse_uv = -uv;
	reading_compute(&worst, &reading);
	return values->quantity == QUANTITY_RAIL_DROP ? reading.added_m : reading.r20_uohm;
}
