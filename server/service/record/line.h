/* Registering lines, their tracks and their chainage maps. */
#ifndef SERVICE_RECORD_LINE_H
#define SERVICE_RECORD_LINE_H

#include "base/form.h"
#include "derived/act.h"

struct line_new {
	const char *code, *name;
	int notation, electrification;
};
extern const struct form line_form;

struct track_new {
	const char *line;               /* its code */
	const char *name, *left_label, *right_label;
};
extern const struct form track_form;

/* One stretch of a map as it is sent; distances in metres are exact to the millimetre. */
struct stretch_new {
	double distance_m, start_m, end_m;
	int is_long;
};
struct map_new {
	const char *line, *track;       /* track NULL: all tracks that have no map of their own */
	struct form_list stretches;     /* struct stretch_new, in the order of the line */
};
extern const struct form map_form;

/* A code or name in use with the same content is recorded->already; with other content it is
 * PROBLEM_CONFLICT at the field. */
bool line_register(struct act *act, const struct line_new *form, struct recorded *recorded,
	struct problems *why);
bool track_register(struct act *act, const struct track_new *form, struct recorded *recorded,
	struct problems *why);

/* What a line is said to be, otherwise than so far: its name or electrification. How its places are
 * written stays: they were read by it, and lie where they were read to lie. */
bool line_change(struct act *act, int64_t line_id, const struct line_new *form, const char *reason,
	struct problems *why);

/* What the two rails of a track are called, otherwise than so far; NULL: nothing of their own. */
bool track_change(struct act *act, int64_t track_id, const struct track_new *form,
	const char *reason, struct problems *why);

/* Puts a map in force, checks it, and computes the chainages of the line's bonds and failures
 * again. The same map as the line's or the track's own in force is `already`. recorded->id is the
 * line's. */
bool map_register(struct act *act, const struct map_new *form, struct recorded *recorded,
	struct problems *why);

bool map_is_same(const struct line_map *map, const struct map_stretch *stretches, size_t count);

/* The same from stretches in whole millimetres, for the importer. */
bool map_put(struct act *act, int64_t line_id, int64_t track_id,
	const struct map_stretch *stretches, size_t count, struct recorded *recorded,
	struct problems *why);

#endif
