/* The rails at the ends of a bond as JSON: what a new attachment keeps clear of. */
#ifndef API_JSON_RAIL_JSON_H
#define API_JSON_RAIL_JSON_H

#include "base/text.h"
#include "derived/view.h"

/* Adds {"reach_mm", "clearance_mm", "ends": [both]}. False: *why; PROBLEM_NOT_FOUND. */
bool json_rail(struct view *view, int64_t bond_id, struct text *to, struct problem *why);

#endif
