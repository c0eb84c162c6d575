/* What a crew takes along. */
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/report/tablet.h"

static void known_get(const struct request *req, struct reply *out)
{
	struct form_memory memory = { 0 };
	struct tablet_known known;
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t id;

	if (request_id(req, 0, &id, &why) &&
		tablet_take_along(view_of(req), id, &known, &memory, &why)) {
		form_write(&tablet_known_form, &known, &body);
		reply_json(out, 200, &body);
	} else {
		reply_problem(out, &why);
	}
	form_memory_release(&memory);
}

const struct route tablet_routes[] = {
	{ METHOD_GET, "/api/bonds/{id}/tablet", ROUTE_READ, CAN_READ, known_get,
	  "What judging a reading of the bond rests on, as a tablet takes it along: facts of the limit, "
	  "values at commissioning, last evidence, calibrations of the instruments." },
	{ 0 }
};
