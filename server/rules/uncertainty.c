#include "rules/uncertainty.h"

#include <math.h>

static const char *const standing_code[] = {
	"in_calibration", "not_recorded", "out_of_calibration", "never_calibrated", "found_out", "stated"
};
static const char *const standing_title[] = {
	"the instrument was in calibration on the day of the reading",
	"not evidence: no instrument was recorded",
	"not evidence: the instrument was out of calibration on the day of the reading",
	"not evidence: the instrument has no calibration on record from before the reading",
	"not evidence: the next calibration found the instrument out of its limits",
	"an engineer has stated on record what the import was measured with"
};
const struct words meter_standing_words = {
	"meter_standing", standing_code, standing_title, 6
};

static const char *const found_code[] = { "not_stated", "within_limits", "out_of_limits" };
static const char *const found_title[] = { "not stated", "within its limits", "out of its limits" };
const struct words as_found_words = { "as_found", found_code, found_title, 3 };

static const char *const figure_code[] = { "expanded", "limit" };
static const char *const figure_title[] = { "expanded uncertainty, k = 2", "accuracy limit" };
const struct words figure_kind_words = { "figure_kind", figure_code, figure_title, 2 };

double calibration_u95(double figure, enum figure_kind kind)
{
	return kind == FIGURE_LIMIT ? figure * 2 / sqrt(3) : figure;
}

bool meter_can(const struct meter *meter, enum reading_method method)
{
	return meter->methods == 0 || (meter->methods >> method & 1) != 0;
}

void meter_on(const struct calibration *calibrations, size_t count, int32_t day,
	struct meter *meter)
{
	const struct calibration *newest = NULL, *next = NULL;

	for (size_t i = 0; i < count; i++) {
		const struct calibration *one = &calibrations[i];

		if (one->calibrated_day <= day &&
			(newest == NULL || one->calibrated_day >= newest->calibrated_day)) {
			newest = one;
		}
		if (one->calibrated_day > day &&
			(next == NULL || one->calibrated_day <= next->calibrated_day)) {
			next = one;
		}
	}
	*meter = (struct meter){ METER_NEVER_CALIBRATED, NAN, NAN };
	if (newest != NULL) {
		/* (on the day itself it may have been read with before) */
		bool found_out = (next != NULL && next->as_found == AS_FOUND_OUT) ||
			(newest->calibrated_day == day && newest->as_found == AS_FOUND_OUT);

		meter->standing = found_out ? METER_FOUND_OUT : newest->due_day < day ?
			METER_OUT_OF_CALIBRATION : METER_IN_CALIBRATION;
		meter->percent = newest->percent;
		meter->uohm = newest->uohm;
	}
}

bool meter_believed(enum meter_standing standing)
{
	return standing == METER_IN_CALIBRATION || standing == METER_STATED;
}

void temperature_take(const struct rulebook *rulebook, int month, struct reading_values *values)
{
	const struct rulebook_climate *climate;

	values->temp_u_k = rulebook->temp_uncertainty_k;
	if (values->quantity != QUANTITY_END_TO_END) {
		return;
	}
	if (!isnan(values->temp_c)) {
		if (values->is_carried && values->temp_u_k < rulebook->carried_temp_k) {
			values->temp_u_k = rulebook->carried_temp_k;
		}
		return;
	}
	if (month < 1 || month > RULEBOOK_MONTHS) {
		return;
	}
	climate = &rulebook->climate[month - 1];
	values->is_climate = true;
	values->temp_c = (climate->low_c + climate->high_c) / 2;
	values->temp_u_k = (climate->high_c - climate->low_c) / 2;
}

static double temp_u_k(const struct rulebook *rulebook, const struct reading *reading)
{
	return reading->temp_u_k > 0 ? reading->temp_u_k : rulebook->temp_uncertainty_k;
}

/* The parts alone; NAN where one does not follow. */
static void parts(const struct rulebook *rulebook, const struct reading *reading,
	enum quantity quantity, int material, const struct meter *meter, struct uncertainty *to)
{
	bool assumed = !meter_believed(meter->standing) && isnan(meter->percent);
	double share = (assumed ? rulebook->unknown_meter_percent : meter->percent) / 100;
	double added_uohm = assumed ? rulebook->unknown_meter_uohm : meter->uohm;
	double repeat_share = rulebook->repeatability_percent / 100;
	double to_20 = 1;

	to->temp_uohm = 0;
	if (quantity == QUANTITY_RAIL_DROP) {
		to->meter_uohm = 2 * share * reading->equivalent_m;
		/* no value without the rail over the joint, though it does not enter */
		to->repeat_uohm = isnan(reading->added_m) ? NAN : repeat_share * reading->equivalent_m;
		return;
	}
	if (quantity == QUANTITY_END_TO_END) {
		to_20 = reading->r20_uohm / reading->r_uohm;
		to->temp_uohm = material < 0 ? NAN : reading->r20_uohm * to_20 *
			reading_alpha20((enum material)material) * temp_u_k(rulebook, reading);
	}
	to->meter_uohm = (share * reading->r_uohm + added_uohm) * to_20;
	to->repeat_uohm = repeat_share * reading->r20_uohm;
}

void uncertainty_compute(const struct rulebook *rulebook, const struct reading *reading,
	enum quantity quantity, int material, const struct meter *meter, struct uncertainty *to)
{
	const struct uncertainty none = { NAN, NAN, NAN, NAN };

	*to = none;
	if (reading->standing == READING_NO_RESULT) {
		return;
	}
	parts(rulebook, reading, quantity, material, meter, to);
	if (!(to->meter_uohm >= 0 && to->temp_uohm >= 0 && to->repeat_uohm >= 0)) {
		*to = none;
		return;
	}
	to->u95_uohm = sqrt(to->meter_uohm * to->meter_uohm + to->temp_uohm * to->temp_uohm +
		to->repeat_uohm * to->repeat_uohm);
}
