/* Numbered schema files (schema/), embedded in the program and applied once each, in order. */
#ifndef STORE_MIGRATE_H
#define STORE_MIGRATE_H

#include "store/sql.h"

struct migration {
	int number;            /* 0 ends the list */
	const char *name;
	const char *sql;
};

extern const struct migration store_migrations[];   /* made from the files of schema/ at build time */

enum { REGISTER_APPLICATION_ID = 0x426e6442 };      /* "BndB" */

/* Refuses a file that is another program's; an empty one unless one is to be made. */
bool store_is_register(struct store *store, bool make, struct problem *why);

/* Refuses a file that is newer, or that lacks a step below its newest one; applies what is missing
 * above that, each schema file in one transaction; STORE_READ refuses a file that is older. */
bool store_migrate(struct store *store, enum store_mode mode, struct problem *why);

/* What every program that writes begins with (store/first.c): the first version of the rulebook is
 * recorded where there is none, and what another edition of the rules derived is marked to be
 * derived again. */
bool store_first(struct store *store, struct problem *why);

#endif
