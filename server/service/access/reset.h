/*
 * A new password for somebody who has forgotten theirs, or has none yet: an administrator hands a
 * code over, by which its person chooses one within a day. No administrator ever knows a password.
 * A second factor is asked all the same, and who handed the code out is refused it: at his own
 * session and from his devices, and where he took that second factor away himself.
 */
#ifndef SERVICE_ACCESS_RESET_H
#define SERVICE_ACCESS_RESET_H

#include "base/form.h"
#include "derived/act.h"
#include "service/access/code.h"
#include "store/record/person.h"
#include "store/record/secret.h"

enum { RESET_HOURS = 24 };

/* The code, shown once; it replaces one of before. Not for oneself. */
bool reset_start(struct act *act, int64_t person_id, char code[CODE_SIZE], int64_t *ends_at_ms,
	struct problems *why);

struct reset_form {
	const char *login, *code, *new_password;
	const char *figures;              /* of the second factor, where its person has one */
};
extern const struct form reset_form;

/* The person and what they were given. A login that nobody has, a wrong code and one that is over
 * are told alike: PROBLEM_SIGN_IN. */
bool reset_look_up(struct store *store, const struct reset_form *form, int64_t now_ms,
	struct person *person, struct reset_code *reset, struct problems *why);

/* With the hash of the new password. Ends all of the person's sessions. */
bool reset_use(struct act *act, const struct reset_form *form, struct person *person,
	const char *hash, struct problems *why);

#endif
