/*
 * The places of a row, before it is handed on: what is in a unit of length becomes a chainage as
 * the line writes it, and what no line counts to is refused. Internal to the importer.
 *
 * On a line whose length is known (it has a chainage map) what lies beyond its ends is refused
 * anyway. Elsewhere a place may be 10,000 kilometres or miles from zero where a person said what
 * the column's numbers are, and 1,000 where nobody did: 12345 in a column of metres is not 12,345
 * km. (The farthest that one route is counted is 9,288 km, from memory.)
 */
#ifndef SERVICE_IMPORT_PLACE_H
#define SERVICE_IMPORT_PLACE_H

#include "service/import/run.h"

/* The memory holds the texts that are made. False: *wrong says what is wrong with the row. */
bool import_places(struct run *run, union run_row *row, struct form_memory *memory,
	struct problems *wrong);

#endif
