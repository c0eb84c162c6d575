/* Rounds of crews, what is said of them, temporary bridges, and what a shift needs: competences,
 * kits in service. */
#include "api/deed.h"
#include "api/rights.h"
#include "api/round_tablet.h"
#include "api/routes.h"
#include "api/rows.h"
#include "service/record/bridge.h"
#include "service/record/competence.h"
#include "service/record/crew_round.h"

static bool make(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return round_record(act, form, recorded, why);
}

/* What only a planner says; all else a crew says. */
static bool say(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	const struct round_said *said = form;

	if ((said->step == ROUND_STEP_WITHDRAWN || said->step == ROUND_STEP_WISH) &&
		(act->view->reader.rights & CAN_PLAN) == 0) {
		return problems_add(why, PROBLEM_RIGHT, "step", "That is said of a round by a planner.");
	}
	return round_say(act, said, recorded, why);
}

static bool put_on(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return bridge_record(act, form, recorded, why);
}

static bool take_off(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return bridge_off_record(act, form, recorded, why);
}

static bool set_minutes(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return round_minutes_set(act, form, recorded, why);
}

static bool competent(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return competence_set(act, form, recorded, why);
}

static bool serviced(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return kit_service_record(act, form, recorded, why);
}

static void round_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, make, NULL);
}

static void step_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, say, NULL);
}

static void bridge_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, put_on, NULL);
}

static void bridge_off_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, take_off, NULL);
}

static void minutes_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, set_minutes, "/api/round-minutes");
}

static void competence_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, competent, "/api/competences");
}

static void service_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, serviced, "/api/kit-services");
}

static void round_get(const struct request *req, struct reply *out)
{
	static const struct rows_more more[] = {
		{ &round_bond_list, "round", "bond_rows" }, { &round_step_list, "round", "steps" },
	};

	rows_give(req, out, &round_list, more, sizeof more / sizeof more[0]);
}

static void bridge_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &bridge_list, NULL, 0);
}

const struct route round_routes[] = {
	{ METHOD_GET, "/api/rounds/{uuid}", ROUTE_READ, CAN_READ, round_get,
	  "A round with its bonds in walking order, and what was said of it." },
	{ METHOD_GET, "/api/rounds/{uuid}/tablet", ROUTE_LONG, CAN_READ, round_tablet_get,
	  "All that a tablet needs of a round where there is no server: bonds, limits, last evidence, "
	  "spots, three years of history, rulebook, instruments, kits, people, temporary bridges." },
	{ METHOD_PUT, "/api/rounds/{uuid}", ROUTE_WRITE, CAN_PLAN, round_put,
	  "Makes a round for a crew and a shift; its bonds are put in the order of walking.",
	  DEED_BODY(&round_form) },
	{ METHOD_PUT, "/api/round-steps/{uuid}", ROUTE_WRITE, CAN_INSPECT, step_put,
	  "Says that a round was taken, begun or done; a planner withdraws it, or wishes something.",
	  DEED_BODY(&round_step_form) },
	{ METHOD_POST, "/api/round-minutes", ROUTE_WRITE, CAN_MANAGE, minutes_post,
	  "The railway's own minutes of work at one bond of a kind.", DEED_BODY(&round_minutes_form) },
	{ METHOD_POST, "/api/competences", ROUTE_WRITE, CAN_MANAGE, competence_post,
	  "Says what a person is competent for, and until which day.", DEED_BODY(&competence_form) },
	{ METHOD_POST, "/api/kit-services", ROUTE_WRITE, CAN_MANAGE, service_post,
	  "Records the service of a kit, and when the next is due.", DEED_BODY(&kit_service_form) },
	{ METHOD_GET, "/api/bridges/{uuid}", ROUTE_READ, CAN_READ, bridge_get, "A temporary bridge." },
	{ METHOD_PUT, "/api/bridges/{uuid}", ROUTE_WRITE, CAN_INSPECT, bridge_put,
	  "Records that a temporary bridge was put on: it is counted until it is off.",
	  DEED_BODY(&bridge_form) },
	{ METHOD_PUT, "/api/bridges-off/{uuid}", ROUTE_WRITE, CAN_INSPECT, bridge_off_put,
	  "Records that a temporary bridge was taken off.", DEED_BODY(&bridge_off_form) },
	{ 0 }
};
