#include <stdio.h>

#include "api/deed.h"
#include "api/json/bond_json.h"
#include "api/json/judgement_json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/record/bond.h"

static void bond_get(const struct request *req, struct reply *out)
{
	struct bond bond;
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t id;

	if (!request_id(req, 0, &id, &why) || !store_bond_get(view_of(req)->store, id, &bond, &why) ||
		!json_bond(view_of(req), &bond, &body, &why)) {
		text_release(&body);
		reply_problem(out, &why);
		return;
	}
	json_bond_etag(bond.version, out->etag, sizeof out->etag);
	reply_json(out, 200, &body);
}

static void judgement_get(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t id;

	if (!request_id(req, 0, &id, &why) || !json_judgement(view_of(req), id, &body, &why)) {
		text_release(&body);
		reply_problem(out, &why);
		return;
	}
	reply_json(out, 200, &body);
}

static bool register_bond(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return bond_register(act, form, recorded, why);
}

static void bond_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, register_bond, "/api/bonds");
}

/* Changes what is said of a bond, if it is still the version that the person saw. */
static bool change(const struct request *req, int64_t id, struct problems *why)
{
	struct act act = { 0 };
	bool ok = deed_act(req, &act, why) && bond_change(&act, id, deed_form(req), why) &&
		derived_end(&act, why);

	act_release(&act);
	return ok;
}

static void bond_put(const struct request *req, struct reply *out)
{
	struct bond bond;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct text body = { 0 };
	char etag[32];
	int64_t id;

	if (!request_id(req, 0, &id, &one) || !store_bond_get(view_of(req)->store, id, &bond, &one)) {
		reply_problem(out, &one);
		return;
	}
	json_bond_etag(bond.version, etag, sizeof etag);
	if (!request_if_match(req, etag, &one)) {
		reply_problem(out, &one);
		return;
	}
	if (!change(req, id, &why)) {
		reply_problems(out, &why);
		return;
	}
	if (!store_bond_get(view_of(req)->store, id, &bond, &one) ||
		!json_bond(view_of(req), &bond, &body, &one)) {
		text_release(&body);
		reply_problem(out, &one);
		return;
	}
	json_bond_etag(bond.version, out->etag, sizeof out->etag);
	reply_json(out, 200, &body);
}

const struct route bond_routes[] = {
	{ METHOD_GET, "/api/bonds/{id}", ROUTE_READ, CAN_READ, bond_get,
	  "A bond with its ends, live attachments, what is due and its grade." },
	{ METHOD_GET, "/api/bonds/{id}/judgement", ROUTE_READ, CAN_READ, judgement_get,
	  "The grade of a bond and what it rests on: readings, limits, trends, forecasts." },
	{ METHOD_POST, "/api/bonds", ROUTE_WRITE, CAN_PLAN, bond_post, "Registers a bond.",
	  DEED_BODY(&bond_form) },
	{ METHOD_PUT, "/api/bonds/{id}", ROUTE_WRITE, CAN_PLAN, bond_put,
	  "Changes what is said of a bond; If-Match names the version seen.", DEED_BODY(&bond_form) },
	{ 0 }
};
