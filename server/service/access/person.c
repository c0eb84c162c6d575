#include "service/access/person.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "store/record/session.h"

#define OF(field) offsetof(struct person_new, field)

static const struct member person_members[] = {
	{ .name = "login", .title = "Sign-in name", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(login), .longest = 60 },
	{ .name = "name", .title = "Name", .type = MEMBER_TEXT, .required = true, .offset = OF(name),
	  .longest = 120 },
	{ .name = "role", .title = "Role", .type = MEMBER_WORD, .required = true, .offset = OF(role),
	  .words = &role_words },
	{ .name = "active", .title = "May sign in", .type = MEMBER_FLAG, .offset = OF(active) },
	{ 0 }
};
const struct form person_form = { "Person", person_members, sizeof (struct person_new) };

void person_login_small(const char *login, char *to, size_t size)
{
	snprintf(to, size, "%s", login);
	for (; *to != '\0'; to++) {
		*to = (char)(*to >= 'A' && *to <= 'Z' ? *to + ('a' - 'A') : *to);
	}
}

bool person_of_login(struct store *store, const char *login, int64_t *id, struct problem *why)
{
	char lowered[PERSON_LOGIN_SIZE];

	person_login_small(login, lowered, sizeof lowered);
	return store_person_find(store, lowered, id, why);
}

static bool check_login(const char *login, struct problems *why)
{
	for (const char *c = login; *c != '\0'; c++) {
		if (!isalnum((unsigned char)*c) && strchr("._-@", *c) == NULL) {
			return problems_add(why, PROBLEM_VALUE, "login",
				"A sign-in name has letters a to z, digits and . _ - @ only.");
		}
	}
	return true;
}

bool person_register(struct act *act, const struct person_new *form, const char *hash,
	struct recorded *recorded, struct problems *why)
{
	struct person p = { .role = (enum role)form->role, .active = form->active != 0 };
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	person_login_small(form->login, p.login, sizeof p.login);
	snprintf(p.name, sizeof p.name, "%s", form->name);
	snprintf(p.password_hash, sizeof p.password_hash, "%s", hash);
	if (!check_login(p.login, why)) {
		return false;
	}
	if (!store_person_find(act->store, p.login, &recorded->id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (recorded->id != 0) {
		return problems_add(why, PROBLEM_CONFLICT, "login", "The sign-in name %s is taken.", p.login);
	}
	if (!store_person_insert(act->store, &p, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = p.id;
	return true;
}

/* Somebody can still let others in. */
static bool keeps_administrator(struct act *act, struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t left;

	if (!store_person_count(act->store, ROLE_ADMINISTRATOR, &left, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return left > 0 || problems_add(why, PROBLEM_RULE, "role", "Nobody else can sign in as an "
		"administrator: let another one choose a password first.");
}

bool person_change(struct act *act, int64_t id, const struct person_new *form, const char *hash,
	struct problems *why)
{
	struct person p, old;
	struct problem trouble = { 0 };
	bool ends;

	if (!store_person_get(act->store, id, &p, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	old = p;
	snprintf(p.name, sizeof p.name, "%s", form->name);
	p.role = (enum role)form->role;
	p.active = form->active < 0 ? p.active : form->active != 0;
	if (hash[0] != '\0') {
		snprintf(p.password_hash, sizeof p.password_hash, "%s", hash);
	}
	ends = p.role != old.role || p.active != old.active || hash[0] != '\0';
	if (!store_person_change(act->store, &p, &act->origin, &trouble) ||
		(ends && !store_sessions_end_of(act->store, id, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	return old.role != ROLE_ADMINISTRATOR || !old.active || (p.role == old.role && p.active) ||
		keeps_administrator(act, why);
}

bool person_password(struct act *act, struct person *person, const char *hash,
	struct problems *why)
{
	struct person now;
	struct problem trouble = { 0 };

	if (!store_person_get(act->store, person->id, &now, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (now.version != person->version) {
		return problems_add(why, PROBLEM_SIGN_IN, NULL,
			"Your name, role or password was changed just now: sign in again.");
	}
	snprintf(person->password_hash, sizeof person->password_hash, "%s", hash);
	return (store_person_change(act->store, person, &act->origin, &trouble) &&
		store_sessions_end_of(act->store, person->id, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}
