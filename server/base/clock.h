/* The only readings of the clock, and of the calendar on the wall: everything in rules/ is given
 * both. */
#ifndef BASE_CLOCK_H
#define BASE_CLOCK_H

#include <stdint.h>

int64_t clock_now_ms(void);        /* UTC, since 1970 */
int64_t clock_monotonic_ms(void);  /* for deadlines */

/* The civil day of an instant in the zone that the process goes by (base/zone.h): the register's
 * own. DAY_NONE: of no year from 1800 to 2999. */
int32_t clock_day_of(int64_t instant_ms);
int32_t clock_today(void);

#endif
