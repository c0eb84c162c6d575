/* Failures, what made them good, and the places that keep failing. Texts are borrowed. */
#ifndef STORE_RECORD_FAILURE_H
#define STORE_RECORD_FAILURE_H

#include "rules/statistics/repeat.h"
#include "store/record/bond.h"
#include "store/record/sent.h"

struct failure {
	int64_t id;
	const char *uuid, *content_hash;
	int64_t bond_id;
	int bond_end;                   /* enum bond_end; -1: the bond as a whole */
	int32_t found_day;
	enum failure_mode mode;
	const char *cause;
	int64_t line_id, track_id;      /* where it was found; track 0: not stated */
	int rail;                       /* -1: not stated */
	int64_t distance_mm;
	const char *place_written, *reference, *note;
	const char *reason;             /* of a correction */
	int64_t at_ms;                  /* when it was done; FORM_NO_INTEGER */
	int64_t inspection_id;          /* 0: none */
	int64_t person_id;              /* who found it, or their name; of a visit who inspected */
	const char *person_name;
	int64_t replaces_id;            /* 0: a first entry */
	int64_t round_id;               /* 0: as its visit, as what it replaces, or none */
};

bool store_failure_insert(struct store *store, struct failure *failure,
	const struct origin *origin, struct problem *why);

/* Where and when a kept failure was found; only these members are filled: id, bond_id, bond_end,
 * found_day, mode, line_id, track_id, rail, distance_mm. PROBLEM_NOT_FOUND. */
bool store_failure_get(struct store *store, int64_t id, struct failure *failure,
	struct problem *why);

struct repair {
	int64_t id;
	const char *uuid, *content_hash;
	int64_t failure_id;
	int32_t day;
	const char *how;
	int64_t person_id;              /* who made it good, or their name */
	const char *person_name;
	const char *reason;             /* of a correction */
	int64_t at_ms;                  /* when it was done; FORM_NO_INTEGER */
	int64_t replaces_id, round_id;
};
bool store_repair_insert(struct store *store, struct repair *repair, const struct origin *origin,
	struct problem *why);

/* What made a failure good: the newest by its day that no correction replaces. *uuid, *how and
 * *by are the caller's: free(); all NULL when there is none, *by when nobody is stated. */
bool store_repair_last(struct store *store, int64_t failure_id, char **uuid, int32_t *day,
	char **how, char **by, struct problem *why);

/* The entry that stands for a failure now: itself, or what corrects it, or what corrects that. */
bool store_failure_newest(struct store *store, int64_t id, int64_t *newest, struct problem *why);

/* A place where failures are counted together: one track and rail of a line, as stated. */
struct failure_group {
	int64_t line_id, track_id;      /* track 0: not stated */
	int rail;                       /* -1: not stated */
};

/* All failures of a group that no correction replaces, by id. *all is the caller's: free(). */
bool store_group_failures(struct store *store, const struct failure_group *group,
	struct repeat_failure **all, size_t *count, struct problem *why);

/* Every group that has a failure, of one line or (line_id 0) of all. *all is the caller's:
 * free(). */
bool store_failure_groups(struct store *store, int64_t line_id, struct failure_group **all,
	size_t *count, struct problem *why);

/* A row of repeat_place. */
struct repeat_row {
	int64_t id;                     /* of the failure that was found first there */
	struct failure_group group;
	int64_t from_mm, to_mm;
	char chainage_from[CHAINAGE_SIZE], chainage_to[CHAINAGE_SIZE];
	int64_t failures;
	int32_t first_day, last_day;
	int64_t rulebook_version;
	bool is_tried;                  /* found in a trial: see below */
};

/* Forgets the places of a group, and that its failures belong to any. */
bool store_repeat_clear(struct store *store, const struct failure_group *group,
	struct problem *why);
bool store_repeat_put(struct store *store, const struct repeat_row *row, struct problem *why);
/* The places of a line are the same under another version. */
bool store_repeat_stand(struct store *store, int64_t line_id, int64_t rulebook_version,
	struct problem *why);
/* The places of a group by id; *all is the caller's. */
bool store_repeat_of_group(struct store *store, const struct failure_group *group,
	struct repeat_row **all, size_t *count, struct problem *why);
bool store_repeat_get(struct store *store, int64_t id, struct repeat_row *row,
	struct problem *why);

/* The derived row of a failure; place_id 0: it belongs to no repeat place. */
bool store_failure_state_put(struct store *store, int64_t failure_id, const char *chainage,
	int64_t place_id, struct problem *why);
/* *chainage holds CHAINAGE_SIZE bytes and is "" when there is no row. */
bool store_failure_state_get(struct store *store, int64_t failure_id, char *chainage,
	int64_t *place_id, struct problem *why);

/*
 * A trial: places found by other settings than the rulebook's stand, while it lasts, in tables of
 * this connection's own, beside the kept ones, with the failures that each has. Begun within a read
 * (store_read_begin), whose end leaves nothing of it. What is read is named: these lists are the
 * kept ones', but of the trial's tables.
 */
bool store_trial_begin(struct store *store, struct problem *why);
bool store_trial_put(struct store *store, const struct repeat_row *row, struct problem *why);
bool store_trial_member(struct store *store, int64_t failure_id, const char *chainage,
	int64_t place_id, struct problem *why);
extern const struct list repeat_trial_list, failure_trial_list;

extern const struct list failure_list;
extern const struct list repeat_list;
extern const struct list repair_list;

#endif
