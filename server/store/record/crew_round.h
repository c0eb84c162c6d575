/* Rounds of crews, what is said of them, the minutes that work takes. */
#ifndef STORE_RECORD_CREW_ROUND_H
#define STORE_RECORD_CREW_ROUND_H

#include "rules/crew_round.h"
#include "store/lists/list.h"
#include "store/record/record_kind.h"

enum { ROUND_BONDS_MOST = 400, ROUND_PERSONS_MOST = 12 };

/* What is sent of one. */
struct round_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	int work;                        /* enum round_work */
	const char *crew;
	struct form_list persons;        /* const char *, names */
	int32_t shift_day;
	const char *begins, *ends;       /* HH:MM */
	const char *note;
	int from_far_end;                /* walked towards lower chainage */
	struct form_list bonds;          /* int64_t, in any order */
};
extern const struct form round_form;
extern const struct record_kind round_kind;

/* What is sent of what became of it. */
struct round_said {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	char round[UUID_TEXT_SIZE];
	int step;                        /* enum round_step */
	const char *said;
	const char *kit, *instrument, *possession, *isolation;   /* as the crew began */
	int64_t at_ms;
	const char *said_by;
	int sent_from;
};
extern const struct form round_step_form;
extern const struct record_kind round_step_kind;

struct minutes_new {
	int kind, work;
	int64_t minutes;
	const char *reason;
};
extern const struct form round_minutes_form;

/* A bond as a round orders and counts it; id 0: there is none. */
struct round_stop {
	int64_t bond_id;
	int64_t line_id, track_id, distance_mm;
	int rail;                        /* -1: not stated */
	bool in_service;
	int64_t minutes;                 /* of the work, as the railway says or as is usual */
};
bool store_round_stop(struct store *store, int64_t bond_id, enum round_work work,
	struct round_stop *to, struct problem *why);

bool store_round_bond_insert(struct store *store, int64_t round_id, int64_t n,
	const struct round_stop *stop, struct problem *why);
/* person_id, or 0 and the name. */
bool store_round_person_insert(struct store *store, int64_t round_id, int64_t n,
	int64_t person_id, const char *person_name, struct problem *why);

/* Which steps were said of a round; whether anything was recorded in it. */
bool store_round_facts(struct store *store, int64_t round_id, struct round_facts *to,
	struct problem *why);

/* The numbers of its bonds, in the order of walking; the caller's: free(). */
bool store_round_bonds(struct store *store, int64_t round_id, int64_t **bonds, size_t *count,
	struct problem *why);

bool store_round_minutes_put(struct store *store, const struct minutes_new *minutes,
	const struct origin *origin, struct problem *why);
/* What is said now; -1: nothing. */
bool store_round_minutes(struct store *store, int kind, int work, int64_t *minutes,
	struct problem *why);

extern const struct list round_list;
extern const struct list round_bond_list;
extern const struct list round_step_list;
extern const struct list round_person_list;
extern const struct list round_minutes_list;

/* In SQL: of bond s.bond_id, the day and the crew of the first round to come or under way that has
 * it; why it was last not reached, if no complete visit came after. For the due list. */
#define ROUND_OF_BOND(column) "(SELECT r." column " FROM round_bond m JOIN round r " \
	"ON r.id = m.round_id WHERE m.bond_id = s.bond_id AND NOT EXISTS (SELECT 1 FROM round_step p " \
	"WHERE p.round_id = r.id AND p.step IN (2, 3)) ORDER BY r.shift_day, r.id LIMIT 1)"
#define NOT_REACHED_WHY "(SELECT coalesce(i.note, 'not said') FROM inspection i " \
	"WHERE i.bond_id = s.bond_id AND i.outcome = 2 " \
	"AND i.day >= coalesce(s.last_inspection_day, i.day) " \
	"AND " SQL_COUNTS("inspection", NOUN_INSPECTION, "i.id") " " \
	"ORDER BY i.day DESC, i.id DESC LIMIT 1)"

#endif
