/*
 * The whole record of bonds, as judging needs it, with what is kept of their judgement: many bonds
 * at a time, by ranges of their ids, one ordered statement for each kind of thing.
 *
 * What a correction replaces is left out, and so is a correction that waits for an engineer. The
 * pieces that the rules make (judge_reading's second part) are not filled.
 */
#ifndef STORE_RECORD_RECORD_H
#define STORE_RECORD_RECORD_H

#include "base/day.h"
#include "rules/judge/acceptance.h"
#include "rules/judge/judge.h"
#include "store/kept/judgement.h"
#include "store/record/inspection.h"
#include "store/record/known.h"

#define RECORD_ALL INT32_MAX   /* as a day: all there is */

/* A reading beside its judge_reading: its key, and what is kept of its result. */
struct record_reading {
	int64_t inspection_id, n;
	bool has_state;
	struct reading_kept kept;
};

struct record_attachment {
	int64_t id;
	enum bond_end end;
	int32_t made_day;
	int64_t at_ms;                    /* when it was made; 0: not noted */
	int64_t arrived_at_ms;
	bool accepted_anyway;             /* by an engineer's word */
	int32_t ended_day;                /* a renewal of the rail ended it; DAY_NONE */
	int64_t ended_at_ms;              /* and when that arrived */
	int64_t offset_mm;                /* FORM_NO_INTEGER: not recorded */
	struct acceptance_facts facts;    /* without a commissioning reading */
};

/* One bond; its things lie side by side in the arrays of struct records. */
struct record {
	struct bond bond;                 /* without place_written, note and reason */
	int32_t known_since_day;
	int32_t inspected_day;            /* of the last complete inspection; DAY_NONE */
	struct deferral_fact deferral;    /* the newest; whether it holds is for the rules */
	int64_t failures_open;
	double cable_uohm_per_m;          /* NAN: not known; so below */
	struct known_rail rail;
	size_t visit, n_visits;           /* oldest first; all that are not replaced */
	size_t reading, n_readings;       /* in the order of the visits; .visit counts from 0 */
	size_t attachment, n_attachments; /* by end, oldest first */
	size_t failure, n_failures;       /* by the day on which they were found */
	size_t clearing, n_clearings;
	int32_t detached_day[2];          /* by end: since a renewal of the rail took it off nothing was
	                                   * attached, also where none was ever recorded; DAY_NONE */
	int64_t detached_at_ms[2];
	bool has_state;
	struct bond_state state;          /* as it is kept */
	size_t kept_visits;               /* where state.visits begins */
};

struct record_turn;                  /* while it is read (store/record/record_visits.c) */
struct record_arrival;

struct records {
	int32_t until_day;
	int32_t register_began_day;
	bool without_states;              /* set by the caller: what is kept of readings is not asked
	                                   * for */
	struct record *bonds;
	size_t n_bonds;
	struct judge_visit *visits;
	int64_t *visit_ids;               /* inspection of each */
	int64_t *visit_imports;           /* import that brought it; 0: none */
	size_t *visit_ends;               /* behind the last of its readings */
	size_t n_visits;
	struct judge_reading *readings;
	struct record_reading *reading_keys;
	size_t n_readings;
	struct record_attachment *attachments;
	size_t n_attachments;
	struct judge_failure *failures;
	size_t n_failures;
	struct judge_clearing *clearings;
	size_t n_clearings;
	unsigned char *kept_visits;       /* bytes: what is kept of the visits of each */
	size_t n_kept_visits;
	int64_t *replaced;                /* what was corrected, while it is read: sorted */
	size_t n_replaced;
	struct record_turn *turns;        /* the visits by their inspections' numbers */
	struct record_arrival *arrivals;  /* their readings in that order */
	size_t n_arrivals;
	size_t room_bonds, room_visits, room_turns, room_readings, room_arrivals, room_attachments,
		room_replaced, room_failures, room_clearings, room_kept_visits;
};

/*
 * The bonds from first_id to last_id, by id, with what was seen, made and found until a day (of
 * what is known now; the bond itself as it is said to be now), into *to: zeroed at first, used
 * again by the next call, released at the end. Bonds without a state (never derived) are there too.
 * It is quickest for some hundred bonds at once: thousands of readings no longer lie near the
 * processor.
 */
bool store_records_read(struct store *store, int64_t first_id, int64_t last_id, int32_t until_day,
	struct records *to, struct problem *why);
void records_release(struct records *records);

/* The id that ends a range of at most `most` bonds beginning after `after`; 0 when there is none.
 * With `not_version` other than -1 only bonds whose state is of another rulebook, or of another
 * edition of the rules, begin a range. */
bool store_record_range(struct store *store, int64_t after, int64_t not_version, size_t most,
	int64_t *first_id, int64_t *last_id, struct problem *why);

#endif
