/* The rail at an end of a bond, with the spots of every bond on it, as the rules ask for it. */
#ifndef SERVICE_RECORD_SPOT_H
#define SERVICE_RECORD_SPOT_H

#include "derived/act.h"
#include "rules/tablet/tablet.h"
#include "store/record/spot.h"

struct end_spots {
	struct rail_spot *spots;      /* beside each mark: whose it is */
	struct rail_mark *marks;      /* from the end's reference mark */
	size_t count;
	struct spot_place place;      /* its marks are these */
};

/* All that is known of the rail at an end, now. `to` is the caller's to release, also after a
 * failure. An end that is not on a rail, or whose rail is not stated, has no marks and says so. */
bool end_spots_read(struct store *store, const struct rulebook *rulebook, const struct bond *bond,
	int end, int32_t today, struct end_spots *to, struct problem *why);
void end_spots_release(struct end_spots *spots);

/* The place in the form of the tablet's question "spot". */
struct tablet_place end_spots_place(const struct end_spots *spots);

/*
 * Whether an attachment at an offset, made on a day, is inside a clearance: 1, 0, or -1 where that
 * is not known (no offset, no stated rail, or only the reference mark of what has no offset is
 * near). What was made later does not count; `but` (0: none) is left out. In words, naming the
 * bond: "130 mm is too near to the live attachment at 120 mm (J1, end A, made on 2026-05-01):
 * clearance 100 mm."; "" unless 1.
 */
enum { SPOT_TAKEN_SIZE = 320 };
bool spot_taken(struct store *store, const struct rulebook *rulebook, const struct bond *bond,
	int end, int64_t offset_mm, int32_t made_day, int64_t but, int *taken,
	char words[SPOT_TAKEN_SIZE], struct problem *why);

/* Attachments on spoilt spots, for the planner. */
extern const struct list used_spot_list;

#endif
