/*
 * Imports that are taken in pieces. Until its own row is there (store_import_insert, its last
 * piece) what an import brought is left out as what was withdrawn is, and no list shows it.
 */
#ifndef STORE_RECORD_IMPORT_BEGUN_H
#define STORE_RECORD_IMPORT_BEGUN_H

#include "store/record/book.h"
#include "store/record/sent.h"

enum { IMPORT_KEPT_SIZE = 40 };

struct import_begun {
	int64_t id;                     /* that its row will have */
	char *kind, *file_name, *file_hash, *settings;   /* owned, when read from the store */
	char kept_as[IMPORT_KEPT_SIZE];
	int64_t rows_read;              /* when it was tried */
	int64_t bonds_made;             /* then, by failures at places without one; -1: not known */
	int64_t stated_by;
	struct origin origin;
};
void import_begun_release(struct import_begun *begun);

/* Begins one: begun->id is given to it. */
bool store_import_begin(struct store *store, struct import_begun *begun, struct problem *why);

/* The one that was begun first of those that are under way: that have no row, were not ended,
 * and not withdrawn. begun->id 0: there is none. */
bool store_import_under_way(struct store *store, struct import_begun *to, struct problem *why);

/* (of what was begun in pieces; one that was taken at once was never under way) */
enum import_standing { IMPORT_COUNTS, IMPORT_UNDER_WAY, IMPORT_ENDED, IMPORT_WITHDRAWN };
bool store_import_standing(struct store *store, int64_t id, enum import_standing *standing,
	struct problem *why);
/* Whether a file is kept for one that is under way. */
bool store_import_keeps(struct store *store, const char *kept_as, bool *it_does,
	struct problem *why);
/* Why it was ended; "" when it was not. */
bool store_import_reason(struct store *store, int64_t id, char to[PROBLEM_DETAIL_SIZE],
	struct problem *why);

/* It will never count. */
bool store_import_end(struct store *store, int64_t id, const char *reason, int64_t now_ms,
	struct problem *why);

/* The newest entries of the kinds that files bring. */
struct import_bounds {
	int64_t inspection, failure, repair;
};
bool store_import_bounds(struct store *store, struct import_bounds *to, struct problem *why);

/* What it brought since then counts for nothing. */
bool store_import_leave_out(struct store *store, int64_t id, const struct import_bounds *since,
	struct problem *why);

/* The next bond that it brought something of, and the next line that it brought a failure on; 0:
 * none. */
bool store_import_next_bond(struct store *store, int64_t id, int64_t after, int64_t *bond_id,
	struct problem *why);
bool store_import_next_line(struct store *store, int64_t id, int64_t after, int64_t *line_id,
	struct problem *why);
bool store_import_is_of_bond(struct store *store, int64_t id, int64_t bond_id, bool *it_is,
	struct problem *why);

/* Of one that counts: forgets that what it brought of a bond was left out. */
bool store_import_tidy(struct store *store, int64_t id, int64_t bond_id, struct problem *why);

/* Whether it brought an entry. */
bool store_import_brought(struct store *store, int64_t id, enum sent_noun noun, int64_t row_id,
	bool *it_did, struct problem *why);

/* How many bonds it brought until now. */
bool store_import_bonds(struct store *store, int64_t id, int64_t *count, struct problem *why);

/* Who brought one that counts; 0: nobody who signed in. */
bool store_import_person(struct store *store, int64_t id, int64_t *person_id, struct problem *why);

/* The rows that an import took, of its own row; all 0 while there is none. */
bool store_import_rows(struct store *store, int64_t id, struct import_row *to, struct problem *why);

#endif
