#include "service/access/factor.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "service/access/password.h"
#include "service/access/totp.h"
#include "store/record/session.h"
#include "store/setting.h"

#define ROLE(word, of) { .name = (word), .title = "Of each " word, .type = MEMBER_FLAG, \
	.required = true, .offset = offsetof(struct factor_roles, required) + (of) * sizeof (int) }

static const struct member members[] = {
	ROLE("viewer", ROLE_VIEWER), ROLE("crew", ROLE_CREW), ROLE("planner", ROLE_PLANNER),
	ROLE("manager", ROLE_MANAGER), ROLE("administrator", ROLE_ADMINISTRATOR), { 0 }
};
const struct form factor_roles_form = { "SecondFactorRoles", members,
	sizeof (struct factor_roles) };

static const struct member first_members[] = {
	{ .name = "password", .title = "Password", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct factor_first, password), .longest = PASSWORD_MOST_BYTES },
	{ .name = "code", .title = "Figures", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct factor_first, code), .longest = 60 },
	{ 0 }
};
const struct form factor_first_form = { "SecondFactorFirst", first_members,
	sizeof (struct factor_first) };

bool factor_roles_read(struct store *store, struct factor_roles *to, struct problem *why)
{
	char text[SETTING_VALUE_SIZE];

	*to = (struct factor_roles){ 0 };
	if (!store_setting_get(store, SETTING_FACTOR_ROLES, text, why)) {
		return false;
	}
	for (const char *at = text; *at != '\0';) {
		size_t len = strcspn(at, ",");
		int role = words_find(&role_words, at, len);

		if (role >= 0) {
			to->required[role] = 1;
		}
		at += len + (at[len] == ',');
	}
	return true;
}

bool factor_roles_set(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	const struct factor_roles *roles = form;
	char text[SETTING_VALUE_SIZE] = ",";
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	for (int i = 0; i < role_words.n; i++) {
		if (roles->required[i] == 1) {
			size_t len = strlen(text);

			snprintf(text + len, sizeof text - len, "%s,", role_words.code[i]);
		}
	}
	return store_setting_put(act->store, SETTING_FACTOR_ROLES, text, NULL, &act->origin,
		&trouble) || act_refuse(why, &trouble, NULL);
}

bool factor_asked(struct store *store, const struct person *person, bool *has, bool *lacks,
	struct problem *why)
{
	struct second_factor factor;
	struct factor_roles roles;

	if (!store_factor_get(store, person->id, &factor, why) ||
		!factor_roles_read(store, &roles, why)) {
		return false;
	}
	*has = factor.is_set;
	*lacks = !factor.is_set && roles.required[person->role] == 1;
	return true;
}

bool factor_check(struct act *act, const struct person *person, const char *code,
	const char *field, struct problems *why)
{
	struct second_factor factor;
	struct problem trouble = { 0 };
	char hash[CODE_HASH_SIZE];
	bool was = false;

	if (!store_factor_get(act->store, person->id, &factor, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!factor.is_set) {
		return true;
	}
	if (code != NULL && totp_fits(factor.secret, FACTOR_BYTES, code, act->origin.now_ms,
		factor.last_step, &factor.last_step)) {
		return store_factor_put(act->store, person->id, &factor, act->origin.now_ms, &trouble) ||
			act_refuse(why, &trouble, NULL);
	}
	code_hash(code != NULL ? code : "", hash);
	if (hash[0] != '\0' &&
		!store_recovery_use(act->store, person->id, hash, &was, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (was) {
		return store_access_act(act->store, ACCESS_RECOVERY_USED, person->id, NULL, &act->origin,
			&trouble) || act_refuse(why, &trouble, NULL);
	}
	return problems_add(why, PROBLEM_SIGN_IN, field, code == NULL ?
		"Type the six figures that your telephone shows for this register, or a recovery code." :
		"These are not the figures of now, or they were used already. Wait for the next ones, or "
		"type a recovery code.");
}

bool factor_begin(struct act *act, const struct person *person, char key[FACTOR_KEY_SIZE],
	char link[FACTOR_LINK_SIZE], struct problems *why)
{
	struct second_factor factor;
	struct problem trouble = { 0 };
	char plain[FACTOR_KEY_SIZE + FACTOR_KEY_SIZE];
	struct text label = { 0 };

	if (!store_factor_get(act->store, person->id, &factor, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (factor.is_set) {
		return problems_add(why, PROBLEM_CONFLICT, NULL,
			"You have a second factor: take that one away first.");
	}
	randombytes_buf(factor.secret, FACTOR_BYTES);
	factor.last_step = 0;
	if (!store_factor_put(act->store, person->id, &factor, act->origin.now_ms, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	base32_write(factor.secret, FACTOR_BYTES, ' ', key, FACTOR_KEY_SIZE);
	base32_write(factor.secret, FACTOR_BYTES, '\0', plain, sizeof plain);
	text_add_query(&label, person->login);
	snprintf(link, FACTOR_LINK_SIZE, "otpauth://totp/bondbook:%s?secret=%s&issuer=bondbook",
		label.failed ? "" : label.data, plain);
	text_release(&label);
	return true;
}

bool factor_set(struct act *act, int64_t person_id, const char *code,
	char codes[RECOVERY_CODES][CODE_SIZE], struct problems *why)
{
	struct second_factor factor;
	struct problem trouble = { 0 };
	char hash[CODE_HASH_SIZE];
	bool ok = store_factor_get(act->store, person_id, &factor, &trouble);

	if (ok && (!factor.is_there || factor.is_set)) {
		return problems_add(why, PROBLEM_CONFLICT, NULL, factor.is_set ?
			"Your second factor is set already." : "Ask for a key first.");
	}
	if (ok && !totp_fits(factor.secret, FACTOR_BYTES, code, act->origin.now_ms, 0,
		&factor.last_step)) {
		return problems_add(why, PROBLEM_VALUE, "code", "These are not the six figures of now. "
			"Look at the key that you typed in, and at the clock of your telephone.");
	}
	factor.is_set = true;
	ok = ok && store_factor_put(act->store, person_id, &factor, act->origin.now_ms, &trouble);
	for (int i = 0; ok && i < RECOVERY_CODES; i++) {
		code_make(codes[i], hash);
		ok = store_recovery_put(act->store, person_id, hash, &trouble);
	}
	return (ok && store_access_act(act->store, ACCESS_FACTOR_SET, person_id, NULL, &act->origin,
		&trouble)) || act_refuse(why, &trouble, NULL);
}

static bool remove_factor(struct act *act, int64_t person_id, struct problems *why)
{
	struct problem trouble = { 0 };

	return (store_factor_remove(act->store, person_id, &trouble) &&
		store_access_act(act->store, ACCESS_FACTOR_REMOVED, person_id, NULL, &act->origin,
		&trouble)) || act_refuse(why, &trouble, NULL);
}

bool factor_drop(struct act *act, const struct person *person, struct problems *why)
{
	struct factor_roles roles;
	struct problem trouble = { 0 };

	if (!factor_roles_read(act->store, &roles, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (roles.required[person->role] == 1) {
		return problems_add(why, PROBLEM_RULE, NULL, "A second factor is required of your role. "
			"With another telephone: ask an administrator to take this one away, then set it "
			"anew.");
	}
	return remove_factor(act, person->id, why);
}

bool factor_take(struct act *act, int64_t person_id, struct problems *why)
{
	struct second_factor factor;
	struct reset_code reset;
	struct problem trouble = { 0 };

	if (!store_factor_get(act->store, person_id, &factor, &trouble) ||
		!store_reset_get(act->store, person_id, &reset, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!factor.is_there) {
		return problems_add(why, PROBLEM_NOT_FOUND, NULL, "They have no second factor.");
	}
	if (person_id == act->origin.person_id) {
		return problems_add(why, PROBLEM_RULE, NULL,
			"That is your own: take it away behind your name, with your password.");
	}
	if (reset.made_by == act->origin.person_id && reset.ends_at_ms > act->origin.now_ms) {
		return problems_add(why, PROBLEM_RULE, NULL, "You handed out their last code for a new "
			"password: another administrator takes the second factor away, so that nobody can "
			"come in as somebody else by himself.");
	}
	return remove_factor(act, person_id, why) &&
		(store_sessions_end_of(act->store, person_id, &trouble) || act_refuse(why, &trouble, NULL));
}
