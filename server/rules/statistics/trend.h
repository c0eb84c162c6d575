/*
 * The trend of one quantity of a bond since its newest attachment, and when its limit may be
 * crossed, if it goes on as it has.
 *
 * A reading's scatter is fixed beforehand: from the first reading's value y1 and the rulebook,
 * never from the readings' own distances to the line (three points show next to nothing), and never
 * from a reading's own size (a reading three times as high would pull less than one 1.5 times as
 * high).
 *
 *   sigma        y1 max(r, s); r = 1/2 √((alpha20 U_T)² + repeatability² + what the entry
 *                adds²), s the rulebook's scatter of the kind and quantity. A rail drop has e1,
 *                the first reading's length before the joint's own is taken off, in the place of
 *                y1. Never less than a ten-thousandth of it (our own): nobody reads better
 *   common       to a meter's readings: 1/2 (a y1 + b); of a rail drop a e1
 *   lines        two (trend_line.h): of all readings, and of the newest: the smallest number of at
 *                least 4 that spans 730 days. A bond stays flat and then climbs: one line through
 *                both is late by years
 *   rising       slope over 3.2 of its errors, for either line; perhaps: over 2. Only a rising line
 *                foretells
 *   crosses      the first day after the last reading on which the line is at or over the limit
 *   may cross    the first on which its band for a further reading is, 95 % two-sided; the further
 *                reading's sigma is max(r, s) max(y1, limit), of a rail drop sigma. Each day is the
 *                earlier of the rising lines'
 *
 * Of two bonds that differ in a last reading alone, the one with the higher is not less rising, and
 * neither of its days is later or missing. That follows from the fixed scatter, and holds though
 * the last reading is over the limit already: the days are given then too, for what must not move
 * later, and the lack says that there is nothing left to foretell.
 *
 * What must not be claimed: that of bonds without a trend one in twenty at most is ever told
 * "rising" holds for readings a quarter of a year apart or more whose errors are independent. Of
 * "perhaps rising" it is every fourth or fifth: it moves no due day. After a bend the first days
 * told are too late. Rising is not soon bad.
 *
 * Theil and Sen's slope (theil_sen.h) stands beside the line of all readings, and decides nothing.
 */
#ifndef RULES_STATISTICS_TREND_H
#define RULES_STATISTICS_TREND_H

#include "base/table.h"
#include "rules/statistics/trend_line.h"
#include "rules/terms.h"

enum {
	TREND_LEAST_POINTS = 3, TREND_LEAST_DAYS = 180,
	TREND_NEWEST_POINTS = 4, TREND_NEWEST_DAYS = 730,
	TREND_FAR_SPANS = 3           /* a day farther than so many times the days read is told greyed */
};

enum trend_lines { TREND_OF_ALL, TREND_OF_NEWEST, TREND_LINES };
extern const struct words trend_line_words;

enum trend_rise { TREND_NOT_RISING, TREND_PERHAPS, TREND_RISING };
extern const struct words trend_rise_words;

/* Why no day is foretold. */
enum trend_lack {
	TREND_COMPLETE,               /* one is */
	TREND_FEW_READINGS,           /* fewer than 3 readings */
	TREND_TOO_SHORT,              /* over fewer than 180 days */
	TREND_NO_RISE,                /* not rising */
	TREND_NO_LIMIT,
	TREND_OVER,                   /* a reading of the last day is at or over the limit */
	TREND_FAR,                    /* both days are later than a hundred years */
	TREND_NO_PROOF                /* perhaps rising */
};
extern const struct words trend_lack_words;

/* What is the same for all readings. Shares are of the value: 0.02 is 2 %. */
struct trend_facts {
	enum quantity quantity;
	double limit;                 /* NAN: none */
	double first_equivalent_m;    /* e1; of a rail drop only */
	double temp_share;            /* alpha20 U_T, k = 2, where reduced to 20 °C; else 0 */
	double repeat_share;          /* repeatability, k = 2 */
	double scatter_share;         /* s, one standard deviation */
};

struct trend {
	size_t n;
	int32_t first_day, last_day;  /* DAY_NONE when n is 0 */
	bool fitted;                  /* false: too few or too short; nothing below but the lack then */
	int lines;                    /* 1: the newest that span 730 days are all, or do not */
	struct trend_line line[TREND_LINES];
	double sigma_next;            /* of a further reading */
	enum trend_rise rise;         /* of the steeper, in terms of its errors */
	double theil_sen_per_day, theil_sen_at_mean;   /* at the mean day of the line of all */
	enum trend_lack lack;
	/* DAY_NONE: no rising line, no limit, or later than a hundred years. Of equal days that of the
	 * newest counts. */
	int32_t crosses_day, early_day;    /* early: may cross */
	enum trend_lines crosses_line, early_line;
	bool crosses_is_far, early_is_far; /* farther than 3 times the days over which its line was read */
	/* Fieller's bounds, 95 %, of the day on which crosses_line is at the limit: whole days
	 * outwards, of those after the last reading; DAY_NONE with crosses_day, or later than a hundred
	 * years */
	int32_t crosses_low_day, crosses_high_day;
};

/* points: makes their sigma and common. Those of a last day may be in any order. */
void trend_compute(const struct trend_facts *facts, struct trend_point *points, size_t n,
	struct trend *to);

enum trend_rise trend_rise_of(const struct trend_line *line);

/* The last day that is not farther ahead than 3 times the days over which the line was read. */
int32_t trend_far_after(const struct trend_line *line);

#endif
