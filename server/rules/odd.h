/*
 * Data that look wrong: nothing here is refused, somebody should look. All thresholds are common
 * practice, wide on purpose, so that what they catch is seldom right. Of bonds in service; what a
 * bond still to be surveyed lacks is no finding yet.
 *
 *   no_rail               an end is on a rail, and the track or the rail is not stated
 *   same_place            two bonds of one kind, on one rail, at most 0.1 m apart: one
 *                         bond registered twice, as a rule
 *   reading_far_off       a resistance more than 100 times, or less than a hundredth of, the median
 *                         of the bond's readings of that quantity, of which there are at least 3: a
 *                         slip of the unit, as a rule (mΩ for µΩ is a factor of 1,000)
 *   reading_no_evidence   a reading from which nothing follows, or which is no evidence
 *                         (rules/reading.h says why)
 *   no_installation_day   the installation day is not known
 *   ends_alike            nothing on record tells the two ends apart (rules/end_words.h)
 */
#ifndef RULES_ODD_H
#define RULES_ODD_H

#include "rules/reading.h"

enum odd { ODD_NO_RAIL, ODD_SAME_PLACE, ODD_READING_FAR_OFF, ODD_READING_NO_EVIDENCE,
	ODD_NO_INSTALLATION_DAY, ODD_ENDS_ALIKE, ODDS };
extern const struct words odd_words;

enum { ODD_PLACE_MM = 100, ODD_READINGS_LEAST = 3 };
#define ODD_FACTOR 100.0

/* The median of values that are finite, which are put in order; NAN when there are none. */
double odd_median(double *values, size_t count);

/* count: of the readings that the median is of. An r20_uohm that is no number is not far off. */
bool odd_reading_is_far_off(double r20_uohm, double median_uohm, size_t count);

bool odd_reading_is_no_evidence(enum reading_remark remark);

/* How many rows each thing gives of one bond, in one number, and back. Negative: more than fit, or
 * not counted: any may be there. (rows >> ODD_BITS * what & ODD_MOST is one of them.) */
enum { ODD_BITS = 10, ODD_MOST = (1 << ODD_BITS) - 1 };
int64_t odd_pack(const int64_t rows[ODDS]);
void odd_unpack(int64_t packed, int64_t rows[ODDS]);

#endif
