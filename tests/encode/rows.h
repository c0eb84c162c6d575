/* A table out of an array, for the tests of the encoders: a column of each type. */
#ifndef TESTS_ENCODE_ROWS_H
#define TESTS_ENCODE_ROWS_H

#include <check.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "encode/encode.h"

static const char *const kind_codes[] = { "rail_joint", "track_cross" };
static const char *const kind_titles[] = { "Rail joint bond", "Track-to-track cross bond" };
static const struct words kind_words = { "kind", kind_codes, kind_titles, 2 };

static const struct column all_columns[] = {
	{ "id", "Id", NULL, CELL_INTEGER },
	{ "r20_uohm", "R20", "µΩ", CELL_REAL },
	{ "label", "Label", NULL, CELL_TEXT },
	{ "due", "Due", NULL, CELL_DAY },
	{ "recorded", "Recorded", NULL, CELL_INSTANT },
	{ "live", "Live", NULL, CELL_FLAG },
	{ "kind", "Kind", NULL, CELL_WORD, &kind_words },
};
enum { ALL_COLUMNS = 7 };

struct array_rows {
	const struct cell *cells;    /* n rows of n_columns */
	size_t n, n_columns, at;
	size_t fails_after;          /* rows; SIZE_MAX: never */
};

static bool array_next(void *source, struct cell *row, bool *failed)
{
	struct array_rows *rows = source;

	*failed = rows->at == rows->fails_after;
	if (*failed || rows->at == rows->n) {
		return false;
	}
	memcpy(row, rows->cells + rows->at * rows->n_columns, rows->n_columns * sizeof *row);
	rows->at++;
	return true;
}

#define TEXT_CELL(z) { .text = (z), .len = sizeof(z) - 1 }
#define NULL_CELL { .is_null = true }

/* Runs an encoder into a temporary file and gives what it wrote. */
static inline bool encode_to_text(const char *name, struct array_rows *rows,
	const struct column *columns, const struct encode_options *options, struct text *written,
	size_t *count, struct problem *why)
{
	struct table table = { columns, rows->n_columns, array_next, rows };
	const struct encoder *encoder = encoder_find(name);
	FILE *file = tmpfile();
	char piece[4096];
	size_t n;
	bool right;

	ck_assert_ptr_nonnull(encoder);
	ck_assert_ptr_nonnull(file);
	right = encoder->encode(&table, options, fileno(file), count, why);
	rewind(file);
	while ((n = fread(piece, 1, sizeof piece, file)) > 0) {
		text_add(written, piece, n);
	}
	fclose(file);
	ck_assert(!written->failed);
	return right;
}

#endif
