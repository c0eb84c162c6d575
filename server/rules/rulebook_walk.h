/*
 * The single values of a rulebook, one after the other, those of its tables too:
 *
 *     struct rulebook_walk walk = rulebook_walk_begin();
 *
 *     while (rulebook_walk_next(&walk)) {
 *         ... walk.path, walk.member, walk.offset ...
 *     }
 */
#ifndef RULES_RULEBOOK_WALK_H
#define RULES_RULEBOOK_WALK_H

#include "rules/rulebook.h"

/* Tables lie at most four deep: limits, kind, figure, criticality. */
enum { RULEBOOK_DEPTH = 4, RULEBOOK_TITLE_SIZE = 160 };

struct rulebook_level {
	const struct member *m;               /* the next */
	size_t offset;                        /* of its struct */
	size_t path_len, title_len;           /* of what leads to it */
	const struct rulebook_value *basis;
};

struct rulebook_walk {
	const struct member *member;          /* of the value */
	const struct rulebook_value *basis;   /* what its default rests on; NULL: from_day */
	size_t offset;                        /* of the value in struct rulebook */
	char path[PROBLEM_FIELD_SIZE];        /* "limits.structure.joint_percent" */
	/* "Limits of resistance, Structure bond, Share of the rail between two joints" */
	char title[RULEBOOK_TITLE_SIZE];
	struct rulebook_level at[RULEBOOK_DEPTH];  /* the walk's own, as is depth */
	int depth;
};

struct rulebook_walk rulebook_walk_begin(void);
bool rulebook_walk_next(struct rulebook_walk *walk);

/* Walks to the value of a path; false when there is none. */
bool rulebook_walk_find(struct rulebook_walk *walk, const char *path);

/* Whether two rulebooks have the same value where the walk stands. Absent is the same as absent. */
bool rulebook_value_same(const struct rulebook_walk *walk, const struct rulebook *a,
	const struct rulebook *b);

/* Whether both judge alike: the same limits, uncertainties, defects, memory and acceptance. What
 * differs may be due days, the lookout for repeat places, and the advice on new spots and on the
 * spacing of cross bonds. */
bool rulebook_judges_alike(const struct rulebook *a, const struct rulebook *b);

/* Whether both find the same repeat places. */
bool rulebook_repeats_alike(const struct rulebook *a, const struct rulebook *b);

#endif
