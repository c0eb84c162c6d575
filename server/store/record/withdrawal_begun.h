/*
 * The withdrawal of a counted import of many entries, in pieces. It is on record first, with its
 * person and reason. Then its entries are made ready, a few at a time: each has a row of what is
 * left out (correction_open) that says nothing while the import counts (SQL_STILL), and its bond is
 * watched with the grade that it has. By the withdrawal's own row all of them count for nothing.
 * Its bonds are still watched then, and each until it is made again.
 *
 *     while (!at.done) store_withdrawal_prepare(store, &begun, &at, why);
 *     store_withdrawal_ready(...) && store_withdrawal_insert(...)
 */
#ifndef STORE_RECORD_WITHDRAWAL_BEGUN_H
#define STORE_RECORD_WITHDRAWAL_BEGUN_H

#include "store/record/withdrawal.h"

struct withdrawal_begun {
	int64_t id;                     /* 0: there is none */
	int64_t import_id, person_id;
	char uuid[UUID_TEXT_SIZE], content_hash[SENT_HASH_SIZE];
	char reason[2001];
};

/* w->row_id is the import. */
bool store_withdrawal_begin(struct store *store, const struct withdrawal *w,
	const struct origin *origin, struct problem *why);

/* The one that was begun first of those that do not count yet. */
bool store_withdrawal_begun_next(struct store *store, struct withdrawal_begun *to,
	struct problem *why);
/* The one of an import, or of an id of its sender's (only its id and its hash); whether or not it
 * counts. */
bool store_withdrawal_begun_of(struct store *store, int64_t import_id, struct withdrawal_begun *to,
	struct problem *why);
bool store_withdrawal_begun_find(struct store *store, const char *uuid, struct sent *to,
	struct problem *why);

/* Whether an entry, or an import, is of an import whose withdrawal was begun and does not count
 * yet: nothing more is said of whether it counts. */
bool store_being_withdrawn(struct store *store, enum sent_noun noun, int64_t row_id, bool *it_is,
	struct problem *why);

/* How far it is; zeroed at first. Begun again from there, what is ready is passed over. */
struct withdrawal_at {
	int table;
	int64_t bond_id, row_id;        /* the last one */
	bool done;
};
bool store_withdrawal_prepare(struct store *store, const struct withdrawal_begun *begun,
	struct withdrawal_at *at, struct problem *why);

/* The few that could not be made ready before: those that wait for an engineer count now. In the
 * transaction of the withdrawal's own row. */
bool store_withdrawal_ready(struct store *store, int64_t import_id, struct problem *why);

/* The next bond that is still watched for it, and the end of that. */
bool store_withdrawal_next_bond(struct store *store, int64_t begun_id, int64_t after,
	int64_t *bond_id, struct problem *why);
bool store_withdrawal_bond_done(struct store *store, int64_t begun_id, int64_t bond_id,
	struct problem *why);

/* Whether a bond waits to be made again because an import was withdrawn. */
bool store_withdrawal_waits_for(struct store *store, int64_t bond_id, bool *it_does,
	struct problem *why);

/* The import whose withdrawal counts, and of which not all was made again yet; 0: none. */
bool store_withdrawal_open(struct store *store, int64_t *import_id, struct problem *why);
bool store_withdrawal_open_put(struct store *store, int64_t import_id, struct problem *why);

/* Whether an import has more entries than so many. */
bool store_import_is_large(struct store *store, int64_t import_id, int64_t most, bool *it_is,
	struct problem *why);

#endif
