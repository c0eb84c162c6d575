/* Rulebook versions, imports and saved mappings, marks of what is derived. */
#ifndef STORE_BOOK_H
#define STORE_BOOK_H

#include "store/line.h"

/* The newest version that holds on a day: its number and body (JSON, the caller's: free()).
 * *version is 0 and *body NULL when none was ever adopted. */
bool store_rulebook_get(struct store *store, int32_t day, int64_t *version, int32_t *from_day,
	char **body, struct problem *why);
bool store_rulebook_insert(struct store *store, int64_t version, int32_t from_day,
	const char *body, const char *reason, const struct origin *origin, struct problem *why);

/* One version as it was adopted; its texts are the caller's (store_rulebook_row_release).
 * PROBLEM_NOT_FOUND when it was never adopted. */
struct rulebook_row {
	int32_t from_day;
	char *body, *reason;
	char *person;                /* who adopted it; NULL: not known */
	int64_t recorded_at_ms;
};
bool store_rulebook_version(struct store *store, int64_t version, struct rulebook_row *to,
	struct problem *why);
void store_rulebook_row_release(struct rulebook_row *row);

/* The greatest version adopted so far; 1, the default's, when there is none. */
bool store_rulebook_last(struct store *store, int64_t *version, struct problem *why);

struct import_row {
	int64_t id;
	const char *kind, *file_name, *file_hash, *settings;
	int64_t rows_read, rows_added, rows_already, rows_left_out;
};
/* The id that the next import will have: what it writes carries it, and its own row, with the
 * counts, comes last. Nobody else writes meanwhile. */
bool store_import_next(struct store *store, int64_t *id, struct problem *why);
/* row->id 0: the next one. */
bool store_import_insert(struct store *store, struct import_row *row, const struct origin *origin,
	struct problem *why);

/* The newest version of a named mapping; *settings is the caller's, NULL when there is none. */
bool store_mapping_get(struct store *store, const char *name, int64_t *version, char **kind,
	char **settings, struct problem *why);
bool store_mapping_insert(struct store *store, const char *name, int64_t version,
	const char *kind, const char *settings, const struct origin *origin, struct problem *why);

bool store_mark_get(struct store *store, const char *name, int64_t *value, struct problem *why);
bool store_mark_put(struct store *store, const char *name, int64_t value, struct problem *why);

/* Forgets all repeat places; the other derived rows are written over when computed again. */
bool store_repeat_forget(struct store *store, struct problem *why);

extern const struct list rulebook_list;
extern const struct list import_list;
extern const struct list mapping_list;

#endif
