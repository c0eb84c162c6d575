/*
 * Who is said to have done something, and who entered it, as columns of lists. A row that has a
 * doer has person_id, or person_name for somebody who is not signed up; neither is "not stated".
 * recorded_by is NULL for what came from the command line.
 */
#ifndef STORE_RECORD_DOER_H
#define STORE_RECORD_DOER_H

#include "store/lists/list.h"

#define NAME_OF(person_id) "(SELECT pf.name FROM person_fact pf WHERE pf.person_id = " person_id \
	" ORDER BY pf.version DESC LIMIT 1)"
#define NAME_OF_DOER(row) "coalesce(" row ".person_name, " NAME_OF(row ".person_id") ")"

#define COLUMN_OF_DOER(title, row) \
	{ { "done_by", title, NULL, CELL_TEXT, .width = 24 }, NAME_OF_DOER(row) }
#define COLUMNS_OF_ENTRY(row) \
	{ { "entered_by", "Entered by", NULL, CELL_TEXT, .width = 24 }, NAME_OF(row ".recorded_by") }, \
	{ { "entered_at", "Entered at", NULL, CELL_INSTANT }, row ".recorded_at_ms" }

#endif
