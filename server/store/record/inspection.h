/* Inspections and their readings in the register. Texts in the structs are borrowed. */
#ifndef STORE_RECORD_INSPECTION_H
#define STORE_RECORD_INSPECTION_H

#include "rules/reading.h"
#include "store/record/line.h"
#include "store/record/sent.h"

struct inspection {
	int64_t id;
	const char *uuid, *content_hash;
	int64_t bond_id;
	int32_t day;
	enum purpose purpose;
	enum outcome outcome;
	int seen_a, seen_b;             /* enum seen; -1: not recorded */
	int64_t person_id;              /* who inspected; 0: see person_name */
	const char *person_name;
	const char *note;
	const char *why_not_seen, *opened;
	int64_t cables_whole;           /* FORM_NO_INTEGER: not recorded */
	int strength_a, strength_b, surroundings, failed;   /* -1: not recorded */
	const char *reason;             /* of a correction */
	int64_t at_ms;                  /* when it was done; FORM_NO_INTEGER */
	int64_t replaces_id;            /* 0: a first entry */
	int64_t round_id;               /* that it was made in; 0: as what it replaces, or none */
};

/* As it was measured. NAN: not measured. */
struct reading_row {
	enum quantity quantity;
	enum reading_method method;
	double forward_uv, reverse_uv, current_a;
	double shown_uohm;              /* what the meter showed, instead of the three above */
	double lead_uohm;
	double rail_uv, rail_m, joint_m;
	double temp_c;
	int probed, temp_carried;       /* -1: not recorded */
	double round_temp_c;            /* median of the round when it came; NAN */
	int64_t instrument_id;          /* 0: not recorded */
};

bool store_inspection_insert(struct store *store, struct inspection *inspection,
	const struct origin *origin, struct problem *why);

/* Readings are numbered from 0 within their inspection. */
bool store_reading_insert(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_row *reading, struct problem *why);

/* What the readings of the same day, person and surroundings, recorded before it and newest first,
 * noted of the conductor's temperature: at most ROUND_TEMPS_MOST, none that was carried. */
enum { ROUND_TEMPS_MOST = 20 };
bool store_round_temps(struct store *store, const struct inspection *inspection,
	int64_t person_id, double *to, size_t *count, struct problem *why);

/* What a kept inspection was held against; NAN: nothing. */
bool store_round_temp_of(struct store *store, int64_t inspection_id, double *to,
	struct problem *why);

/* The bond, the day and the id of a kept inspection; PROBLEM_NOT_FOUND. */
bool store_inspection_bond(struct store *store, int64_t id, int64_t *bond_id, struct problem *why);

extern const struct list inspection_list;
/* The same of every bond, also of one that was withdrawn: what was recorded stays readable. */
extern const struct list entered_inspection_list;
extern const struct list reading_list;
/* Those of corrected inspections too, and of corrections that wait: for one by its id. */
extern const struct list entered_reading_list;

#endif
