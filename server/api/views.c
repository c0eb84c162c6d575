#include "api/views.h"

#include <assert.h>

#include "base/clock.h"
#include "http/route.h"

struct view *view_of(const struct request *req)
{
	assert(req->view != NULL);
	return req->view;
}

static struct view made(const struct request *req)
{
	return (struct view){ .store = req->context, .today = clock_day_of(req->now_ms),
		.reader = { req->who.person_id, req->who.rights } };
}

bool views_begin(const struct request *req, struct view *to, struct problem *why)
{
	*to = made(req);
	return store_read_begin(to->store, why);
}

void views_end(struct view *view)
{
	store_read_end(view->store);
	view_release(view);
}

static void handle(struct request *req, struct view *view, struct reply *out)
{
	req->view = view;
	req->route->handle(req, out);
	req->view = NULL;
}

void views_give(struct request *req, struct reply *out)
{
	struct view view = made(req);
	struct problem why = { 0 };

	if (req->route->kind == ROUTE_WRITE) {
		handle(req, &view, out);
		view_release(&view);
	} else if (views_begin(req, &view, &why)) {
		handle(req, &view, out);
		views_end(&view);
	} else {
		reply_problem(out, &why);
	}
}
