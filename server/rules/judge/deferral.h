/*
 * Whether a deferral still holds. What a round or a possession cannot reach is put off by a person,
 * with a reason and a new day; it stays in sight as deferred.
 *
 * It ends with the next complete inspection, and with anything that arrives at the register after
 * it was decided, whatever day it carries, and gives a reason to act that it did not name: what was
 * decided before anybody told of the broken cable does not hide it. The same reason again does not
 * end it. Who wants to defer that too, defers it again, naming it.
 */
#ifndef RULES_JUDGE_DEFERRAL_H
#define RULES_JUDGE_DEFERRAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/day.h"
#include "rules/end_words.h"

/*
 * A reason to act by what it is of, so that two of one kind are told apart: bit 1 << key. The
 * numbers are stored: only add at the end.
 */
enum act_key {
	ACT_OVER,                         /* + enum quantity */
	ACT_OPEN_CIRCUIT = ACT_OVER + 4,  /* + enum quantity */
	ACT_STRENGTH = ACT_OPEN_CIRCUIT + 4,  /* + enum bond_end */
	ACT_DEFECT = ACT_STRENGTH + 2,    /* + enum bond_end */
	ACT_CABLE_LOST = ACT_DEFECT + 2,
	ACT_NOT_ATTACHED,                 /* + enum bond_end */
	ACT_NOT_PROVED = ACT_NOT_ATTACHED + 2,  /* a failure made good, nothing since */
	ACT_FAILURE,                      /* + 3 * enum failure_mode + (the bond as a whole 0, A 1, B 2) */
	ACT_ASKED = ACT_FAILURE + 27,     /* + enum quantity: what is asked would be over */
	ACT_KEYS = ACT_ASKED + 4
};

struct act_item {
	enum act_key key;
	int32_t since_day;                /* found; DAY_NONE: not known */
	int64_t arrived_at_ms;            /* at the register, first */
	int64_t again_at_ms;              /* and last */
};

struct deferral_fact {
	int64_t id;                       /* 0: there is none */
	int32_t until_day;
	int64_t decided_at_ms;
	uint64_t named;                   /* bits of the reasons to act that it names */
	bool says_named;                  /* false: of before they were named; then those count as named
	                                     that had arrived */
};

/* last_complete_ms: when the complete inspection arrived that came in last; 0: none. */
bool deferral_holds(const struct deferral_fact *deferral, const struct act_item *items,
	size_t count, int64_t last_complete_ms);

/* In words: "failure: cable broken", "contact at Up, left rail (cess) over its limit"; without ends
 * by their letters. Into to; cut when it is too long. */
enum { ACT_WORDS_SIZE = 80 + END_BRIEF_SIZE };
void act_key_words(enum act_key key, const struct end_words *ends, char *to, size_t size);

/* The quantity that is over its limit or an open circuit by it; -1. */
int act_key_quantity(enum act_key key);

/* What is there and not named. */
uint64_t deferral_unnamed(uint64_t named, const struct act_item *items, size_t count);

#endif
