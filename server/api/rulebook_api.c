/* The railway's rulebook: the one in force, and adopting another. */
#include "api/app.h"
#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "service/rulebook.h"
#include "store/book.h"

static void in_force_get(const struct request *req, struct reply *out)
{
	struct rulebook rulebook;
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t made_under = 0;
	struct json j;

	if (!rulebook_in_force(req->context, req->today, &rulebook, &why) ||
		!store_mark_get(req->context, "rulebook", &made_under, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_integer(&j, "version", rulebook.version);
	/* false while due days and repeat places are still being made again under it */
	json_flag(&j, "followed", made_under == rulebook.version ||
		(made_under == 0 && rulebook.version == 1));
	json_name(&j, "rulebook");
	form_write(&rulebook_form, &rulebook, &body);
	json_end(&j);
	reply_json(out, 200, &body);
}

static bool adopt(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return rulebook_adopt(act, form, recorded, why);
}

/* The keeper's job comes after this one's commit, or with it. */
static void rulebook_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, adopt, "/api/rulebooks");
	app_follow_rulebook(req->app);
}

const struct route rulebook_routes[] = {
	{ METHOD_GET, "/api/rulebook", ROUTE_READ, CAN_READ, in_force_get,
	  "The rulebook in force, and whether all that is derived was made under it." },
	{ METHOD_POST, "/api/rulebooks", ROUTE_WRITE, CAN_MANAGE, rulebook_post,
	  "Adopts a rulebook; due days and repeat places are made again in the background.",
	  DEED_BODY(&rulebook_new_form) },
	{ 0 }
};
