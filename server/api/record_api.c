/* What crews and planners send under ids of their own: PUT, so that sending twice keeps once. */
#include "api/deed.h"
#include "api/rights.h"
#include "api/routes.h"
#include "service/inspection.h"
#include "service/work.h"

static bool inspect(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return inspection_record(act, form, recorded, why);
}

static bool fail(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return failure_record(act, form, 0, recorded, why);
}

static bool mend(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return repair_record(act, form, recorded, why);
}

static bool defer(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return deferral_record(act, form, recorded, why);
}

static bool attach(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return attachment_record(act, form, recorded, why);
}

static void inspection_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, inspect);
}

static void failure_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, fail);
}

static void repair_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, mend);
}

static void deferral_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, defer);
}

static void attachment_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, attach);
}

const struct route record_routes[] = {
	{ METHOD_PUT, "/api/inspections/{uuid}", ROUTE_WRITE, CAN_INSPECT, inspection_put,
	  "Records an inspection with its readings.", DEED_BODY(&inspection_form) },
	{ METHOD_PUT, "/api/failures/{uuid}", ROUTE_WRITE, CAN_INSPECT, failure_put,
	  "Records a failure.", DEED_BODY(&failure_form) },
	{ METHOD_PUT, "/api/repairs/{uuid}", ROUTE_WRITE, CAN_INSPECT, repair_put,
	  "Records what made a failure good.", DEED_BODY(&repair_form) },
	{ METHOD_PUT, "/api/deferrals/{uuid}", ROUTE_WRITE, CAN_PLAN, deferral_put,
	  "Defers the inspection of a bond.", DEED_BODY(&deferral_form) },
	{ METHOD_PUT, "/api/attachments/{uuid}", ROUTE_WRITE, CAN_INSPECT, attachment_put,
	  "Records the fixing of an end.", DEED_BODY(&attachment_form) },
	{ 0 }
};
