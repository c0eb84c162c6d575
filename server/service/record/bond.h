/* Registering a bond and changing what is said of it. */
#ifndef SERVICE_RECORD_BOND_H
#define SERVICE_RECORD_BOND_H

#include "base/form.h"
#include "derived/act.h"

/* One end as it is sent. */
struct end_new {
	int on;
	const char *track;
	int rail, face;
	const char *chainage;
	const char *structure;
};

struct bond_new {
	const char *line, *label;
	int kind, criticality, status, surveyed;
	int32_t installed_day, removed_day;
	int material;
	int64_t conductor_class;
	double area_mm2, length_m;
	int64_t cables;
	double latitude, longitude;
	const char *note, *reason;
	const char *place_written;       /* of end A, where its chainage was made of something else */
	struct end_new a, b;
};

/* Flat, so that a row of a file and a JSON body are the same: a_track, a_chainage, b_track ... */
extern const struct form bond_form;

/*
 * Registers a bond. A label in use on the line with the same content is recorded->already, with
 * other content PROBLEM_CONFLICT that says what differs. What is left out of end B is as at end
 * A; a cross bond between tracks needs b_track.
 */
bool bond_register(struct act *act, const struct bond_new *form, struct recorded *recorded,
	struct problems *why);

/* A further version of a bond; the caller has compared versions (If-Match). */
bool bond_change(struct act *act, int64_t bond_id, const struct bond_new *form,
	struct problems *why);

/* What is sent as a bond, checked; its id and version are not set. */
bool bond_read(struct act *act, const struct bond_new *form, struct bond *bond,
	struct problems *why);
/* A further version of a kept bond, checked likewise. */
bool bond_change_to(struct act *act, const struct bond *kept, struct bond *bond, struct problems *why);

/* A bond known only from a log, at a place: registered as still to be surveyed. */
bool bond_register_found(struct act *act, int64_t line_id, int64_t track_id, int rail,
	int64_t distance_mm, const char *written, struct bond *bond, struct problems *why);

#endif
