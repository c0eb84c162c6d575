/* An explained repeat place as members of a JSON object. */
#ifndef API_JSON_REPEAT_JSON_H
#define API_JSON_REPEAT_JSON_H

#include "api/json.h"
#include "service/report/explain.h"

/* "modes", "methods", "kits", "batches", "people": what each failure here had, most first. */
void repeat_json_involved(const struct explained *e, struct json *j);

/* "explained". */
void repeat_json_explained(const struct explained *e, struct json *j);

#endif
