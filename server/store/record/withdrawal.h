/* Entries that were taken back: they stay readable, count for nothing, and replace nothing. */
#ifndef STORE_RECORD_WITHDRAWAL_H
#define STORE_RECORD_WITHDRAWAL_H

#include "store/record/line.h"
#include "store/record/person.h"
#include "store/record/sent.h"

struct withdrawal {
	int64_t id;
	const char *uuid, *content_hash, *reason;    /* borrowed */
	enum sent_noun noun;
	int64_t row_id, bond_id;      /* of the entry that is taken back */
};
bool store_withdrawal_insert(struct store *store, struct withdrawal *w, const struct origin *origin,
	struct problem *why);

/* Whether an entry was withdrawn, or is to be once an engineer has confirmed it. */
bool store_withdrawal_of(struct store *store, enum sent_noun noun, int64_t row_id, bool *there,
	struct problem *why);

/* Whether it is withdrawn now, by itself or with its import. */
bool store_withdrawn(struct store *store, enum sent_noun noun, int64_t row_id, bool *withdrawn,
	struct problem *why);

/* Who withdrew a bond, or the file that brought it, when and why; id 0: nobody did. */
struct withdrawn_word {
	int64_t id, at_ms;
	char person[PERSON_NAME_SIZE];
	char reason[2001];
};
bool store_bond_withdrawn(struct store *store, int64_t bond_id, struct withdrawn_word *to,
	struct problem *why);

/* The entry that a withdrawal (its number) takes back counts no longer, nor does what an import
 * brought; or it counts again, because the withdrawal waits for an engineer. */
bool store_withdrawal_count(struct store *store, int64_t id, struct problem *why);
bool store_withdrawal_wait(struct store *store, int64_t id, struct problem *why);

/* The entry of a withdrawal, by the id of either. */
bool store_withdrawal_get(struct store *store, int64_t id, struct withdrawal *to,
	char entry_uuid[UUID_TEXT_SIZE], struct problem *why);

/* Whether an import brought visits, failures, repairs or attachments. */
bool store_import_entries(struct store *store, int64_t import_id, bool *some, struct problem *why);

extern const struct list withdrawal_list;
/* What was recorded after an import on the bonds that it brought entries of. */
extern const struct list recorded_since_list;

#endif
