/* The railway's own conductors and rail profiles, the rails of its tracks, and what is marked on a
 * rail near an end. Texts in the structs are borrowed. */
#ifndef STORE_RECORD_RAIL_H
#define STORE_RECORD_RAIL_H

#include "rules/spot.h"
#include "store/record/line.h"

struct own_conductor {
	int64_t id;
	int material;                 /* enum material */
	int64_t conductor_class;      /* IEC 60228 */
	double area_mm2;              /* of one cable */
	double uohm_per_m;            /* at most, at 20 °C */
	const char *source, *note;
};
bool store_conductor_insert(struct store *store, struct own_conductor *c,
	const struct origin *origin, struct problem *why);
/* Sets the id of the row in force when that says the same, else 0. */
bool store_conductor_kept(struct store *store, struct own_conductor *c, struct problem *why);

struct own_profile {
	int64_t id;
	const char *code;
	double mass_kg_m, area_cm2;   /* NAN: not known */
	double uohm_per_m;            /* of one rail */
	const char *source, *note;
};
bool store_profile_insert(struct store *store, struct own_profile *p,
	const struct origin *origin, struct problem *why);
bool store_profile_kept(struct store *store, struct own_profile *p, struct problem *why);
/* True in *there when the railway has a row of that code. */
bool store_profile_exists(struct store *store, const char *code, bool *there, struct problem *why);

/* What one of them is of, by its number; 0 in its id, or a code of "": there is none. */
bool store_conductor_get(struct store *store, int64_t id, struct own_conductor *to,
	struct problem *why);
enum { PROFILE_CODE_SIZE = 121 };
bool store_profile_code(struct store *store, int64_t id, char code[PROFILE_CODE_SIZE],
	struct problem *why);

struct track_fact {
	int64_t track_id, version;    /* version 0: nothing was said yet */
	char rail_profile[32];        /* "": not known */
	double rail_between_joints_m; /* NAN: welded, or not known */
	const char *reason;           /* not read back */
};
/* The version in force. */
bool store_track_fact_get(struct store *store, int64_t track_id, struct track_fact *to,
	struct problem *why);
/* Adds version + 1, which is set. */
bool store_track_fact_insert(struct store *store, struct track_fact *fact,
	const struct origin *origin, struct problem *why);

struct rail_mark_row {
	int64_t id, bond_id;
	int bond_end;                 /* enum bond_end */
	struct rail_mark mark;        /* of kind rail end, weld or bolt hole */
	bool there;                   /* false: the earlier entry was wrong */
	const char *note;
};
bool store_rail_mark_insert(struct store *store, struct rail_mark_row *row,
	const struct origin *origin, struct problem *why);
/* What the newest row of this end, kind and offset says; *id 0: there is none. */
bool store_rail_mark_kept(struct store *store, const struct rail_mark_row *row, int64_t *id,
	bool *there, struct problem *why);

extern const struct list conductor_list;
extern const struct list profile_list;
extern const struct list rail_mark_list;

#endif
