/* The check of a kit before a shift. */
#ifndef SERVICE_KIT_CHECK_H
#define SERVICE_KIT_CHECK_H

#include "service/act.h"
#include "store/kit_check.h"

/* Keeps it. A kit has passed when all of it is good. */
bool kit_check_record(struct act *act, const struct kit_check *check, struct recorded *recorded,
	struct problems *why);

#endif
