/* Sessions: kept as the hash of a random token that only the browser has. */
#ifndef SERVICE_ACCESS_SESSION_H
#define SERVICE_ACCESS_SESSION_H

#include "derived/act.h"
#include "store/record/person.h"

enum { SESSION_TOKEN_SIZE = 44 };

/* Sessions end after this long, whatever happens. */
enum { SESSION_HOURS = 14 };

/* Begins a session: writes the token (SESSION_TOKEN_SIZE bytes) that the browser keeps. A person
 * who was changed since it was read (another password, may no longer sign in) has none:
 * PROBLEM_SIGN_IN. */
bool session_begin(struct act *act, const struct person *person, char *token,
	struct problems *why);

/* The person of a token; person->id is 0 when the session ended or never was, or the person may
 * no longer sign in. */
bool session_person(struct store *store, const char *token, int64_t now_ms,
	struct person *person, struct problem *why);

bool session_end(struct act *act, const char *token, struct problems *why);

#endif
