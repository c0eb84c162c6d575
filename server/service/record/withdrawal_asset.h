/* Withdrawing bonds, lines, tracks and chainage maps. Internal to service/record/withdrawal.c. */
#ifndef SERVICE_RECORD_WITHDRAWAL_ASSET_H
#define SERVICE_RECORD_WITHDRAWAL_ASSET_H

#include "service/record/withdrawal.h"
#include "store/record/withdrawal_begun.h"

/* One, by its number. Refused while something stands on it (store/record/brought.h). */
bool withdrawal_of_asset(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	struct problems *why);

/*
 * All that an import brought, which w names. A file of bonds, lines, tracks or maps goes as a whole
 * or not at all: what stands on one of them is withdrawn first. Bonds that a file of failures made
 * at places where none was known go with it where nothing else stands on them (by then its failures
 * count for nothing).
 */
bool withdrawal_of_brought(struct act *act, const struct withdrawal *w, bool brought_entries,
	struct problems *why);

/* A bond that an import made known, of which nothing counts since: out of all lists, and *gone. */
bool withdrawal_of_made(struct act *act, const struct withdrawal_begun *begun, int64_t bond_id,
	bool *gone, struct problems *why);

#endif
