/*
 * How everything that people send under ids of their own is kept: sent twice it is kept once, a
 * correction names what it replaces, who enters it and when is noted, and what is judged by it is
 * touched. A kind (store/record/record_kind.h) adds its check.
 */
#ifndef SERVICE_RECORD_RECORD_SENT_H
#define SERVICE_RECORD_RECORD_SENT_H

#include "derived/act.h"
#include "store/record/record_kind.h"

/*
 * What the form alone cannot say: finds what the members name, refuses what is not so, and sets in
 * `row` the bond and the columns that are worked out. row->replaces_id is set by then. False: *why.
 */
typedef bool record_check(struct act *act, const void *sent, struct record_row *row,
	struct problems *why);

/* All kinds, ended by NULL: the register's tables are held against them. */
extern const struct record_kind *const record_kinds[];

/* sent: the struct of the kind's form. check may be NULL. */
bool record_sent(struct act *act, const struct record_kind *kind, const void *sent,
	record_check *check, struct recorded *recorded, struct problems *why);

#endif
