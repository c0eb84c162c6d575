/* What a tablet takes along of a bond, so that it judges a reading as the server will. */
#ifndef SERVICE_REPORT_TABLET_H
#define SERVICE_REPORT_TABLET_H

#include "derived/act.h"
#include "rules/tablet/tablet.h"

/* *to is all absent at first; its lists are of the memory. PROBLEM_NOT_FOUND. */
bool tablet_take_along(struct view *view, int64_t bond_id, struct tablet_known *to,
	struct form_memory *memory, struct problem *why);

/* Adds what is known of the instruments alone, as the member `instruments` has it. */
void tablet_write_meters(const struct tablet_known *known, struct text *to);

#endif
