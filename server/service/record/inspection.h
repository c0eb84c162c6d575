/* Recording an inspection with its readings, and a failure that it found. */
#ifndef SERVICE_RECORD_INSPECTION_H
#define SERVICE_RECORD_INSPECTION_H

#include "service/record/failure.h"

struct reading_new {
	int quantity, method;
	double forward_uv, reverse_uv, current_a, shown_uohm, lead_uohm, rail_uv, rail_m, joint_m,
		temp_c;
	int probed, temp_carried;
	int64_t instrument_id;
	const char *instrument;       /* its serial number, instead of instrument_id */
};
extern const struct form reading_form;

/* A failure found by the visit: of the same bond, on the same day. */
struct found_failure {
	char uuid[UUID_TEXT_SIZE];
	int end, mode;
	const char *cause, *note;
};

enum { INSPECTION_READINGS = 40 };

struct inspection_new {
	char uuid[UUID_TEXT_SIZE];    /* from the address, not a member of the body */
	struct bond_reference of;
	int32_t day;
	int purpose, outcome, seen_a, seen_b;
	const char *why_not_seen;     /* of an end that could not be seen */
	int64_t cables_whole;         /* seen whole */
	int strength_a, strength_b;   /* a strength test passed */
	const char *opened;           /* what else joins the rails, while it was read */
	int surroundings, failed;
	const char *inspector, *note, *reason;
	struct form_list readings;    /* struct reading_new */
	struct found_failure failure; /* uuid "": none */
	char corrects[UUID_TEXT_SIZE];
	int sent_from;
	int64_t at_ms;                   /* when it was done; FORM_NO_INTEGER */
	char round[UUID_TEXT_SIZE];      /* that it was made in; "": none */
};
extern const struct form inspection_form;

/*
 * Keeps it once. The day is neither after today nor before the bond was installed; a complete
 * inspection moves the bond's due day. The inspector is the person of that name, or who is signed
 * in when none is given.
 *
 * In a live act a complete inspection has a word for each end, and says why where one could not be
 * seen; a word that tells of a broken path says whether the bond failed. A correction that makes
 * the grade better needs a reason (service/record/correction.h).
 */
bool inspection_record(struct act *act, const struct inspection_new *form,
	struct recorded *recorded, struct problems *why);

#endif
