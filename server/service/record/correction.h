/*
 * Corrections that make a bond's grade better. Such a one needs a reason, is listed as "better by
 * correction", and, where the author of the entry did not make it, counts once an engineer has
 * confirmed it (service/record/ruling.h): till then the entry that it names stands.
 *
 *     struct correction c = { .noun = SENT_FAILURE, .corrects = form->corrects, .reason = ... };
 *     ok = correction_begin(act, &c, why) && ... written and touched ... ;
 *     c.row_id = ...; ok = ok && correction_end(act, &c, why);
 */
#ifndef SERVICE_RECORD_CORRECTION_H
#define SERVICE_RECORD_CORRECTION_H

#include "base/form.h"
#include "derived/act.h"
#include "store/record/sent.h"

/* For the form of what may correct; its struct has a `reason`. */
#define CORRECTION_REASON_MEMBER(holder) \
	{ .name = "reason", .title = "Reason of the correction", .type = MEMBER_TEXT, \
	  .column = "reason", .offset = offsetof(holder, reason), .longest = 500, \
	  .help = "Needed where the correction makes the bond's grade better." }

struct correction {
	enum sent_noun noun;
	const char *corrects;         /* the id of the entry that is corrected; "": none */
	const char *reason;           /* NULL: none given */
	int64_t row_id;               /* of what was written, */
	int64_t to_bond_id;           /* and whose record it is; 0: that of what is corrected */
	/* kept from the beginning to the end */
	int64_t bond_id;              /* of the entry that is corrected */
	int64_t author_id;            /* who entered it */
	enum grade before;
	bool waits;                   /* told at the end: for an engineer, and does not count yet */
};

bool correction_begin(struct act *act, struct correction *c, struct problems *why);
/* Refuses a better grade without a reason, at "reason". Both derive what was touched until then:
 * the grade before, and what came of it. */
bool correction_end(struct act *act, struct correction *c, struct problems *why);

/* The places of a failure, and of the one that it corrects: one that was moved counts where it is
 * now, and no longer where it was. */
bool correction_touch_places(struct act *act, const char *uuid, struct problems *why);

#endif
