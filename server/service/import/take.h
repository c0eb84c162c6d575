/*
 * A row of a file that says something else of a known bond than the register does: the fields are
 * told, and those that the settings choose are taken, as a further version of the bond would be by
 * hand (service/record/bond_differ.h). Without a choice the row is wrong, as any that contradicts
 * the register. Internal to the importer.
 */
#ifndef SERVICE_IMPORT_TAKE_H
#define SERVICE_IMPORT_TAKE_H

#include "service/import/run.h"

/* Registers a bond, or takes what is chosen of a known one (recorded->already). */
bool import_bond(struct run *run, const struct bond_new *form, struct recorded *recorded,
	struct problems *wrong);

/* As members: "changed", "differing": [{"field", "title", "count"}], "differences": [{"row",
 * "what", "field", "title", "known", "said", "taken"}]. */
void import_differences_write(const struct import_result *result, struct text *to);

#endif
