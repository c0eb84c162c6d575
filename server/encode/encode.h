/*
 * A table of rows as a file that people or programs take away: one encoder a format, all for the
 * same struct table (base/table.h), so every list comes in every format.
 *
 * An encoder reads the table to its end and writes the whole file to a descriptor, in pieces, so
 * that memory does not grow with the rows. A new format is one more row in `encoders`.
 *
 *     const struct encoder *encoder = encoder_find("csv");
 *     if (!encoder->encode(&table, &options, fd, &rows, &why)) ...
 *
 * False: the source failed in the middle, the descriptor could not be written (logged with the
 * cause) or memory ran out; *why says which and after how many rows. A file that stays where
 * people find it then shows that it is not whole: a CSV says so in its last line, the list of a
 * JSON or GeoJSON file is not closed, of an XLSX file nothing is written.
 */
#ifndef ENCODE_ENCODE_H
#define ENCODE_ENCODE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/problem.h"
#include "base/table.h"
#include "base/text.h"

struct encode_options {
	const char *title;        /* of the list, for people; NULL when there is none */
	bool byte_order_mark;     /* CSV: without it some spreadsheets take UTF-8 for Windows-1252 */
};

struct encoder {
	const char *name;         /* in the query string: ?format=csv */
	const char *title;        /* for people: "CSV" */
	const char *media_type;
	const char *extension;    /* without the point */
	bool (*encode)(const struct table *table, const struct encode_options *options, int fd,
		size_t *rows, struct problem *why);
	const char *needs[2];     /* columns that the table must have, by name; NULL: no (more) */
};

/* Ended by an encoder without a name. */
extern const struct encoder encoders[];

/* NULL when there is none of that name. */
const struct encoder *encoder_find(const char *name);

/*
 * Appends the rows as JSON objects parted by commas, without the brackets, for an answer such as
 * {"rows":[...],"next":...}. An absent cell is null. What was appended before a failure stays.
 */
bool encode_json_rows(const struct table *table, struct text *to, size_t *rows,
	struct problem *why);

/* The first row alone, its brace not closed: for whoever adds members of his own, each with the
 * comma before it, and the brace. There are columns. *found: there is a row; false and nothing was
 * added. */
bool encode_json_open(const struct table *table, struct text *to, bool *found,
	struct problem *why);

#endif
