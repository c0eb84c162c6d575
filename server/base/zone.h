/*
 * Time zones by their names in the machine's zone database, and the one that this process goes by.
 *
 * The process has one zone, as it has one register: base/clock.h says which day an instant is on
 * in it. It is set before threads start, and once more when an administrator has answered for a
 * register that had none; glibc then swaps one pointer of the environment and keeps what it
 * pointed to, and whoever asks for a day at that moment gets the one zone or the other.
 */
#ifndef BASE_ZONE_H
#define BASE_ZONE_H

#include <stdbool.h>

#include "base/problem.h"

enum { ZONE_NAME_SIZE = 64 };

/* True when the name has a file in the zone database. False: a sentence at `field`. Refused too:
 * a path, what counts leap seconds (clocks here do not), and what is no zone of its own but the
 * machine's. */
bool zone_check(const char *name, const char *field, struct problem *why);

/* The process goes by the zone from now on; "": by the machine's, which the environment or the
 * system names. False: as zone_check, and the zone stays as it was. */
bool zone_use(const char *name, struct problem *why);

/* The name of the machine's own zone; "" when it has none that zone_check takes. */
void zone_machine(char to[ZONE_NAME_SIZE]);

#endif
