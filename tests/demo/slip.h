/* Slips of whoever writes down a reading, and readings that are truly over their limit. */
#ifndef TESTS_DEMO_SLIP_H
#define TESTS_DEMO_SLIP_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "random.h"
#include "service/record/inspection.h"

/* LEADS and TWO_AS_FOUR are of two-wire readings, FOUR_AS_TWO of four-wire ones. */
enum slip {
	SLIP_UNIT_UP, SLIP_UNIT_DOWN, SLIP_POINT_UP, SLIP_POINT_DOWN, SLIP_DIGIT_LOST, SLIP_SIGN,
	SLIP_LEADS_ZERO, SLIP_LEADS_UNKNOWN, SLIP_LEADS_TEN_TIMES, SLIP_TWO_AS_FOUR, SLIP_FOUR_AS_TWO,
	SLIPS,
	SLIP_DIGITS_SWAPPED = SLIPS, SLIP_OTHER_METER, SLIPS_AND_APART
};
static const char *const slip_names[SLIPS_AND_APART] = { "a thousand times", "a thousandth",
	"ten times", "a tenth", "a digit lost", "the sign of the voltage reversed", "leads of zero",
	"leads unknown", "leads ten times", "two-wire as four-wire", "four-wire as two-wire",
	"two digits swapped", "another valid meter" };

/* One figure as it is written, with a digit left out, or with two that differ swapped; false: it
 * has none such. */
static inline bool slip_digits(double *figure, bool swap, struct random *r)
{
	char written[40], slipped[40];
	size_t n = 0, len, at[40];

	snprintf(written, sizeof written, "%.10g", *figure);
	len = strlen(written);
	for (size_t i = 0; i < len; i++) {
		bool digit = written[i] >= '0' && written[i] <= '9';
		bool next = written[i + 1] >= '0' && written[i + 1] <= '9';

		if (digit && (!swap || (next && written[i] != written[i + 1]))) {
			at[n++] = i;
		}
	}
	if (n == 0) {
		return false;
	}
	size_t which = at[random_int(r, 0, (int)n - 1)];

	memcpy(slipped, written, sizeof slipped);
	if (swap) {
		slipped[which] = written[which + 1];
		slipped[which + 1] = written[which];
	} else {
		memmove(slipped + which, written + which + 1, len - which);
	}
	*figure = strtod(slipped, NULL);
	return true;
}

/* What was typed: the resistance shown, or of the voltages one, or both alike, or the current. */
static inline bool slip_figure(struct reading_new *to, enum slip slip, struct random *r)
{
	static const double times[] = { 1000, 0.001, 10, 0.1 };
	double *figures[3] = { &to->shown_uohm, NULL, NULL };

	if (isnan(to->shown_uohm)) {
		int which = random_int(r, 0, isnan(to->reverse_uv) ? 0 : isnan(to->current_a) ? 2 : 3);

		figures[0] = which == 3 ? &to->current_a : which == 1 ? &to->reverse_uv : &to->forward_uv;
		figures[1] = which == 2 ? &to->reverse_uv : NULL;
	}
	if (slip == SLIP_DIGIT_LOST || slip == SLIP_DIGITS_SWAPPED) {
		return slip_digits(figures[0], slip == SLIP_DIGITS_SWAPPED, r);
	}
	for (size_t i = 0; figures[i] != NULL; i++) {
		*figures[i] *= times[slip];
	}
	return true;
}

/* The reading with the slip; false: nothing of it can slip so. */
static inline bool slip_make(struct reading_new *to, enum slip slip, struct random *r)
{
	bool two_wire = to->method == READING_TWO_WIRE;

	switch (slip) {
	case SLIP_SIGN:
		to->reverse_uv = -to->reverse_uv;
		return !isnan(to->reverse_uv);
	case SLIP_LEADS_ZERO:
	case SLIP_LEADS_UNKNOWN:
	case SLIP_LEADS_TEN_TIMES:
		to->lead_uohm *= slip == SLIP_LEADS_ZERO ? 0 : slip == SLIP_LEADS_UNKNOWN ? NAN : 10;
		return two_wire;
	case SLIP_TWO_AS_FOUR:
		to->method = READING_FOUR_WIRE;
		return two_wire;
	case SLIP_FOUR_AS_TWO:
		two_wire = to->method != READING_FOUR_WIRE;
		to->method = READING_TWO_WIRE;
		to->lead_uohm = random_chance(r, 0.3) ? NAN : floor(random_between(r, 20, 210));
		return !two_wire;
	case SLIP_OTHER_METER:           /* the demo's first three can do four-wire */
		to->instrument_id = to->instrument_id == 1 ? 2 : 1;
		return to->method == READING_FOUR_WIRE;
	default:
		/* (a current outside these is refused where it is typed) */
		return slip_figure(to, slip, r) && !(to->current_a < 0.001 || to->current_a > 10000);
	}
}

/* The slip of the resistance itself, both voltages alike; false: nothing of it can slip so. */
static inline bool slip_value(struct reading_new *to, double value, enum slip slip, struct random *r)
{
	double slipped = floor(value * 10 + 0.5) / 10, times = slip == SLIP_POINT_UP ? 10 : 0.1;

	if (slip == SLIP_DIGIT_LOST || slip == SLIP_DIGITS_SWAPPED) {
		if (!slip_digits(&slipped, slip == SLIP_DIGITS_SWAPPED, r)) {
			return false;
		}
		times = slipped / value;
	}
	to->forward_uv *= times;
	to->reverse_uv *= times;
	to->shown_uohm = (to->shown_uohm - to->lead_uohm) * times + to->lead_uohm;
	return true;
}

/* The same reading of what has another value at 20 degrees: of `value` now, and `wanted` then. */
static inline void slip_scale(struct reading_new *to, double value, double wanted)
{
	double times = wanted / value;

	if (to->method == READING_VOLTAGE_DROP) {
		to->forward_uv = floor((wanted + to->joint_m) / to->rail_m * to->rail_uv + 0.5);
	} else if (!isnan(to->shown_uohm)) {
		to->shown_uohm = floor((to->shown_uohm - to->lead_uohm) * times + to->lead_uohm + 0.5);
	} else {
		double mean = (to->forward_uv - to->reverse_uv) / 2;
		double thermal = (to->forward_uv + to->reverse_uv) / 2;

		to->forward_uv = floor((mean * times + thermal) * 10 + 0.5) / 10;
		to->reverse_uv = floor((-mean * times + thermal) * 10 + 0.5) / 10;
	}
}

#endif
