/*
 * People, their passwords and their sessions.
 *
 * A password is kept as Argon2id (libsodium), a session as the hash of a random token that only
 * the browser has. Hashing is slow on purpose and needs no transaction: password_hash and
 * sign_in_check are called on a thread of their own, before the act.
 */
#ifndef SERVICE_ACCESS_PERSON_H
#define SERVICE_ACCESS_PERSON_H

#include "base/form.h"
#include "derived/act.h"
#include "service/access/password.h"
#include "store/record/person.h"

enum { SESSION_TOKEN_SIZE = 44 };

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

/* Of one that fits (password.h). Into PERSON_HASH_SIZE bytes. False: no memory. */
bool password_hash(const char *password, char *hash, struct problems *why);

/* Somebody's own: the one that is theirs now, and another. */
struct password_new {
	const char *password, *new_password;
};
extern const struct form password_form;

/* Somebody who signs in: looked up first, then the slow part, which needs no store. */
struct sign_in_try {
	struct person person;        /* of the login */
	bool may;                    /* there is one, who may sign in and has a password */
};
bool sign_in_look_up(struct store *store, const char *login, struct sign_in_try *to,
	struct problems *why);
/* Whether the password is the person's. An unknown or inactive person costs the same time, and is
 * told the same: PROBLEM_SIGN_IN. PROBLEM_NO_MEMORY says nothing of the password. */
bool sign_in_check(const struct sign_in_try *try, const char *password, struct problems *why);

/*
 * What a device keeps of a person who signed in there, for the queue alone (it signs nobody in):
 * only somebody who signed in under this login since the password was changed has it.
 */
enum { DEVICE_TOKEN_SIZE = 44 };
void device_token(const struct person *person, char token[DEVICE_TOKEN_SIZE]);
bool device_is_known(const struct person *person, const char *token);

/* The person of a sign-in name, in either case; *id is 0 when there is none. */
bool person_of_login(struct store *store, const char *login, int64_t *id, struct problem *why);

/* hash: of form->password by password_hash, "" for none. */
bool person_register(struct act *act, const struct person_new *form, const char *hash,
	struct recorded *recorded, struct problems *why);
/* A further version; what is left out stays. Ends the person's sessions when the role, the
 * password or active change. */
bool person_change(struct act *act, int64_t id, const struct person_new *form, const char *hash,
	struct problems *why);

/* The person as it was read, with another password. Ends all of the person's sessions. One that was
 * changed meanwhile has to sign in again: PROBLEM_SIGN_IN. */
bool person_password(struct act *act, struct person *person, const char *hash,
	struct problems *why);

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
