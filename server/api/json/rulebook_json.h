/* What several answers say of a version of the rulebook. */
#ifndef API_JSON_RULEBOOK_JSON_H
#define API_JSON_RULEBOOK_JSON_H

#include "api/json.h"
#include "store/record/rulebook.h"

/* "withdrawn": {"reason", "person", "recorded_at"}, or null when it counts. */
void json_withdrawn(struct json *j, const struct rulebook_row *row);

/* "rulebook_version", and its "withdrawn"; both null for version 0. False: *why. */
bool json_version_of(struct json *j, struct store *store, int64_t version, struct problem *why);

#endif
