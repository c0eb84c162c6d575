/* Tokens of machines. */
#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "service/access/token.h"

static void token_post(const struct request *req, struct reply *out)
{
	struct act act = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };
	char token[MACHINE_TOKEN_SIZE];
	int64_t id;
	bool ok = deed_act(req, &act, &why) && token_make(&act, deed_form(req), token, &id, &why);
	struct json j;

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	j = json_begin(&body);
	json_integer(&j, "id", id);
	json_text(&j, "token", token);
	json_end(&j);
	reply_json(out, 201, &body);
}

static void token_delete(const struct request *req, struct reply *out)
{
	struct act act = { 0 };
	struct problems why = { 0 };
	struct problem one = { 0 };
	int64_t id;
	bool ok;

	if (!request_id(req, 0, &id, &one)) {
		reply_problem(out, &one);
		return;
	}
	ok = deed_act(req, &act, &why) && token_end(&act, id, &why);
	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	out->status = 204;
}

const struct route token_routes[] = {
	{ METHOD_POST, "/api/tokens", ROUTE_WRITE, CAN_ADMINISTER, token_post,
	  "Makes a token for a machine; it is shown this once.", DEED_BODY(&token_form) },
	{ METHOD_DELETE, "/api/tokens/{id}", ROUTE_WRITE, CAN_ADMINISTER, token_delete,
	  "Ends a token." },
	{ 0 }
};
