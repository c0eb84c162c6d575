/*
 * The settings bound to one file: which cell goes into which member, and by which words. Internal
 * to the importer.
 */
#ifndef SERVICE_IMPORT_PLAN_H
#define SERVICE_IMPORT_PLAN_H

#include "service/import/heading.h"
#include "service/import/settings.h"
#include "service/import/template.h"

struct plan_piece {
	enum template_what what;
	const char *text;             /* TEMPLATE_TEXT */
	size_t len;
	size_t column;                /* otherwise */
	size_t digits;                /* TEMPLATE_DIGITS */
	bool close;                   /* goes on with the number before it */
	const char *length_unit;      /* TEMPLATE_LENGTH */
};

struct plan_field {
	const struct member *member;
	const char *shown;            /* for a person: the heading, or the template */
	struct plan_piece *pieces;
	size_t n_pieces;
	bool is_joined;               /* by a template, */
	bool is_sum;                  /* one that adds; unit is metres then */
	size_t last_column;           /* of its pieces */
	const struct import_word **words;
	size_t n_words;
	const char *unit;             /* as stated; NULL: not */
	bool has_unit;                /* it is a number of a unit that can be another */

	/* of the row read last, valid until the next */
	struct csv_cell raw;          /* as the file has it */
	const char *value;            /* after the words */
	size_t len;
	size_t begin;                 /* in joined */
	const char *fault;            /* of a cell that the template cannot take; NULL: none */
	size_t fault_column;
};

struct plan_only {
	const struct import_only *only;
	size_t column;
};

struct import_plan {
	const struct import_kind *kind;
	struct import_fields fields;
	struct plan_field field[IMPORT_FIELDS];
	size_t n_fields;
	struct plan_only only[IMPORT_CONDITIONS];
	size_t n_only;
	struct form_reading reading;
	struct form_memory memory;
	struct text joined, converted;
};

/* Finds the columns by their headings. The settings are checked
 * (import_settings_check) and outlive the plan. False: each column that is not there, or there
 * twice, is a problem. Release it in any case. */
bool import_plan_make(struct import_plan *plan, const struct import_kind *kind,
	const struct import_settings *settings, const struct import_headings *heading,
	struct problems *why);
void import_plan_release(struct import_plan *plan);

/* False: the row is left out by the mapping's own conditions. */
bool import_plan_wants(const struct import_plan *plan, const struct csv *row);

/* The values of the fields for a row, as the file has them and after the words. */
void import_plan_gather(struct import_plan *plan, const struct csv *row);

/* Clears the row's struct and fills it. False: every wrong cell is a problem with the member's
 * name as field. */
bool import_plan_read(struct import_plan *plan, const struct csv *row, void *to,
	struct form_memory *memory, struct problems *why);

/* The mapped field that a problem's field means: "a_chainage", "readings[2].instrument". NULL:
 * nothing that is mapped. */
const struct plan_field *import_plan_field(const struct import_plan *plan, const char *name);

/* Whether a field comes from the file; otherwise it is the same in all rows. */
bool import_plan_is_of_file(const struct plan_field *field);

/* The column of a heading, SIZE_MAX and a problem at `field` otherwise. */
size_t import_find_column(const struct import_headings *heading, const char *name,
	const char *field, struct problems *why);

#endif
