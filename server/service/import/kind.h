/*
 * What can be imported. Kinds are a table of data: each is made of the forms that the API takes,
 * flat, so that a row of a file is checked like a body.
 */
#ifndef SERVICE_IMPORT_KIND_H
#define SERVICE_IMPORT_KIND_H

#include "base/form.h"
#include "service/record/inspection.h"

enum import_what {
	IMPORT_LINES, IMPORT_TRACKS, IMPORT_MAPS, IMPORT_BONDS, IMPORT_INSPECTIONS, IMPORT_FAILURES,
	IMPORT_KINDS
};

enum { IMPORT_FIELDS = 40 };

struct import_part {
	const struct form *form;
	size_t offset;                   /* of its struct in the row's */
	const char *const *without;      /* members that no file gives; NULL: none */
	bool optional;                   /* nothing of it is required when all of it is absent */
};

struct import_kind {
	enum import_what what;
	const char *name;                /* "bonds" */
	const char *title;               /* for people */
	const char *help;                /* what its rows are, and what they need to be there before */
	struct import_part parts[3];     /* ended by one whose form is NULL */
	size_t size;                     /* of the row's struct */
};
extern const struct import_kind import_kinds[IMPORT_KINDS];

/* NULL when there is none of that name. */
const struct import_kind *import_kind_find(const char *name);

/* The kind's fields as one form over the row's struct. form.members points into the struct, so it
 * must stay where it is. */
struct import_fields {
	struct member members[IMPORT_FIELDS + 1];
	struct form form;
};
void import_kind_fields(const struct import_kind *kind, struct import_fields *to);

/* Whether the member is a place on a line. */
bool import_is_place(const struct member *member);

/* The rows that are no form of their own. */

/* One published piece of line. */
struct piece_row {
	const char *line, *track, *from, *to;
	double length_m;
	int is_jump;
};

/* A visit with at most one of its readings. */
struct visit_row {
	struct inspection_new visit;
	struct reading_new reading;
	const char *reference;
};

#endif
