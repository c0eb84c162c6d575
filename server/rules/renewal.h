/* The renewal of rails over a stretch, and what it asks of every end of a bond that was there. */
#ifndef RULES_RENEWAL_H
#define RULES_RENEWAL_H

#include <stdbool.h>

#include "rules/terms.h"

/* The numbers are stored: only add at the end; the first two are those of enum rail. */
enum renewed_rails { RENEWED_LEFT, RENEWED_RIGHT, RENEWED_BOTH };
extern const struct words renewed_rails_words;

enum renewal_answer {
	ANSWER_NONE,                  /* not attached to the new rail, as far as is known */
	ANSWER_ATTACHED,              /* made on the day of the renewal or since */
	ANSWER_REMOVED,               /* the bond is out of service */
	ANSWER_OUTSIDE,               /* its mark is in the stretch, what holds it is on the rail beyond */
	ANSWER_RAIL_NOT_STATED        /* it may be on the renewed rail: somebody has to look */
};
extern const struct words renewal_answer_words;

/* True where somebody still has to say something. */
bool renewal_is_open(enum renewal_answer answer);

#endif
