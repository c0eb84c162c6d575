/* Recording a failure, and what made it good. */
#ifndef SERVICE_RECORD_FAILURE_H
#define SERVICE_RECORD_FAILURE_H

#include "service/record/refer.h"

struct failure_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address, not a member of the body */
	struct bond_reference of;        /* or, for an old log that has only places: */
	const char *track, *chainage;    /* with of.line */
	const char *place_written;       /* where the chainage was made of something else */
	int rail;
	double within_m;                 /* the nearest bond at most this far away; else a new one */
	int end;
	int32_t found_day;
	int mode;
	const char *cause, *reference, *note;
	const char *found_by;            /* service/record/doer.h; so is who made it good */
	int32_t made_good_day;
	const char *made_good_how, *made_good_by;
	char corrects[UUID_TEXT_SIZE];
	int sent_from;
	const char *reason;              /* of the correction */
	int64_t at_ms;                   /* when it was done; FORM_NO_INTEGER */
	char round[UUID_TEXT_SIZE];      /* that it was made in; "": none */
};
extern const struct form failure_form;

/*
 * Keeps it once. A failure of a named bond is at that end's place (end A's for the bond as a
 * whole). One with a line and a chainage only goes to the nearest bond within within_m, rather one
 * that was there on that day, or registers a bond that is marked as still to be surveyed; the
 * failure's own place is kept either way. inspection_id: the visit that found it, 0 for none; who
 * inspected found it. In a live act its mode is said, if only as "not stated".
 */
bool failure_record(struct act *act, const struct failure_new *form, int64_t inspection_id,
	struct recorded *recorded, struct problems *why);

/* The same of one that corrects another (form->corrects) and lies where that lay, of its bond: the
 * form's own words for a place are not looked at. stays: what is corrected, as it is kept. */
bool failure_correct(struct act *act, const struct failure_new *form, const struct failure *stays,
	struct recorded *recorded, struct problems *why);

struct repair_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	char failure[UUID_TEXT_SIZE];
	int32_t day;
	const char *how, *made_good_by;
	char corrects[UUID_TEXT_SIZE];
	int sent_from;
	const char *reason;              /* of the correction */
	int64_t at_ms;                   /* when it was done; FORM_NO_INTEGER */
	char round[UUID_TEXT_SIZE];      /* that it was made in; "": none */
};
extern const struct form repair_form;

bool repair_record(struct act *act, const struct repair_new *form, struct recorded *recorded,
	struct problems *why);

#endif
