/* One's own second factor, and of whom one is required. */
#include <stdlib.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/access/factor.h"

struct figures {
	const char *code;
};
static const struct member figures_members[] = {
	{ .name = "code", .title = "Figures", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct figures, code), .longest = 60 },
	{ 0 }
};
static const struct form figures_form = { "SecondFactorFigures", figures_members,
	sizeof (struct figures) };

static void factor_get(const struct request *req, struct reply *out)
{
	struct store *store = view_of(req)->store;
	struct second_factor factor;
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t left;
	struct json j;

	if (!store_factor_get(store, req->who.person_id, &factor, &why) ||
		!store_recovery_count(store, req->who.person_id, &left, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_flag(&j, "set", factor.is_set);
	json_integer(&j, "recovery_codes_left", left);
	json_end(&j);
	reply_json(out, 200, &body);
}

static void factor_post(const struct request *req, struct reply *out)
{
	struct act act = { 0 };
	struct person person;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct text body = { 0 };
	char key[FACTOR_KEY_SIZE], link[FACTOR_LINK_SIZE];
	struct json j;
	bool ok = deed_act(req, &act, &why) &&
		(store_person_get(act.store, req->who.person_id, &person, &one) ||
		problems_take(&why, &one)) && factor_begin(&act, &person, key, link, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	j = json_begin(&body);
	json_text(&j, "key", key);
	json_text(&j, "link", link);
	json_end(&j);
	reply_json(out, 201, &body);
}

/* (who sits down at a desk that was left open has not the telephone, and does not take it away) */
static void factor_delete(const struct request *req, struct reply *out)
{
	const struct figures *form = deed_form(req);
	struct act act = { 0 };
	struct person person;
	struct problems why = { 0 };
	struct problem one = { 0 };
	bool ok = deed_act(req, &act, &why) &&
		(store_person_get(act.store, req->who.person_id, &person, &one) ||
		problems_take(&why, &one)) && factor_check(&act, &person, form->code, "code", &why) &&
		factor_drop(&act, &person, &why);

	act_release(&act);
	if (!ok && problems_code(&why) == PROBLEM_SIGN_IN) {
		why.item[0].code = PROBLEM_VALUE;   /* they are signed in */
	}
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	out->status = 204;
}

static void roles_get(const struct request *req, struct reply *out)
{
	struct factor_roles roles;
	struct problem why = { 0 };
	struct text body = { 0 };
	struct json j;

	if (!factor_roles_read(view_of(req)->store, &roles, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	for (int i = 0; i < role_words.n; i++) {
		json_flag(&j, role_words.code[i], roles.required[i] == 1);
	}
	json_end(&j);
	reply_json(out, 200, &body);
}

static void roles_put(const struct request *req, struct reply *out)
{
	deed_do(req, out, factor_roles_set, "/api/register/second-factor");
}

const struct route factor_routes[] = {
	{ METHOD_GET, "/api/session/second-factor", ROUTE_READ, CAN_OWN, factor_get,
	  "Whether one has a second factor, and how many recovery codes are left." },
	{ METHOD_POST, "/api/session/second-factor", ROUTE_WRITE, CAN_OWN, factor_post,
	  "Makes a key for a second factor; it counts when figures of it were sent." },
	{ METHOD_DELETE, "/api/session/second-factor", ROUTE_WRITE, CAN_OWN, factor_delete,
	  "Takes one's own second factor away.", DEED_BODY(&figures_form) },
	{ METHOD_GET, "/api/register/second-factor", ROUTE_READ, CAN_ADMINISTER, roles_get,
	  "Of which roles a second factor is required." },
	{ METHOD_PUT, "/api/register/second-factor", ROUTE_WRITE, CAN_ADMINISTER, roles_put,
	  "Says of which roles a second factor is required, from their next sign-in on.",
	  DEED_BODY(&factor_roles_form) },
	{ 0 }
};
