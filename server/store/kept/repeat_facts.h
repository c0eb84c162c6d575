/* What the register knows that explains a repeat place (service/report/explain.h). Lists are the
 * caller's: free(). */
#ifndef STORE_KEPT_REPEAT_FACTS_H
#define STORE_KEPT_REPEAT_FACTS_H

#include "store/record/failure.h"

enum { FACT_TEXT_SIZE = 128 };

/* One failure, with the attachment that was live at the failed end (of a bond as a whole: end A)
 * before the day on which it was found. What is made on that day is taken for the repair. */
struct failure_fact {
	int64_t id;
	int64_t bond_id;
	int bond_end;                   /* -1: the bond as a whole */
	int32_t found_day;
	int mode;                       /* enum failure_mode; -1: not stated */
	int method;                     /* enum attach_method; -1: not known */
	char kit[FACT_TEXT_SIZE], batch[FACT_TEXT_SIZE], person[FACT_TEXT_SIZE];   /* "": not known */
	bool here;                      /* belongs to the place asked about */
};

/* All failures of a place's line that no correction replaces, by id; here: those of the place. */
bool store_failure_facts(struct store *store, const struct repeat_row *place,
	struct failure_fact **all, size_t *count, struct problem *why);

/* One attachment of an end whose offset is known and that no correction replaces. */
struct spot_fact {
	int64_t id;
	int32_t made_day;
	int64_t offset_mm;
};
/* By day, then id. */
bool store_spot_facts(struct store *store, int64_t bond_id, int bond_end, struct spot_fact **all,
	size_t *count, struct problem *why);

/*
 * Positions, rising: of the ends of the surveyed bonds of a group, removed ones too, and of its
 * failures. A track or rail that the group does not state is any. *bonds is how many are ends.
 */
bool store_group_positions(struct store *store, const struct failure_group *group,
	int64_t **all, size_t *count, size_t *bonds, struct problem *why);

/* The day of the first failure or inspection of a line; DAY_NONE when there is neither. */
bool store_line_first_day(struct store *store, int64_t line_id, int32_t *day, struct problem *why);

#endif
