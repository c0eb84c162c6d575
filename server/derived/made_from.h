/*
 * What is derived is made from what: one table (made_from.c), a row for each kind of entry of the
 * record and what else is on record. Whoever writes one says here what he wrote; the row says what
 * is to be made again from it, when the act ends or by the keeper. Nothing else says so: a kind
 * that is not in the table cannot be written (tested: every table of the record is in it).
 *
 *     changed_of_bond(act, SENT_ATTACHMENT, bond_id, why)
 */
#ifndef DERIVED_MADE_FROM_H
#define DERIVED_MADE_FROM_H

#include "derived/act.h"
#include "store/record/bond.h"
#include "store/record/sent.h"

/* What is no entry. (Kinds of entries are numbered from 0: enum sent_noun.) */
enum { FROM_RULEBOOK = 48, FROM_ZONE, MADE_FROM_MOST };

/* What many bonds are judged by, as far as its kind is told apart by it. */
struct changed_known {
	int64_t id;                     /* of the instrument, the track, the import */
	int32_t from_day;               /* readings before it stand; INT32_MIN: none does */
	int material;                   /* of a conductor; so are the next two */
	int64_t conductor_class;
	double area_mm2;
};

struct made_from {
	const char *const *tables;      /* where it is on record, ended by NULL; NULL: no such kind */
	bool bonds;                     /* the bonds that it is of: their states, readings and totals */
	bool places;                    /* the repeat places of its failures' group */
	bool lines;                     /* all bonds and repeat places of its line */
	/* bonds that are judged by it, marked for the keeper */
	bool (*mark)(struct store *store, const struct changed_known *known, enum stale_by by,
		struct problem *why);
	bool is_followed;               /* each state names it, so the keeper sees for itself */
};
extern const struct made_from made_from[MADE_FROM_MOST];

/* An entry of a bond was written; 0: of none. */
bool changed_of_bond(struct act *act, int kind, int64_t bond_id, struct problem *why);
/* The same of an entry of a day that replaces none. */
bool changed_of_bond_on(struct act *act, int kind, int64_t bond_id, int32_t new_day,
	struct problem *why);

/* Of a failure, which is in a group. */
bool changed_of_group(struct act *act, int kind, const struct failure_group *group,
	struct problem *why);

/* The chainages of what lies on a line are written anew. */
bool changed_of_line(struct act *act, int kind, int64_t line_id, struct problem *why);

/* What many are judged by. known: NULL where its kind asks for nothing. */
bool changed_known(struct act *act, int kind, const struct changed_known *known, enum stale_by by,
	struct problem *why);

#endif
