/*
 * What somebody says otherwise of a known entry than the register does: two structs of one form,
 * member by member. What a form leaves out says nothing: it differs from nothing and stays.
 */
#ifndef SERVICE_RECORD_DIFFER_H
#define SERVICE_RECORD_DIFFER_H

#include "base/form.h"

enum { DIFFER_MOST = 200, DIFFER_VALUE_SIZE = 100 };

struct difference {
	const struct member *member;             /* of the form; borrowed */
	char title[DIFFER_VALUE_SIZE];           /* of the member, and of which reading it is */
	char known[DIFFER_VALUE_SIZE];           /* in words, with its unit; "not known" */
	char said[DIFFER_VALUE_SIZE];
	size_t item;                             /* of a list; SIZE_MAX: of the entry itself */
};

struct differences {
	struct difference all[DIFFER_MOST];
	size_t count;
};

/* Adds the members of a form, but those named (ended by NULL), in which `said` says otherwise than
 * `known`. of: what it is of, before the member's title; "": the entry itself. False: too many. */
bool differ(const struct form *form, const char *const *without, const void *known,
	const void *said, const char *of, size_t item, struct differences *to);

/* Adds one that is no member's alone. */
bool differ_add(const struct member *member, const char *title, const char *known,
	const char *said, size_t item, struct differences *to);

/* The member as `from` has it, into `to`: texts stay from's. */
void differ_take(const struct member *member, const void *from, void *to);

#endif
