/* Bonds and their ends in the register, and what is derived of them. */
#ifndef STORE_RECORD_BOND_H
#define STORE_RECORD_BOND_H

#include "rules/judge/due.h"
#include "rules/judge/grade.h"
#include "store/record/line.h"

enum { BOND_LABEL_SIZE = 161, BOND_NOTE_SIZE = 2001, BOND_STRUCTURE_SIZE = 61,
	BOND_PLACE_SIZE = 61, BOND_REASON_SIZE = 501, CHAINAGE_SIZE = 64 };

struct bond_end_fact {
	enum end_on on;
	int64_t track_id;            /* 0: not stated */
	int rail;                    /* enum rail; -1: not stated */
	int face;                    /* enum rail_face; -1: not stated */
	int64_t distance_mm;
	char structure[BOND_STRUCTURE_SIZE];
};

/* What is said of a bond: one version. */
struct bond {
	int64_t id;
	int64_t version;
	int64_t line_id;
	char label[BOND_LABEL_SIZE];
	enum bond_kind kind;
	enum criticality criticality;
	enum bond_status status;
	bool surveyed;
	int32_t installed_day, removed_day;     /* DAY_NONE: not known, not removed */
	int material;                           /* enum material; -1: not known */
	int64_t conductor_class;                /* IEC 60228: 1, 2, 5, 6; 0: not known */
	double area_mm2, length_m;              /* of one cable; NAN: not known */
	int64_t cables;                         /* in parallel; 0: not known */
	double latitude, longitude;             /* degrees, WGS 84; NAN: not known */
	char place_written[BOND_PLACE_SIZE];
	char note[BOND_NOTE_SIZE];
	char reason[BOND_REASON_SIZE];
	struct bond_end_fact end[2];            /* A, B */
};

/* Registers a new bond: sets id and version 1. */
bool store_bond_insert(struct store *store, struct bond *bond, const struct origin *origin,
	struct problem *why);

/* Adds a further version of bond->id: bond->version + 1, which is set. */
bool store_bond_change(struct store *store, struct bond *bond, const struct origin *origin,
	struct problem *why);

/* The version in force. PROBLEM_NOT_FOUND when there is no such bond. */
bool store_bond_get(struct store *store, int64_t id, struct bond *bond, struct problem *why);
/* The same, but its ends are not filled. */
bool store_bond_fact(struct store *store, int64_t id, struct bond *bond, struct problem *why);

/* *id is 0 when the line has no bond of that label (in force). One that an import brought is there
 * from the moment at which that counts, before it is derived; so it is for the next. */
bool store_bond_find(struct store *store, int64_t line_id, const char *label, int64_t *id,
	struct problem *why);

/*
 * The nearest bond to a place on a line, in service or not, at most within_mm away; of two equally
 * near the older. One that is known to have been removed before the day, or installed after it, is
 * taken only when there is no other. When track_id or rail is stated, bonds known to be on another
 * are passed over. *id is 0 when there is none. coming_of: an import under way, whose own bonds are
 * found too; 0: none.
 */
bool store_bond_nearest(struct store *store, int64_t line_id, int64_t track_id, int rail,
	int64_t distance_mm, int64_t within_mm, int32_t day, int64_t coming_of, int64_t *id,
	struct problem *why);

/* The earliest work on record of a bond, corrected entries left out; of one day the first of these.
 * *day is DAY_NONE when there is none. */
enum bond_work { BOND_INSPECTED, BOND_ATTACHED, BOND_FAILED };
bool store_bond_first_work(struct store *store, int64_t bond_id, int32_t *day,
	enum bond_work *work, struct problem *why);

/* The reason of a kept deferral into to; "" when there is none. */
bool store_deferral_reason(struct store *store, int64_t deferral_id, char *to, size_t size,
	struct problem *why);

/* The derived row of a bond. */
struct bond_state {
	int64_t version;             /* of what is said of the bond; so are the next four */
	int64_t line_id;
	enum bond_kind kind;
	enum criticality criticality;
	bool surveyed;
	char chainage[CHAINAGE_SIZE];
	int32_t last_inspection_day;
	struct due due;
	int64_t deferral_id;
	int64_t failures_open;
	int64_t rulebook_version;    /* 0 or below: to be made again, by the keeper; below: made under
	                              * the one of that number */
	int64_t edition;             /* of the rules that it was made by; another: likewise */
	struct grade_result grade;
	int32_t act_since_day;       /* DAY_NONE unless graded act */
	int worst_quantity;          /* enum quantity of the last reading nearest its limit; -1 */
	int worst_verdict;           /* its enum verdict; -1 */
	int64_t limit_ppm;           /* its value over its limit, millionths; -1: none */
	int32_t crosses_day, early_day;   /* DAY_NONE: no forecast */
	int64_t asked;               /* readings that wait for an answer */
	int32_t commissioning_day, lacks_since_day;   /* as in struct due_facts; so are the next three */
	bool wants_reading, ever_proved, is_watched;
	bool judged_again;           /* the day does not follow from these alone */
	int64_t odd;                 /* rows of data that look wrong (rules/odd.h); below 0: not counted */
	/* complete inspections, and whether each was on time (store/kept/visit_count.h): borrowed, and
	 * only where a whole record was read */
	const unsigned char *visits;
	size_t visits_len;           /* bytes */
};
enum { LIMIT_PPM_MOST = 2147483647 };   /* an open circuit, or beyond all measure */
/* True when both say the same: of the judgement, of all else that is derived. */
bool bond_state_same_due(const struct bond_state *a, const struct bond_state *b);
bool bond_state_same_judgement(const struct bond_state *a, const struct bond_state *b);
/* Writes what differs from what is kept (NULL: nothing is). The totals of the due list are the
 * caller's business. */
bool store_bond_state_put(struct store *store, const struct bond *bond,
	const struct bond_state *kept, const struct bond_state *state, struct problem *why);
/*
 * Marks states to be made again by the keeper (derived/recompute.h): of bonds with a conductor, on
 * a track, measured with an instrument since a day. What a withdrawal, the one recorded last, makes
 * better of them is listed when they are made again (store/record/correction.h).
 */
enum stale_by { STALE_BY_ENTRY, STALE_BY_WITHDRAWAL };
bool store_stale_all(struct store *store, struct problem *why);
bool store_stale_conductor(struct store *store, int material, int64_t conductor_class,
	double area_mm2, enum stale_by by, struct problem *why);
bool store_stale_track(struct store *store, int64_t track_id, struct problem *why);
bool store_stale_instrument(struct store *store, int64_t instrument_id, int32_t from_day,
	enum stale_by by, struct problem *why);
/* Of bonds that an import brought entries of, and all repeat places. */
bool store_stale_import(struct store *store, int64_t import_id, enum stale_by by,
	struct problem *why);
/*
 * Bonds after one until another, by id, whose state is kept under another rulebook than `version`,
 * or was made by another edition of the rules; at most `most`, *count tells how many. What a due day rests on is read from the states, which keep it;
 * facts.deferred_until_day is DAY_NONE. Where is_whole the record must be read: a deferral may
 * count again or no longer, a forecast is a reason of the grade, a reading waits for an answer;
 * also where due_forecast_matters.
 */
struct due_kept {
	int64_t bond_id;
	int64_t line_id;
	int64_t version;             /* of the rulebook that it is kept under; 0: by another edition */
	bool surveyed;
	struct due_facts facts;
	bool is_whole;
	int32_t early_day;           /* the earliest forecast; DAY_NONE */
	int32_t last_visit_day;      /* of the complete ones, as it was dated; DAY_NONE */
	enum grade grade;
	struct due due;              /* as it is kept: its days alone */
	int32_t evidence_until_day;
};
bool store_dues_after(struct store *store, int64_t after, int64_t until, int64_t version,
	struct due_kept *to, size_t most, size_t *count, struct problem *why);
/* Keeps the due days of bonds that are not deferred, by their numbers, without counting them. */
struct due_moved {
	int64_t bond_id;
	struct due due;
};
bool store_dues_write(struct store *store, const struct due_moved *moved, size_t count,
	int64_t version, struct problem *why);

/* The totals of the due list: how many bonds in service are alike in all of this. A bond that is to
 * be mended is counted twice: by what is due first, and by the other of the two. */
enum { DUE_COUNTS_FIRST = 1, DUE_COUNTS_INSPECTION = 2, DUE_COUNTS_MENDING = 4 };
struct due_cell {
	int64_t line_id;
	int64_t alike;               /* kind, criticality, surveyed, what it counts as, whether a reading
	                                waits for an answer, grade, notice, grace */
	int32_t due_day, deferred_to_day;   /* of what it counts as */
	int32_t evidence_until_day;  /* DAY_NONE unless sound or watched */
	int by;                      /* how many more, or fewer */
};
enum { DUE_CELLS = 2 };
/* How many there are: none when it is never due. */
size_t due_cells_of(const struct bond_state *state, int by, struct due_cell to[DUE_CELLS]);
bool due_cell_same(const struct due_cell *a, const struct due_cell *b);
/* Adds them up. Sorts the cells. */
bool store_due_cells_add(struct store *store, struct due_cell *cells, size_t count,
	struct problem *why);
/* Counts all states anew; and how many of the totals differ from such a count. */
bool store_due_count_make(struct store *store, struct problem *why);
bool store_due_count_wrong(struct store *store, int64_t *wrong, struct problem *why);
bool store_bond_state_get(struct store *store, int64_t bond_id, struct bond_state *state,
	struct problem *why);

/* It is in no list any longer; who counts is the caller's business. */
bool store_bond_state_forget(struct store *store, int64_t bond_id, struct problem *why);
/* How many withdrawn bonds are in lists all the same. */
bool store_withdrawn_listed(struct store *store, int64_t *count, struct problem *why);

/* Ids of bonds from `after` on, at most `most`, in order; *count tells how many. */
bool store_bond_ids(struct store *store, int64_t after, int64_t *ids, size_t most, size_t *count,
	struct problem *why);

/* The greatest number of a bond; 0 when there is none. */
bool store_bond_last(struct store *store, int64_t *id, struct problem *why);
bool store_bond_count(struct store *store, int64_t *count, struct problem *why);

/* All bonds of a line. *ids is the caller's: free(). */
bool store_line_bonds(struct store *store, int64_t line_id, int64_t **ids, size_t *count,
	struct problem *why);

extern const struct list bond_list;
extern const struct list bond_change_list;
extern const struct list due_list;

#endif
