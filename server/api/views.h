/*
 * The view of a request: what its handler sees. http gives one to the handler of every route but a
 * plain one, on whatever thread it runs: on a worker or a job's thread a read of its own, on the
 * writer the writer's transaction. Handlers take their store, their day, their rules and who reads
 * from it, and from nowhere else (tests/layers.py).
 */
#ifndef API_VIEWS_H
#define API_VIEWS_H

#include "derived/view.h"
#include "http/request.h"

/* The view of the request, inside a handler. */
struct view *view_of(const struct request *req);

/* The hook: runs the route's handler with a view, or answers that the register cannot be read. */
void views_give(struct request *req, struct reply *out);

/* A read of the worker's for what runs before a handler; true: views_end is to follow. */
bool views_begin(const struct request *req, struct view *to, struct problem *why);
void views_end(struct view *view);

#endif
