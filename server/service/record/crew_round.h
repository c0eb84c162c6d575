/*
 * Rounds of crews: made by a planner, taken and walked by a crew. Nothing of one is changed: what
 * becomes of it is said by a further row, whose state follows by a rule (rules/crew_round.h).
 */
#ifndef SERVICE_RECORD_CREW_ROUND_H
#define SERVICE_RECORD_CREW_ROUND_H

#include "derived/act.h"
#include "store/record/crew_round.h"

/* The member `round` of what a crew sends. */
#define ROUND_MEMBER(of) { .name = "round", .title = "Round", .type = MEMBER_UUID, \
	.offset = offsetof(of, round), .help = "The round that it was made in, by its id. Left out " \
	"of a correction: that of what it corrects." }

/* The number of the round of an id; "" is 0. Field "round". */
bool round_find(struct act *act, const char *uuid, int64_t *round_id, struct problems *why);

/*
 * Keeps a round with its bonds in the order of walking: along each line, the lines one after the
 * other. What is out of service or not in the book is refused, all at once. A bond may be in
 * several rounds.
 */
bool round_record(struct act *act, const struct round_new *form, struct recorded *recorded,
	struct problems *why);

/* What is said of it. A withdrawal and a wish need their words; of a round that is done neither
 * means anything. Whatever a crew says is kept, also of a round that was withdrawn meanwhile. */
bool round_say(struct act *act, const struct round_said *form, struct recorded *recorded,
	struct problems *why);

/* The railway's own minutes at one bond of a kind. */
bool round_minutes_set(struct act *act, const struct minutes_new *form, struct recorded *recorded,
	struct problems *why);

#endif
