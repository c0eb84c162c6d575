/* What the files of the importer share. Internal to it. */
#ifndef SERVICE_IMPORT_RUN_H
#define SERVICE_IMPORT_RUN_H

#include "derived/derived.h"
#include "service/import/import.h"
#include "service/import/plan.h"
#include "service/import/seen.h"
#include "service/import/shape.h"
#include "service/import/trial.h"
#include "service/record/bond.h"
#include "service/record/line.h"
#include "store/record/book.h"
#include "store/record/sent.h"

/* A row of any kind. */
union run_row {
	struct line_new line;
	struct track_new track;
	struct piece_row piece;
	struct bond_new bond;
	struct visit_row visit;
	struct failure_new failure;
};

struct import_place {
	size_t row, line;
};

struct import_piece;

struct run {
	struct act *act;                /* of the piece under way */
	const struct run_kind *how;
	const struct import_request *request;
	struct import_result *result;
	struct problems *why;
	struct import_headings headings;
	struct import_plan plan;
	struct csv csv;                 /* the row being read */
	struct import_shape shape;
	struct text utf8;               /* the file, as the pass reads it */
	size_t pass, passes;
	bool in_pass;
	bool beside;                    /* in pieces, beside the crews: what it records is none of the
	                                 * register yet, and nothing is derived of it */
	char line_code[LINE_CODE_SIZE]; /* of the line that was looked for last; its id, 0: none */
	int64_t line_id;
	int64_t last_inspection;        /* before the run */
	int64_t last_bond;              /* that it brought */
	size_t beyond, to_come, partly; /* rows and visits that are told of, */
	struct readings_since since;    /* and readings */
	struct trial_parts *parts;      /* of a trial in parts; NULL: it is none */
	struct import_seen seen;
	struct import_piece *pieces;    /* of maps */
	size_t n_pieces;
};

/*
 * What a kind does with its rows. All return false when the run must end (run->why is set); a
 * refused row is told to run_wrong and is true. The memory holds the row's texts; who keeps them
 * takes the blocks and leaves it empty.
 */
struct run_kind {
	size_t passes;
	bool (*look)(struct run *, const union run_row *, const struct problems *wrong);
	bool (*row)(struct run *, union run_row *, struct form_memory *);
	bool (*spoilt)(struct run *, const union run_row *, const struct problems *wrong);
	bool (*end)(struct run *);
	void (*release)(struct run *);
};
extern const struct run_kind import_run_maps, import_run_inspections, import_run_failures;

/*
 * A run in pieces: run_begin, run_go until run_is_over, run_keep_import for the import's own row,
 * run_free. run_go does passes up to one of them, until a moment (clock_monotonic_ms), in the act
 * of the piece. False: *why, and the run is good for nothing more. A pass that is not the last asks
 * nothing of the register where the kind's look does not: then act may be NULL.
 */
#define IMPORT_TO_END INT64_MAX
struct run *run_begin(const struct import_request *request, struct import_result *result,
	struct problems *why);
bool run_go(struct run *run, struct act *act, size_t pass, int64_t until_ms, struct problems *why);
bool run_is_over(const struct run *run);
bool run_keep_import(struct run *run);
void run_free(struct run *run);

/* Before the rows of a run, or of a part of one, that is not in pieces: no other is under way, and
 * the act is of the next import; and behind them: what is told of what they wrote. */
struct run_before {
	int64_t number, bonds;
};
bool run_part_begin(struct run *run, struct act *act, struct run_before *before);
bool run_part_end(struct run *run, const struct run_before *before);

/* All is counted: the reasons are in order. */
void run_told(struct run *run);

/* What was touched is derived, unless nothing is. */
bool run_derive(struct run *run, struct problems *wrong);

/* Whether a row that is there was there before the import: one carried on finds what it brought. */
bool run_already(struct run *run, enum sent_noun noun, const struct recorded *recorded,
	bool *already);

struct import_place run_place(const struct run *run);

/* Counts a row as wrong, with its reasons. False when one of them is a failure below us. */
bool run_wrong(struct run *run, struct import_place place, const struct problems *wrong);

/* The same with a sentence. column: a field's name. */
bool run_wrong_because(struct run *run, struct import_place place, const char *field,
	const char *format, ...) __attribute__((format(printf, 4, 5)));

/* True when the problem is no refusal but a failure below us, which ends the run. */
bool run_is_failure(const struct problems *problems);

/* A step that can be undone. run_keep: ok keeps what was written, else undoes it; false: failed. */
bool run_save(struct run *run);
bool run_keep(struct run *run, bool ok);

/* Counts rows as added or already there. */
void run_count(struct run *run, bool already, size_t rows);

/* The id of what a key tells from all else. What was withdrawn under it has it still: then it is
 * another, and the same may come in again. */
bool run_uuid(struct run *run, enum sent_noun noun, const unsigned char key[IMPORT_KEY_BYTES],
	char to[UUID_TEXT_SIZE]);

/* 16 bytes that stand for a text. */
void run_hash(const struct text *text, unsigned char to[IMPORT_KEY_BYTES]);

#endif
