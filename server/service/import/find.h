/*
 * What a trial tells of what would come in, beside the counts: what is right as it is written and
 * can hardly be meant, or will not count as somebody may think. Internal to the importer.
 */
#ifndef SERVICE_IMPORT_FIND_H
#define SERVICE_IMPORT_FIND_H

#include "service/import/run.h"

/* At the start of a run or of a part of it, and behind it when all is written and judged. */
bool import_find_begin(struct run *run);
bool import_find_count(struct run *run);

/* What was found, at the end. */
void import_find_tell(struct run *run);

/* Of a row: whether a day of it is to come. */
void import_find_day(struct run *run, const union run_row *row);

#endif
