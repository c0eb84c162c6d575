/*
 * What the tablet asks of the rules while nobody can answer it, as a table: the name of a question,
 * the form of what is known, the form of the answer, and the function that gives it. rules.wasm
 * (server/wasm/module.c) and the case files that hold it to the native program (tests/cases) go by
 * this table alone, so that nothing else knows how a struct is laid out.
 *
 * A question's struct is decoded by its form. An answer's texts and lists live in the answer itself
 * or for ever: nothing is allocated, and the answer must not be moved.
 */
#ifndef RULES_TABLET_TABLET_H
#define RULES_TABLET_TABLET_H

#include "base/form.h"
#include "rules/judge/grade.h"
#include "rules/rulebook.h"

struct tablet_rule {
	const char *name;
	const struct form *in, *out;
	/* out: all absent at first, see tablet_ask */
	void (*answer)(const struct rulebook *rulebook, const void *in, void *out);
};

/* "chainage": a text on a line's map -> the place, and how it is written; or a place -> how it is
 *             written. The stretches are checked too. */
extern const struct tablet_rule tablet_chainage;
/* "reading":  what the meter shows, the meter, what the limit rests on -> the value at 20 degrees,
 * its uncertainty, the limits, the verdict, and a sentence for the crew. */
extern const struct tablet_rule tablet_reading;
/* "meter":    an instrument's calibrations and a day -> how far it is to be believed on it. */
extern const struct tablet_rule tablet_meter;
/* "grade":    what was seen, last readings ... -> the grade, on a day, with its reasons. */
extern const struct tablet_rule tablet_grade;
/* "due":      what due days rest on -> the day, its reason, the state on a day. */
extern const struct tablet_rule tablet_due;
/* "spot":     what stands on the rail, a wanted offset -> whether it is free, what is, and what is
 * not known there. */
extern const struct tablet_rule tablet_spot;
/* "acceptance": what was checked of a new attachment -> whether it is accepted, check by check. */
extern const struct tablet_rule tablet_acceptance;

extern const struct tablet_rule *const tablet_rules[];
extern const size_t tablet_rules_count;

/*
 * What is known of one bond before a visit, in the forms that the questions take: made by the
 * server (service/report/tablet.h), kept on the tablet. What is not known is absent.
 */
struct tablet_limit_facts {
	int kind, criticality;
	double cable_uohm_per_m, length_m;   /* of one cable */
	int64_t cables;
	double rail_uohm_per_m, rail_between_joints_m;
	double baseline;              /* of the quantity that is asked; absent in what is known */
};
extern const struct form tablet_limit_form;

struct tablet_last {              /* evidence of one quantity, since the newest attachment */
	int32_t day;                  /* absent: there is none */
	double value, u95, limit;
	int verdict, open_circuit;
};
extern const struct form tablet_lasts_form;   /* GRADE_QUANTITIES of them */

struct tablet_calibration {
	int32_t calibrated_day, due_day;
	double percent, uohm;
	int as_found;
};
extern const struct form tablet_calibration_form;

struct tablet_instrument {
	int64_t id, methods;             /* methods: as in struct meter */
	struct form_list calibrations;   /* struct tablet_calibration, oldest first */
};

struct tablet_end {
	int end;
	const char *brief, *words;       /* rules/end_words.h; brief is "short" in JSON */
	const char *contact;             /* its contact as a quantity */
};

struct tablet_known {
	int64_t bond_id, rulebook_version;
	int material;
	struct tablet_limit_facts limit;
	double baseline[GRADE_QUANTITIES];
	double compared[GRADE_QUANTITIES];   /* what "reading" asks for as `compared` */
	struct tablet_last last[GRADE_QUANTITIES];
	struct form_list ends;           /* struct tablet_end */
	struct form_list instruments;    /* struct tablet_instrument; one that is not there was never
	                                    calibrated */
};
extern const struct form tablet_known_form;

/* One end on its rail, as struct spot_place has it, in the question "spot" and in what the server
 * says of a rail. What is absent is not known; a rail is not known when that is said. */
struct tablet_place {
	int rail_known;
	int64_t home_mm;              /* absent: the reference mark */
	int side;                     /* absent: no joint */
	int64_t joint_mm, cable_mm, other_mm;
	int other_known, across;
	int64_t unplaced, unstated;
};
extern const struct form tablet_place_form;

/* Room for the largest question and the largest answer. */
enum { TABLET_STRUCT_SIZE = 8192 };

/* The question of a name; NULL. */
const struct tablet_rule *tablet_find(const char *name);

/* Clears the answer and gives it. */
void tablet_ask(const struct tablet_rule *rule, const struct rulebook *rulebook, const void *in,
	void *out);

#endif
