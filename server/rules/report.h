/*
 * What a report says of an inspection and of a day.
 *
 * An inspection is on time when it was made on or before the last day of grace of the inspection
 * that was due then:
 *
 *   due then        as the due list showed it: by the record of the day before and the rulebook
 * that held, with the interval shortened for what was known, by a forecast, by what the proof
 * lacked (rules/judge/due.h) on time         day <= due then + grace deferred        it was put off
 * on the day: neither on time nor late not judged      a commissioning and a visit after a failure
 * (no inspection asked for them), and the first inspection of a bond whose installation day is not
 * known
 */
#ifndef RULES_REPORT_H
#define RULES_REPORT_H

#include "rules/judge/due.h"

enum timely { TIMELY_ON_TIME, TIMELY_LATE, TIMELY_NOT_JUDGED, TIMELY_DEFERRED };
extern const struct words timely_words;

struct report_timely {
	enum timely is;
	int32_t due_day;       /* DAY_NONE when not judged; likewise below */
	int32_t last_day;      /* of grace: the last one on time */
	int32_t days_over;     /* day - due_day: negative when before it; 0 when not judged */
};

/* Whether a complete inspection of this purpose is judged at all. */
bool report_is_judged(enum purpose purpose);

/* Judges a complete inspection of `day`. due is what was due of the bond before it. */
void report_timely(const struct due *due, enum purpose purpose, int32_t day,
	struct report_timely *to);

/*
 * Was the bond there and in service on a day, by what is registered of it now? It was when it had
 * been installed (or, when that day is not known, registered) and was not yet removed. A removed
 * bond whose removal day is not known counts on no day.
 */
bool report_in_service_on(enum bond_status status, int32_t installed_day, int32_t removed_day,
	int32_t known_since_day, int32_t day);

/* Ages of what is overdue, by the days since the due day; both limits belong to the band. */
enum { REPORT_BANDS = 4 };
struct report_band {
	int32_t from_days, to_days;
};
extern const struct report_band report_bands[REPORT_BANDS];   /* the last has no end: INT32_MAX */

/* days_over at least 1. */
int report_band_of(int32_t days_over);

#endif
