/* What the files of store/record.h share. */
#ifndef STORE_RECORD_PARTS_H
#define STORE_RECORD_PARTS_H

#include "store/record.h"
#include "store/sql.h"

/* Arrays that grow together. */
struct record_array {
	void **at;
	size_t size;     /* of one */
};

/* Room for `needed` things in each; they double. */
bool record_room(size_t needed, size_t *room, const struct record_array *arrays, size_t count,
	struct problem *why);

/* The statement for the bonds, or for whatever else it has two numbers of, from first to last. */
sqlite3_stmt *record_range(struct store *store, const char *sql, int64_t first, int64_t last,
	struct problem *why);

/* The bond that a row belongs to: rows come by bond, so the search goes on from *at, where it was.
 * NULL: of a bond that is not among them. */
struct record *record_of(const struct records *to, size_t *at, int64_t bond_id);

/* What the rows of a statement, few or none, say is corrected: asked once and not at each row. */
bool record_replaced(struct store *store, const char *sql, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why);
bool record_is_replaced(const struct records *r, int64_t id);

/* Visits, their readings and what is kept of these; bonds are there already (record_visits.c). */
bool record_visits(struct store *store, struct known *known, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why);

#endif
