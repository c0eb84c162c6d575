/* Bonds that crews found and that are not in the book. */
#include "api/deed.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/rows.h"
#include "service/record/found.h"

static bool find(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return found_record(act, form, recorded, why);
}

static bool answer(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return found_answer_record(act, form, recorded, why);
}

static void found_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, find, NULL);
}

static void answer_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, answer, NULL);
}

static void found_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &found_list, NULL, 0);
}

const struct route found_routes[] = {
	{ METHOD_GET, "/api/found-bonds/{uuid}", ROUTE_READ, CAN_READ, found_get,
	  "A bond that a crew found and that is not in the book." },
	{ METHOD_PUT, "/api/found-bonds/{uuid}", ROUTE_WRITE, CAN_INSPECT, found_put,
	  "Records a bond that is not in the book: it becomes no bond of the register by that.",
	  DEED_BODY(&found_form) },
	{ METHOD_PUT, "/api/found-answers/{uuid}", ROUTE_WRITE, CAN_PLAN, answer_put,
	  "Says which bond of the register a found one is, or why it is none.",
	  DEED_BODY(&found_answer_form) },
	{ 0 }
};
