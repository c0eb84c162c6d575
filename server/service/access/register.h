/*
 * The register as a whole: its time zone and the day on which it began.
 *
 * A register from before it had a zone has none on record. It goes by the machine's, as before,
 * until an administrator says which zone the railway is in.
 */
#ifndef SERVICE_ACCESS_REGISTER_H
#define SERVICE_ACCESS_REGISTER_H

#include "base/form.h"
#include "base/zone.h"
#include "derived/act.h"

struct register_zone {
	const char *zone, *reason;
};
extern const struct form register_zone_form;

/* What is known of the register. */
struct register_facts {
	char zone[ZONE_NAME_SIZE];          /* "": none is on record, and the machine's is used */
	char machine_zone[ZONE_NAME_SIZE];  /* to be proposed; "": not known */
	int32_t began_day;                  /* on record, or else when its file was made */
};
bool register_facts(struct store *store, struct register_facts *to, struct problem *why);

/* This process counts days in the register's zone from now on. At the start, before threads, and
 * whenever the zone may have been answered. False: the machine does not have that zone. */
bool register_clock(struct store *store, struct problem *why);

/* A fresh register: its zone, and the day on which it begins; DAY_NONE: today. An earlier one is of
 * a register that was kept elsewhere so far: what was made since then is due for commissioning. */
bool register_begin(struct act *act, const char *zone, int32_t began_day, struct problems *why);

/* The zone is said, or changed for a reason; what is derived is to be made again, because days are
 * other ones. The same zone again is `already`. register_clock must follow. */
bool register_set_zone(struct act *act, const struct register_zone *form,
	struct recorded *recorded, struct problems *why);

#endif
