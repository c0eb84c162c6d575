#include "service/access/token.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "service/access/code.h"

#define OF(field) offsetof(struct token_new, field)

static const struct member members[] = {
	{ .name = "name", .title = "For", .type = MEMBER_TEXT, .required = true, .offset = OF(name),
	  .longest = 120, .help = "Which machine or program shows it." },
	{ .name = "scope", .title = "May", .type = MEMBER_WORD, .required = true, .offset = OF(scope),
	  .words = &token_scope_words },
	{ .name = "ends_day", .title = "Last day", .type = MEMBER_DAY, .required = true,
	  .offset = OF(ends_day), .help = "At most two years ahead." },
	{ 0 }
};
const struct form token_form = { "MachineToken", members, sizeof (struct token_new) };

/* So that a text that was left lying about can be told to be one. */
static const char BEGINS[] = "bondbook_";

bool token_make(struct act *act, const struct token_new *form, char token[MACHINE_TOKEN_SIZE],
	int64_t *id, struct problems *why)
{
	struct machine_token made = { .scope = (enum token_scope)form->scope,
		.ends_day = form->ends_day };
	char random[44], hash[CODE_HASH_SIZE];
	unsigned char bytes[32];
	struct problem trouble = { 0 };
	int32_t today = act->view->today;

	if (form->ends_day < today || form->ends_day > today + TOKEN_DAYS_MOST) {
		return problems_add(why, PROBLEM_VALUE, "ends_day",
			"The last day of a token is today or later, and at most two years ahead.");
	}
	randombytes_buf(bytes, sizeof bytes);
	sodium_bin2base64(random, sizeof random, bytes, sizeof bytes,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING);
	snprintf(token, MACHINE_TOKEN_SIZE, "%s%s", BEGINS, random);
	secret_hash(token, hash);
	snprintf(made.name, sizeof made.name, "%s", form->name);
	if (!store_token_insert(act->store, &made, hash, &act->origin, &trouble) ||
		!store_access_act(act->store, ACCESS_TOKEN_MADE, 0, made.name, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	*id = made.id;
	return true;
}

bool token_end(struct act *act, int64_t id, struct problems *why)
{
	struct machine_token token;
	struct problem trouble = { 0 };

	if (!store_token_get(act->store, id, &token, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (token.id == 0) {
		return problems_add(why, PROBLEM_NOT_FOUND, NULL, "There is no token %lld.", (long long)id);
	}
	return token.is_ended || (store_token_end(act->store, id, &act->origin, &trouble) &&
		store_access_act(act->store, ACCESS_TOKEN_ENDED, 0, token.name, &act->origin, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool token_of(struct store *store, const char *token, int32_t today, struct machine_token *to,
	struct problem *why)
{
	char hash[CODE_HASH_SIZE];

	secret_hash(token, hash);
	if (!store_token_find(store, hash, to, why)) {
		return false;
	}
	if (to->is_ended || to->ends_day < today) {
		*to = (struct machine_token){ 0 };
	}
	return true;
}
