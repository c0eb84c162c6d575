/* What the encoders share. Internal to encode/. */
#ifndef ENCODE_PARTS_H
#define ENCODE_PARTS_H

#include <math.h>

#include "base/day.h"
#include "encode/encode.h"

enum { FLUSH_BYTES = 64 * 1024 };

/* The rows of one encoding under way; zeroed at first. */
struct rows {
	const struct table *table;
	struct cell *row;         /* n_columns cells */
	size_t count;             /* rows so far */
	bool failed;              /* the source failed */
};

bool rows_start(struct rows *rows, const struct table *table, struct problem *why);
bool rows_next(struct rows *rows);      /* false at the end, whole or not: see failed */
void rows_release(struct rows *rows);

/* True when the cell has nothing to write: null, no finite number, a word that is not known. */
static inline bool cell_is_empty(const struct column *column, const struct cell *cell)
{
	if (cell->is_null) {
		return true;
	}
	switch (column->type) {
	case CELL_REAL:
		return !isfinite(cell->real);
	case CELL_TEXT:
		return cell->text == NULL;
	case CELL_DAY:
		return cell->integer == DAY_NONE;
	case CELL_WORD:
		return cell->integer < 0 || cell->integer >= column->words->n;
	default:
		return false;
	}
}

/* Appends a cell that is not empty as bare text: 12, 0.5, 2026-03-31, true, rail_joint. */
void cell_add(const struct column *column, const struct cell *cell, struct text *to);

/* Writes the buffer out and empties it when it holds at least `least` bytes. */
bool flush_text(struct text *buffer, size_t least, int fd, struct problem *why);

/* The quoted names of the columns with what stands before them, made once: {"id": ,"label": */
struct json_heads {
	struct text text;
	size_t *end;              /* of each head in text, n_columns */
};
bool json_heads_make(struct json_heads *heads, const struct table *table);  /* false: no memory */
void json_heads_release(struct json_heads *heads);

/* Appends the row that rows_next gave as an object. */
void json_add_row(const struct json_heads *heads, const struct rows *rows, struct text *to);

/* Says in *why that the source failed or memory ran out, and returns false. */
bool refuse_cut_short(const struct rows *rows, struct problem *why);
bool refuse_no_memory(struct problem *why);

bool encode_csv(const struct table *table, const struct encode_options *options, int fd,
	size_t *rows, struct problem *why);
bool encode_geojson(const struct table *table, const struct encode_options *options, int fd,
	size_t *rows, struct problem *why);
bool encode_xlsx(const struct table *table, const struct encode_options *options, int fd,
	size_t *rows, struct problem *why);
bool encode_json(const struct table *table, const struct encode_options *options, int fd,
	size_t *rows, struct problem *why);

#endif
