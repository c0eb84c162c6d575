/* The register as a whole. */
#include "api/deed.h"
#include "api/json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/access/register.h"

static void register_get(const struct request *req, struct reply *out)
{
	struct register_facts facts;
	struct problem why = { 0 };
	struct text body = { 0 };
	struct json j;

	if (!register_facts(view_of(req)->store, &facts, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_text(&j, "zone", facts.zone);
	json_text(&j, "machine_zone", facts.machine_zone);
	json_day(&j, "today", view_of(req)->today);
	json_day(&j, "began_day", facts.began_day);
	json_end(&j);
	reply_json(out, 200, &body);
}

static void zone_put(const struct request *req, struct reply *out)
{
	const struct register_zone *form = deed_form(req);
	struct recorded recorded = { 0 };
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct text body = { 0 };
	struct act act = { 0 };
	struct json j;
	bool ok = deed_act(req, &act, &why) && register_set_zone(&act, form, &recorded, &why) &&
		derived_end(&act, &why) && (register_clock(view_of(req)->store, &one) ||
		act_refuse(&why, &one, NULL));

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	/* (and once more when it is on disk, or is not) */
	program_follow_rulebook(req);
	j = json_begin(&body);
	json_text(&j, "zone", form->zone);
	json_flag(&j, "already", recorded.already);
	json_end(&j);
	reply_json(out, 200, &body);
}

const struct route register_routes[] = {
	{ METHOD_GET, "/api/register", ROUTE_READ, CAN_READ, register_get,
	  "The register's time zone (null: none is on record and the machine's is used), its day now, "
	  "and the day on which it began." },
	{ METHOD_PUT, "/api/register/zone", ROUTE_WRITE, CAN_ADMINISTER, zone_put,
	  "Says in which time zone the railway is; changing it needs a reason.",
	  DEED_BODY(&register_zone_form) },
	{ 0 }
};
