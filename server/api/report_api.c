#include "api/report_json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"

static void report_get(const struct request *req, struct reply *out)
{
	struct text body = { 0 };
	struct problems why = { 0 };
	const struct view *view = view_of(req);

	if (report_json(view->store, req->query, req->query_count, view->today, &body, &why)) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problems(out, &why);
	}
}

const struct route report_routes[] = {
	{ METHOD_GET, "/api/report", ROUTE_LONG, CAN_READ, report_get,
	  "The figures of a day and a set of lines, each with the list that it counts.",
	  .filters = &report_query },
	{ 0 }
};
