/* A bond that a crew found and that is not in the book, and what it turned out to be. */
#ifndef SERVICE_RECORD_FOUND_H
#define SERVICE_RECORD_FOUND_H

#include "derived/act.h"
#include "store/record/found.h"

/* Kept as it is said, beside the register's bonds and never as one. */
bool found_record(struct act *act, const struct found_new *form, struct recorded *recorded,
	struct problems *why);

/* Which bond it is, one of the register's on its line; or why it is none. Said once: another answer
 * after the withdrawal of the first. */
bool found_answer_record(struct act *act, const struct found_answer_new *form,
	struct recorded *recorded, struct problems *why);

#endif
