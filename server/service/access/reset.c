#include "service/access/reset.h"

#include <sodium.h>

#include "service/access/factor.h"
#include "service/access/person.h"

#define OF(field) offsetof(struct reset_form, field)

static const struct member members[] = {
	{ .name = "login", .title = "Sign-in name", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(login), .longest = 60 },
	{ .name = "code", .title = "Code", .type = MEMBER_TEXT, .required = true, .offset = OF(code),
	  .longest = 60, .help = "As an administrator handed it over." },
	{ .name = "new_password", .title = "New password", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(new_password), .longest = PASSWORD_MOST_BYTES },
	{ .name = "figures", .title = "Second factor", .type = MEMBER_TEXT, .offset = OF(figures),
	  .longest = 60, .help = "Six figures, or a recovery code, where there is one." },
	{ 0 }
};
const struct form reset_form = { "PasswordByCode", members, sizeof (struct reset_form) };

bool reset_start(struct act *act, int64_t person_id, char code[CODE_SIZE], int64_t *ends_at_ms,
	struct problems *why)
{
	struct reset_code reset = { .person_id = person_id, .made_by = act->origin.person_id,
		.ends_at_ms = act->origin.now_ms + (int64_t)RESET_HOURS * 3600 * 1000 };
	struct problem trouble = { 0 };
	struct person person;
	int64_t set_by, taken_by;
	struct second_factor factor;

	if (!store_person_get(act->store, person_id, &person, &trouble) ||
		!store_factor_get(act->store, person_id, &factor, &trouble) ||
		!store_access_last(act->store, ACCESS_FACTOR_REMOVED, person_id, &taken_by, &trouble) ||
		!store_access_last(act->store, ACCESS_FACTOR_SET, person_id, &set_by, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (person_id == act->origin.person_id) {
		return problems_add(why, PROBLEM_RULE, NULL,
			"Your own password you change behind your name. If you forgot it, ask another "
			"administrator.");
	}
	if (!person.active) {
		return problems_add(why, PROBLEM_RULE, NULL, "%s may not sign in: allow that first.",
			person.name);
	}
	if (!factor.is_set && taken_by == act->origin.person_id) {
		return problems_add(why, PROBLEM_RULE, NULL, "You took their second factor away: another "
			"administrator hands out the code, so that nobody can come in as somebody else by "
			"himself.");
	}
	code_make(code, reset.code_hash);
	*ends_at_ms = reset.ends_at_ms;
	return (store_reset_put(act->store, &reset, &trouble) && store_access_act(act->store,
		ACCESS_RESET_STARTED, person_id, NULL, &act->origin, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

static bool refuse(struct problems *why)
{
	return problems_add(why, PROBLEM_SIGN_IN, "code", "The sign-in name and the code do not belong "
		"together, or the code is over: it is good for a day, and for once.");
}

bool reset_look_up(struct store *store, const struct reset_form *form, int64_t now_ms,
	struct person *person, struct reset_code *reset, struct problems *why)
{
	struct problem trouble = { 0 };
	char hash[CODE_HASH_SIZE];
	int64_t id;

	code_hash(form->code, hash);
	if (!person_of_login(store, form->login, &id, &trouble) ||
		!store_reset_get(store, id, reset, &trouble) ||
		(id != 0 && !store_person_get(store, id, person, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	return (reset->person_id != 0 && hash[0] != '\0' && reset->ends_at_ms > now_ms &&
		person->active && sodium_memcmp(hash, reset->code_hash, sizeof hash) == 0) || refuse(why);
}

bool reset_use(struct act *act, const struct reset_form *form, struct person *person,
	const char *hash, struct problems *why)
{
	struct problem trouble = { 0 };
	struct reset_code reset;
	struct person now;

	/* (the register may be another one since that was looked up) */
	if (!reset_look_up(act->store, form, act->origin.now_ms, &now, &reset, why) ||
		!factor_check(act, person, form->figures, "figures", why)) {
		return false;
	}
	act->origin.person_id = person->id;
	return person_password(act, person, hash, why) &&
		((store_reset_remove(act->store, person->id, &trouble) && store_access_act(act->store,
		ACCESS_RESET_USED, person->id, NULL, &act->origin, &trouble)) ||
		act_refuse(why, &trouble, NULL));
}
