/*
 * Sessions: kept as the hash of a random token that only the browser has. They end at the latest
 * after so many hours, after fewer when nothing was asked, and with the next sign-in on the same
 * device.
 */
#ifndef SERVICE_ACCESS_SESSION_H
#define SERVICE_ACCESS_SESSION_H

#include "derived/act.h"
#include "store/record/session.h"

enum { SESSION_TOKEN_SIZE = 44 };

/* Hours of a role: a crew's tablet is silent for a shift, an administrator's desk for an hour. */
struct session_limits {
	int idle_h, most_h;
};
struct session_limits session_limits(enum role role);

/* Where it is begun. */
struct session_place {
	const char *device;          /* its cookie's number; "" for none */
	const char *agent;           /* what the browser calls itself; "" */
	const char *former;          /* the token that it had, which ends; "" */
};

/* Begins one, told in *session: writes the token (SESSION_TOKEN_SIZE bytes) that the browser
 * keeps. Ends the one that was on that device, whoever's. A person who was changed since it was
 * read (another password, may no longer sign in) has none: PROBLEM_SIGN_IN. */
bool session_begin(struct act *act, const struct person *person, const struct session_place *place,
	char *token, struct session *session, struct problems *why);

/* The session of a token, and its person; session->id is 0 when it ended or never was, or the
 * person may no longer sign in. */
bool session_of(struct store *store, const char *token, int64_t now_ms, struct session *session,
	struct person *person, struct problem *why);

/* Something was asked in it: to be noted where that was not done for so long. */
enum { SESSION_NOTE_MS = 5 * 60 * 1000 };

bool session_end(struct act *act, const char *token, struct problems *why);

/* One of one's own, by its number. */
bool session_end_own(struct act *act, int64_t id, struct problems *why);

/* All of a person, by an administrator. */
bool session_end_all(struct act *act, int64_t person_id, struct problems *why);

/* It lacks the second factor no more. */
bool session_complete(struct act *act, const char *token, struct problems *why);

#endif
