/*
 * From the plan of the railway to eight years of records, in three steps: bonds (bonds.c), what
 * happened to them (rounds.c, failures.c, life.c, measure.c, history.c), and entering it through
 * the service layer as if people had, day by day (record.c), up to tonight's rounds (tonight.c).
 */
#ifndef SEED_DEMO_DEMO_H
#define SEED_DEMO_DEMO_H

#include <stdio.h>

#include "plan.h"
#include "random.h"
#include "service/record/attachment.h"
#include "service/record/inspection.h"
#include "service/record/work.h"

struct demo_bond {
	int line, track, track_b;           /* tracks of the plan; track_b: of end B */
	int rail, rail_b;                   /* rail_b -1: end B is not on a rail */
	int64_t distance_mm;
	char label[60], structure[80];      /* structure: what end B is on, "" for a rail */
	bool structure_is_equipment;
	enum bond_kind kind;
	enum criticality criticality;
	const struct plan_conductor *conductor;   /* NULL: not known */
	const char *prefix;
	double length_m, failures_a_year;
	int32_t installed_day;              /* DAY_NONE: not known */
	int32_t known_day;                  /* entered in the register */
	int32_t removed_day;                /* DAY_NONE: in service */
	int32_t renewed_day;                /* end A fixed anew, with the bad batch; DAY_NONE: not */
	bool surveyed, never_inspected;
	double drift_a_year;                /* of its resistance; 0: none */
	int repeat;                         /* index of plan_repeats; -1: none */
	int round;                          /* the round that visits it */
	int32_t last_complete_day;          /* as the history leaves it */
	int64_t id;                         /* given by the register */
};

enum { ROUND_VISITS = 48 };

/* Bonds visited together, again and again. */
struct demo_round {
	int line, interval_months;
	size_t n_visits;
	struct demo_visit {
		int32_t day;
		int person;                     /* who is signed in */
		const char *name;               /* who inspected, from paper; NULL: the person */
		int instrument;
	} visits[ROUND_VISITS];
};

struct demo_failure {
	size_t bond;
	int32_t day;
	int end;                            /* enum bond_end; -1: the bond as a whole */
	enum failure_mode mode;
	const char *cause;
	bool by_visit;                      /* found by the round's visit of that day */
	bool stays_open;
	int repeat;
};

enum event_kind {
	EVENT_CALIBRATION, EVENT_BOND, EVENT_REMOVAL, EVENT_ATTACHMENT, EVENT_INSPECTION,
	EVENT_FAILURE, EVENT_REPAIR, EVENT_DEFERRAL
};

enum { EVENT_READINGS = 3 };

/* One thing that one person enters on one day: the service's own form, ready to send. */
struct demo_event {
	int32_t day;
	uint32_t order;                     /* among those of a day */
	enum event_kind kind;
	int person;                         /* of plan_people */
	size_t bond;                        /* not of a calibration, nor of a failure by its place */
	char text[64];                      /* a batch, a reference or a chainage that the form borrows */
	struct reading_new readings[EVENT_READINGS];
	union {
		struct instrument_new calibration;
		struct attachment_new attachment;
		struct inspection_new inspection;
		struct failure_new failure;
		struct repair_new repair;
		struct deferral_new deferral;
	} form;
};

struct demo {
	int32_t today, first_day, last_day;     /* the register's first day; the last with a record */
	struct demo_bond *bonds;
	size_t n_bonds, room_bonds;
	struct demo_round *rounds;
	size_t n_rounds;
	struct demo_failure *failures;          /* by bond, then day */
	size_t n_failures, room_failures;
	struct demo_event *events;
	size_t n_events, room_events;
	bool no_memory;
	bool is_begun;                          /* the register is there, as bondbook init makes it */
	int64_t people[PLAN_PEOPLE];            /* given by the register */
};

/* Streams of random numbers, by sort. */
enum { STREAM_BOND, STREAM_ROUND, STREAM_FAILURE, STREAM_HISTORY, STREAM_UUID, STREAM_OTHER };

/* All false or no_memory: out of memory. */
bool demo_make_bonds(struct demo *demo);
bool demo_make_rounds(struct demo *demo);
bool demo_make_failures(struct demo *demo);
bool demo_make_history(struct demo *demo);

/* The day of the k-th failure of a planned place. */
int32_t demo_repeat_day(const struct demo *demo, int repeat, int k);

/* Room for one more of an array: the array, moved if need be, or NULL and demo->no_memory. */
void *demo_grow(struct demo *demo, void *array, size_t count, size_t *room, size_t size);

/* The batch of brazing material in use on a day ("P21-C1"), n: which of the quarter's. */
enum { BAD_BATCH = 7 };
void demo_batch(int32_t day, int n, char *to, size_t size);

/* A new event, its form cleared; NULL: out of memory. Valid until the next one. */
struct demo_event *demo_event(struct demo *demo, enum event_kind kind, int32_t day, int person,
	size_t bond);

/* An id as the tablet makes it. */
void demo_uuid(int32_t day, struct random *r, char to[UUID_TEXT_SIZE]);

/* The life of one bond as events; its failures are n_failures from first_failure on. */
bool demo_live(struct demo *demo, size_t bond, size_t first_failure, size_t n_failures);

/* What a bond's resistance is made of while it lasts. */
struct demo_contact {
	double uohm[2];
	int32_t since_day;                  /* drift counts from here */
	int32_t drift_from_day;
};

/* Fills readings of a bond on a day, at most EVENT_READINGS; returns how many. all: also each
 * contact alone. */
size_t demo_measure(const struct demo_bond *bond, const struct demo_contact *contact, int32_t day,
	int instrument, bool all, struct random *r, struct reading_new *to);

/* Rounds, a bridge, competences and services, as they stand today (tonight.c). False: *why. */
bool demo_tonight(struct demo *demo, struct store *store, struct problems *why);

/* Enters everything into a fresh register at `path`. False: refused or failed, told on stderr. */
bool demo_record(struct demo *demo, const char *path, bool passwords);

struct demo_options {
	const char *folder;
	int32_t today;
	bool people;                        /* set passwords */
	FILE *out;                          /* the counts and how to sign in; NULL: quiet */
};

/* Builds folder/register.db, or fills the fresh one that is there. False: why is on stderr, and of
 * what it made nothing is left behind. */
bool demo_build(const struct demo_options *options);

/* The options of bondbook init for a register that the demo can fill. */
void demo_tell_init(int32_t today, FILE *out);

/* Prints what is in a register. */
bool demo_count(const char *path, int32_t today, FILE *out);

#endif
