/* Deferrals, instruments and kits. */
#ifndef SERVICE_RECORD_WORK_H
#define SERVICE_RECORD_WORK_H

#include "service/record/refer.h"
#include "store/record/record_kind.h"

struct deferral_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address; likewise below */
	struct bond_reference of;
	int32_t until_day;
	const char *reason;
	struct form_list names;          /* struct deferral_named */
	char corrects[UUID_TEXT_SIZE];
};
extern const struct form deferral_form;
extern const struct record_kind deferral_kind;

/* A reason to act that is put off too: its key, as the bond's judgement gives it ("to_mend"). */
struct deferral_named {
	int64_t key;
};

/* Somebody who is signed in decides today; until_day is after today and after the due day. Every
 * reason to act that the bond has is named: what was not seen by who defers is not put off. */
bool deferral_record(struct act *act, const struct deferral_new *form, struct recorded *recorded,
	struct problems *why);

struct instrument_new {
	const char *serial, *name;
	int32_t calibrated_day, calibration_due_day;
	double uncertainty_percent, uncertainty_uohm;
	int figure_kind, as_found;       /* -1: k = 2; not stated */
	struct form_list methods;        /* int: enum reading_method that it can do; none: not stated */
};
extern const struct form instrument_form;
/* A serial number that is known gets a further calibration; the same one is `already`. With another
 * name it is PROBLEM_CONFLICT: one of the two is a slip, and a calibration of the wrong meter would
 * make readings evidence. What it can do may be said at any time, and counts for all its
 * readings. */
bool instrument_register(struct act *act, const struct instrument_new *form,
	struct recorded *recorded, struct problems *why);

struct kit_new {
	const char *code, *name;
};
extern const struct form kit_form;
/* A code in use with the same name is `already`, with another PROBLEM_CONFLICT. */
bool kit_register(struct act *act, const struct kit_new *form, struct recorded *recorded,
	struct problems *why);

#endif
