/* Recording the fixing of an end of a bond. */
#ifndef SERVICE_RECORD_ATTACHMENT_H
#define SERVICE_RECORD_ATTACHMENT_H

#include "service/record/refer.h"
#include "store/record/record_kind.h"

struct attachment_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	struct bond_reference of;
	int end;
	int32_t made_day;
	int method;
	const char *person, *kit, *batch;
	int64_t offset_mm;
	int ground_bright, battery_charged, gun_flush, hammer_passed, solder_all_round;
	double arc_s, hold_s, stub_mm;
	const char *note;
	char corrects[UUID_TEXT_SIZE];
	int sent_from;
	const char *reason;              /* of the correction */
	int64_t at_ms;                   /* when it was done; FORM_NO_INTEGER */
};
extern const struct form attachment_form;
extern const struct record_kind attachment_kind;

/* Keeps it once, and judges the bond anew. One on a spoilt spot, or inside another clearance of the
 * rail, is kept as it is, with the mark that it is not accepted for that. */
bool attachment_record(struct act *act, const struct attachment_new *form,
	struct recorded *recorded, struct problems *why);

#endif
