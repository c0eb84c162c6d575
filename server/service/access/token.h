/* Tokens: what machines show, in place of a person's session. Shown once, kept as a hash. */
#ifndef SERVICE_ACCESS_TOKEN_H
#define SERVICE_ACCESS_TOKEN_H

#include "base/form.h"
#include "derived/act.h"
#include "store/record/secret.h"

enum { MACHINE_TOKEN_SIZE = 56, TOKEN_DAYS_MOST = 731 };

struct token_new {
	const char *name;
	int scope;
	int32_t ends_day;
};
extern const struct form token_form;

/* Writes the token. Its last day is at most two years ahead. */
bool token_make(struct act *act, const struct token_new *form, char token[MACHINE_TOKEN_SIZE],
	int64_t *id, struct problems *why);
bool token_end(struct act *act, int64_t id, struct problems *why);

/* What it names; id is 0 when it ended or never was. */
bool token_of(struct store *store, const char *token, int32_t today, struct machine_token *to,
	struct problem *why);

#endif
