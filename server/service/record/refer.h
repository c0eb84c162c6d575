/* How what is sent names a line, a track, a place and a bond. */
#ifndef SERVICE_RECORD_REFER_H
#define SERVICE_RECORD_REFER_H

#include "base/form.h"
#include "derived/act.h"
#include "rules/plausible.h"

/* A line by its code. False: a problem at `field`. */
bool refer_line(struct act *act, const char *code, const char *field, int64_t *line_id,
	struct problems *why);

/* A track of a line by its name; NULL or "" is 0, not stated. */
bool refer_track(struct act *act, int64_t line_id, const char *name, const char *field,
	int64_t *track_id, struct problems *why);

/* A place: a chainage on the map of a track (0: the line's). */
bool refer_place(struct act *act, int64_t line_id, int64_t track_id, const char *chainage,
	const char *field, int64_t *distance_mm, struct problems *why);

/* A bond by its number, or by line and label. Members of every form that names a bond. */
struct bond_reference {
	int64_t bond_id;         /* FORM_NO_INTEGER: by line and label */
	const char *line;
	const char *bond;        /* its label */
};
#define BOND_REFERENCE_MEMBERS(holder) \
	{ .name = "bond_id", .title = "Bond number", .type = MEMBER_INTEGER, \
	  .offset = offsetof(holder, of.bond_id), .least = 1, .most = 9e15, \
	  .help = "The register's own number; otherwise give line and bond." }, \
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .offset = offsetof(holder, of.line), \
	  .longest = 60, .help = "The line's code." }, \
	{ .name = "bond", .title = "Bond", .type = MEMBER_TEXT, .offset = offsetof(holder, of.bond), \
	  .longest = BOND_LABEL_SIZE - 1, .characters = PLAUSIBLE_LABEL_CHARACTERS, \
	  .help = "The bond's label on that line." }

bool refer_bond(struct act *act, const struct bond_reference *of, struct bond *bond,
	struct problems *why);
/* The same without its ends. */
bool refer_bond_fact(struct act *act, const struct bond_reference *of, struct bond *bond,
	struct problems *why);

#endif
