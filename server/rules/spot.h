/*
 * Spots on the rail. A failed or removed attachment spoils its spot: the steel under it was heated
 * or drilled, and a new attachment never goes on exactly the same place (common practice). How far
 * it keeps away is the rulebook's; so are the distances from a rail end, a weld and a bolt hole.
 *
 * A rail does not know whose bond a spot is of: what is asked about one end must bring the spots of
 * every bond, of either end, that is or was on that rail within reach.
 *
 * Offsets in mm along the rail from the end's reference mark, rising with the chainage.
 */
#ifndef RULES_SPOT_H
#define RULES_SPOT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "rules/rulebook.h"

/* True when an attachment at an offset is inside the clearance of a spot: nearer than the clearance
 * (100 mm: at 99 mm yes, at 100 mm no). */
bool spot_is_inside(int64_t offset_mm, int64_t spot_mm, int64_t clearance_mm);

/* The numbers are stored: only add at the end. */
enum mark_kind { MARK_SPOILT, MARK_LIVE, MARK_RAIL_END, MARK_WELD, MARK_BOLT_HOLE, MARK_KINDS };
extern const struct words mark_kind_words;

/* What stands on the rail near an end: former attachments and live ones, and what the railway
 * noted of the rail itself. */
struct rail_mark {
	enum mark_kind kind;
	int64_t offset_mm;
};

int64_t mark_clearance_mm(const struct rulebook *rulebook, enum mark_kind kind);

/* On which side of the joint between the two ends of a bond this end lies. */
enum joint_side { JOINT_NONE, JOINT_LOWER, JOINT_HIGHER, JOINT_NOT_KNOWN };
extern const struct words joint_side_words;

/* Looked at: so far to either side of where the end is. */
enum { SPOT_REACH_MM = 2000 };

/* One end on its rail. What lies within SPOT_REACH_MM of home and the largest clearance is among
 * the marks. */
struct spot_place {
	const struct rail_mark *marks;
	size_t count;
	bool is_rail_known;           /* false: nothing is free, nothing is proposed */
	int64_t home_mm;              /* where the end is now: its live attachment, or the mark */
	enum joint_side side;         /* JOINT_NONE: no joint lies between the ends */
	int64_t joint_mm;             /* with a side: nothing is nearer to the joint than this */
	int64_t cable_mm;             /* length of the cable; 0: not known */
	int64_t other_mm;             /* where its other end is along the line */
	bool is_other_known;          /* false: other_mm is that end's reference mark */
	bool is_across;               /* the other end is not on this rail: the cable spans across, too */
	int64_t unplaced;             /* attachments here without a recorded offset */
	int64_t unstated;             /* ends near here whose rail is not stated */
};

enum spot_is {
	SPOT_FREE,
	SPOT_TOO_NEAR,                /* inside the clearance of a mark */
	SPOT_BEYOND_RAIL_END,
	SPOT_TOO_FAR,                 /* more than SPOT_REACH_MM from home: nobody looked there */
	SPOT_ACROSS_JOINT,            /* or nearer to it than the end is known to be */
	SPOT_BEYOND_CABLE,
	SPOT_SIDE_NOT_KNOWN,          /* of the joint, or of a rail end at the end itself */
	SPOT_RAIL_NOT_KNOWN,
	SPOT_IS
};
extern const struct words spot_is_words;

struct spot_answer {
	enum spot_is is;
	const struct rail_mark *by;   /* of the first two that are not free; else NULL */
};

/*
 * What an attachment at an offset would be, the first that holds: too near to a mark or beyond a
 * rail end (of which the rail lies to the side of home) before all else, since these spoil what is
 * recorded there too. A live attachment counts as a spot: it is spoilt as soon as it is replaced.
 */
struct spot_answer spot_judge(const struct rulebook *rulebook, const struct spot_place *place,
	int64_t offset_mm);

/* True where an attachment that stands there is on a spoilt spot, or where none can stand. */
bool spot_is_taken(enum spot_is is);

/* The free offset nearest to `wanted_mm`, of two equally near the lower. False: there is none. */
bool spot_next_free(const struct rulebook *rulebook, const struct spot_place *place,
	int64_t wanted_mm, int64_t *offset_mm);

/* Both in words, with the nearest free place, or why there is none. */
enum { SPOT_SENTENCE_SIZE = 320 };
void spot_sentence(const struct rulebook *rulebook, const struct spot_place *place,
	int64_t wanted_mm, char *to, size_t size);

/* What is not known here, a bit each (1u << enum): of rail ends, welds and holes where no mark of
 * that kind is within reach of home. Titles are sentences for the crew. */
enum spot_unknown {
	UNKNOWN_RAIL, UNKNOWN_RAIL_END, UNKNOWN_WELD, UNKNOWN_BOLT_HOLE, UNKNOWN_OFFSET,
	UNKNOWN_NEIGHBOUR, UNKNOWN_SIDE, UNKNOWN_CABLE, UNKNOWN_OTHER_END, UNKNOWN_ACROSS, SPOT_UNKNOWNS
};
extern const struct words spot_unknown_words;
unsigned spot_unknown(const struct spot_place *place);

#endif
