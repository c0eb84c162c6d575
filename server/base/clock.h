/* The only readings of the clock. Everything in rules/ and store/ is given the time. */
#ifndef BASE_CLOCK_H
#define BASE_CLOCK_H

#include <stdint.h>

int64_t clock_now_ms(void);        /* UTC, since 1970 */
int64_t clock_monotonic_ms(void);  /* for deadlines */

/* The railway's civil day now: in the zone of the TZ environment variable, or the machine's. */
int32_t clock_today(void);

#endif
