/*
 * A file tried beside the crews: as import_run, and nothing is kept. A view that is held for long
 * keeps the register's log from being folded, so a file of many bonds, inspections or failures is
 * tried in parts of some thousand rows, each in a view of its own. What rows can have to do with
 * one another is in one part: a line's bonds and failures, a bond's inspections. So each part comes
 * out as it would in the whole.
 *
 * A part reads the file again and leaves out what is of the others. Another import that came in
 * between two parts ends the trial (result->waits_for): the parts before did not know of it.
 */
#ifndef SERVICE_IMPORT_TRIAL_H
#define SERVICE_IMPORT_TRIAL_H

#include "derived/act.h"
#include "service/import/import.h"

/* Gives an act in a view of this moment that will not be kept, and takes it back. end also after a
 * begin that failed. */
struct trial_views {
	struct act *(*begin)(struct trial_views *views, struct problems *why);
	void (*end)(struct trial_views *views);
};

/* As import_run; part_rows: about so many in a part, 0: as is usual. */
bool import_try(const struct import_request *request, struct trial_views *views, size_t part_rows,
	struct import_result *result, struct problems *why);

/* Which rows are of which part. Internal to the importer. */
struct run;
union run_row;
struct trial_parts {
	uint16_t *of;                   /* by row: what its line or bond hashes to; owned */
	size_t room;
	size_t count, now;
};
void trial_parts_free(struct trial_parts *parts);

/* Notes whose the row being read is; whether it is of this part (all are before the last pass). */
bool trial_parts_note(struct run *run, const union run_row *row);
bool trial_parts_has(const struct run *run);

#endif
