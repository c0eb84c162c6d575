/* A bond as JSON, with its ends, live attachments what is due and its grade. */
#ifndef API_JSON_BOND_JSON_H
#define API_JSON_BOND_JSON_H

#include "api/json.h"
#include "derived/view.h"
#include "http/request.h"
#include "store/record/bond.h"

/* Adds the whole bond. False: *why. */
bool json_bond(struct view *view, const struct bond *bond, struct text *to,
	struct problem *why);

/* Adds the members "due" {"state":...,"due_day":...,"days_over":...,"reason":...} and "grade"
 * {"grade":...,"reasons":[...],"because":...}; nothing when they cannot be read. */
void json_state_of(struct view *view, int64_t bond_id, struct json *to);

/* "3" in quotes: the version as a strong ETag. */
void json_bond_etag(int64_t version, char *to, size_t size);

#endif
