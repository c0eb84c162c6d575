/* Temporary bridges, put on and taken off. */
#ifndef SERVICE_RECORD_BRIDGE_H
#define SERVICE_RECORD_BRIDGE_H

#include "derived/act.h"
#include "store/record/bridge.h"

/* Keeps that one was put on. A bond may have several. */
bool bridge_record(struct act *act, const struct bridge_new *form, struct recorded *recorded,
	struct problems *why);

/* Keeps that it was taken off: not before it was put on, and once. Said wrongly, it is withdrawn,
 * and the bridge is on again. */
bool bridge_off_record(struct act *act, const struct bridge_off_new *form,
	struct recorded *recorded, struct problems *why);

#endif
