#include "service/access/session.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "service/access/code.h"
#include "service/access/factor.h"

struct session_limits session_limits(enum role role)
{
	static const struct session_limits limits[] = {
		[ROLE_VIEWER] = { 4, 14 }, [ROLE_CREW] = { 14, 14 }, [ROLE_PLANNER] = { 4, 14 },
		[ROLE_MANAGER] = { 4, 14 }, [ROLE_ADMINISTRATOR] = { 1, 10 } };

	return limits[role <= ROLE_ADMINISTRATOR ? role : ROLE_ADMINISTRATOR];
}

static const int64_t HOUR_MS = 3600 * 1000;

/* What was begun there before. */
static bool end_former(struct store *store, const struct session_place *place, int64_t now_ms,
	struct problem *why)
{
	char hash[SESSION_HASH_SIZE];

	secret_hash(place->former, hash);
	return store_sessions_forget(store, now_ms, why) &&
		store_sessions_end_on(store, place->device, why) &&
		(place->former[0] == '\0' || store_session_end(store, hash, why));
}

bool session_begin(struct act *act, const struct person *person, const struct session_place *place,
	char *token, struct session *session, struct problems *why)
{
	const struct session_limits limits = session_limits(person->role);
	int64_t now_ms = act->origin.now_ms;
	unsigned char bytes[32];
	char hash[SESSION_HASH_SIZE];
	struct problem trouble = { 0 };
	struct person now;
	bool has;

	*session = (struct session){ .person_id = person->id, .began_at_ms = now_ms,
		.seen_at_ms = now_ms, .idle_ms = limits.idle_h * HOUR_MS,
		.ends_at_ms = now_ms + limits.most_h * HOUR_MS };
	if (!store_person_get(act->store, person->id, &now, &trouble) ||
		!factor_asked(act->store, &now, &has, &session->lacks_factor, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (now.version != person->version) {
		return problems_add(why, PROBLEM_SIGN_IN, NULL,
			"Your name, role or password was changed just now: sign in again.");
	}
	snprintf(session->device, sizeof session->device, "%s", place->device);
	snprintf(session->agent, sizeof session->agent, "%s", place->agent);
	randombytes_buf(bytes, sizeof bytes);
	sodium_bin2base64(token, SESSION_TOKEN_SIZE, bytes, sizeof bytes,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING);
	secret_hash(token, hash);
	return (end_former(act->store, place, now_ms, &trouble) &&
		store_session_insert(act->store, hash, session, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool session_of(struct store *store, const char *token, int64_t now_ms, struct session *session,
	struct person *person, struct problem *why)
{
	char hash[SESSION_HASH_SIZE];

	secret_hash(token, hash);
	if (!store_session_get(store, hash, now_ms, session, why) || (session->id != 0 &&
		!store_person_get(store, session->person_id, person, why))) {
		return false;
	}
	if (session->id != 0 && !person->active) {
		session->id = 0;
	}
	return true;
}

bool session_end(struct act *act, const char *token, struct problems *why)
{
	char hash[SESSION_HASH_SIZE];
	struct problem trouble = { 0 };

	secret_hash(token, hash);
	return store_session_end(act->store, hash, &trouble) || act_refuse(why, &trouble, NULL);
}

bool session_end_own(struct act *act, int64_t id, struct problems *why)
{
	struct problem trouble = { 0 };
	bool ended;

	if (!store_session_end_one(act->store, act->origin.person_id, id, &ended, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return ended || problems_add(why, PROBLEM_NOT_FOUND, NULL,
		"You have no such session: it may have ended meanwhile.");
}

bool session_end_all(struct act *act, int64_t person_id, struct problems *why)
{
	struct problem trouble = { 0 };
	struct person person;

	return (store_person_get(act->store, person_id, &person, &trouble) &&
		store_sessions_end_of(act->store, person_id, &trouble) && store_access_act(act->store,
		ACCESS_SESSIONS_ENDED, person_id, NULL, &act->origin, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool session_complete(struct act *act, const char *token, struct problems *why)
{
	char hash[SESSION_HASH_SIZE];
	struct problem trouble = { 0 };

	secret_hash(token, hash);
	return store_session_complete(act->store, hash, &trouble) || act_refuse(why, &trouble, NULL);
}
