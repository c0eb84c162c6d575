/* What is kept of data that look wrong: bond_state.odd (rules/odd.h, odd_pack). */
#ifndef STORE_KEPT_ODD_H
#define STORE_KEPT_ODD_H

#include "rules/odd.h"
#include "store/record/bond.h"

/* Whether nothing on record tells the two ends of a bond's version apart. */
bool store_odd_ends_alike(struct store *store, const struct bond *bond, bool *alike,
	struct problem *why);

/* How many bonds of its kind and rail are at its place: at most ODD_PLACE_MM further along the
 * line, or at the very same distance and registered later. */
bool store_odd_at_place(struct store *store, const struct bond *bond, int64_t *count,
	struct problem *why);

/* Where the state of a bond, if it has one, says that it is. *line_id is 0 when it has none. */
struct odd_place {
	int64_t line_id, distance_mm;
};
bool store_odd_place_of(struct store *store, int64_t bond_id, struct odd_place *to,
	struct problem *why);

/* Counts anew, of the bonds that a bond at a place may stand beside, how many stand beside them. */
bool store_odd_recount(struct store *store, const struct odd_place *place, struct problem *why);

/* How many rows of each thing a line has; *whole is false where some bond is not counted, and then
 * there may be others. */
bool store_odd_count(struct store *store, int64_t line_id, int64_t rows[ODDS], bool *whole,
	struct problem *why);

/* How many bonds are kept otherwise than they are registered; readings are not looked at. */
bool store_odd_wrong(struct store *store, int64_t *wrong, struct problem *why);

/* The same as SQL: the rows of a thing, of a row s. */
#define SQL_ODD_ROWS(what) "(s.odd >> 10 * " what " & 1023)"
#define SQL_ODD_AT_PLACE "(SELECT count(*) FROM bond_state o WHERE o.line_id = s.line_id " \
	"AND o.distance_mm >= s.distance_mm AND o.distance_mm <= s.distance_mm + 100 " \
	"AND o.status = 0 AND o.kind = s.kind AND o.track_id = s.track_id AND o.rail = s.rail " \
	"AND (o.distance_mm > s.distance_mm OR o.bond_id > s.bond_id))"

#endif
