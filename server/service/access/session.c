#include "service/access/session.h"

#include <sodium.h>
#include <string.h>

static void hash_token(const char *token, char *hash)
{
	unsigned char bytes[32];

	crypto_generichash(bytes, sizeof bytes, (const unsigned char *)token, strlen(token), NULL, 0);
	sodium_bin2hex(hash, SESSION_HASH_SIZE, bytes, sizeof bytes);
}

bool session_begin(struct act *act, const struct person *person, char *token,
	struct problems *why)
{
	unsigned char bytes[32];
	char hash[SESSION_HASH_SIZE];
	struct problem trouble = { 0 };
	struct person now;
	int64_t now_ms = act->origin.now_ms;

	if (!store_person_get(act->store, person->id, &now, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (now.version != person->version) {
		return problems_add(why, PROBLEM_SIGN_IN, NULL,
			"Your name, role or password was changed just now: sign in again.");
	}
	randombytes_buf(bytes, sizeof bytes);
	sodium_bin2base64(token, SESSION_TOKEN_SIZE, bytes, sizeof bytes,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING);
	hash_token(token, hash);
	return (store_sessions_end_before(act->store, now_ms, &trouble) &&
		store_session_insert(act->store, hash, person->id, now_ms,
		now_ms + (int64_t)SESSION_HOURS * 3600 * 1000, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool session_person(struct store *store, const char *token, int64_t now_ms, struct person *person,
	struct problem *why)
{
	char hash[SESSION_HASH_SIZE];

	hash_token(token, hash);
	if (!store_session_person(store, hash, now_ms, person, why)) {
		return false;
	}
	if (person->id != 0 && !person->active) {
		person->id = 0;
	}
	return true;
}

bool session_end(struct act *act, const char *token, struct problems *why)
{
	char hash[SESSION_HASH_SIZE];
	struct problem trouble = { 0 };

	hash_token(token, hash);
	return store_session_end(act->store, hash, &trouble) || act_refuse(why, &trouble, NULL);
}
