/*
 * The invented railway as tables: lines, tracks, maps, where bonds are and of what, people,
 * instruments, kits, and the places that keep failing. No name in it is a real railway's.
 *
 * Positions are metres from the line's datum (not chainages). Tables end with a row of zeros
 * unless a count stands beside them.
 */
#ifndef SEED_DEMO_PLAN_H
#define SEED_DEMO_PLAN_H

#include "rules/place/line_map.h"
#include "rules/terms.h"

enum { PLAN_LINES = 3, PLAN_TRACKS = 4, PLAN_YEARS = 8 };

/* its time zone */
#define PLAN_ZONE "Europe/London"

enum { LINE_MAIN, LINE_BRANCH, LINE_SUBURBAN };

struct plan_track {
	const char *name, *left_label, *right_label;
	double from_m, to_m;
	const struct line_map *map;         /* NULL: the line's */
};

struct plan_spot {
	const char *name;                   /* station, substation, level crossing */
	double at_m;
};

struct plan_conductor {
	enum material material;
	int conductor_class;                /* IEC 60228 */
	double area_mm2, shortest_m, longest_m;
	int cables;
};

enum plan_where {
	EVERY,              /* along the track, spacing_m apart */
	MASTS,              /* so too, each on a mast */
	STATIONS,           /* count at each, in its two throats */
	SUBSTATIONS,
	SIGNALS,            /* spacing_m apart, each track on its own */
	CROSSINGS
};

/* Bonds of one kind: where they are and what they are made of. */
struct plan_layout {
	enum plan_where where;
	enum bond_kind kind;
	enum criticality criticality;
	int track, track_b;                 /* -1: each track; track_b: -1: the same */
	double from_m, to_m, spacing_m;     /* to_m 0: the whole line */
	int count;                          /* bonds at each place */
	const struct plan_conductor *conductor;
	const char *prefix;                 /* of the label */
	const char *structure;              /* what end B is on; NULL: a rail */
	double failures_a_year;             /* of one bond */
};

struct plan_line {
	const char *code, *name;
	enum notation notation;
	enum electrification electrification;
	struct plan_track track[PLAN_TRACKS];   /* from left to right, seen in rising chainage */
	int n_tracks;
	struct line_map map;
	double length_m;
	const struct plan_spot *stations, *substations, *crossings;
	const struct plan_layout *layouts;
	int method_weights[5];              /* of attachment, by enum attach_method */
	int first_kit, kits;                /* of plan_kits, that are used here */
};
extern const struct plan_line plan_lines[PLAN_LINES];

/* The map of a track. */
const struct line_map *plan_map(int line, int track);

/* A place that keeps failing, for a reason that the record shows. */
enum plan_reason {
	REASON_CURRENT, REASON_WATER, REASON_ROAD, REASON_THEFT, REASON_BATCH, REASON_SAME_SPOT,
	REASON_MOVEMENT
};
struct plan_repeat {
	enum plan_reason reason;
	int line, track;
	enum rail rail;
	double at_m;                        /* of the first bond */
	int bonds;                          /* how many stand there */
	double apart_m;                     /* from one to the next */
	int failures;
	enum bond_kind kind;
	const struct plan_conductor *conductor;
	const char *prefix;
	enum failure_mode modes[2];
	const char *causes[3];
};
enum { PLAN_REPEATS = 7 };
extern const struct plan_repeat plan_repeats[PLAN_REPEATS];

struct plan_person {
	const char *login, *name;
	enum role role;
	const char *password;               /* set with --people; NULL: cannot sign in */
};
enum { PERSON_VIEWER, PERSON_CREW, PERSON_PLANNER, PERSON_MANAGER, PERSON_ADMINISTRATOR,
	PERSON_MORE_CREW, PLAN_PEOPLE = 11 };
extern const struct plan_person plan_people[PLAN_PEOPLE];

/* Names in old papers: they never signed in. */
enum { PLAN_NAMES_ONLY = 4 };
extern const char *const plan_names_only[PLAN_NAMES_ONLY];

struct plan_instrument {
	const char *serial, *name;
	double uncertainty_percent, uncertainty_uohm, current_a;
	int last_calibrated_days;           /* before today */
	int method;                         /* the one that it can do */
};
enum { INSTRUMENT_TWO_WIRE = 3, INSTRUMENT_DROP = 4, INSTRUMENT_LATE = 2, PLAN_INSTRUMENTS = 5 };
extern const struct plan_instrument plan_instruments[PLAN_INSTRUMENTS];

struct plan_kit {
	const char *code, *name;
};
enum { KIT_BAD_BATCH = 4, PLAN_KITS = 6 };
extern const struct plan_kit plan_kits[PLAN_KITS];

#endif
