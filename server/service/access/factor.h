/*
 * The second factor: figures that somebody's telephone makes of a key and the time, or, where it is
 * lost, one of ten recovery codes. An administrator can require one of everybody in a role: who has
 * none then comes in for nothing but setting it.
 */
#ifndef SERVICE_ACCESS_FACTOR_H
#define SERVICE_ACCESS_FACTOR_H

#include "base/form.h"
#include "derived/act.h"
#include "service/access/code.h"
#include "store/record/person.h"
#include "store/record/secret.h"

/* Bits 1 << enum role: of whom one is required. */
struct factor_roles {
	int required[ROLE_ADMINISTRATOR + 1];
};
extern const struct form factor_roles_form;
bool factor_roles_read(struct store *store, struct factor_roles *to, struct problem *why);
bool factor_roles_set(struct act *act, void *form, struct recorded *recorded,
	struct problems *why);

/* Is one asked of this person at sign-in? and if they have none, must they set it? */
bool factor_asked(struct store *store, const struct person *person, bool *has, bool *lacks,
	struct problem *why);

/* Figures or a recovery code, which are used up. False: PROBLEM_SIGN_IN at `field`. */
bool factor_check(struct act *act, const struct person *person, const char *code,
	const char *field, struct problems *why);

/* A key for somebody who has none yet; it counts from factor_set on. */
enum { FACTOR_KEY_SIZE = 40, FACTOR_LINK_SIZE = 400 };
bool factor_begin(struct act *act, const struct person *person, char key[FACTOR_KEY_SIZE],
	char link[FACTOR_LINK_SIZE], struct problems *why);

/* Who sits down at a desk that was left open sets none: the password is asked. */
struct factor_first {
	const char *password, *code;
};
extern const struct form factor_first_form;

/* The first figures of it were sent: it is asked from now on. Writes the recovery codes. */
enum { RECOVERY_CODES = 10 };
bool factor_set(struct act *act, int64_t person_id, const char *code,
	char codes[RECOVERY_CODES][CODE_SIZE], struct problems *why);

/* By its person; not where it is required. */
bool factor_drop(struct act *act, const struct person *person, struct problems *why);

/*
 * By an administrator, of somebody else who lost it. Ends their sessions. Not by one who handed out
 * their last code for a new password, or they could come in as that person by themselves.
 */
bool factor_take(struct act *act, int64_t person_id, struct problems *why);

#endif
