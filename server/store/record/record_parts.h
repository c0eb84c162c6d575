/* What the files of store/record/record.h share. */
#ifndef STORE_RECORD_RECORD_PARTS_H
#define STORE_RECORD_RECORD_PARTS_H

#include "store/record/record.h"
#include "store/sql.h"

/* Where a walk through the things of bonds is. */
struct place {
	struct store *store;
	struct known *known;
	struct records *to;
	int64_t first_id, last_id;   /* of the bonds */
	size_t at;                   /* what the walk came to: a bond, or see store/record/record_visits.c */
	size_t turn, end;            /* the run of inspections: turns[turn] to turns[end - 1] */
};

/* The two statements of a walk: from a key on, until a row behind the last that is wanted is met;
 * and of a single key, which meets none. */
#define RECORD_WALK(table, key, columns, order) { \
	"SELECT 1 FROM " table " WHERE " key " >= $1 AND enough(" columns ") ORDER BY " order, \
	"SELECT 1 FROM " table " WHERE " key " = $1 AND enough(" columns ") ORDER BY " order }
enum { WALK_FROM, WALK_ONE };

/* A walk through rows by bond, which begin with its id, from first_id on. */
bool record_walk(struct place *p, const char *const sql[2], sql_take *take, struct problem *why);

/* Is a row of a bond behind the last one? */
bool record_is_past(const struct place *p, sqlite3_value **row);

/* The bond that a row belongs to: rows come by bond, so the search goes on from where it was. NULL:
 * of a bond that is not among them. */
struct record *record_of(struct place *p, sqlite3_value **row);

/* What is corrected of some bonds, and what corrects and waits still: neither counts. */
#define RECORD_CORRECTED(table, noun) "SELECT c.replaces_id FROM " table " c " \
	"WHERE c.replaces_id IS NOT NULL AND c.bond_id BETWEEN $1 AND $2 AND NOT EXISTS " \
	"(SELECT 1 FROM correction_open o WHERE o.noun = " noun " AND o.row_id = c.id AND " SQL_STILL \
	") UNION ALL SELECT o.row_id FROM correction_open o WHERE o.noun = " noun \
	" AND o.bond_id BETWEEN $1 AND $2 AND " SQL_STILL

/* What the rows of a statement, few or none, say is corrected: asked once and not at each row. */
bool record_replaced(struct place *p, const char *sql, struct problem *why);
bool record_is_replaced(const struct records *r, int64_t id);

struct record *record_bond_of(struct place *p, int64_t bond_id);

/* Statements for the few, which no walk is for: $1 and $2 are the first and last bond. */
sqlite3_stmt *record_few(const struct place *p, const char *sql, struct problem *why);

/* What was done to the bonds, which are there already (record_works.c): attachments, ends that a
 * renewal took off, failures with their newest repair, an engineer's word, the newest deferral. */
bool record_attachments(struct place *p, struct problem *why);
bool record_taken_off(struct place *p, struct problem *why);
bool record_failures(struct place *p, struct problem *why);
bool record_rulings(struct place *p, struct problem *why);
bool record_deferrals(struct place *p, struct problem *why);

/* Visits, their readings and what is kept of these; bonds are there already (record_visits.c). */
bool record_visits(struct place *p, struct problem *why);

#endif
