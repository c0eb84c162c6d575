/* People. */
#ifndef STORE_RECORD_PERSON_H
#define STORE_RECORD_PERSON_H

#include "store/record/line.h"

enum { PERSON_LOGIN_SIZE = 61, PERSON_NAME_SIZE = 121, PERSON_HASH_SIZE = 160 };

struct person {
	int64_t id;
	int64_t version;
	char login[PERSON_LOGIN_SIZE];
	char name[PERSON_NAME_SIZE];
	enum role role;
	bool active;
	char password_hash[PERSON_HASH_SIZE];   /* "": cannot sign in */
};

/* Sets id and version 1. A login in use is PROBLEM_CONFLICT. */
bool store_person_insert(struct store *store, struct person *person, const struct origin *origin,
	struct problem *why);
/* Adds a version (person->version + 1, which is set). */
bool store_person_change(struct store *store, struct person *person, const struct origin *origin,
	struct problem *why);
bool store_person_get(struct store *store, int64_t id, struct person *person, struct problem *why);
/* *id is 0 when there is none of that login (lower case). */
bool store_person_find(struct store *store, const char *login, int64_t *id, struct problem *why);
/* *id of the one active person of exactly that name; 0 when there is none or several. */
bool store_person_named(struct store *store, const char *name, int64_t *id, struct problem *why);

/* Active people of that role who have a password. */
bool store_person_count(struct store *store, enum role role, int64_t *count, struct problem *why);

/*
 * Counts up whenever, in this process, a person changes or a session is ended: when it is written,
 * and again when that is on disk. What was read of a session when it was the same still holds.
 */
uint64_t store_people_edition(void);
/* (for what else lets somebody in or shuts them out) */
void store_people_changed(void);

extern const struct list person_list;

#endif
