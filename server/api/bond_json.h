/* A bond as JSON, with its ends, live attachments and what is due. */
#ifndef API_BOND_JSON_H
#define API_BOND_JSON_H

#include "http/request.h"
#include "store/bond.h"

/* Adds the whole bond. False: *why. */
bool json_bond(const struct request *req, const struct bond *bond, struct text *to,
	struct problem *why);

/* Adds {"state":...,"due_day":...,"days_over":...,"reason":...}; null when it cannot be read. */
void json_due_of(const struct request *req, int64_t bond_id, struct text *to);

/* "3" in quotes: the version as a strong ETag. */
void json_bond_etag(int64_t version, char *to, size_t size);

#endif
