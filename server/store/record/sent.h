/*
 * What crews send carries an id made by the sender, so that sending twice stores once. The hash
 * of the content tells a repetition from another record under the same id.
 */
#ifndef STORE_RECORD_SENT_H
#define STORE_RECORD_SENT_H

#include "base/table.h"
#include "base/uuid.h"
#include "store/store.h"

enum sent_noun { SENT_INSPECTION, SENT_FAILURE, SENT_REPAIR, SENT_DEFERRAL, SENT_ATTACHMENT,
	SENT_RULING, SENT_RENEWAL, SENT_WITHDRAWAL, SENT_IMPORT, SENT_KIT_CHECK,
	/* these have no id of a sender's: they are named by the register's own number */
	SENT_CALIBRATION, SENT_CONDUCTOR, SENT_PROFILE, SENT_BOND, SENT_LINE, SENT_TRACK, SENT_MAP,
	SENT_MARK,
	/* these have one again */
	SENT_ROUND, SENT_ROUND_STEP, SENT_BRIDGE,
	SENT_BRIDGE_OFF, SENT_PHOTO, SENT_FOUND,
	SENT_FOUND_ANSWER };   /* the numbers are stored: only add at the end */
extern const struct words sent_noun_words;

enum { SENT_HASH_SIZE = 65 };

struct sent {
	int64_t id;                  /* of the record; 0: nothing is kept under that id */
	int64_t bond_id;             /* whose record it is */
	char hash[SENT_HASH_SIZE];
};

bool store_sent_find(struct store *store, enum sent_noun noun, const char *uuid, struct sent *to,
	struct problem *why);

/* True in *replaced when a correction of that record is kept; of an inspection, failure or repair
 * one that was not withdrawn. */
bool store_sent_replaced(struct store *store, enum sent_noun noun, int64_t id, bool *replaced,
	struct problem *why);

/* The same of a correction that was not withdrawn in turn: that one is to be withdrawn first. */
bool store_sent_stands_corrected(struct store *store, enum sent_noun noun, int64_t id,
	bool *corrected, struct problem *why);

/* Who entered a record, and all that it corrects in turn; 0: nobody who signed in, -1: several.
 * Else two corrections would make one's own what somebody else wrote. */
bool store_sent_author(struct store *store, enum sent_noun noun, int64_t id, int64_t *person_id,
	struct problem *why);

/* The id of the entry (up to a ruling) that the one kept under `uuid` corrects; "" when it corrects
 * none, or none is kept. to may be uuid. */
bool store_sent_former(struct store *store, enum sent_noun noun, const char *uuid,
	char to[UUID_TEXT_SIZE], struct problem *why);

#endif
