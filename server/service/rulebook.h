/* The rulebook as the register keeps it: versions, each a JSON document of rulebook_form. */
#ifndef SERVICE_RULEBOOK_H
#define SERVICE_RULEBOOK_H

#include "service/act.h"

/* The newest version that holds on a day; the default (version 1) when none was adopted. */
bool rulebook_in_force(struct store *store, int32_t day, struct rulebook *to,
	struct problem *why);

#endif
