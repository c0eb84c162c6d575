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
	int64_t attachment_id;          /* 0: none is known */
	int64_t distance_mm;
	bool of_group;                  /* on the place's line, track and rail */
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

/* Positions, rising, of the ends of the surveyed bonds of a group, removed ones too. A track or
 * rail that the group does not state is any. */
bool store_group_ends(struct store *store, const struct failure_group *group, int64_t **all,
	size_t *count, struct problem *why);

/* How many groups have so many failures or more, over the whole register. */
bool store_groups_with(struct store *store, int64_t least, size_t *count, struct problem *why);

/* One attachment of a line, where its end is now. */
struct job_fact {
	int64_t attachment_id;
	int32_t made_day;
	int64_t distance_mm;
	int method;                     /* enum attach_method; -1: not known */
	char kit[FACT_TEXT_SIZE], batch[FACT_TEXT_SIZE], person[FACT_TEXT_SIZE];   /* "": not known */
};
/* All that no correction replaces; by day, then position. */
bool store_job_facts(struct store *store, int64_t line_id, struct job_fact **all, size_t *count,
	struct problem *why);

#endif
