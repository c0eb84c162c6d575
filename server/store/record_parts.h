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

/* Where a walk through the things of bonds is. */
struct place {
	struct store *store;
	struct known *known;
	struct records *to;
	int64_t first_id, last_id;   /* of the bonds */
	size_t at;                   /* what the walk came to: a bond, or see store/record_visits.c */
	size_t turn, end;            /* the run of inspections: turns[turn] to turns[end - 1] */
};

/* A walk through rows by bond, which begin with its id, from first_id on. */
bool record_walk(struct place *p, const char *sql, sql_take *take, struct problem *why);

/* Is a row of a bond behind the last one? */
bool record_is_past(const struct place *p, sqlite3_value **row);

/* The bond that a row belongs to: rows come by bond, so the search goes on from where it was. NULL:
 * of a bond that is not among them. */
struct record *record_of(struct place *p, sqlite3_value **row);

/* What the rows of a statement, few or none, say is corrected: asked once and not at each row. */
bool record_replaced(struct place *p, const char *sql, struct problem *why);
bool record_is_replaced(const struct records *r, int64_t id);

/* Visits, their readings and what is kept of these; bonds are there already (record_visits.c). */
bool record_visits(struct place *p, struct problem *why);

#endif
