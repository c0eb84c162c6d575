/*
 * Which version of the rulebook is in force on a day, and which were before.
 *
 * On a day holds, of the versions that are not withdrawn and hold from that day or before, the one
 * with the greatest from_day; of equal ones the greatest version. So what was decided for a future
 * day takes effect on it, whatever was adopted since for an earlier one.
 */
#ifndef RULES_IN_FORCE_H
#define RULES_IN_FORCE_H

#include "rules/rulebook.h"

struct rulebook_dated {
	int64_t version;
	int32_t from_day;
	int32_t adopted_day;   /* on which it was adopted: never after from_day, but for the first */
	bool withdrawn;
};

/* Its index; -1: none holds on that day. */
int rulebook_on(const struct rulebook_dated *all, size_t n, int32_t day);

/* The days on which a version holds, both included. The last to_day is INT32_MAX: until another. */
struct rulebook_span {
	int32_t from_day, to_day;
	const struct rulebook *rulebook;
};

/*
 * Every span that there was or will be, oldest first; `of` receives the index of each one's version
 * (its rulebook is the caller's to set), and both have room for n. One that was replaced on its
 * very first day was in force for a part of it: it has that day, and the one that replaced it has
 * it too and comes after it. One that was replaced before its day was never in force. Returns how
 * many.
 */
size_t rulebook_spans(const struct rulebook_dated *all, size_t n, struct rulebook_span *spans,
	int *of);

/* How many of the spans have begun on a day: the last of these is in force. 0: none. */
size_t rulebook_spans_until(const struct rulebook_span *spans, size_t n, int32_t day);

/* The first that was in force on a day or later; the others follow it. n: none. */
size_t rulebook_spans_since(const struct rulebook_span *spans, size_t n, int32_t day);

#endif
