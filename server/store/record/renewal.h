/* Renewals of rails, and the ends of bonds that they took off. Texts in the structs are
 * borrowed. */
#ifndef STORE_RECORD_RENEWAL_H
#define STORE_RECORD_RENEWAL_H

#include "rules/renewal.h"
#include "store/record/bond.h"

struct renewal {
	int64_t id;
	const char *uuid, *content_hash;
	int64_t line_id, track_id;
	enum renewed_rails rails;
	int64_t from_mm, to_mm;       /* from the line's datum, both counted in */
	const char *from_written, *to_written;   /* the chainages as they were sent */
	int32_t day;
	const char *person_name, *reason, *note;
	bool withdrawn;               /* what it replaces never was, and it ends nothing */
	int64_t replaces_id;
};
bool store_renewal_insert(struct store *store, struct renewal *renewal,
	const struct origin *origin, struct problem *why);

/*
 * Keeps which ends a renewal took off: of bonds in service that were there before its day, what was
 * attached to the rail within the stretch, or, where no offset is recorded or no attachment at all,
 * whose mark is. With a bond (0: all) only its ends; what is kept already stays.
 */
bool store_renewal_take_off(struct store *store, int64_t renewal_id, int64_t bond_id,
	const struct origin *origin, struct problem *why);

/* The same of every renewal that holds, for one bond whose place was said anew. Of a bond whose
 * installation day is not known nothing is taken off by what was recorded before it. */
bool store_renewals_take_off(struct store *store, int64_t bond_id, const struct origin *origin,
	struct problem *why);

/* The bonds whose ends a renewal took off. *ids is the caller's: free(). */
bool store_renewal_bonds(struct store *store, int64_t renewal_id, int64_t **ids, size_t *count,
	struct problem *why);

/* An end that a renewal asks about. */
struct renewal_end {
	int64_t bond_id;
	int bond_end;
	char label[BOND_LABEL_SIZE];
	enum bond_kind kind;
	int64_t line_id;
	int64_t track_id;             /* 0: not stated */
	int64_t distance_mm;
	enum renewal_answer answer;
	int32_t answer_day;           /* attached, removed; DAY_NONE */
};
/* Every end in the stretch, and every end that was taken off, along the line; of one that withdraws
 * none. *all is the caller's: free(). */
bool store_renewal_ends(struct store *store, int64_t renewal_id, struct renewal_end **all,
	size_t *count, struct problem *why);

extern const struct list renewal_list;

#endif
