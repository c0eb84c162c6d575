/* Bonds that crews found and that are not in the book, and what they turned out to be. Texts are
 * borrowed. */
#ifndef STORE_RECORD_FOUND_H
#define STORE_RECORD_FOUND_H

#include "store/lists/list.h"
#include "store/record/record_kind.h"

/* What is sent of one. It is no bond of the register. */
struct found_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	char round[UUID_TEXT_SIZE];
	const char *line;                /* its code */
	int64_t near_bond_id;            /* a bond of the book; FORM_NO_INTEGER */
	const char *place;               /* as it was read or paced */
	const char *track;
	int rail, kind;
	const char *joins, *seen;
	double measured_uohm;            /* as the meter showed it */
	const char *measured_how;
	int32_t found_day;
	int64_t at_ms;
	const char *found_by, *note;
	int sent_from;
};
extern const struct form found_form;
extern const struct record_kind found_kind;

/* Which bond it is; or that it is none, and why. */
struct found_answer_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	char found[UUID_TEXT_SIZE];
	int64_t bond_id;                 /* FORM_NO_INTEGER: none */
	const char *said;
};
extern const struct form found_answer_form;
extern const struct record_kind found_answer_kind;

/* Whether it counts, and has an answer that counts. */
bool store_found(struct store *store, int64_t id, bool *there, bool *answered,
	struct problem *why);

extern const struct list found_list;

#endif
