/* What decides limits beside the bond itself: the railway's own conductors and rail profiles, the
 * rails of its tracks; and what is marked on the rail near an end. */
#ifndef SERVICE_RECORD_RAIL_H
#define SERVICE_RECORD_RAIL_H

#include "service/record/refer.h"

/* Each is kept once: what is in force already is recorded->already. The bonds that are judged by
 * it are made again in the background (derived/recompute.h). */

struct conductor_new {
	int material;
	int64_t conductor_class;
	double area_mm2, uohm_per_m;
	const char *source, *note;
};
extern const struct form conductor_form;
bool conductor_register(struct act *act, const struct conductor_new *form,
	struct recorded *recorded, struct problems *why);

struct profile_new {
	const char *code;
	double mass_kg_m, area_cm2, uohm_per_m;
	const char *source, *note;
};
extern const struct form profile_form;
bool profile_register(struct act *act, const struct profile_new *form, struct recorded *recorded,
	struct problems *why);

struct track_rail_new {
	const char *line, *track;
	const char *rail_profile;        /* of the published table or the railway's own */
	double rail_between_joints_m;
	const char *reason;
};
extern const struct form track_rail_form;
/* What is left out is not known, or (length) welded. recorded->id is the track's. */
bool track_rail_put(struct act *act, const struct track_rail_new *form, struct recorded *recorded,
	struct problems *why);

struct rail_mark_new {
	struct bond_reference of;
	int end, kind;
	int64_t offset_mm;
	int there;
	const char *note;
};
extern const struct form rail_mark_form;
bool rail_mark_put(struct act *act, const struct rail_mark_new *form, struct recorded *recorded,
	struct problems *why);

#endif
