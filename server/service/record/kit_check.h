/* The check of a kit before a shift. */
#ifndef SERVICE_RECORD_KIT_CHECK_H
#define SERVICE_RECORD_KIT_CHECK_H

#include "derived/act.h"
#include "store/record/kit_check.h"

/* Keeps it. A kit has passed when all of it is good. */
bool kit_check_record(struct act *act, const struct kit_check *check, struct recorded *recorded,
	struct problems *why);

#endif
