/*
 * Bonds, lines, tracks and chainage maps as something that may be withdrawn: which an import
 * brought, and what stands on one. They are withdrawn only while nothing does, so that nothing
 * recorded ever hangs on what counts for nothing.
 */
#ifndef STORE_RECORD_BROUGHT_H
#define STORE_RECORD_BROUGHT_H

#include "store/record/line.h"
#include "store/record/sent.h"

/* SENT_BOND, SENT_MAP, SENT_TRACK or SENT_LINE, by its number. */
struct brought {
	enum sent_noun noun;
	int64_t id;
	int64_t line_id;              /* whose chainages a map is of; of others 0 */
	bool withdrawn;
};

/* One by its noun and number; id 0 when there is none. */
bool store_brought_get(struct store *store, enum sent_noun noun, int64_t id, struct brought *to,
	struct problem *why);

/* What an import brought and still counts: bonds, then maps, tracks, lines, so that each is free
 * once those before it are gone. *all is the caller's: free(). */
bool store_brought(struct store *store, int64_t import_id, struct brought **all, size_t *count,
	struct problem *why);
bool store_brought_any(struct store *store, int64_t import_id, bool *any, struct problem *why);

/*
 * Whether something stands on it: on a bond what was recorded of it and not taken back, marks on
 * the rail, and engineers' words; on a track or a line bonds, failures, renewals, tracks and maps;
 * on a map every place that was said on its line since it came in, which was read by it. of_import:
 * a bond that was changed since by another entry does not go with the file that brought it.
 */
bool store_brought_stands(struct store *store, const struct brought *b, bool of_import,
	bool *stands, struct problem *why);

/* It counts no longer. */
bool store_brought_withdraw(struct store *store, const struct brought *b, struct problem *why);

#endif
