/*
 * People, their passwords and their sessions.
 *
 * A password is kept as Argon2id (libsodium), a session as the hash of a random token that only
 * the browser has. Hashing is slow on purpose and needs no transaction: password_hash and
 * password_matches are called on a worker, before or beside the act.
 */
#ifndef SERVICE_PERSON_H
#define SERVICE_PERSON_H

#include "base/form.h"
#include "service/act.h"
#include "store/person.h"

enum { PASSWORD_LEAST = 10, PASSWORD_MOST = 200, SESSION_TOKEN_SIZE = 44 };

/* Sessions end after this long, whatever happens. */
enum { SESSION_HOURS = 14 };

struct person_new {
	const char *login, *name;
	int role;
	const char *password;        /* NULL: cannot sign in yet, or unchanged */
	int active;
};
extern const struct form person_form;

struct sign_in {
	const char *login, *password;
};
extern const struct form sign_in_form;

/* Into PERSON_HASH_SIZE bytes. False: too short or long (at field "password"), or no memory. */
bool password_hash(const char *password, char *hash, struct problems *why);

/*
 * Whether the password is the person's. An unknown or inactive person costs the same time.
 * person is the one of that login when true. At most two are computed at once; others wait.
 */
bool password_matches(struct store *store, const struct sign_in *form, struct person *person,
	struct problems *why);

/* The person of a sign-in name, in either case; *id is 0 when there is none. */
bool person_of_login(struct store *store, const char *login, int64_t *id, struct problem *why);

/* hash: of form->password by password_hash, "" for none. */
bool person_register(struct act *act, const struct person_new *form, const char *hash,
	struct recorded *recorded, struct problems *why);
/* A further version; what is left out stays. Ends the person's sessions when the role, the
 * password or active change. */
bool person_change(struct act *act, int64_t id, const struct person_new *form, const char *hash,
	struct problems *why);

/* Begins a session: writes the token (SESSION_TOKEN_SIZE bytes) that the browser keeps. */
bool session_begin(struct act *act, int64_t person_id, char *token, struct problems *why);

/* The person of a token; person->id is 0 when the session ended or never was, or the person may
 * no longer sign in. */
bool session_person(struct store *store, const char *token, int64_t now_ms,
	struct person *person, struct problem *why);

bool session_end(struct act *act, const char *token, struct problems *why);

#endif
