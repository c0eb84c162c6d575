/*
 * How far a reading may be off, and whether its instrument may be believed at all.
 *
 *   U² = ((a R + b) f)² + (R20 alpha20 U_T f)² + (repeatability)²      all k = 2, in µΩ
 *
 * U_T is the rulebook's, more where the temperature was carried from another bond; where none was
 * noted it is half the span of what the month may bring (temperature_take).
 *
 * f = R20 / R is what the reduction to 20 °C makes of R: by the law of propagation (JCGM 100,
 * 5.1.2) it does the same to what R is off, so that a cold conductor is not believed too well; 1
 * for a contact.
 *
 * a R + b are the instrument's figures on the day of the reading. The temperature counts only where
 * the value was reduced to 20 °C. A reading without a recorded instrument, and one of an
 * instrument that was out of calibration on that day, never calibrated, or found out of its limits
 * by the next calibration (since when is not known), is no evidence; what it may be off is computed
 * all the same, by the rulebook's assumed figures where there are no others, to know whether it
 * must be asked.
 */
#ifndef RULES_UNCERTAINTY_H
#define RULES_UNCERTAINTY_H

#include "rules/reading.h"
#include "rules/rulebook.h"

/* The numbers are stored: only add at the end. */
enum meter_standing {
	METER_IN_CALIBRATION,
	METER_NOT_RECORDED,           /* no instrument */
	METER_OUT_OF_CALIBRATION,     /* on the day of the reading */
	METER_NEVER_CALIBRATED,       /* no calibration on record that covers the day */
	METER_FOUND_OUT,              /* the next calibration found it out of its limits */
	METER_STATED                  /* of an import, by an engineer's word on record */
};
extern const struct words meter_standing_words;

struct meter {
	enum meter_standing standing;
	double percent, uohm;         /* k = 2, of its calibration; NAN otherwise */
	int64_t methods;              /* bit n: it can do enum reading_method n; 0: not stated, all */
};
bool meter_can(const struct meter *meter, enum reading_method method);

/* How a calibration found the instrument, before it was adjusted. The numbers are stored. */
enum as_found { AS_FOUND_NOT_STATED, AS_FOUND_WITHIN, AS_FOUND_OUT };
extern const struct words as_found_words;

/* What the figures of an instrument are. The numbers are stored. */
enum figure_kind { FIGURE_EXPANDED, FIGURE_LIMIT };
extern const struct words figure_kind_words;

/* The figure as k = 2. Of a limit nothing is known but that the error is no greater: u = limit /
 * √3 (JCGM 100, 4.3.7). */
double calibration_u95(double figure, enum figure_kind kind);

/* Which of an instrument's calibrations covers a day: the newest made on or before it, of several
 * made on one day the last in the list. None: METER_NEVER_CALIBRATED. The earliest after the day
 * says how it was on that day; one made on the day itself says both. */
struct calibration {
	int32_t calibrated_day, due_day;   /* the due day itself still counts */
	double percent, uohm;              /* k = 2 */
	enum as_found as_found;
};
void meter_on(const struct calibration *calibrations, size_t count, int32_t day,
	struct meter *meter);

/* Whether its readings may be evidence. */
bool meter_believed(enum meter_standing standing);

/* Gives an end-to-end reading the temperature that it is reduced with, and what that may be off:
 * as noted, carried, or of the month (1 to 12; 0: not known, then nothing is given). */
void temperature_take(const struct rulebook *rulebook, int month, struct reading_values *values);

/* The parts of U, each k = 2, in µΩ. All NAN when the reading has no value to be off, and when a
 * figure of the meter is not known or negative. */
struct uncertainty {
	double meter_uohm, temp_uohm, repeat_uohm;
	double u95_uohm;              /* U of R20 */
};
/* R is the resistance at the temperature at which it was measured, leads taken off; the
 * repeatability is a share of R20. material -1: not known. Of QUANTITY_RAIL_DROP all parts and U
 * are in metres of rail, shares of its equivalent length: only the repeatability counts, and twice
 * the meter's percentage (two voltages). */
void uncertainty_compute(const struct rulebook *rulebook, const struct reading *reading,
	enum quantity quantity, int material, const struct meter *meter, struct uncertainty *to);

#endif
