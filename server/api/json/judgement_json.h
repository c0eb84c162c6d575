/* What the rules make of a bond and of what was recorded of it, as JSON. */
#ifndef API_JSON_JUDGEMENT_JSON_H
#define API_JSON_JUDGEMENT_JSON_H

#include "api/json.h"
#include "derived/judged.h"
#include "http/request.h"

/* Adds the member "grade": what it is today, its reasons worst first, as codes and as a sentence,
 * and what is forecast. */
void json_grade(struct json *j, const struct bond_state *state, int32_t today);

/* "uOhm" and the like, as a figure of a quantity is written. */
const char *json_unit_of(enum quantity quantity);

/* Adds what is asked of a reading, and what it is evidence of: "status", "asked", "parallel",
 * "only_over", "would", "told", "told_version". */
void json_reading_asked(struct json *j, const struct judge_reading *r);

/* Adds the whole judgement of a bond. False: *why. */
bool json_judgement(struct view *view, int64_t bond_id, struct text *to,
	struct problem *why);

/* Adds members to an answer about what was just recorded: ,"readings":[...] with each value and
 * verdict; ,"acceptance":{...}. Nothing of what cannot be read. */
void json_judged_inspection(struct view *view, int64_t inspection_id, int64_t bond_id,
	struct text *to);
void json_judged_attachment(struct view *view, int64_t attachment_id, int64_t bond_id,
	struct text *to);

#endif
