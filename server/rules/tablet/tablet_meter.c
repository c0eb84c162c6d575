#include "rules/tablet/tablet_member.h"
#include "rules/uncertainty.h"

enum { CALIBRATIONS_MOST = 200 };

struct question {
	int32_t day;
	int64_t methods;
	struct form_list calibrations;   /* struct tablet_calibration */
};

static const struct member meter_members[] = {
	TABLET_WORD(tablet_meter_facts, standing, "Standing", meter_standing_words),
	TABLET_REAL(tablet_meter_facts, percent, "Of the reading", "%"),
	TABLET_REAL(tablet_meter_facts, uohm, "And", "µΩ"),
	TABLET_INTEGER(tablet_meter_facts, methods, "What it can do, as bits", NULL),
	{ 0 }
};
const struct form tablet_meter_form = { "TabletMeter", meter_members,
	sizeof(struct tablet_meter_facts) };

static const struct member question_members[] = {
	TABLET_DAY(question, day, "Day of the reading"),
	TABLET_INTEGER(question, methods, "What it can do, as bits", NULL),
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
	/* the newest are the last, and two of them are about the day of a visit */
	size_t skip = q->calibrations.count > CALIBRATIONS_MOST ?
		q->calibrations.count - CALIBRATIONS_MOST : 0;
	struct meter meter;

	(void)rulebook;
	for (size_t i = skip; i < q->calibrations.count; i++) {
		calibrations[i - skip] = (struct calibration){ given[i].calibrated_day, given[i].due_day,
			given[i].percent, given[i].uohm, given[i].as_found == AS_FOUND_OUT ? AS_FOUND_OUT :
			AS_FOUND_NOT_STATED };
	}
	meter_on(calibrations, q->calibrations.count - skip, q->day, &meter);
	to->standing = (int)meter.standing;
	to->percent = meter.percent;
	to->uohm = meter.uohm;
	to->methods = q->methods;
}

const struct tablet_rule tablet_meter = { "meter", &question_form, &tablet_meter_form, answer };
