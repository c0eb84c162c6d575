#include "rules/tablet_member.h"
#include "rules/uncertainty.h"

enum { CALIBRATIONS_MOST = 200 };

struct question {
	int32_t day;
	struct form_list calibrations;   /* struct tablet_calibration */
};

static const struct member meter_members[] = {
	TABLET_WORD(tablet_meter_facts, standing, "Standing", meter_standing_words),
	TABLET_REAL(tablet_meter_facts, percent, "Of the reading", "%"),
	TABLET_REAL(tablet_meter_facts, uohm, "And", "µΩ"),
	{ 0 }
};
const struct form tablet_meter_form = { "TabletMeter", meter_members,
	sizeof(struct tablet_meter_facts) };

static const struct member question_members[] = {
	TABLET_DAY(question, day, "Day of the reading"),
	TABLET_LIST(question, calibrations, "Calibrations", tablet_calibration_form),
	{ 0 }
};
static const struct form question_form = { "TabletCalibrations", question_members,
	sizeof(struct question) };

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	const struct tablet_calibration *given = q->calibrations.items;
	struct tablet_meter_facts *to = out;
	struct calibration calibrations[CALIBRATIONS_MOST];
	/* the newest are the last, and one of them covers the day of a visit */
	size_t skip = q->calibrations.count > CALIBRATIONS_MOST ?
		q->calibrations.count - CALIBRATIONS_MOST : 0;
	struct meter meter;

	(void)rulebook;
	for (size_t i = skip; i < q->calibrations.count; i++) {
		calibrations[i - skip] = (struct calibration){ given[i].calibrated_day, given[i].due_day,
			given[i].percent, given[i].uohm };
	}
	meter_on(calibrations, q->calibrations.count - skip, q->day, &meter);
	to->standing = (int)meter.standing;
	to->percent = meter.percent;
	to->uohm = meter.uohm;
}

const struct tablet_rule tablet_meter = { "meter", &question_form, &tablet_meter_form, answer };
