/* What holds for the register as a whole: its time zone, the day on which it began. */
#ifndef STORE_SETTING_H
#define STORE_SETTING_H

#include "store/record/line.h"

enum setting {
	SETTING_ZONE,                 /* a name of the zone database */
	SETTING_BEGAN_DAY,            /* YYYY-MM-DD, in that zone */
	SETTING_FACTOR_ROLES          /* of whom a second factor is required: ",crew,planner," */
};

enum { SETTING_VALUE_SIZE = 201 };

/* What is said last; "" when nothing is. */
bool store_setting_get(struct store *store, enum setting setting, char to[SETTING_VALUE_SIZE],
	struct problem *why);

/* A further version. reason: NULL or "" for none. */
bool store_setting_put(struct store *store, enum setting setting, const char *value,
	const char *reason, const struct origin *origin, struct problem *why);

/* When the file was made: of a register without a day on record, the instant at which it began. */
bool store_made_at(struct store *store, int64_t *instant_ms, struct problem *why);

#endif
