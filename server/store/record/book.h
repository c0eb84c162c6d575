/* Imports and saved mappings, marks of what is derived. */
#ifndef STORE_RECORD_BOOK_H
#define STORE_RECORD_BOOK_H

#include "store/record/line.h"

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

/* The highest id of an inspection, 0 when there is none. */
bool store_inspection_last(struct store *store, int64_t *id, struct problem *why);

/* Readings of later inspections, as they are judged now: those that are asked, those of them with
 * one of the bits, and those that name no instrument. */
struct readings_since {
	size_t asked, far_below, without_meter;
};
bool store_readings_since(struct store *store, int64_t inspection_id, unsigned far_below_bits,
	struct readings_since *to, struct problem *why);

/* The newest version of a named mapping; *settings is the caller's, NULL when there is none. */
bool store_mapping_get(struct store *store, const char *name, int64_t *version, char **kind,
	char **settings, struct problem *why);
bool store_mapping_insert(struct store *store, const char *name, int64_t version,
	const char *kind, const char *settings, const struct origin *origin, struct problem *why);

bool store_mark_get(struct store *store, const char *name, int64_t *value, struct problem *why);
bool store_mark_put(struct store *store, const char *name, int64_t value, struct problem *why);

/* Forgets all repeat places; the other derived rows are written over when computed again. */
bool store_repeat_forget(struct store *store, struct problem *why);

extern const struct words import_standing_words;
extern const struct list import_list;
extern const struct list mapping_list;

#endif
