/*
 * A row of a file that says something else of what is known than the register does: the fields are
 * told, and those that the settings choose are taken as they would be by hand: of a bond or line as
 * a further version, of an inspection or failure as a correction, with the file as its reason; one
 * that makes a grade better waits for an engineer like any (service/record/correction.h). Without a
 * choice the row is wrong, as any that contradicts the register. Internal to the importer.
 */
#ifndef SERVICE_IMPORT_TAKE_H
#define SERVICE_IMPORT_TAKE_H

#include "service/import/run.h"
#include "service/record/differ.h"

/* Registers a bond, or takes what is chosen of a known one (recorded->already). */
bool import_bond(struct run *run, const struct bond_new *form, struct recorded *recorded,
	struct problems *wrong);

/* An inspection that is kept under form->uuid, said otherwise by rows of the file: which row is the
 * visit's own, and which each reading's. False: *wrong, or run->why. What is taken of it is
 * counted, its rows are not. */
struct import_visit_rows {
	size_t visit;
	const size_t *reading;
};
bool import_visit_differs(struct run *run, const struct inspection_new *form,
	const struct import_visit_rows *rows, struct problems *wrong);

/* The same of a failure that is kept under the id; the row is the one being read. */
bool import_failure_differs(struct run *run, const struct failure_new *form, const char *uuid,
	struct problems *wrong);

/* Tells all, and which is taken: taken[i]. False: out of memory. */
bool import_tell(struct run *run, const char *what, const struct differences *all,
	const size_t *rows, bool taken[DIFFER_MOST], bool *any);

/* Whether anything was chosen at all; otherwise what differs is wrong. */
bool import_has_choice(const struct run *run);

/* For what is taken: the reason on record, and the id of its correction of the entry `of`. */
enum { IMPORT_REASON_SIZE = 200 };
void import_reason(const struct run *run, char to[IMPORT_REASON_SIZE]);
bool import_correction_uuid(struct run *run, enum sent_noun noun, const char *of,
	const struct form *form, const void *what, char to[UUID_TEXT_SIZE]);

/* Before anything is taken: what was touched is derived, since a step may be undone; and nothing is
 * taken in pieces. */
bool import_take_begin(struct run *run, struct problems *wrong);
bool import_take_end(struct run *run, bool ok);

/* Registers a line, or takes what is chosen of a known one (recorded->already). */
bool import_line(struct run *run, const struct line_new *form, struct recorded *recorded,
	struct problems *wrong);

/* The same of a track. */
bool import_track(struct run *run, const struct track_new *form, struct recorded *recorded,
	struct problems *wrong);

/* As members: "changed", "differing": [{"field", "title", "count"}], "differences": [{"row",
 * "what", "field", "title", "known", "said", "taken"}]. */
void import_differences_write(const struct import_result *result, struct text *to);

#endif
