/* Who is said to have done what is recorded, beside who enters it. */
#ifndef SERVICE_RECORD_DOER_H
#define SERVICE_RECORD_DOER_H

#include "derived/act.h"

/*
 * By the name that was sent: the one active person of that name, or else (*person_id 0) the name
 * itself, borrowed. NULL: who is signed in; of a file that somebody takes in, nobody is said to
 * have done it. "": not stated.
 */
bool doer_read(struct act *act, const char *name, int64_t *person_id, const char **person_name,
	struct problems *why);

#endif
