/*
 * What stands on one rail near a place: the attachments of every bond, of either end, that is or
 * was on it, and what was noted of the rail itself.
 *
 * A place is that of the end as it was said to be while the attachment was live or since: where the
 * place of a bond was entered anew, its spots count at both. What was made, or noted, before the
 * rail was renewed there is gone.
 */
#ifndef STORE_RECORD_SPOT_H
#define STORE_RECORD_SPOT_H

#include "base/uuid.h"
#include "rules/spot.h"
#include "store/record/bond.h"

struct rail_stretch {
	int64_t track_id;
	int rail;                     /* enum rail */
	int64_t from_mm, to_mm;       /* from the line's datum, both counted in */
};

struct rail_spot {
	enum mark_kind kind;
	int64_t at_mm;                /* from the line's datum */
	int64_t bond_id;
	int bond_end;                 /* enum bond_end */
	char label[BOND_LABEL_SIZE];
	/* of an attachment */
	bool is_placed;               /* false: no offset is recorded; at_mm is the reference mark */
	char uuid[UUID_TEXT_SIZE];    /* "": a mark, or an end in service without any attachment */
	int method;                   /* enum attach_method; -1 */
	int32_t made_day, until_day;  /* DAY_NONE: not known, live */
};

/*
 * All of them, by bond and end, oldest first, without the attachment `but` (0: none) and without
 * what was made after until_day. *all is the caller's: free().
 */
bool store_rail_spots(struct store *store, const struct rail_stretch *on, int64_t but,
	int32_t until_day, struct rail_spot **all, size_t *count, struct problem *why);

/* How many ends of bonds in service near a place of a line have no stated track, or no stated rail
 * of that track; those of bond `but` are left out. */
bool store_unstated_ends(struct store *store, int64_t line_id, const struct rail_stretch *on,
	int64_t but, int64_t *count, struct problem *why);

/* An attachment that stood inside a clearance when it was recorded, and was not corrected since. */
struct used_spot {
	int64_t id, bond_id;
	int bond_end;
	char line[BOND_LABEL_SIZE], label[BOND_LABEL_SIZE], uuid[UUID_TEXT_SIZE];
	char person[128], recorded_by[128];
	int32_t made_day;
	int64_t offset_mm;
	bool is_live;
};
/* Of one line or of all (0), the newest first. *all is the caller's: free(). */
bool store_used_spots(struct store *store, int64_t line_id, struct used_spot **all, size_t *count,
	struct problem *why);

#endif
