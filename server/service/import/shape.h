/*
 * Where a file's table stands, and how its rows are made one record each. Between the CSV reader
 * and all that reads rows. Internal to the importer.
 *
 *     begins_row   the row with the names of the columns (or the first of data): titles stand above
 *     ends_row     the last row: totals, or another table, stand below, and are left out and
 *     counted as_above     columns in which an empty cell means the one above it
 *     in_rows      columns that each become a record: a year, or a reading, per column. In the
 *                  record stand two columns more, "(heading)" and "(value)"; a record whose value
 *                  is empty is none, unless all of its row are
 */
#ifndef SERVICE_IMPORT_SHAPE_H
#define SERVICE_IMPORT_SHAPE_H

#include "service/import/heading.h"
#include "service/import/settings.h"

#define SHAPE_HEADING "(heading)"
#define SHAPE_VALUE "(value)"

struct import_shape {
	const struct import_settings *settings;
	struct csv *csv;
	const struct import_headings *headings;
	size_t n_columns;                 /* of the file itself */
	bool is_read;                     /* the row under way was read already: the first of data */
	size_t above[CSV_CELLS], n_above;
	struct csv_cell last[CSV_CELLS];  /* of those, what stood above */
	size_t part[CSV_CELLS], n_parts;
	size_t next_part;                 /* of the row under way; n_parts: it is done with */
	bool any_part;
};

/*
 * Reads on to where the table begins, and takes the names of its columns. The csv was started, and
 * its bytes, the settings and the headings outlive the shape. False: the table begins nowhere, its
 * first row is wrong, or a column that is named is not there.
 */
bool import_shape_begin(struct import_shape *shape, const struct import_settings *settings,
	struct csv *csv, struct import_headings *headings, struct problems *why);

/* The next record, in the csv's cells. A row with more or fewer cells than the first is CSV_WRONG.
 * What stands beyond the table comes as it is: import_shape_is_beyond. */
enum csv_result import_shape_next(struct import_shape *shape, struct problem *why);

/* Whether the row that was read stands below the table. */
bool import_shape_is_beyond(const struct import_shape *shape);

/* From here on rows as the file has them, for who writes them again: filled up from above, not
 * parted. */
void import_shape_whole(struct import_shape *shape);

#endif
