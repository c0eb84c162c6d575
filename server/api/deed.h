/*
 * How every writing request is done: its body decoded by its form on a worker, then one service
 * function in an act of its own on the writer, then the answer. A new one is a route with
 * DEED_BODY and a handler of one line.
 */
#ifndef API_DEED_H
#define API_DEED_H

#include "base/form.h"
#include "derived/derived.h"
#include "http/route.h"

/* A service function behind one signature; form is the struct of the route's body. */
typedef bool deed(struct act *act, void *form, struct recorded *recorded, struct problems *why);

/* prepare and forget of a route with a body: req->prepared holds the decoded struct. */
void deed_prepare(struct request *req, struct reply *out);
void deed_forget(void *prepared);

/* The decoded struct, inside a handler or a route's own prepare. */
void *deed_form(const struct request *req);

#define DEED_BODY(of) .body = (of), .prepare = deed_prepare, .forget = deed_forget

/* The act of a request: who asks, when. */
bool deed_act(const struct request *req, struct act *act, struct problems *why);

/*
 * Does it. 201 with Location (place, then the id) and {"id":...,"already":false}, or 200 when it
 * was kept before; a problem otherwise.
 */
void deed_do(const struct request *req, struct reply *out, deed *run, const char *place);

/* The same for what is sent with PUT under the sender's own id (the first {..} of the route, copied
 * to the start of the form, where its uuid stands). The answer also has the bond's "due" and
 * "grade", if it is of one, and what `more` (may be NULL) adds: members with their commas. */
typedef void deed_more(struct view *view, int64_t id, int64_t bond_id, struct text *to);
void deed_do_sent(const struct request *req, struct reply *out, deed *run, deed_more *more);

#endif
