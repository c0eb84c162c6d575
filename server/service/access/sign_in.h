/*
 * Who somebody is: passwords, and the devices from which people signed in before.
 *
 * A password is kept as Argon2id (libsodium). Hashing is slow on purpose and needs no transaction:
 * password_hash and sign_in_check are called on a thread of their own, before the act.
 */
#ifndef SERVICE_ACCESS_SIGN_IN_H
#define SERVICE_ACCESS_SIGN_IN_H

#include "base/form.h"
#include "store/record/person.h"

struct sign_in {
	const char *login, *password;
	const char *code;            /* of the second factor, where there is one */
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
 * What a device keeps of a person who signed in there, for the queue and the delays alone (it signs
 * nobody in): only somebody who signed in under this login since the password was changed has it.
 */
enum { DEVICE_TOKEN_SIZE = 44, DEVICE_NUMBER = 20 };
/* former: what the device kept until now, "" for none. Its first DEVICE_NUMBER characters stay:
 * they are the device's, whoever signs in there. */
void device_token(const struct person *person, const char *former, char token[DEVICE_TOKEN_SIZE]);
bool device_is_known(const struct person *person, const char *token);

#endif
