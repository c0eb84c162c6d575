/* Recording the renewal of rails over a stretch. */
#ifndef SERVICE_RECORD_RENEWAL_H
#define SERVICE_RECORD_RENEWAL_H

#include "rules/renewal.h"
#include "service/record/refer.h"

struct renewal_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	const char *line, *track;
	int rails;
	const char *from, *to;           /* chainages, in either order */
	int32_t day;
	const char *person, *reason, *note;
	int withdrawn;
	char corrects[UUID_TEXT_SIZE];
};
extern const struct form renewal_form;

/*
 * Keeps it once. What was attached to the old rail in the stretch has ended; its spots, and what
 * was noted of that rail, count no more. Failures stay open, and repeat places keep their history.
 * A correction takes the place of an earlier renewal, and with withdrawn that was none at all.
 */
bool renewal_record(struct act *act, const struct renewal_new *form, struct recorded *recorded,
	struct problems *why);

#endif
