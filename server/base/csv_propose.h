/*
 * How a file of unknown origin is probably meant to be read: proposed with reasons, for a person
 * to confirm. Nothing here decides.
 */
#ifndef BASE_CSV_PROPOSE_H
#define BASE_CSV_PROPOSE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/charset.h"
#include "base/csv.h"
#include "base/day.h"
#include "base/problem.h"
#include "base/table.h"

enum sure { SURE_GUESS, SURE_LIKELY, SURE_CERTAIN };
extern const struct words sure_words;

enum { CSV_WHY_SIZE = 240, CSV_SAMPLE_ROWS = 200, CSV_SAMPLE_BYTES = 256 * 1024 };

struct csv_choice {
	int value;                    /* an enum charset, or the character */
	enum sure sure;
	char why[CSV_WHY_SIZE];       /* a sentence with what was seen */
};

/* What the sample's cells of a column look like, the heading left out. */
struct csv_column_look {
	size_t filled;                /* cells that are not empty */
	size_t dates[3];              /* of those, how many are dates in each enum day_format */
	bool is_date;                 /* nine in ten or more are, in one format */
	enum day_format format;       /* proposed; meaningful when is_date */
	enum sure sure;               /* SURE_GUESS: day and month could be either way round */
};

struct csv_proposal {
	struct csv_choice charset;    /* from the whole file */
	struct csv_choice separator;  /* from the first 200 rows, as all below */
	struct csv_choice decimal;    /* '.' or ',' */
	size_t n_rows;                /* in the sample, without the heading */
	size_t n_columns;
	struct csv_column_look column[CSV_CELLS];
};

/* False: a file that none of the choices makes readable (empty, UTF-16, a workbook):
 * PROBLEM_MALFORMED says what to do with it; or PROBLEM_NO_MEMORY. */
bool csv_propose(const char *bytes, size_t len, struct csv_proposal *proposal,
	struct problem *why);

/* The encoding alone, from all bytes. */
void charset_propose(const char *bytes, size_t len, struct csv_choice *choice);

/* A sentence on the column's dates; "" when it holds none. */
void csv_column_why(const struct csv_column_look *column, char why[CSV_WHY_SIZE]);

#endif
