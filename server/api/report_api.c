#include "api/json/report_json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/under_way.h"
#include "api/views.h"

static void report_get(const struct request *req, struct reply *out)
{
	struct text body = { 0 };
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct under_way *all = program_of(req)->under_way;
	struct progress *progress = under_way_begin(all, req, &one);

	if (progress == NULL) {
		reply_problem(out, &one);
		return;
	}
	if (report_json(view_of(req), req->query, req->query_count, progress, &body, &why)) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problems(out, &why);
	}
	under_way_end(all, progress);
}

const struct route report_routes[] = {
	{ METHOD_GET, "/api/report", ROUTE_LONG, CAN_READ, report_get,
	  "The figures of a day and a set of lines, each with the list that it counts. With "
	  "?progress=UUID it can be asked how far it is.",
	  .filters = &report_query },
	{ 0 }
};
