/* People: who signs in, in which role. Their passwords are service/access/sign_in.h's. */
#ifndef SERVICE_ACCESS_PERSON_H
#define SERVICE_ACCESS_PERSON_H

#include "base/form.h"
#include "derived/act.h"
#include "service/access/password.h"
#include "store/record/person.h"

struct person_new {
	const char *login, *name;
	int role;
	int active;
};
extern const struct form person_form;

/* A sign-in name as it is kept: ASCII's letters small. */
void person_login_small(const char *login, char *to, size_t size);

/* The person of a sign-in name, in either case; *id is 0 when there is none. */
bool person_of_login(struct store *store, const char *login, int64_t *id, struct problem *why);

/* hash: of a password by password_hash, "" for none: then one is chosen by a code (reset.h). */
bool person_register(struct act *act, const struct person_new *form, const char *hash,
	struct recorded *recorded, struct problems *why);
/* A further version; what is left out stays. Ends the person's sessions when the role, the
 * password or active change. Somebody who can let others in stays: PROBLEM_RULE. */
bool person_change(struct act *act, int64_t id, const struct person_new *form, const char *hash,
	struct problems *why);

/* The person as it was read, with another password. Ends all of the person's sessions. One that was
 * changed meanwhile has to sign in again: PROBLEM_SIGN_IN. */
bool person_password(struct act *act, struct person *person, const char *hash,
	struct problems *why);

#endif
