/*
 * Long requests under way, by the id that their senders gave them (the query value "progress", a
 * UUID), so that another request can ask how far one is, or end it. Only the sender knows the id.
 */
#ifndef API_UNDER_WAY_H
#define API_UNDER_WAY_H

#include "base/progress.h"
#include "http/request.h"

struct under_way;

struct under_way *under_way_new(void);    /* NULL: out of memory */
void under_way_free(struct under_way *all);

/* Enters a request until under_way_end. NULL: *why has what is wrong with its id, or that too many
 * are under way. One without an id is entered, too: it is found by nobody. */
struct progress *under_way_begin(struct under_way *all, const struct request *req,
	struct problem *why);
void under_way_end(struct under_way *all, struct progress *progress);

/* Ends all, when the program does. */
void under_way_stop(struct under_way *all);

#endif
