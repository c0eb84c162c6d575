/* Sessions: of a token that only the browser has, the hash is kept. */
#ifndef STORE_RECORD_SESSION_H
#define STORE_RECORD_SESSION_H

#include "store/record/person.h"

enum { SESSION_HASH_SIZE = 65, SESSION_DEVICE_SIZE = 24, SESSION_AGENT_SIZE = 201 };

struct session {
	int64_t id;                            /* 0: none */
	int64_t person_id;
	int64_t began_at_ms, seen_at_ms, idle_ms, ends_at_ms;
	char device[SESSION_DEVICE_SIZE];      /* "": not known */
	char agent[SESSION_AGENT_SIZE];        /* what its browser calls itself */
	bool lacks_factor;                     /* may set a second factor, and nothing else */
};

/* Sets id. */
bool store_session_insert(struct store *store, const char *token_hash, struct session *session,
	struct problem *why);
/* id is 0 when there is none at now_ms, or the clock was set back to before it began. */
bool store_session_get(struct store *store, const char *token_hash, int64_t now_ms,
	struct session *to, struct problem *why);
/* The next of a person's that is good at now_ms, by number; id is 0 after the last. */
bool store_session_next(struct store *store, int64_t person_id, int64_t after, int64_t now_ms,
	struct session *to, struct problem *why);
/* It lacks the second factor no more. */
bool store_session_complete(struct store *store, const char *token_hash, struct problem *why);
bool store_session_seen(struct store *store, int64_t id, int64_t now_ms, struct problem *why);

bool store_session_end(struct store *store, const char *token_hash, struct problem *why);
/* Of that person alone; *ended is false when there was none. */
bool store_session_end_one(struct store *store, int64_t person_id, int64_t id, bool *ended,
	struct problem *why);
/* Whoever was signed in there. */
bool store_sessions_end_on(struct store *store, const char *device, struct problem *why);
bool store_sessions_end_of(struct store *store, int64_t person_id, struct problem *why);
/* Those that are over. */
bool store_sessions_forget(struct store *store, int64_t now_ms, struct problem *why);

#endif
