/* What people may do and until when, and the service of kits. */
#ifndef SERVICE_RECORD_COMPETENCE_H
#define SERVICE_RECORD_COMPETENCE_H

#include "derived/act.h"
#include "store/record/competence.h"

/* A further row; the last one of a person and a name counts. One that was taken away ends on a day
 * that is past. */
bool competence_set(struct act *act, const struct competence_new *form, struct recorded *recorded,
	struct problems *why);

/* A service that was made: not after today, the next one due later. */
bool kit_service_record(struct act *act, const struct kit_service_new *form,
	struct recorded *recorded, struct problems *why);

#endif
