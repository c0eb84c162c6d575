/* Withdrawing what many bonds are judged by. Internal to service/record/withdrawal.c. */
#ifndef SERVICE_RECORD_WITHDRAWAL_KNOWN_H
#define SERVICE_RECORD_WITHDRAWAL_KNOWN_H

#include "service/record/withdrawal.h"

/* w has the number of a ruling. *known: it is on an import, which many bonds are judged by. The one
 * that confirmed a correction is refused. */
bool withdrawal_of_ruling(struct act *act, const struct withdrawal *w, bool *known,
	struct problems *why);

/* A calibration, conductor or rail profile by its number; or a ruling on an import, which w names.
 * What rests on it is marked, for the keeper to make again. */
bool withdrawal_of_known(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	struct problems *why);

#endif
